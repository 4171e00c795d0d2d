"""Which places of the system drawing are joined, which of the two lies higher on the page, and by what wires."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping

from conversion.drawings.system_words import function_of
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire

Functions = dict[str, list[str]]
"""Tags of wires by function."""
Between = dict[tuple[str, str], Functions]
"""The same for every two shapes, the upper one first."""

SPLICE = "splice"
# From the battery down to the ground points. A wire between two levels runs downward.
_LEVELS = {
    "supply": 0, "fuse": 1, "ignition-switch": 1, "stop-switch": 1, "relay": 2, "brake-switch": 2, "clutch-switch": 2,
    "pedal-module": 2, "control-unit": 3, "throttle-body": 4, "warning-lamp": 4, "other": 4, "ground-point": 5,
    "earth-point": 5,
}  # fmt: skip


def kinds_of(plan: Plan) -> dict[str, str]:
    """Kind of every device, and of every splice at which wires meet."""
    kinds: dict[str, str] = {name: part.kind for name, part in plan.description.parts.items()}
    return kinds | dict.fromkeys(stations_of_splices(plan), SPLICE)


def stations_of_splices(plan: Plan) -> dict[str, str]:
    """Station of every splice at which wires meet."""
    ends = (end for wire in plan.wiring.wires for end in (wire.start, wire.end))
    return {end.name: end.station for end in ends if isinstance(end, SplicePoint)}


def wires_between(plan: Plan, shape_of: Mapping[str, str]) -> Between:
    """Tags of wires by function between every two shapes.

    Args:
        plan: Whose wires are drawn.
        shape_of: The shape in which each device and splice is drawn.

    Returns:
        The tags in building order; wires within a shape are left out.
    """
    levels = _levels(plan)
    found: Between = defaultdict(dict)
    for wire in plan.wiring.wires:
        upper, lower = _downward(plan, wire, levels)
        pair = shape_of[upper], shape_of[lower]
        if (pair[1], pair[0]) in found:
            pair = pair[1], pair[0]
        if pair[0] != pair[1]:
            found[pair].setdefault(function_of(wire), []).append(wire.tag)
    return dict(found)


def _levels(plan: Plan) -> dict[str, float]:
    """Level of each device by its kind, and of each splice between the devices that it joins."""
    levels: dict[str, float] = {name: _LEVELS[part.kind] for name, part in plan.description.parts.items()}
    met: dict[str, list[float]] = defaultdict(list)
    for wire in plan.wiring.wires:
        for splice, other in ((wire.start, wire.end), (wire.end, wire.start)):
            if isinstance(splice, SplicePoint):
                met[splice.name].append(levels[_name(other)])
    return levels | {name: (min(found) + max(found)) / 2 for name, found in met.items()}


def _downward(plan: Plan, wire: Wire, levels: Mapping[str, float]) -> tuple[str, str]:
    start, end = _name(wire.start), _name(wire.end)
    if wire.group == "feed":
        # A feed comes from what feeds, whatever the levels; a wire of a splice may be written either way round.
        return (end, start) if _feeds(plan, wire.end) else (start, end)
    return (end, start) if levels[start] > levels[end] else (start, end)


def _feeds(plan: Plan, end: End) -> bool:
    if isinstance(end, SplicePoint):
        return False
    return "feed.out" in plan.description.parts[end.device].housings[end.housing].cavities[end.cavity].roles


def _name(end: End) -> str:
    return end.name if isinstance(end, SplicePoint) else end.device
