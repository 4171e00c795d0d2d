"""Which terminals hang together, which only while a contact is closed, and which are one terminal inside."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from conversion.bench.unknown.readings import Readings

JOINED_OHM = 5.0
"""Terminals that never read more between them are one inside, if there are further ones with them. Common practice."""


@dataclass(frozen=True)
class Group:
    """Terminals between which a resistance was read, and none to any other.

    Attributes:
        core: Terminals that hang together in every position.
        switched: Terminals that are cut off in some position, each with the positions in which it is not.
        joined: Terminals that are one with a terminal of the core or a switched one, by that terminal.
        why_none: Why it can be nothing that is known here; "" if it can.
    """

    core: tuple[int, ...]
    switched: dict[int, tuple[bool, ...]]
    joined: dict[int, int]
    why_none: str = ""

    @property
    def terminals(self) -> list[int]:
        """All of it, in order."""
        return sorted({*self.core, *self.switched, *self.joined})


def groups(readings: Readings) -> list[Group]:
    """Every group of two terminals or more, in the order of its first terminal."""
    together = _classes(np.asarray(readings.closed.any(axis=0)))
    return [_group(readings, members) for members in together if len(members) > 1]


def apart_unproven(readings: Readings, found: list[Group]) -> list[tuple[int, int]]:
    """A pair to read for any two groups, or terminals on their own, between which nothing was read."""
    inside = {terminal for group in found for terminal in group.terminals}
    alone = [[terminal] for terminal in range(len(readings.terminals)) if terminal not in inside]
    read = np.asarray(readings.read.any(axis=0))
    return [
        (min(one[0], other[0]), max(one[0], other[0]))
        for one, other in itertools.combinations([*(group.terminals for group in found), *alone], 2)
        if not read[np.ix_(one, other)].any()
    ]


def _classes(linked: npt.NDArray[np.bool_]) -> list[list[int]]:
    """Terminals that links join, directly or by way of others."""
    left, found = set(range(len(linked))), []
    while left:
        members, edge = set(), {min(left)}
        while edge:
            members |= edge
            edge = {other for one in edge for other in np.flatnonzero(linked[one]).tolist()} - members
        left -= members
        found.append(sorted(members))
    return found


def _group(readings: Readings, members: list[int]) -> Group:
    joined = _joined(readings, members) if len(members) > 2 else {}
    kept = [terminal for terminal in members if terminal not in joined]
    mains, strays = [], False
    for position in range(len(readings.positions)):
        parts = _parts(readings, position, kept)
        main = max(parts, key=len)
        mains.append(set(main))
        strays |= any(len(part) > 1 for part in parts if part is not main)
    core = tuple(terminal for terminal in kept if all(terminal in main for main in mains))
    switched = {terminal: tuple(terminal in main for main in mains) for terminal in kept if terminal not in core}
    why = ""
    if strays or not core:
        why = "terminals that hang together in one position fall apart into several groups in another"
    return Group(core, switched, joined, why)


def _joined(readings: Readings, members: list[int]) -> dict[int, int]:
    ohm, tolerance = readings.ohm, readings.tolerance_ohm
    joined: dict[int, int] = {}
    for first, second in itertools.combinations(members, 2):
        between = ohm[:, first, second]
        if first in joined or second in joined or np.isnan(between).any():
            continue
        if (between <= JOINED_OHM + np.nan_to_num(tolerance[:, first, second])).all():
            joined[second] = first
    return joined


def _parts(readings: Readings, position: int, members: list[int]) -> list[list[int]]:
    """As the readings of one position divide a group; what was not read divides nothing."""
    closed = readings.closed[position][np.ix_(members, members)]
    parts = _classes(closed)
    opened = np.isinf(readings.ohm[position][np.ix_(members, members)])
    apart = np.array([[bool(opened[np.ix_(one, other)].any()) for other in parts] for one in parts])
    merged = _classes(~apart & ~np.eye(len(parts), dtype=bool))
    return [sorted(members[index] for part in group for index in parts[part]) for group in merged]
