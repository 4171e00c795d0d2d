"""The readings that would decide: where two arrangements that fit alike expect different figures."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from conversion.bench.unknown.core import MARGIN, Candidate
from conversion.bench.unknown.readings import SURE, Readings

MOST = 3


@dataclass(frozen=True)
class Further:
    """A reading to take.

    Attributes:
        position: Index of the lever's position; None for a reading while the lever moves.
        pair: Both terminals.
        expects: What the best and the next arrangement expect there, where both say something. [Ω]
        finer: Tolerance that the meter would need, where the reading was taken and cannot tell them apart. [share]
        again: The reading was taken and fits nothing; what the others let expect is `expects[0]`.
    """

    position: int | None
    pair: tuple[int, int]
    expects: tuple[float, ...] = ()
    finer: float | None = None
    again: bool = False


def deciding(readings: Readings, best: Candidate, next_best: Candidate | None) -> list[Further]:
    """At most three readings, the most telling first; never none.

    Unread pairs come first; then pairs whose expected figures lie apart, for a better meter; then, where no reading can
    tell them apart, the pairs of ends to be watched while the lever moves.
    """
    unread = list(unread_pairs(readings, best.terminals))
    if next_best is None:
        return [Further(position, pair) for position, pair in unread][:MOST] or _at_full(readings, best)
    ranked = sorted(
        (_apart(readings, best, next_best, position, pair) for position, pair in unread), key=lambda each: -each[0]
    )
    telling = [further for apart, further in ranked if apart > SURE]
    if telling:
        return telling[:MOST]
    if unread and not (best.held and next_best.held and best.spare > 0):
        return [Further(position, pair) for position, pair in unread][:MOST]
    everywhere = (
        _apart(readings, best, next_best, position, pair)
        for position in range(len(readings.positions))
        for pair in itertools.combinations(best.terminals, 2)
    )
    apart, most = max(everywhere, key=lambda each: each[0])
    share, _ = readings.meter
    finer = share * apart / np.sqrt(MARGIN)
    watched = [_watched(best), _watched(next_best)] if _ends_of(best) != _ends_of(next_best) else []
    if finer >= share / 10 or not watched:
        return [Further(most.position, most.pair, most.expects, min(float(finer), share)), *watched]
    return watched


def _at_full(readings: Readings, best: Candidate) -> list[Further]:
    """Each wiper once more, the lever at its far stop: all is read, and yet a wiper does not surely move."""
    last = len(readings.positions) - 1
    pairs = [sorted((track.ends[0], track.wiper)) for track in best.tracks]
    return [Further(last, (first, second), again=True) for first, second in pairs][:MOST]


def unread_pairs(readings: Readings, terminals: tuple[int, ...]) -> Iterator[tuple[int, tuple[int, int]]]:
    """Position and pair of whatever was not read between some terminals."""
    for position in range(len(readings.positions)):
        for pair in itertools.combinations(sorted(terminals), 2):
            if not readings.read[position, pair[0], pair[1]]:
                yield position, pair


def _apart(
    readings: Readings, best: Candidate, other: Candidate, position: int, pair: tuple[int, int]
) -> tuple[float, Further]:
    """How many tolerances apart the expectations are."""
    expects = tuple(
        float(each.expected_ohm[position, each.terminals.index(pair[0]), each.terminals.index(pair[1])])
        for each in (best, other)
    )
    off = np.hypot(*readings.tolerance_of(np.array(expects)))
    return abs(expects[0] - expects[1]) / float(off), Further(position, pair, expects)


def _watched(candidate: Candidate) -> Further:
    return Further(None, _ends_of(candidate))


def _ends_of(candidate: Candidate) -> tuple[int, int]:
    """The ends of its first track, in order."""
    first, second = candidate.tracks[0].ends
    return min(first, second), max(first, second)
