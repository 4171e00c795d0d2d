"""What is special to each kind of link, as label and sentence, for terminal and pack alike."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.linkage import CableLinkage, CableMotion, ContactMotion
from conversion.linkage.turning import Array
from conversion.plan.link.rod_loads import described_rod, rod_words
from conversion.plan.link.rod_threads import ThreadHold, thread_holds
from conversion.plan.plan import Plan
from conversion.quantities import show

Fact = tuple[str, str]


def link_facts(plan: Plan) -> tuple[Fact, ...]:
    """Figures of the link over the travel; none for a module's own pedal, where nothing joins two halves.

    Raises:
        Missing: The linkage cannot be solved, or a limit is not known.
    """
    solution = plan.travel.solution
    if isinstance(solution, CableMotion):
        return (*_cable(plan, solution), *_bracket(plan))
    if isinstance(solution, ContactMotion):
        return (*_contact(plan, solution), *_side_load(plan), *_bracket(plan))
    return (*_rods(plan), *_side_load(plan), *_bracket(plan))


def _rods(plan: Plan) -> Iterator[Fact]:
    holds = {hold.rod: hold for hold in thread_holds(plan.description, plan.travel)}
    for rod, length in _lengths(plan).items():
        words = rod_words(plan.description, rod).capitalize()
        yield f"{words}, ball to ball", show(length, "length")
        if rod in holds:
            yield f"{words}, thread", _thread(holds[rod])
        for end in plan.rod_ends:
            if end.rod == rod:
                limit = "no limit is described" if end.limit is None else f"limit {show(end.limit.low, 'angle')}"
                yield f"{words}, lean at the {end.where}", f"{_most(plan, end.lean_rad, 'angle')}; {limit}"


def _lengths(plan: Plan) -> dict[str, float]:
    linkage = plan.travel.geometry.linkage
    named = {"first_rod": "first_rod_length_mm", "rod": "second_rod_length_mm"}
    named = {"rod": "rod_length_mm"} if hasattr(linkage, "rod_length_mm") else named
    return {rod: float(getattr(linkage, field)) for rod, field in named.items() if hasattr(linkage, field)}


def _thread(hold: ThreadHold) -> str:
    return (
        f"{show(hold.engaged_mm, 'length')} screwed in at each end, {show(hold.left_mm, 'length')} at the longest, "
        f"{show(hold.wanted_mm, 'length')} wanted; adjusts from {show(hold.shortest_mm, 'length')} to "
        f"{show(hold.longest_mm, 'length')}"
    )


def _side_load(plan: Plan) -> Iterator[Fact]:
    load = plan.side_load_n
    if load is None:
        return
    rod = described_rod(plan.description)
    limit = rod.side_load_limit if rod is not None else None
    said = f"; limit {show(limit.low, 'force')}" if limit is not None else "; no limit is described" if rod else ""
    yield "Pushed along the lever's axis", f"{_most(plan, load, 'force')}{said}"


def _bracket(plan: Plan) -> Iterator[Fact]:
    give = plan.bracket_give
    if give is None:
        return
    lost = ""
    if np.isfinite(give.lost_rad):
        lost = f"; in use {show(give.gives_mm, 'length')}, which takes {show(give.lost_rad, 'angle')}"
    yield "Each millimetre that the bracket gives", f"takes {show(give.for_each_mm_rad, 'angle')} of the lever{lost}"


def _cable(plan: Plan, solution: CableMotion) -> Iterator[Fact]:
    figures, linkage = solution.quantities(), solution.linkage
    assert isinstance(linkage, CableLinkage)
    rest, full = ((show(float(figures["wrap_rad"][at]), "angle")) for at in (0, -1))
    yield "Wrapped on the quadrant", f"{rest} at rest, {full} at full"
    arm = figures["quadrant_arm_mm"]
    shape = "eccentric" if float(linkage.eccentricity_mm) > 1e-6 else "round"
    yield "Arm of the quadrant", f"{shape}; {_span(arm, 'length')}"
    slack = float(linkage.slack_at_rest_mm)
    yield (
        "Slack at rest",
        show(slack, "length") if slack >= 0.0 else f"none: drawn by {show(-slack, 'length')} off the lever's rest stop",
    )
    yield "Inner drawn from rest to full", show(float(figures["drawn_from_pedal_mm"][-1]), "length")
    straight = figures["straight_at_pedal_mm"]
    yield "Straight piece, outer to pedal", _span(straight, "length")
    yield "Straight piece, outer to quadrant", _span(figures["straight_at_module_mm"], "length")
    yield "Swing at the end of the outer, pedal", _most(plan, figures["swing_at_outer_rad"], "angle")
    yield "Out of the groove's plane, module", _most(plan, figures["out_of_groove_rad"], "angle")
    if np.isfinite(linkage.over_travel_from_rad):
        yield (
            "Over-travel spring",
            f"gives from {show(float(linkage.over_travel_from_rad), 'angle')} of the lever and "
            f"{show(float(linkage.over_travel_preload_n), 'force')} on; drawn out by "
            f"{show(float(np.nanmax(figures['over_travel_mm'])), 'length')} at full, with "
            f"{show(float(np.nanmax(figures['over_travel_force_n'])), 'force')}",
        )
    else:
        yield "Over-travel spring", "none"


def _contact(plan: Plan, solution: ContactMotion) -> Iterator[Fact]:
    figures = solution.quantities()
    yield "Touches the face, from its middle", _span(figures["along_face_mm"], "length")
    yield "Slides along the face, rest to full", show(float(figures["slid_mm"][-1]), "length")
    yield "Slides across the face, rest to full", show(float(figures["slid_across_mm"][-1]), "length")
    edge = figures["edge_margin_mm"]
    if np.any(np.isfinite(edge)):
        at = int(np.nanargmin(edge))
        yield "Least to an edge of the face", f"{show(float(edge[at]), 'length')}{_at(plan, at)}"
    else:
        yield "Least to an edge of the face", "the face's half length is not described"
    yield "Gap between roller and face", f"{_most(plan, figures['gap_mm'], 'length')}"


def _most(plan: Plan, values: Array, dimension: str) -> str:
    if not np.any(np.isfinite(values)):
        return "not known"
    at = int(np.nanargmax(values))
    return f"up to {show(float(values[at]), dimension)}{_at(plan, at)}"


def _at(plan: Plan, at: int) -> str:
    return f" at {show(float(plan.travel.pad_travel_mm[at]), 'length')} of pad travel"


def _span(values: Array, dimension: str) -> str:
    if not np.any(np.isfinite(values)):
        return "not known"
    least, greatest = show(float(np.nanmin(values)), dimension), show(float(np.nanmax(values)), dimension)
    return least if least == greatest else f"{least} to {greatest}"
