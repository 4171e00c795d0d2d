"""Every way in which terminals that hang together can be ends and wipers of tracks, and where a fit begins."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from conversion.bench.unknown.network import Array, Index, Tracks, Values, resistances
from conversion.bench.unknown.readings import SURE

MOST_TRACKS = 3
"""As many as a sensor of a description has."""

MOST_ARRANGEMENTS = 150
"""More are left after the sieve only where little was read; with every pair read there are 96, of three tracks."""


class TooLittleRead(Exception):
    """So many arrangements are left that fitting them tells nothing; more pairs must be read."""


_SPLITS = (1.0, 1.6, 0.65)


def arrangements(ohm: Array, tolerance_ohm: Array, sieved: bool = True) -> Iterator[Tracks]:
    """Arrangements that the unchanging readings admit, one batch for each number of tracks.

    Between two ends nothing changes, whatever the wipers do; between a wiper and one of its ends something does.

    Args:
        ohm: (positions, terminals, terminals); NaN where unread. [Ω]
        tolerance_ohm: As `ohm`.
        sieved: Whether those are left out that what changed, and what did not, excludes.

    Raises:
        TooLittleRead: more than `MOST_ARRANGEMENTS` of one number of tracks are left.
    """
    terminals = ohm.shape[1]
    moved, still = _changes(ohm, tolerance_ohm)
    if not sieved:
        moved, still = np.zeros_like(moved), np.zeros_like(still)
    for count in range(1, MOST_TRACKS + 1):
        wired = list(itertools.islice(_wirings(terminals, count, moved, still), MOST_ARRANGEMENTS + 1))
        if len(wired) > MOST_ARRANGEMENTS:
            raise TooLittleRead
        if wired:
            yield Tracks(terminals, np.array(wired, dtype=np.intp))


def _changes(ohm: Array, tolerance_ohm: Array) -> tuple[Array, Array]:
    """(terminals, terminals): pairs that certainly changed between any two positions; pairs that certainly did not."""
    moved = np.zeros(ohm.shape[1:], dtype=bool)
    apart = np.zeros(ohm.shape[1:], dtype=bool)
    for one, other in itertools.combinations(range(len(ohm)), 2):
        change = np.abs(ohm[one] - ohm[other])
        spread = np.hypot(tolerance_ohm[one], tolerance_ohm[other])
        moved |= change > 1.5 * SURE * spread
        apart |= ~(change <= SURE * spread)
    return moved, ~apart


def _wirings(terminals: int, count: int, moved: Array, still: Array) -> Iterator[tuple[tuple[int, int, int], ...]]:
    ends_needed = terminals - count
    if not 2 <= ends_needed <= count + 1:
        return
    for ends in itertools.combinations(range(terminals), ends_needed):
        pairs = list(itertools.combinations(ends, 2))
        if any(moved[pair] for pair in pairs):
            continue
        wipers = [terminal for terminal in range(terminals) if terminal not in ends]
        for chosen in itertools.product(pairs, repeat=count):
            if not _hang_together(ends, chosen):
                continue
            wired = tuple((a, b, wiper) for (a, b), wiper in zip(chosen, wipers, strict=True))
            if not any(still[a, wiper] and still[b, wiper] for a, b, wiper in wired):
                yield wired


def _hang_together(ends: tuple[int, ...], edges: tuple[tuple[int, int], ...]) -> bool:
    reached = {ends[0]}
    for _ in ends:
        reached |= {end for edge in edges if reached & set(edge) for end in edge}
    return len(reached) == len(ends)


def starts(tracks: Tracks, ohm: Array) -> Iterator[Values]:
    r"""Where to begin the fit of each arrangement, one or more.

    The share follows from three readings alone, whatever else hangs on the ends:

    .. math:: x = 1/2 + (R_{1w} - R_{2w}) / (2 R_{12})
    """
    first, second, wiper = (tracks.wired[..., which] for which in range(3))
    between = _mean(ohm[:, first, second])
    typical = float(np.nanmedian(np.where(np.isfinite(ohm), ohm, np.nan)[ohm > 0])) if (ohm > 0).any() else 1e3
    between = np.where(np.isfinite(between) & (between > 0), between, typical)
    to_first, to_second = np.moveaxis(ohm[:, first, wiper], 0, 2), np.moveaxis(ohm[:, second, wiper], 0, 2)
    share = 0.5 + (to_first - to_second) / (2.0 * between[..., None])
    known = np.isfinite(share)
    positions = len(ohm)
    ones, halves = np.ones(first.shape), np.full((*first.shape, 1), 0.5)
    unit, _ = resistances(tracks, Values(ones, ones, halves))
    loosened = between / _between(unit[:, 0], first, second, tracks.terminals)
    loops = tracks.count > tracks.terminals - tracks.count - 1
    guesses = [np.linspace(0.2, 0.8, positions), np.linspace(0.8, 0.2, positions)]
    for guess in guesses if not known.all() else guesses[:1]:
        begun = np.clip(np.where(known, share, guess), 0.02, 0.98)
        for split in _SPLITS if loops and known.all() else _SPLITS[:1]:
            track = loosened.copy()
            track[:, 0] *= split
            yield Values(track, _wipers(to_first, to_second, between), begun)


def _mean(values: Array) -> Array:
    """Over the first axis, of what is finite."""
    good = np.isfinite(values)
    mean: Array = np.where(good, values, 0.0).sum(axis=0) / np.maximum(good.sum(axis=0), 1)
    return np.where(good.any(axis=0), mean, np.nan)


def _between(pairs: Array, first: Index, second: Index, terminals: int) -> Array:
    """Of resistances between all pairs, those between the ends of each track."""
    table = np.zeros((terminals, terminals), dtype=np.intp)
    i, j = np.triu_indices(terminals, 1)
    table[i, j] = table[j, i] = np.arange(len(i))
    found: Array = pairs[np.arange(len(pairs))[:, None], table[first, second]]
    return found


def _wipers(to_first: Array, to_second: Array, between: Array) -> Array:
    """What is left of the readings to the wiper when the track is taken off; never below one ohm to begin with."""
    over = (to_first + to_second) / 2.0 - between[..., None] / 2.0
    left = _mean(np.moveaxis(over, 2, 0))
    return np.where(np.isfinite(left), np.maximum(left, 1.0), 100.0)
