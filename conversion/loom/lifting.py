"""What would have to be lifted for a wire that finds no allowed way."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import networkx

from conversion.description.loom_forms import Loom
from conversion.description.run_forms import WireKind
from conversion.loom.allowed import Ban, Bans
from conversion.loom.ways import Ways


def to_lift(ways: Ways, stops: Sequence[str], kind: WireKind) -> tuple[Ban, ...]:
    """What would have to be lifted for a kind of wires to get from stop to stop.

    Returns:
        Where one ban is enough, the one that opens the best way; else all that the best way meets among those with
        the fewest closed runs and stations. Empty where there is a way already, or no runs lead there at all.
    """
    loom = ways.loom
    if loom is None or ways.plain(stops) is None or ways.allowed(stops, kind) is not None:
        return ()
    alone = [
        (way.weight, ban)
        for ban in _possible(ways, loom, stops, kind)
        if (way := ways.allowed(stops, kind, (ban,))) is not None
    ]
    if alone:
        return (min(alone, key=lambda each: each[0])[1],)
    legs = [_least_closed(ways, loom, leg, ways.bans(kind)) for leg in pairwise(stops)]
    passed = (ban for stop in stops[1:-1] for ban in ways.bans(kind).stations.get(stop, ()))
    return tuple(dict.fromkeys((*(ban for leg in legs for ban in leg), *passed)))


def _possible(ways: Ways, loom: Loom, stops: Sequence[str], kind: WireKind) -> Iterable[Ban]:
    """Bans that may be enough alone: each end of a leg without a way must be able to go on where one is lifted."""
    found: dict[Ban, None] = {}
    for one, other in pairwise(stops):
        if ways.allowed((one, other), kind) is None:
            beyond = _at_the_edge(ways, loom, other, kind)
            found.update((ban, None) for ban in _at_the_edge(ways, loom, one, kind) if ban in beyond)
    for stop in stops[1:-1]:
        found.update((ban, None) for ban in ways.bans(kind).stations.get(stop, ()))
    return found


def _at_the_edge(ways: Ways, loom: Loom, station: str, kind: WireKind) -> dict[Ban, None]:
    """What alone keeps wires in the part of the loom that is open to them from a station."""
    reached, bans = ways.reached(station, kind), ways.bans(kind)
    runs = (why for run, why in bans.runs.items() if not reached.isdisjoint(loom.runs[run].between))
    stations = (why for name, why in bans.stations.items() if name in reached)
    return {why[0]: None for each in (runs, stations) for why in each if len(why) == 1}


def _least_closed(ways: Ways, loom: Loom, leg: tuple[str, str], bans: Bans) -> tuple[Ban, ...]:
    """What the best way meets among those with the fewest closed runs; a closed station counts as one when passed."""
    weights = {name: ways.of_runs((), (name,)).weight for name in loom.runs}
    heavy = 1 << sum(weights.values()).bit_length()
    graph = networkx.MultiGraph()
    for name, run in loom.runs.items():
        closed_ends = sum(station in bans.stations for station in run.between)
        graph.add_edge(*run.between, key=name, weight=weights[name] + heavy * (2 * (name in bans.runs) + closed_ends))
    stations = networkx.dijkstra_path(graph, *leg)
    met: list[Ban] = []
    for pair in pairwise(stations):
        between = graph[pair[0]][pair[1]]
        met += bans.runs.get(min(between, key=lambda name: between[name]["weight"]), ())
    for station in stations[1:-1]:
        met += bans.stations.get(station, ())
    return tuple(met)
