"""Looms for the board, and an independent look at what lies over what."""

from __future__ import annotations

import random
from collections.abc import Iterator
from itertools import combinations, pairwise

import numpy as np
from shapely.geometry import LineString, Point, box

from conversion.loom.board import BoardRun, BoardTree, Layout, Leaf


def random_tree(runs: int, seed: int, lengths_mm: tuple[float, float] = (100.0, 900.0), housings: int = 1) -> BoardTree:
    """A tree whose every station hangs on some earlier one, housings at its ends and at some other stations."""
    chosen = random.Random(seed)
    stations = [f"s{number}" for number in range(runs + 1)]
    made = [
        BoardRun(
            f"r{number}",
            (stations[chosen.randrange(max(0, number - 5), number)], stations[number]),
            round(chosen.uniform(*lengths_mm)),
            chosen.uniform(3.0, 20.0),
        )
        for number in range(1, runs + 1)
    ]
    ends = [station for run in made for station in run.between]
    leaves = [
        Leaf(f"{station}.{number}", station, round(chosen.uniform(90.0, 220.0)))
        for station in stations
        for number in range(chosen.randint(0, housings) + (ends.count(station) == 1))
    ]
    return BoardTree(tuple(stations), tuple(made), tuple(leaves))


def comb(teeth: int) -> BoardTree:
    """A trunk with a branch up or down at each station, two housings on each branch and one on the trunk."""
    stations = [f"t{number}" for number in range(teeth + 1)]
    runs = [BoardRun(f"T{n}", (f"t{n}", f"t{n + 1}"), 90.0 + 37 * n % 150, 20.0) for n in range(teeth)]
    leaves = [Leaf(f"K{n}", f"t{n}", 150.0) for n in range(teeth + 1)]
    for n in range(1, teeth):
        for part in range(2):
            start = f"t{n}" if part == 0 else f"b{n}.0"
            stations.append(f"b{n}.{part}")
            runs.append(BoardRun(f"B{n}.{part}", (start, f"b{n}.{part}"), 80.0 + 53 * n % 170, 8.0))
            leaves.append(Leaf(f"A{n}.{part}", f"b{n}.{part}", 150.0))
    return BoardTree(tuple(stations), tuple(runs), tuple(leaves))


def length_of(points: np.ndarray) -> float:
    return sum(float(np.linalg.norm(two - one)) for one, two in pairwise(points))


def ways_of(tree: BoardTree, layout: Layout) -> Iterator[tuple[str, LineString, set[str]]]:
    """Each run and tail: its name, its line and the stations that it touches."""
    for run in tree.runs:
        yield run.name, LineString(layout.runs[run.name]), set(run.between)
    for leaf in tree.leaves:
        yield leaf.name, LineString(layout.tails[leaf.name]), {leaf.station}


def clashes(tree: BoardTree, layout: Layout) -> list[tuple[str, str]]:
    """Pairs that cross, touch elsewhere than at a station that they share, or lie on each other."""
    found = []
    ways = list(ways_of(tree, layout))
    boxes = {name: box(*corners) for name, corners in layout.boxes.items()}
    for (one, line, at_one), (other, second, at_other) in combinations(ways, 2):
        meet = line.intersection(second)
        shared = [Point(*layout.stations[station]) for station in at_one & at_other]
        if not meet.is_empty and not (shared and meet.geom_type == "Point" and meet.distance(shared[0]) < 1e-6):
            found.append((one, other))
    for (one, first), (other, second) in combinations(boxes.items(), 2):
        if first.distance(second) < 1e-6:
            found.append((one, other))
    for name, area in boxes.items():
        for one, line, _ in ways:
            if one != name and area.intersects(line):
                found.append((name, one))
        own = LineString(layout.tails[name])
        if own.intersection(area).length > 1e-6 or own.distance(area) > 1e-6:
            found.append((name, name))
    return found
