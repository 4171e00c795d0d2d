"""Other ways that a wire could have gone, and why it does not."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from conversion.description import Description
from conversion.description.run_forms import WireKind
from conversion.loom.kinds import kind_of
from conversion.loom.routes import Route, way_stops
from conversion.loom.ways import Ways
from conversion.quantities import show
from conversion.wiring import Wire


@dataclass(frozen=True, slots=True)
class OtherWay:
    """A way that was not taken.

    Attributes:
        tags: The wires that could have taken it.
        route: The way that they take.
        stations: Stations of the other way.
        runs: Its runs.
        length_mm: Its length; None where that of a run is not known. [mm]
        allowed: Whether it is open to the wires.
        why_not: Why they do not take it, as the end of a sentence.
    """

    tags: tuple[str, ...]
    route: Route
    stations: tuple[str, ...]
    runs: tuple[str, ...]
    length_mm: float | None
    allowed: bool
    why_not: str


def find_other_ways(
    description: Description, wires: Iterable[Wire], routes: Mapping[str, Route]
) -> tuple[OtherWay, ...]:
    """For every way that is taken the shorter one that is closed, and the next best one that is open.

    Args:
        description: Stations and runs.
        wires: In building order.
        routes: Their ways, by tag.

    Returns:
        In building order of the first wire that takes the way; nothing of ways beside which there is no other.
    """
    ways = Ways(description.conversion.loom)
    alike: dict[tuple[Route, WireKind, tuple[str, ...]], list[str]] = defaultdict(list)
    for wire in wires:
        if routes[wire.tag].runs:
            alike[routes[wire.tag], kind_of(wire), wire.via].append(wire.tag)
    found: list[OtherWay] = []
    for (route, kind, via), tags in alike.items():
        short = route.detour
        if short is not None:
            found.append(
                OtherWay(tuple(tags), route, short.stations, short.runs, short.length_mm, not short.bans, short.why)
            )
        taken = ways.of_runs(route.stations, route.runs)
        stops = way_stops(ways, route.stations[0], route.stations[-1], kind, via)
        other = ways.next_best(taken, stops, kind)
        if other is not None and (short is None or other.runs != short.runs):
            length_mm = ways.length_mm(other)
            why = _longer(route.length_mm, length_mm)
            found.append(OtherWay(tuple(tags), route, other.stations, other.runs, length_mm, True, why))
    return tuple(found)


def _longer(taken_mm: float | None, other_mm: float | None) -> str:
    if taken_mm is None or other_mm is None:
        return "more of its length is not known" if other_mm is None else "the length of the taken way is not known"
    if other_mm == taken_mm:
        return "it is as long, and has more runs or comes later by their names"
    return f"it is {show(other_mm - taken_mm, 'length')} longer"
