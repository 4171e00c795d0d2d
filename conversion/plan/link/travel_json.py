"""The travel as plain data, units in the names: positions, the link, rods, return, stops, and points from a tape."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from typing import Any

import numpy as np

from conversion.description import Missing
from conversion.plan.link.positions import travel_positions
from conversion.plan.link.rod_loads import described_rod, described_rods
from conversion.plan.link.rod_threads import thread_holds
from conversion.plan.plan import Plan
from conversion.plan.tape.facts import reading_facts


def travel_json(plan: Plan) -> tuple[dict[str, Any], list[Missing]]:
    """Everything about the travel, and what could not be computed for want of a figure.

    What does not exist, such as the lever angle where the linkage cannot close, is None; what cannot be computed is
    left out and told in the second value.
    """
    positions, lacking = travel_positions(plan)
    found: dict[str, Any] = {"positions": positions}
    form = plan.description.conversion.linkage
    if form is None or not positions:
        return found | {"tape": _tape(plan)}, lacking
    parts: dict[str, Callable[[Plan], Any]] = {
        "ends": _ends,
        "events": _events,
        "link": _link,
        "rods": _rods,
        "returns": _returns,
        "stops": _stops,
        "tape": _tape,
    }
    found["kind"] = form.kind
    for name, part in parts.items():
        try:
            found[name] = part(plan)
        except Missing as missing:
            lacking.append(missing)
    return found, lacking


def _ends(plan: Plan) -> dict[str, Any]:
    travel = plan.travel
    return {
        "ended_by": travel.ended_by,
        "pad_at_full_mm": _limits(travel.pad_at_full_mm),
        "lever_at_rest_deg": _limits(np.degrees(travel.lever_at_rest_rad)),
        "lever_at_full_deg": _limits(np.degrees(travel.lever_at_full_rad)),
        "swing_left_deg": _plain(math.degrees(travel.margin_rad)),
        "swing_left_worst_deg": _plain(math.degrees(travel.worst_margin_rad)),
        "pad_left_mm": _plain(travel.margin_mm),
    }


def _events(plan: Plan) -> list[dict[str, Any]]:
    return [
        {"kind": each.kind, "from_mm": _plain(each.pad_travel_mm), "until_mm": _plain(each.until_mm),
         "where": each.where, "rod": each.rod}
        for each in plan.travel.events
    ]  # fmt: skip


def _link(plan: Plan) -> dict[str, Any]:
    """What is special to the kind at each position, angles in degrees; and the force in the link where it is known."""
    found: dict[str, Any] = {}
    for name, values in plan.travel.solution.quantities().items():
        angle = name.endswith("_rad")
        found[name.removesuffix("_rad") + "_deg" if angle else name] = _list(np.degrees(values) if angle else values)
    try:
        side, force = plan.side_load_n, plan.returns.link_force_n
    except Missing:
        return found  # the return tells it
    found["force_n"] = _list(force)
    if side is not None:
        rod = described_rod(plan.description)
        limit = rod.side_load_limit if rod is not None else None
        found["side_load_n"] = _list(side)
        found["side_load_limit_n"] = _plain(limit.low) if limit is not None else None
    give = plan.bracket_give
    if give is not None:
        found["lever_for_each_mm_of_give_deg"] = _plain(math.degrees(give.for_each_mm_rad))
        found["lever_lost_to_bracket_deg"] = _plain(math.degrees(give.lost_rad))
    return found


def _rods(plan: Plan) -> list[dict[str, Any]]:
    holds = {hold.rod: hold for hold in thread_holds(plan.description, plan.travel)}
    jams = {jam.rod: jam for jam in plan.jam_loads}
    found = []
    for rod in described_rods(plan.description):
        hold, jam = holds.get(rod), jams.get(rod)
        entry: dict[str, Any] = {
            "rod": rod,
            "ends": [
                {"end": end.key, "lean_deg": _list(np.degrees(end.lean_rad)),
                 "limit_deg": _plain(math.degrees(end.limit.low)) if end.limit is not None else None}
                for end in plan.rod_ends if end.rod == rod
            ],
        }  # fmt: skip
        if jam is not None:
            entry["jammed"] = {
                name: _plain(getattr(jam, name)) for name in ("pad_force_n", "rod_n", "pad_travel_mm", "buckling_n")
            }
            entry["jammed"]["pushed"] = jam.pushed
        if hold is not None:
            entry["thread"] = {
                name: _plain(getattr(hold, name))
                for name in ("engaged_mm", "left_mm", "wanted_mm", "length_mm", "shortest_mm", "longest_mm")
            }
        found.append(entry)
    return found


def _returns(plan: Plan) -> dict[str, Any]:
    study, time = plan.returns, plan.return_time
    return {
        "cases": [
            {"kind": case.kind, "spring_out": case.spring_out, "half": case.half, "returns": case.returns,
             "margin_nm": _plain(case.margin_nm), "margin_at_deg": _plain(math.degrees(case.margin_at_rad))}
            for case in study.cases
        ],
        "pad_force_pressing_n": _list(study.pad_force_pressing_n),
        "pad_force_releasing_n": _list(study.pad_force_releasing_n),
        "hysteresis_n": _list(study.hysteresis_n),
        "time_s": _plain(time.all_in_s),
        "time_worst_s": _plain(time.worst_s),
        "time_limit_s": time.limit_s,
        "time_assumes": time.assumed,
    }  # fmt: skip


def _stops(plan: Plan) -> dict[str, Any]:
    form = plan.description.conversion.linkage
    assert form is not None, "its travel was computed"
    return {
        name: {"origin": stop.origin, "lockable": stop.lockable,
               "load_n": _plain(stop.load.nominal) if stop.load is not None else None}
        for name, stop in (("rest", form.pedal.rest_stop), ("full", form.pedal.full_stop))
    }  # fmt: skip


def _tape(plan: Plan) -> list[dict[str, Any]]:
    found = []
    for result in plan.tape:
        readings = []
        for fact in reading_facts(result):
            angle = fact.dimension == "angle"
            unit = "deg" if angle else "mm"
            off, allowed = (math.degrees(each) if angle else each for each in (fact.off, fact.allowed))
            readings.append(
                {"read": fact.text, f"off_{unit}": _plain(off), f"allowed_{unit}": _plain(allowed),
                 "agrees": fact.agrees, "again": fact.again}
            )  # fmt: skip
        located = result.located
        found.append(
            {"point": result.name, "at_mm": _list(located.point_mm), "may_be_off_mm": _list(located.worst_mm),
             "agrees": located.agrees, "determined": located.determined, "readings": readings,
             "advice": result.suspicion.text}
        )  # fmt: skip
    return found


def _limits(values: Iterable[float]) -> dict[str, float | None]:
    return dict(zip(("planned", "least", "greatest"), (_plain(value) for value in values), strict=True))


def _list(values: Any) -> list[float | None]:
    return [_plain(value) for value in np.atleast_1d(values)]


def _plain(value: float) -> float | None:
    """A number that JSON can hold, rounded far below anything that could be measured."""
    return round(float(value), 9) if math.isfinite(value) else None
