"""Where conductors of the loom lie so near to each other that they can touch: in housings, at splices, in runs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

from conversion.description import Terminal
from conversion.plan.circuits.conductors import Conductor
from conversion.plan.circuits.laid_loom import end_node, housing_place

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

Pair = tuple[int, int]


@dataclass(frozen=True, slots=True)
class Touch:
    """One place at which two conductors lie beside each other.

    Attributes:
        group: Group of places, such as ``housing A of K1`` or ``run board-pedal``.
        words: The place as a sentence goes on: ``beside each other in housing A of K1, places 20 and 21``.
        tags: Wires of the first conductor there, and of the second, such as ``W4``.
        nodes: Nodes of the first and of the second.
    """

    group: str
    words: str
    tags: tuple[str, str]
    nodes: tuple[str, str]


def find_touches(plan: Plan, conductors: tuple[Conductor, ...]) -> dict[Pair, tuple[Touch, ...]]:
    """Every pair of conductors that lie beside each other somewhere, at least one of them a sensor's.

    Returns:
        Numbers of the two, the lesser first -> the places: housings first, the control unit's before others, then
        splices at one station, then runs.
    """
    found: dict[Pair, list[Touch]] = {}
    for first, second, touch in (
        *_in_housings(plan, conductors),
        *_at_splices(conductors),
        *_in_runs(plan, conductors),
    ):
        if first == second or not (conductors[first].is_sensing or conductors[second].is_sensing):
            continue
        if first > second:
            first, second = second, first
            touch = Touch(touch.group, touch.words, touch.tags[::-1], touch.nodes[::-1])
        found.setdefault((first, second), []).append(touch)
    return {pair: tuple(touches) for pair, touches in sorted(found.items())}


def _in_housings(plan: Plan, conductors: tuple[Conductor, ...]) -> Iterator[tuple[int, int, Touch]]:
    """Places beside each other in a row, and one above the other in two rows."""
    description = plan.description
    at = {terminal: number for number, conductor in enumerate(conductors) for terminal in conductor.terminals}
    unit = description.control_unit
    devices = sorted(description.parts, key=lambda reference: unit is None or reference != unit[0])
    for device in devices:
        for name, housing in description.parts[device].housings.items():
            face = [[description.terminal(device, name, cavity) for cavity in row] for row in housing.face]
            for one, other, how in _neighbours(face):
                if one in at and other in at:
                    group = housing_place(one)
                    words = f"{how} in {group}, places {one.cavity} and {other.cavity}"
                    tags = _tags(plan, one), _tags(plan, other)
                    yield at[one], at[other], Touch(group, words, tags, (one.name, other.name))


def _neighbours(face: list[list[Terminal]]) -> Iterator[tuple[Terminal, Terminal, str]]:
    for row, line in enumerate(face):
        for column, one in enumerate(line):
            if column + 1 < len(line):
                yield one, line[column + 1], "beside each other"
            if row + 1 < len(face) and column < len(face[row + 1]):
                yield one, face[row + 1][column], "one above the other"


def _tags(plan: Plan, terminal: Terminal) -> str:
    return "+".join(wire.tag for wire in plan.wiring.at(terminal))


def _at_splices(conductors: tuple[Conductor, ...]) -> Iterator[tuple[int, int, Touch]]:
    """Different splices at one station lie in one place of the loom."""
    every = [(number, point) for number, conductor in enumerate(conductors) for point in conductor.splices]
    for (first, one), (second, other) in combinations(every, 2):
        if one.station == other.station:
            words = f"beside each other at {one.station}, in splices {one.name} and {other.name}"
            tags = conductors[first].words, conductors[second].words
            nodes = f"splice {one.name}", f"splice {other.name}"
            yield first, second, Touch(f"splices at {one.station}", words, tags, nodes)


def _in_runs(plan: Plan, conductors: tuple[Conductor, ...]) -> Iterator[tuple[int, int, Touch]]:
    """What runs in one bundle."""
    loom = plan.description.conversion.loom
    for run in loom.runs if loom else ():
        there = []
        for number, conductor in enumerate(conductors):
            wires = [wire for wire in conductor.wires if run in plan.routes[wire.tag].runs]
            if wires:
                tags = "+".join(wire.tag for wire in wires)
                there.append((number, tags, end_node(wires[0], wires[0].start)))
        sensing = {number for number, _, _ in there if conductors[number].is_sensing}
        for (first, one, a), (second, other, b) in combinations(there, 2):
            if first in sensing or second in sensing:
                yield first, second, Touch(f"run {run}", f"in one bundle in run {run}", (one, other), (a, b))
