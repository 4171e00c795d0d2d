"""Two faults, one after the other: the first grown as far as nothing notices it, and then every second one.

The first is put at the resistance at which the described checks only just stay silent at every position, and at its
fully grown state where that is silent too; the second is judged over all its resistances.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from conversion.circuit import Operating
from conversion.faults.believing import Array, Believer, Flags
from conversion.faults.circuit_ways import circuit_ways, grown_siemens
from conversion.faults.fault import Joined, Weakened
from conversion.faults.verdict import HIGHER_BY_PERCENT, Sweep, silent_ohm
from conversion.faults.ways import read_by_converters
from conversion.faults.worst import worst_above

Change = Joined | Weakened
_INSIDE = 1e-6
"""By this share the first fault stays on the silent side of its boundary."""


@dataclass(frozen=True)
class First:
    """A first fault as it waits.

    Attributes:
        index: Of the fault.
        ohm: Resistance of the bridge, or added in series; 0 a dead short, inf an open. [Ω]
        grown: Whether it is fully grown.
        siemens: Change of the conductance between its nodes. [S]
    """

    index: int
    ohm: float
    grown: bool
    siemens: float


@dataclass(frozen=True)
class Second:
    """What comes of a second fault after one that waits.

    Attributes:
        index: Of the second fault.
        rise_percent: Greatest unnoticed rise over all its resistances.
        position: Where that is.
        ohm: Resistance there. [Ω]
        rise_at_rest_percent: Greatest unnoticed rise with the foot off.
        rises_percent: Greatest unnoticed rise at each position; zero where none is worth telling; (positions,).
    """

    index: int
    rise_percent: float
    position: int
    ohm: float
    rise_at_rest_percent: float
    rises_percent: Array


@dataclass(frozen=True)
class Followed:
    """A first fault with all that may follow.

    Attributes:
        first: As it waits.
        seconds: Those with which the engine opens farther than with either alone, the worst first.
        silent: Second faults whose fully grown state goes unnoticed at some position after the first; (faults,).
    """

    first: First
    seconds: tuple[Second, ...]
    silent: Flags


def waiting_faults(
    operating: Operating, changes: Sequence[Change], inputs: Sequence[str], believer: Believer, sweep: Sweep,
    ceiling_v: Array,
) -> list[First]:  # fmt: skip
    """The faults that can wait, each as it waits.

    Args:
        operating: The sound circuit.
        changes: The faults.
        inputs: Nodes that are read, in the order of the tracks.
        believer: With a check that is made before each start, which finds what has waited since the last drive.
        sweep: The positions.
        ceiling_v: Full scale of each input; (tracks,). [V]
    """
    found = circuit_ways(operating, changes, inputs)
    ways = read_by_converters(found.ways, ceiling_v)
    at_rest = np.arange(sweep.percent.size) == 0
    passes = believer.silent(np.clip(found.grown_v, 0.0, ceiling_v), at_rest)
    silent = np.logical_and.reduce(passes, axis=1)
    silent &= ~found.floats.any(axis=(1, 2))
    limit = silent_ohm(believer, sweep, ways, len(changes))
    waiting = []
    for index, change in enumerate(changes):
        series = isinstance(change, Weakened)
        if silent[index]:
            waiting.append(First(index, np.inf if series else 0.0, True, grown_siemens(change)))
        ohm = float(limit[index])
        if isinstance(change, Weakened) and not change.is_open and 0.0 < ohm < np.inf:
            added = ohm * (1.0 - _INSIDE)
            own = change.element_ohm
            waiting.append(First(index, ohm, False, -added / (own * (own + added))))
        elif not series and 0.0 < ohm < np.inf:
            waiting.append(First(index, ohm, False, 1.0 / (ohm * (1.0 + _INSIDE))))
    return waiting


def follow(
    operating: Operating, first: First, changes: Sequence[Change], inputs: Sequence[str], believer: Believer,
    sweep: Sweep, ceiling_v: Array, alone: Array,
) -> Followed:  # fmt: skip
    """Every second fault after one that waits.

    Args:
        operating: The sound circuit.
        first: The fault that waits.
        changes: All faults.
        inputs: Nodes that are read.
        believer: The checks while driving.
        sweep: The positions.
        ceiling_v: Full scale of each input; (tracks,). [V]
        alone: Greatest unnoticed rise of each fault alone; (faults,).
    """
    waiting = changes[first.index]
    after = operating.after(waiting.a, waiting.b, first.siemens)
    # What has happened between the same two nodes cannot happen there once more.
    number = np.array([i for i, c in enumerate(changes) if {c.a, c.b} != {waiting.a, waiting.b}], dtype=np.intp)
    found = circuit_ways(after, [changes[i] for i in number], inputs, coarse=True)
    ways = read_by_converters(replace(found.ways, fault=number[found.ways.fault]), ceiling_v)
    worst = worst_above(believer, sweep.rows(ways), HIGHER_BY_PERCENT)
    shape = (len(ways), sweep.percent.size)
    rise, share = worst.rise.reshape(shape), worst.share.reshape(shape)
    top = np.full(len(changes), -np.inf)
    np.maximum.at(top, ways.fault, rise.max(axis=1))
    least = np.maximum(alone, max(float(alone[first.index]), 0.0)) + HIGHER_BY_PERCENT
    higher = np.flatnonzero(top > least)
    ohm = ways.ohm(share)
    seconds = []
    for index in higher:
        mine = np.flatnonzero(ways.fault == index)
        way, position = np.unravel_index(int(np.argmax(rise[mine])), (mine.size, shape[1]))
        rises = np.maximum(rise[mine].max(axis=0), 0.0)
        worst_ohm = float(ohm[mine[way], position])
        seconds.append(Second(int(index), float(top[index]), int(position), worst_ohm, float(rises[0]), rises))
    seconds.sort(key=lambda second: (-second.rise_at_rest_percent, -second.rise_percent))
    silent = np.zeros(len(changes), dtype=bool)
    silent[number] = believer.silent(np.clip(found.grown_v, 0.0, ceiling_v), np.arange(shape[1]) == 0).any(axis=1)
    return Followed(first, tuple(seconds), silent)
