"""Travel: from the pad to the lever, to volts, to per cent, with the bands that the tolerances leave."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Cell, Column, Facts, Group, Heading, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.figures import gap_of, or_gap, planned, span
from conversion.pack.sections.link import link_blocks, tape_blocks
from conversion.pack.sections.pictures import left_out, pictures
from conversion.pack.sections.returns import RETURN_CHARTS
from conversion.plan import POSITIONS, Plan, TravelEvent, travel_positions
from conversion.quantities import number, show
from conversion.sensing import Difference, GatheredTrack, sensor_input

_EVERY = (POSITIONS - 1) // 10
_THROTTLE_EVERY = (POSITIONS - 1) // 4
_THROTTLE_CHARTS = "chart-throttle"
_VOLTS = ("volts", "volts_min", "volts_max")

DEFINITIONS = (
    "Pad travel is the length of the arc on which the centre of the pad moves, from the pedal's rest stop. Measure it "
    "with a tape laid along that arc; the straight line is a little shorter.",
    "Lever angle is zero while the lever is on the module's own rest stop, and grows toward full.",
    "Ratio is the lever angle gained for each degree of pedal angle.",
    "Transmission angle lies between the link and the path of the place that it moves; 90° is best. The worse of "
    "the link's two ends is given; a cable has none at its quadrant, and a module's own pedal has none at all.",
    "Per cent is what the control unit would compute from the volts, as its description says; it is never cut off at "
    "0 or 100.",
    "Small figures are the least and the greatest that the stated tolerances allow, all at their worst together.",
)


def travel_section(plan: Plan, drawn: Drawings) -> Section:
    """The section, charts included."""
    blocks = (
        *or_gap("The travel", lambda: _facts(plan)),
        *_table(plan),
        *or_gap("The link", lambda: link_blocks(plan)),
        *tape_blocks(plan),
        *or_gap("How far the tracks are apart", lambda: _agreement(plan)),
        *pictures(drawn, "chart-", but_not=(_THROTTLE_CHARTS, *RETURN_CHARTS)),
        *or_gap("The throttle body's volts", lambda: _throttle(plan)),
        *pictures(drawn, _THROTTLE_CHARTS),
        *left_out(drawn, "travel"),
        Heading("What the words mean"),
        Points(DEFINITIONS),
    )
    lead = "What lever, volts and per cent do while the pedal goes from its rest stop to its full stop."
    return Section("travel", "Travel", lead, blocks)


def travel_data(plan: Plan) -> DataTable | None:
    """Every computed position; None where the travel cannot be computed."""
    positions, _ = travel_positions(plan)
    if not positions:
        return None
    names = list(positions[0]["tracks"])
    angles = ("pedal_deg", "lever_deg", "lever_min_deg", "lever_max_deg")
    head = (
        "pad_travel_mm", *angles, "ratio", "transmission_deg",
        *(f"{name}_{what}" for name in names for what in _VOLTS), "percent",
    )  # fmt: skip
    rows = tuple(
        (
            _known(entry["pad_travel_mm"], "length"),
            *(_known(entry[name], "angle") for name in angles),
            _known(entry["ratio"], "plain"),
            _known(entry["transmission_deg"], "angle"),
            *(_known(entry["tracks"][name][what], "voltage") for name in names for what in _VOLTS),
            _known(entry["percent"], "ratio"),
        )
        for entry in positions
    )
    return DataTable("travel", head, rows)


def _facts(plan: Plan) -> tuple[Block, ...]:
    travel = plan.travel
    by_pedal = "the pedal's own full stop"
    by_module = "the module's stop, before the pedal comes to its own"
    rows = [
        ("Pad travel at full", planned(travel.pad_at_full_mm, "length")),
        ("Ended by", by_pedal if travel.ended_by == "pedal" else by_module),
        ("Swing left then", f"{show(travel.margin_rad, 'angle')} as planned, {show(travel.worst_margin_rad, 'angle')} "
         "with every tolerance at its worst"),
        ("Lever at rest", planned(travel.lever_at_rest_rad, "angle")),
        ("Lever at full", planned(travel.lever_at_full_rad, "angle")),
        ("Module's own swing", planned(travel.geometry.swing_rad, "angle")),
    ]  # fmt: skip
    closing = np.isfinite(travel.ratio)
    if closing.any():
        rows.append(("Ratio", span(float(travel.ratio[closing].min()), float(travel.ratio[closing].max()), "plain")))
        for end, angle in (("lever", travel.transmission_lever_rad), ("pedal", travel.transmission_pedal_rad)):
            known = angle[closing & np.isfinite(angle)]
            if known.size:
                rows.append((f"Transmission at the {end}", span(float(known.min()), float(known.max()), "angle")))
    rows += [("Inside the travel", _event(event)) for event in travel.events]
    return (Facts(tuple(rows)),)


def _event(event: TravelEvent) -> str:
    at = show(event.pad_travel_mm, "length")
    if event.kind == "lock":
        return f"the lever locks (dead centre) at {at}"
    if event.kind == "reversal":
        return f"the pedal goes over centre and the lever turns back at {at}"
    return f"{_STRETCHES.get(event.kind, '')}{_short_or_long(event)} from {at} to {show(event.until_mm, 'length')}"


_STRETCHES = {
    "slack": "the cable hangs slack",
    "unwrapped": "the cable has left the quadrant's groove",
    "lift-off": "the roller is clear of its face",
    "run-off": "the roller is beyond an edge of its face",
}


def _short_or_long(event: TravelEvent) -> str:
    if event.kind != "no-solution":
        return ""
    return f"the {event.where or 'rod'} is too {event.rod}" if event.rod else "the linkage does not close"


def _table(plan: Plan) -> tuple[Block, ...]:
    positions, lacking = travel_positions(plan)
    if not positions:
        return ()
    tracks = list(positions[0]["tracks"])
    columns = (
        Column("Pad travel", 1.0, "right", "mm"),
        Column("Pedal", 0.9, "right", "°"),
        Column("Lever", 1.5, "right", "°"),
        Column("Ratio", 0.9, "right"),
        Column("Transmission", 1.5, "right", "°"),
        *(Column(f"Track {name}", 1.5, "right", "V") for name in tracks),
        *((Column("Per cent", 1.0, "right", "%"),) if tracks else ()),
    )
    rows = tuple(_row(entry, tracks) for entry in positions[::_EVERY])
    volts = [gap_of("The pedal's volts and per cent", missing) for missing in lacking]
    return (Table(columns, (Group("", rows),)), *volts, *([] if lacking else _taken(plan.pedal_tracks)))


def _row(entry: Mapping[str, Any], tracks: Sequence[str]) -> tuple[Cell, ...]:
    cells = [
        Cell(_said(entry["pad_travel_mm"], "length"), strong=True),
        Cell(_said(entry["pedal_deg"], "angle")),
        _banded(entry, ("lever_deg", "lever_min_deg", "lever_max_deg"), "angle"),
        Cell(_said(entry["ratio"], "plain")),
        Cell(_said(entry["transmission_deg"], "angle")),
        *(_banded(entry["tracks"][name], _VOLTS, "voltage") for name in tracks),
    ]
    if tracks:
        cells.append(Cell(_said(entry["percent"], "ratio")))
    return tuple(cells)


def _banded(entry: Mapping[str, float | None], names: Sequence[str], dimension: str) -> Cell:
    nominal, least, greatest = (_said(entry[name], dimension) for name in names)
    return Cell(nominal, f"{least} to {greatest}")


def _said(value: float | None, dimension: str) -> str:
    """A value in degrees, per cent, or its base unit, as a table prints it."""
    if value is None:
        return number(math.nan, dimension)
    to_base = {"angle": math.pi / 180.0, "ratio": 0.01}.get(dimension, 1.0)
    return number(value * to_base, dimension)


def _known(value: float | None, dimension: str) -> str:
    return "" if value is None else _said(value, dimension)


def _agreement(plan: Plan) -> tuple[Block, ...]:
    accepts = sensor_input(plan.description, "pedal")
    if accepts is None or accepts.agreement is None or not plan.pedal.differences:
        return ()
    limit, within = accepts.agreement.at_most, accepts.agreement.within
    allowed = show(limit.nominal, limit.dimension) if limit else "a limit that is not known"
    allowed += f" for {show(within.nominal, within.dimension)}" if within else ""
    rows = tuple(
        (
            f"Tracks {' and '.join(each.tracks)} apart",
            f"at most {_most(each)} with every tolerance at its worst; the control unit lets pass {allowed}",
        )
        for each in plan.pedal.differences
    )
    return (Facts(rows),)


def _most(difference: Difference) -> str:
    most = float(np.max(difference.most))
    return _said(most, "ratio") + " %" if difference.of == "percent" else show(most, "voltage")


def _taken(tracks: Mapping[str, GatheredTrack]) -> list[Block]:
    taken = tuple(sentence for track in tracks.values() for sentence in track.taken)
    return [Heading("Taken for granted in these volts"), Points(taken)] if taken else []


def _throttle(plan: Plan) -> tuple[Block, ...]:
    sweep = plan.throttle
    columns = (
        Column("Opening", 1.0, "right", "%"),
        *(Column(f"Track {name}", 1.5, "right", "V") for name in sweep.tracks),
        Column("Per cent", 1.0, "right", "%"),
    )
    rows = tuple(
        (
            Cell(number(float(sweep.position[at]), "ratio"), strong=True),
            *(
                _banded({"v": track.volts[at], "low": track.volts_min[at], "high": track.volts_max[at]},
                        ("v", "low", "high"), "voltage")
                for track in sweep.tracks.values()
            ),
            Cell(_said(float(sweep.percent[at]), "ratio")),
        )
        for at in range(0, len(sweep.position), _THROTTLE_EVERY)
    )  # fmt: skip
    return (
        Heading("Throttle body, from the closed to the open plate"),
        Table(columns, (Group("", rows),)),
        *_taken(plan.throttle_tracks),
    )
