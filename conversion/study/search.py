"""The search: a million linkages looked at coarsely, the few that matter in full, and the best of them kept.

**What the first look may reject.** Each want is a bound on a greatest or least value over the 41 positions of the
travel, and the first look takes five of these, the ends among them. A greatest value over five of them is not above
that over all, a least one not below. So a candidate that misses a want at the first look misses it in full, and one
whose measures at the first look are already no better, in every measure, than those of a candidate that was
confirmed in full cannot get better than it. Nothing else is rejected, so the first look never costs a result.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import islice

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array
from conversion.study.search_case import ALL, COARSE, SearchCase, has_event, look, made
from conversion.study.search_front import Front
from conversion.study.search_grid import Numbers, drawn
from conversion.study.search_wants import MEASURES, Looked, judged, missed, score

CANDIDATES = 1_200_000
"""Linkages that are looked at unless another number is asked for, if there are so many."""
# Few enough for the arrays of a block to stay in the cache of one core, many enough for numpy to pay.
BLOCK = 4096
WORKERS = 2
# Blocks that are judged against the same front; a fixed number, so that the answer does not depend on the machine.
_TOGETHER = 8
# Members of the front from which better ones nearby are looked for, and how often.
_STARTS, _ROUNDS = 24, 40


@dataclass
class Counts:
    """What became of the candidates.

    Attributes:
        looked_at: How many at the first look or beyond.
        in_full: How many of them at all positions.
        good: How many of those kept to every want; candidates that another one covers are not looked at so far.
        missed: By want, how many missed it at the place where they were rejected; one may miss several.
        events: How many were struck out for what happens between the positions.
    """

    looked_at: int = 0
    in_full: int = 0
    good: int = 0
    missed: dict[str, int] = field(default_factory=dict)
    events: int = 0

    def add(self, misses: dict[str, NDArray[np.bool_]]) -> None:
        """Count what was missed."""
        for name, rows in misses.items():
            self.missed[name] = self.missed.get(name, 0) + int(rows.sum())


@dataclass(frozen=True)
class Found:
    """What a search found.

    Attributes:
        case: What was asked.
        front: The trade-off, best score first; empty where nothing keeps to every want.
        whole_grid: Whether every combination was looked at, so that there is no better one.
        counts: What became of the candidates.
        seed: Of the draw.
    """

    case: SearchCase
    front: Front
    whole_grid: bool
    counts: Counts
    seed: int


Progress = Callable[[int, int], None]


def run_search(
    case: SearchCase,
    candidates: int = CANDIDATES,
    seed: int = 1,
    progress: Progress | None = None,
    workers: int = WORKERS,
) -> Found:
    """Look at many candidates and keep the trade-off.

    The whole grid where it has no more candidates than asked for; otherwise a draw without repetition, and then,
    from the best of it, neighbours in the grid as long as they are better.

    Args:
        case: What may move and what is wanted.
        candidates: How many to look at.
        seed: Same seed, same answer, whatever the number of workers.
        progress: Called with how many have been looked at, and of how many.
        workers: Threads.

    Returns:
        The trade-off and what became of the candidates.

    Raises:
        ValueError: fewer than one candidate, or a negative seed.
    """
    if candidates < 1 or seed < 0:
        raise ValueError("a search needs at least one candidate, and a seed that is not negative")
    size = case.grid.size
    total = min(size, candidates)
    searching = _Searching(case, workers)
    for done in searching.through(_blocks(size, total, seed)):
        if progress is not None:
            progress(done, total)
    if total < size:
        searching.look_nearby()
    return Found(case, searching.front, total == size, searching.counts, seed)


def _blocks(size: int, total: int, seed: int) -> Iterator[Numbers]:
    for start in range(0, total, BLOCK):
        count = min(BLOCK, total - start)
        yield np.arange(start, start + count) if total == size else drawn(size, start, count, seed)


@dataclass(frozen=True)
class _Survivors:
    """What is left of a block after the full look."""

    numbers: Numbers
    cells: Array
    certain: NDArray[np.bool_]
    coarse_misses: dict[str, NDArray[np.bool_]]
    full_misses: dict[str, NDArray[np.bool_]]
    looked_at: int
    in_full: int


class _Searching:
    """A search under way."""

    def __init__(self, case: SearchCase, workers: int) -> None:
        self.case, self.workers = case, workers
        self.front = Front.empty(len(MEASURES))
        self.counts = Counts()

    def through(self, blocks: Iterator[Numbers]) -> Iterator[int]:
        """Take blocks in, some at a time; yields how many candidates have been looked at."""
        with ThreadPoolExecutor(self.workers) as pool:
            while group := list(islice(blocks, _TOGETHER)):
                front = self.front
                for survivors in pool.map(lambda numbers, front=front: _sifted(self.case, numbers, front), group):
                    self.take_in(survivors)
                yield self.counts.looked_at

    def take_in(self, survivors: _Survivors) -> None:
        """Put survivors on the front, unless something happens between their positions."""
        self.counts.looked_at += survivors.looked_at
        self.counts.in_full += survivors.in_full
        self.counts.good += len(survivors.numbers)
        self.counts.add(survivors.coarse_misses)
        self.counts.add(survivors.full_misses)
        certain = dict(zip(survivors.numbers.tolist(), survivors.certain.tolist(), strict=True))
        numbers, cells = survivors.numbers, survivors.cells
        while True:
            joined = self.front.joined(numbers, cells, score(self.case.wants, cells))
            doubtful = [number for number in joined.numbers.tolist() if not certain.get(number, True)]
            gone = {number for number in doubtful if self._happens(number)}
            if not gone:
                self.front = joined
                return
            # Whoever was covered by one that is struck out gets another chance.
            self.counts.events += len(gone)
            certain |= dict.fromkeys(doubtful, True)
            keep = ~np.isin(numbers, list(gone))
            numbers, cells = numbers[keep], cells[keep]

    def _happens(self, number: int) -> bool:
        return has_event(self.case, made(self.case, np.array([number])), 0)

    def look_nearby(self) -> None:
        """From the best of the front, neighbours in the grid, until none of them comes on the front."""
        tried: set[int] = set()
        for _ in range(_ROUNDS):
            starts = [number for number in self.front.numbers[:_STARTS].tolist() if number not in tried]
            if not starts:
                return
            tried.update(starts)
            near = np.unique(np.concatenate([self.case.grid.neighbours(number) for number in starts]))
            for _ in self.through(np.array_split(near, range(BLOCK, len(near), BLOCK)).__iter__()):
                pass


def _sifted(case: SearchCase, numbers: Numbers, front: Front) -> _Survivors:
    """The candidates of a block that keep to every want and that the front does not cover."""
    looked, _ = look(case, made(case, numbers), COARSE)
    coarse = missed(case.wants, looked)
    left = ~np.any(list(coarse.values()), axis=0)
    left[left] = ~front.covers(judged(looked)[left])
    rest = numbers[left]
    if not len(rest):
        return _Survivors(rest, np.empty((0, len(MEASURES))), np.empty(0, bool), coarse, {}, len(numbers), 0)
    looked, certain = look(case, made(case, rest), ALL)
    full = missed(case.wants, looked)
    good = ~np.any(list(full.values()), axis=0)
    cells = judged(looked)
    good[good] = ~front.covers(cells[good])
    return _Survivors(rest[good], cells[good], certain[good], coarse, full, len(numbers), len(rest))


def seen_in_full(case: SearchCase, numbers: Numbers) -> Looked:
    """Every figure of some candidates, from all positions."""
    return look(case, made(case, numbers), ALL)[0]
