"""Shortest ways over the runs: for every wire, and for each kind of wires over the runs that are open to it."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import networkx

from conversion.description.loom_forms import Loom
from conversion.description.run_forms import WireKind
from conversion.loom.allowed import Ban, Bans, bans_of

_UM_PER_MM = 1000
_LENGTH_BITS = 64
_COUNT_BITS = 32

Edge = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Way:
    """One way over the runs.

    Attributes:
        stations: Stations passed, both ends included.
        runs: Runs taken, in order.
        weight: What makes one way better than another; see :class:`Ways`. The least is best, and no two are equal.
    """

    stations: tuple[str, ...]
    runs: tuple[str, ...]
    weight: int


class Ways:
    r"""The runs as a graph, searched once for each station and each set of runs that is closed.

    A way weighs, in this order: the number of runs whose length is not known (an unknown length must not look like a
    short cut), its length in whole micrometres, the number of its runs, and last the set of its runs as binary digits.
    All four add up along a way and stand in one whole number,

    .. math:: w = \big[(u \, 2^{64} + \ell) \, 2^{32} + n\big] \, 2^{R} + \sum_{i} 2^{k_i}

    with R runs in all, of which run i is the k-th by name. No two ways weigh the same, so that the best one is the
    same in whichever order stations and runs are written, whatever the stations are called, and from either end.

    References:
        Dijkstra's shortest paths as in networkx.
    """

    def __init__(self, loom: Loom | None) -> None:
        self.loom = loom
        """Stations and runs; None where none are described."""
        self._ranks = {name: rank for rank, name in enumerate(sorted(loom.runs if loom else ()))}
        self._weights = {name: self._weigh(name) for name in self._ranks}
        self._bans: dict[WireKind, Bans] = {}
        self._spares: dict[frozenset[str], frozenset[str]] = {}
        self._graphs: dict[frozenset[str], networkx.Graph] = {}
        self._trees: dict[tuple[frozenset[str], frozenset[str], str], dict[str, list[str]]] = {}

    def bans(self, kind: WireKind) -> Bans:
        """What keeps a kind of wires out."""
        if kind not in self._bans:
            self._bans[kind] = bans_of(self.loom, kind) if self.loom else Bans({}, {})
        return self._bans[kind]

    def plain(self, stops: Sequence[str]) -> Way | None:
        """The best way from stop to stop, nothing being closed; None where no runs lead there."""
        return self._through(stops, frozenset(), frozenset())

    def allowed(self, stops: Sequence[str], kind: WireKind, lifted: Collection[Ban] = ()) -> Way | None:
        """The best way from stop to stop over what is open to a kind of wires.

        Args:
            stops: Stations, the ends included, in order.
            kind: Kind of the wires.
            lifted: Bans that are not to count.

        Returns:
            The way; None where there is none. Where it passes from one stop to the next, it may go back over a run.
        """
        runs, stations = self._closed(kind, lifted)
        if stations.intersection(stops[1:-1]):
            return None
        return self._through(stops, runs, stations)

    def next_best(self, way: Way, stops: Sequence[str], kind: WireKind) -> Way | None:
        """The best allowed way from stop to stop beside the best one; None where that is the only one."""
        runs, stations = self._closed(kind)
        spared = [run for run in dict.fromkeys(way.runs) if run in self._spare(runs)]
        found = [other for run in spared if (other := self._through(stops, runs | {run}, stations)) is not None]
        return min(found, key=lambda other: other.weight, default=None)

    def met(self, way: Way, kind: WireKind) -> tuple[Ban, ...]:
        """What a kind of wires would break on a way, each thing once."""
        bans = self.bans(kind)
        passed = [bans.stations.get(station, ()) for station in way.stations[1:-1]]
        taken = [bans.runs.get(run, ()) for run in way.runs]
        return tuple(dict.fromkeys(ban for each in (*taken, *passed) for ban in each))

    def reached(self, start: str, kind: WireKind) -> frozenset[str]:
        """Every station to which a kind of wires finds a way from one station, itself included."""
        return frozenset(self._tree(start, *self._closed(kind)))

    def of_runs(self, stations: tuple[str, ...], runs: tuple[str, ...]) -> Way:
        """A way that is known, with its weight."""
        return Way(stations, runs, sum(self._weights[run] for run in runs))

    def micrometres(self, way: Way) -> tuple[int, int]:
        """How many runs of a way have no known length, and what the others add up to. [µm]"""
        parts = [self._weights[run] >> (len(self._ranks) + _COUNT_BITS) for run in way.runs]
        return sum(part >> _LENGTH_BITS for part in parts), sum(part & ((1 << _LENGTH_BITS) - 1) for part in parts)

    def length_mm(self, way: Way) -> float | None:
        """Sum of the runs; None where the length of one is not known. [mm]"""
        unknown, length_um = self.micrometres(way)
        return None if unknown else length_um / _UM_PER_MM

    def _weigh(self, name: str) -> int:
        assert self.loom is not None
        length = self.loom.runs[name].length
        start = 1 << _LENGTH_BITS if length is None else round(length.nominal * _UM_PER_MM)
        return ((start << _COUNT_BITS) + 1 << len(self._ranks)) + (1 << self._ranks[name])

    def _closed(self, kind: WireKind, lifted: Collection[Ban] = ()) -> tuple[frozenset[str], frozenset[str]]:
        """Runs and stations that are closed to a kind, some bans not counting."""
        bans, open_again = self.bans(kind), set(lifted)
        runs, stations = (
            frozenset(name for name, why in banned.items() if not set(why) <= open_again)
            for banned in (bans.runs, bans.stations)
        )
        return runs, stations

    def _spare(self, closed: frozenset[str]) -> frozenset[str]:
        """Open runs without which their two ends would still be joined."""
        if closed not in self._spares:
            graph = networkx.MultiGraph()
            assert self.loom is not None
            graph.add_edges_from((*self.loom.runs[name].between, name) for name in self._ranks if name not in closed)
            needed = {frozenset(pair) for pair in networkx.bridges(graph)}
            self._spares[closed] = frozenset(
                run for *pair, run in graph.edges(keys=True) if frozenset(pair) not in needed
            )
        return self._spares[closed]

    def _through(self, stops: Sequence[str], runs: frozenset[str], stations: frozenset[str]) -> Way | None:
        passed, weight = [stops[0]], 0
        taken: list[str] = []
        for start, end in pairwise(stops):
            leg = self._leg(start, end, runs, stations)
            if leg is None:
                return None
            passed += leg.stations[1:]
            taken += leg.runs
            weight += leg.weight
        return Way(tuple(passed), tuple(taken), weight)

    def _leg(self, start: str, end: str, runs: frozenset[str], stations: frozenset[str]) -> Way | None:
        if start == end:
            return Way((start,), (), 0)
        graph, before = self._graph(runs), self._tree(start, runs, stations)
        if end not in before:
            return None
        back = [end]
        while back[-1] != start:
            back.append(before[back[-1]][0])
        back.reverse()
        edges = [graph.edges[pair] for pair in pairwise(back)]
        return Way(tuple(back), tuple(edge["run"] for edge in edges), sum(edge["weight"] for edge in edges))

    def _tree(self, start: str, runs: frozenset[str], stations: frozenset[str]) -> dict[str, list[str]]:
        """The station before each station on the best way from one; those that are not reached are not in it."""
        key = (runs, stations, start)
        if key not in self._trees:
            graph = self._graph(runs)
            weight = _not_through(stations, start) if stations else "weight"
            known = networkx.dijkstra_predecessor_and_distance(graph, start, weight=weight) if start in graph else ({},)
            self._trees[key] = known[0]
        return self._trees[key]

    def _graph(self, closed: frozenset[str]) -> networkx.Graph:
        """The open runs; of several between the same stations the best one."""
        if closed not in self._graphs:
            graph = self._graphs[closed] = networkx.Graph()
            graph.add_nodes_from(self.loom.stations if self.loom else ())
            for name, run in (self.loom.runs if self.loom else {}).items():
                known, weight = graph.get_edge_data(*run.between), self._weights[name]
                if name not in closed and (known is None or weight < known["weight"]):
                    graph.add_edge(*run.between, weight=weight, run=name)
        return self._graphs[closed]


def _not_through(stations: frozenset[str], start: str) -> Callable[[str, str, Edge], int | None]:
    """Weight of an edge that hides what leads on from a closed station, for a search from one station."""

    def weight(one: str, _other: str, edge: Edge) -> int | None:
        return None if one in stations and one != start else edge["weight"]

    return weight
