"""Which runs each wire takes through the loom, and how long that is."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import networkx

from conversion.description import Description, Terminal
from conversion.description.loom_forms import Loom
from conversion.wiring import End, Wire


@dataclass(frozen=True, slots=True)
class Route:
    """The way of one wire.

    Attributes:
        stations: Stations passed, both ends included.
        runs: Runs taken, in order.
        length_mm: Sum of the runs; None where a run's length is not known. [mm]
        why_none: Why there is no route; None where there is one.
    """

    stations: tuple[str, ...] = ()
    runs: tuple[str, ...] = ()
    length_mm: float | None = None
    why_none: str | None = None


def find_routes(description: Description, wires: Iterable[Wire]) -> dict[str, Route]:
    """The shortest way of every wire over the described runs.

    Lengths are those of the runs alone: nothing is added for branching out, twisting, slack or stripping.

    Returns:
        Route by wire tag.

    References:
        Dijkstra's shortest paths as in networkx.
    """
    loom = description.conversion.loom
    graph = _graph(loom) if loom else networkx.Graph()
    trees: dict[str, dict[str, list[str]]] = {}
    routes: dict[str, Route] = {}
    for wire in wires:
        start, end = _station(description, wire.start), _station(description, wire.end)
        if start is None or end is None:
            lost = wire.start if start is None else wire.end
            name = lost.device if isinstance(lost, Terminal) else lost.name
            routes[wire.tag] = Route(why_none=f"{name} has no station")
            continue
        if start not in trees:
            trees[start] = networkx.single_source_dijkstra_path(graph, start)
        stations = trees[start].get(end)
        if stations is None:
            routes[wire.tag] = Route(why_none=f"no runs lead from {start} to {end}")
            continue
        routes[wire.tag] = _along(graph, tuple(stations))
    return routes


def _station(description: Description, end: End) -> str | None:
    if isinstance(end, Terminal):
        return description.conversion.devices[end.device].station
    return end.station


def _graph(loom: Loom) -> networkx.Graph:
    graph = networkx.Graph()
    graph.add_nodes_from(loom.stations)
    for name, run in loom.runs.items():
        length = run.length.nominal if run.length else None
        # An unknown length must not look like a short cut: it costs more than all that is known.
        weight = 1e6 if length is None else length
        known = graph.get_edge_data(*run.between)
        if known is None or weight < known["weight"]:
            graph.add_edge(*run.between, weight=weight, run=name, length_mm=length)
    return graph


def _along(graph: networkx.Graph, stations: tuple[str, ...]) -> Route:
    edges = [graph.edges[pair] for pair in pairwise(stations)]
    lengths = [edge["length_mm"] for edge in edges]
    total = None if None in lengths else float(sum(lengths))
    return Route(stations, tuple(edge["run"] for edge in edges), total)
