"""What is laid on the board: stations joined by runs without a loop, and the housings that hang on them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BoardRun:
    """A length of loom between two stations.

    Attributes:
        name: As described.
        between: Its two stations.
        length_mm: Between them. [mm]
        thick_mm: Diameter of the bundle. [mm]
        wires: How many take it; of the runs of a loop, the one with the fewest is told to be opened.
    """

    name: str
    between: tuple[str, str]
    length_mm: float
    thick_mm: float = 6.0
    wires: int = 1


@dataclass(frozen=True, slots=True)
class Leaf:
    """A housing, or another end of wires, at the end of its tail.

    Attributes:
        name: Unique on the board.
        station: Where its tail leaves the loom.
        tail_mm: From the station to the housing. [mm]
        box_mm: Width and height of the box that is drawn for it, its words level. [mm]
        small_box_mm: The same where room is short. [mm]
        thick_mm: Diameter of the tail. [mm]
    """

    name: str
    station: str
    tail_mm: float
    box_mm: tuple[float, float] = (40.0, 14.0)
    small_box_mm: tuple[float, float] = (18.0, 8.0)
    thick_mm: float = 3.0


@dataclass(frozen=True, slots=True)
class BoardTree:
    """A loom for the board.

    Attributes:
        stations: In the order of the description.
        runs: Those that wires take, no loop among them.
        leaves: Those that wires reach.
    """

    stations: tuple[str, ...]
    runs: tuple[BoardRun, ...]
    leaves: tuple[Leaf, ...]

    def runs_at(self) -> dict[str, list[BoardRun]]:
        """The runs that meet at each station."""
        found: dict[str, list[BoardRun]] = defaultdict(list)
        for run in self.runs:
            for station in run.between:
                found[station].append(run)
        return found

    def leaves_at(self) -> dict[str, list[Leaf]]:
        """The housings that hang on each station."""
        found: dict[str, list[Leaf]] = defaultdict(list)
        for leaf in self.leaves:
            found[leaf.station].append(leaf)
        return found

    def pieces(self) -> list[BoardTree]:
        """Looms that no run joins, each on its own; a station that nothing reaches belongs to none."""
        left = dict.fromkeys(self.stations)
        at, leaves, found = self.runs_at(), self.leaves_at(), []
        while left:
            waiting = [next(iter(left))]
            inside: dict[str, None] = {}
            while waiting:
                station = waiting.pop()
                if station in inside:
                    continue
                inside[station] = None
                waiting += [other_end(run, station) for run in at.get(station, ())]
            for station in inside:
                left.pop(station, None)
            runs = tuple(run for run in self.runs if run.between[0] in inside)
            hung = tuple(leaf for leaf in self.leaves if leaf.station in inside)
            if runs or any(leaves.get(station) for station in inside):
                found.append(BoardTree(tuple(name for name in self.stations if name in inside), runs, hung))
        return found


def other_end(run: BoardRun, station: str) -> str:
    """The station at the other end of a run."""
    return run.between[1] if run.between[0] == station else run.between[0]


def find_loop(runs: Sequence[BoardRun]) -> tuple[BoardRun, ...]:
    """The runs of a loop, in order round it, the one to open first; empty where there is none.

    To be opened is the run that the fewest wires take, then the longest.

    Example:
        >>> runs = [BoardRun("a", ("p", "q"), 100.0, wires=5), BoardRun("b", ("q", "p"), 90.0, wires=2)]
        >>> [run.name for run in find_loop(runs)]
        ['b', 'a']
    """
    at: dict[str, list[BoardRun]] = defaultdict(list)
    for run in runs:
        way = _way(at, *run.between)
        if way is not None:
            loop = [run, *way]
            weakest = min(range(len(loop)), key=lambda index: (loop[index].wires, -loop[index].length_mm))
            return (*loop[weakest:], *loop[:weakest])
        for station in run.between:
            at[station].append(run)
    return ()


def _way(at: Mapping[str, Sequence[BoardRun]], start: str, end: str) -> list[BoardRun] | None:
    """Runs from the end back to the start, or None where nothing joins them yet."""
    came: dict[str, BoardRun | None] = {start: None}
    waiting = [start]
    for station in waiting:
        if station == end:
            way = []
            while (run := came[station]) is not None:
                way.append(run)
                station = other_end(run, station)
            return way
        for run in at.get(station, ()):
            beyond = other_end(run, station)
            if beyond not in came:
                came[beyond] = run
                waiting.append(beyond)
    return None


def trunk_of(tree: BoardTree) -> tuple[tuple[str, ...], tuple[BoardRun, ...]]:
    """Stations and runs of the longest way through one piece, from its end that is described first.

    Example:
        >>> runs = tuple(BoardRun(f"b{end}", ("b", end), mm) for end, mm in (("a", 100.0), ("c", 90.0), ("d", 95.0)))
        >>> trunk_of(BoardTree(("a", "b", "c", "d"), runs, ()))[0]
        ('a', 'b', 'd')
    """
    far = _farthest(tree, tree.stations[0])[-1][0]
    way = _farthest(tree, far)
    stations = tuple(station for station, _ in way)
    runs = tuple(run for _, run in way if run is not None)
    order = {name: rank for rank, name in enumerate(tree.stations)}
    if order[stations[0]] > order[stations[-1]]:
        stations, runs = stations[::-1], runs[::-1]
    return stations, runs


def _farthest(tree: BoardTree, start: str) -> list[tuple[str, BoardRun | None]]:
    """From a station to the one that is farthest, each with the run that leads to it."""
    at = tree.runs_at()
    came: dict[str, BoardRun | None] = {start: None}
    far_mm = {start: 0.0}
    waiting = [start]
    for station in waiting:
        for run in at.get(station, ()):
            beyond = other_end(run, station)
            if beyond not in came:
                came[beyond], far_mm[beyond] = run, far_mm[station] + run.length_mm
                waiting.append(beyond)
    order = {name: rank for rank, name in enumerate(tree.stations)}
    station = max(far_mm, key=lambda name: (round(far_mm[name], 6), -order[name]))
    way: list[tuple[str, BoardRun | None]] = []
    while (back := came[station]) is not None:
        way.append((station, back))
        station = other_end(back, station)
    return [(station, None), *way[::-1]]
