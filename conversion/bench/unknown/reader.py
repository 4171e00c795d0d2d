"""From the path of a file of readings to what the meter showed, with the place of every reading."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from conversion.bench.unknown.form import ReadingsFile
from conversion.bench.unknown.readings import LEAK_OHM, Readings
from conversion.description.complaints import Complaint, DescriptionError, Place, dotted, listed, nearest, quoted
from conversion.description.tree import Limits, Tree
from conversion.description.validation import validate
from conversion.description.yaml_text import survey

POSITIONS = {"at_rest": "at rest", "at_half": "half-way", "at_full": "at full"}
TOLERANCE, LEAST_OHM = 0.01, 0.5
"""Of a handheld meter where nothing is written: common practice, no source."""


@dataclass(frozen=True)
class Sheet:
    """A file of readings, read.

    Attributes:
        file: What it says.
        readings: The resistances.
        keys: Key in the file of each position of the readings.
        leaks: Position, pair and figure of readings so high that they count as open.
        tree: Places of all values.
    """

    file: ReadingsFile
    readings: Readings
    keys: tuple[str, ...]
    leaks: tuple[tuple[int, int, int, float], ...]
    tree: Tree

    def place(self, position: int, first: int, second: int) -> Place:
        """Of a reading, whichever way round it is written; of the table where it is not."""
        names, key = self.readings.terminals, self.keys[position]
        for red, black in ((names[first], names[second]), (names[second], names[first])):
            if (key, red, black) in self.tree.places:
                return self.tree.place_of((key, red, black))
        return self.tree.key_places.get((key,)) or self.tree.place_of((key,))


def read_sheet(path: Path, limits: Limits | None = None) -> Sheet:
    """Read a file of readings.

    Raises:
        DescriptionError: everything that is wrong with it, each with file, line and column.
    """
    limits = limits or Limits()
    tree, complaints = survey(_content(path, limits), path.name, limits)
    if tree is None:
        raise DescriptionError(complaints)
    file, problems = validate(ReadingsFile, tree)
    complaints = [*complaints, *problems, *_names(tree)]
    if file is None or complaints:
        raise DescriptionError(complaints)
    return _sheet(file, tree)


def _content(path: Path, limits: Limits) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(limits.max_bytes + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or type(error).__name__
        message = f"the file cannot be read ({reason}); give the path of a file of readings."
        raise DescriptionError([Complaint(Place(str(path), 1, 1), "", message)]) from None


def _names(tree: Tree) -> Iterator[Complaint]:
    """Terminals that are not in the list, twice in it, or read against themselves."""
    data: Any = tree.data if isinstance(tree.data, dict) else {}
    written = data.get("terminals")
    terminals = [name for name in written if isinstance(name, str)] if isinstance(written, list) else []
    for index, name in enumerate(terminals):
        if name in terminals[:index]:
            yield _complaint(tree, ("terminals", index), f"terminal {quoted(name)} stands twice in the list.")
    for key in POSITIONS:
        table = data.get(key)
        for red, row in table.items() if isinstance(table, dict) else ():
            yield from _known(tree, (key, red), red, terminals)
            for black in row if isinstance(row, dict) else ():
                yield from _known(tree, (key, red, black), black, terminals)
                if black == red:
                    yield _complaint(tree, (key, red, black), f"terminal {quoted(red)} is read against itself.", True)
    supplied = data.get("supplied_at")
    for index, name in enumerate(supplied if isinstance(supplied, list) else ()):
        yield from _known(tree, ("supplied_at", index), name, terminals)
    yield from _rows(tree, data, terminals)


def _rows(tree: Tree, data: dict[str, Any], terminals: list[str]) -> Iterator[Complaint]:
    rows = data.get("rows")
    if not isinstance(rows, list):
        return
    placed = [name for row in rows if isinstance(row, list) for name in row]
    lacking = [name for name in terminals if name not in placed]
    if lacking:
        yield _complaint(tree, ("rows",), f"the rows lack terminal {listed(map(quoted, lacking), 'and')}.")
    twice = sorted({name for name in placed if isinstance(name, str) and placed.count(name) > 1})
    if twice:
        yield _complaint(tree, ("rows",), f"{listed(map(quoted, twice), 'and')} stands twice in the rows.")


def _known(tree: Tree, path: tuple[str | int, ...], name: Any, terminals: list[str]) -> Iterator[Complaint]:
    if isinstance(name, str) and terminals and name not in terminals:
        near = nearest(name, terminals)
        hint = f"did you mean {quoted(near)}?" if near else f"there are {listed(map(quoted, terminals), 'and')}."
        yield _complaint(tree, path, f"{quoted(name)} is none of the terminals; {hint}", True)


def _complaint(tree: Tree, path: tuple[str | int, ...], message: str, at_key: bool = False) -> Complaint:
    place = (tree.key_places.get(path) if at_key else None) or tree.place_of(path)
    return Complaint(place, dotted(path[:-1] if at_key and len(path) > 1 else path), message)


def _sheet(file: ReadingsFile, tree: Tree) -> Sheet:
    meter = file.meter
    share = meter.tolerance.nominal if meter.tolerance else TOLERANCE
    least = meter.least.nominal if meter.least else LEAST_OHM
    leads = meter.leads.nominal if meter.leads else 0.0
    keys = tuple(key for key in POSITIONS if key != "at_half" or file.at_half)
    size = len(file.terminals)
    swapped = np.full((len(keys), size, size), np.nan)
    own = np.full_like(swapped, np.nan)
    leaks = []
    for position, key in enumerate(keys):
        for red, row in getattr(file, key).items():
            for black, figure in row.items():
                if figure is None:
                    continue
                at = (position, file.terminals.index(red), file.terminals.index(black))
                ohm = max(figure.nominal - leads, 0.0)
                if math.isfinite(ohm) and ohm >= LEAK_OHM:
                    leaks.append((*at, ohm))
                    ohm = math.inf
                swapped[at] = ohm
                if math.isfinite(ohm):
                    # Never nothing: a figure would be infinitely sure, and all others would count for nothing.
                    spread = (figure.high - figure.low) / 2 if figure.has_tolerance else 0.0
                    own[at] = spread or math.hypot(share * ohm, max(least, 0.01))
    ohm, off = _either_way(swapped), _either_way(own)
    readings = Readings(
        tuple(file.terminals), tuple(POSITIONS[key] for key in keys), ohm, off, swapped, (share, max(least, 0.01))
    )
    return Sheet(file, readings, keys, tuple(leaks), tree)


def _either_way(one_way: np.ndarray) -> np.ndarray:
    """The mean where both ways were read, the one where one was; open if either is."""
    found = np.full_like(one_way, np.nan)
    for position, (first, second) in itertools.product(
        range(len(one_way)), itertools.combinations(range(one_way.shape[1]), 2)
    ):
        both = [one_way[position, first, second], one_way[position, second, first]]
        known = [value for value in both if not np.isnan(value)]
        if known:
            found[position, [first, second], [second, first]] = sum(known) / len(known)
    return found
