"""Which runs each wire takes through the loom, how long that is, and why it is not the plain shortest way."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from conversion.description import Description, Terminal
from conversion.description.complaints import listed
from conversion.description.run_forms import WireKind
from conversion.loom.allowed import Ban
from conversion.loom.kinds import kind_of
from conversion.loom.lifting import to_lift
from conversion.loom.ways import Way, Ways
from conversion.wiring import End, Wire


@dataclass(frozen=True, slots=True)
class Detour:
    """Why a wire does not take the shortest way of all.

    Attributes:
        stations: Stations of that way.
        runs: Its runs.
        length_mm: Its length; None where that of a run is not known. [mm]
        bans: What it would break; empty where the wire is described to pass other stations.
        via: Stations that the wire is described to pass.
    """

    stations: tuple[str, ...]
    runs: tuple[str, ...]
    length_mm: float | None
    bans: tuple[Ban, ...]
    via: tuple[str, ...]

    @property
    def why(self) -> str:
        """As the end of a sentence."""
        reasons = [ban.words for ban in self.bans]
        if self.via:
            reasons.append(f"the wire is described to pass {listed(self.via, 'and')}")
        return "; ".join(reasons)


@dataclass(frozen=True, slots=True)
class Route:
    """The way of one wire.

    Attributes:
        stations: Stations passed, both ends included.
        runs: Runs taken, in order.
        length_mm: Sum of the runs; None where a run's length is not known. [mm]
        why_none: Why there is no route; None where there is one.
        bans: What would have to be lifted where runs lead there and none is allowed.
        detour: The shorter way that is not taken; None where the shortest is.
    """

    stations: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    length_mm: float | None = None
    why_none: str | None = None
    bans: tuple[Ban, ...] = ()
    detour: Detour | None = None

    @property
    def lift(self) -> tuple[str, ...]:
        """The same as instructions; one of them is not enough where there are several."""
        return tuple(ban.lift for ban in self.bans)


def find_routes(description: Description, wires: Iterable[Wire]) -> dict[str, Route]:
    """The shortest allowed way of every wire over the described runs.

    Zones, neighbours of a run and what a run is closed to are never broken: a wire that finds no way without has no
    route, and says what would have to be lifted. Lengths are those of the runs alone.

    Returns:
        Route by wire tag. Ways of equal length are told apart as :class:`~conversion.loom.ways.Ways` says, so that
        nothing depends on the names of stations or on any order.
    """
    ways = Ways(description.conversion.loom)
    known: dict[tuple[str, str, WireKind, tuple[str, ...]], Route] = {}
    routes: dict[str, Route] = {}
    for wire in wires:
        start, end = station_of(description, wire.start), station_of(description, wire.end)
        if start is None or end is None:
            routes[wire.tag] = Route(why_none=f"{_name(wire.start if start is None else wire.end)} has no station")
            continue
        asked = (start, end, kind_of(wire), wire.via)
        if asked not in known:
            known[asked] = _route(ways, *asked)
        routes[wire.tag] = known[asked]
    return routes


def station_of(description: Description, end: End) -> str | None:
    """The station at which a wire ends; None where it is not described, or not found yet for a splice."""
    if isinstance(end, Terminal):
        return description.conversion.devices[end.device].station
    return end.station or None


def best_way(ways: Ways, start: str, end: str, kind: WireKind, via: tuple[str, ...] = ()) -> Way | None:
    """The best allowed way from one station to another; None where there is none."""
    return ways.allowed(way_stops(ways, start, end, kind, via), kind)


def way_stops(ways: Ways, start: str, end: str, kind: WireKind, via: tuple[str, ...]) -> tuple[str, ...]:
    """The stations that a way has to pass, both ends included, in the order that makes it shorter."""
    orders = _stops(start, end, via)
    found = [(way.weight, stops) for stops in orders if (way := ways.allowed(stops, kind)) is not None]
    return min(found, key=lambda each: each[0])[1] if found else orders[0]


def _stops(start: str, end: str, via: tuple[str, ...]) -> list[tuple[str, ...]]:
    """A wire has no direction for who describes it, so the stations on its way may be meant from either end."""
    return list(dict.fromkeys(((start, *via, end), (start, *via[::-1], end))))


def _route(ways: Ways, start: str, end: str, kind: WireKind, via: tuple[str, ...]) -> Route:
    way = best_way(ways, start, end, kind, via)
    if way is None:
        return _no_route(ways, start, end, kind, via)
    route = Route(way.stations, way.runs, ways.length_mm(way))
    plain = ways.plain((start, end))
    if plain is None or plain.weight == way.weight:
        return route
    # A via that is passed anyhow, or that costs less than what is closed, is not the reason.
    around = best_way(ways, start, end, kind)
    turned_by_via = via if around is None or around.weight != way.weight else ()
    detour = Detour(plain.stations, plain.runs, ways.length_mm(plain), ways.met(plain, kind), turned_by_via)
    return replace(route, detour=detour)


def _no_route(ways: Ways, start: str, end: str, kind: WireKind, via: tuple[str, ...]) -> Route:
    stops = (start, *via, end)
    bans = to_lift(ways, stops, kind)
    if bans:
        closed = listed([ban.words for ban in bans], "and")
        return Route(why_none=f"no allowed way leads from {start} to {end}: {closed}", bans=bans)
    through = f" by way of {listed(via, 'and')}" if via else ""
    return Route(why_none=f"no runs lead from {start} to {end}{through}")


def _name(end: End) -> str:
    return end.device if isinstance(end, Terminal) else f"splice {end.name}"
