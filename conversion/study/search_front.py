"""The trade-off: every candidate that no other one beats in all measures at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array
from conversion.study.search_grid import Numbers

# Comparisons made at a time; keeps the arrays between small.
_PAIRS = 1 << 21


@dataclass(frozen=True)
class Front:
    """Candidates none of which is as good as another in every measure; in order of score, then of number.

    Attributes:
        numbers: Of the candidates, (members,).
        cells: Their measures, less is better, (members, measures).
        scores: (members,).
    """

    numbers: Numbers
    cells: Array
    scores: Array

    @classmethod
    def empty(cls, measures: int) -> Front:
        """The front of nobody."""
        return cls(np.empty(0, dtype=np.int64), np.empty((0, measures)), np.empty(0))

    def covers(self, cells: Array) -> NDArray[np.bool_]:
        """Where a member is at least as good in every measure, (samples,).

        Given bounds from below, True means: whatever the candidate turns out to be, the front does not need it.
        """
        covered = np.zeros(len(cells), dtype=bool)
        if not len(self.numbers):
            return covered
        step = max(1, _PAIRS // len(self.numbers))
        for start in range(0, len(cells), step):
            part = cells[start : start + step]
            better = np.ones((len(part), len(self.numbers)), dtype=bool)
            for measure in range(cells.shape[1]):
                better &= self.cells[:, measure] <= part[:, measure, None]
            covered[start : start + step] = better.any(axis=1)
        return covered

    def joined(self, numbers: Numbers, cells: Array, scores: Array) -> Front:
        """The front of the members and some more; of equals the one that was there, or has the lower number, stays."""
        fresh = ~self.covers(cells)
        old = np.zeros(len(self.numbers), dtype=bool)
        everyone = (
            np.concatenate([self.numbers, numbers[fresh]]),
            np.concatenate([self.cells, cells[fresh]]),
            np.concatenate([self.scores, scores[fresh]]),
            np.concatenate([old, np.ones(int(fresh.sum()), dtype=bool)]),
        )
        order = np.lexsort((everyone[0], everyone[3], everyone[1].sum(axis=1), everyone[2]))
        numbers, cells, scores = (each[order] for each in everyone[:3])
        # Nobody is beaten by one that comes later: the score and the sum rise with every measure.
        kept: list[int] = []
        left = np.arange(len(numbers))
        while left.size:
            first, left = left[0], left[1:]
            kept.append(int(first))
            left = left[np.any(cells[left] < cells[first], axis=1)]
        return Front(numbers[kept], cells[kept], scores[kept])

    def without(self, gone: Numbers) -> Front:
        """The front with some members struck out."""
        keep = ~np.isin(self.numbers, gone)
        return Front(self.numbers[keep], self.cells[keep], self.scores[keep])
