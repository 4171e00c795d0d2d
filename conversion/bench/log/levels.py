"""First look over a log: the volts at both ends of each track, its noise, and how its clock runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

LOWEST_V, BIN_V, BINS = -1.0, 0.001, 1 << 15
"""Volts are counted in bins of a millivolt, from a volt below ground to far above any sensor supply."""
GAP_STEPS = 10.0
"""A step of the clock so many times the usual one is a gap in the log."""
START_S = 0.3
"""The foot is off the pedal for at least so long when a log begins."""
MOSTLY = 0.9
"""A sound track has lost its contact in so few rows at most that so large a share of them is left."""
_END_SHARE = 0.002
"""So small a share of all rows may lie beyond an end of the sweep."""
_LEAST_WIDTH_V = 0.004
_GAUSS_MEDIAN = 0.6745
"""Median of the magnitude of a normal deviate, in standard deviations (any table of the normal distribution)."""


@dataclass
class Clock:
    """How the times of a log run on.

    Attributes:
        step_s: The usual time from row to row, by the first block; nan before there is one. [s]
        back: How many rows are earlier than the row before.
        first_back: The first of them, by row; -1 for none.
        gaps: How many steps are far longer than usual.
        longest_gap_s: The longest of them. [s]
        gap_row: The row after it.
        first_s: The first time. [s]
        last_s: The last time. [s]
        steps: How many steps there were.
    """

    step_s: float = float("nan")
    back: int = 0
    first_back: int = -1
    gaps: int = 0
    longest_gap_s: float = 0.0
    gap_row: int = -1
    first_s: float = float("nan")
    last_s: float = float("nan")
    steps: int = 0

    def take(self, times: Array, first_row: int) -> None:
        """The times of the next block; (rows,)."""
        known = np.flatnonzero(np.isfinite(times))
        if not known.size:
            return
        run, rows = times[known], first_row + known
        if np.isnan(self.first_s):
            self.first_s = float(run[0])
        else:
            run, rows = np.concatenate([[self.last_s], run]), np.concatenate([[first_row - 1], rows])
        self.last_s = float(run[-1])
        steps = np.diff(run)
        self.steps += len(steps)
        if not steps.size:
            return
        if not self.step_s > 0.0:
            forward = steps[steps > 0.0]
            self.step_s = float(np.median(forward)) if forward.size else float("nan")
        back = np.flatnonzero(steps < 0.0)
        if back.size and self.first_back < 0:
            self.first_back = int(rows[back[0] + 1])
        self.back += back.size
        far = np.flatnonzero(steps > GAP_STEPS * self.step_s)
        self.gaps += far.size
        if far.size and steps[far].max() > self.longest_gap_s:
            self.longest_gap_s = float(steps[far].max())
            self.gap_row = int(rows[far[int(np.argmax(steps[far]))] + 1])


@dataclass
class LevelLook:
    """What one pass over the rows shows of every track; blocks are (rows, tracks).

    Attributes:
        tracks: Names, in the order of the columns.
    """

    tracks: Sequence[str]
    start_v: Array = field(init=False)
    _counts: NDArray[np.int64] = field(init=False)
    _noise: list[Array] = field(init=False, default_factory=list)

    def __post_init__(self) -> None:
        self._counts = np.zeros((len(self.tracks), BINS), dtype=np.int64)
        self.start_v = np.full(len(self.tracks), np.nan)

    def take(self, volts: Array, times: Array) -> None:
        """The next block."""
        if np.isnan(self.start_v).all():
            early = times <= times[0] + START_S if np.isfinite(times[0]) else np.zeros(len(times), bool)
            early[:3] = True
            self.start_v = np.array([_median(row[early]) for row in volts.T])
        for counts, row in zip(self._counts, volts.T, strict=True):
            known = row[np.isfinite(row)]
            bins = np.clip((known - LOWEST_V) / BIN_V, 0, BINS - 1).astype(np.int64)
            counts += np.bincount(bins, minlength=BINS)
        if len(volts) > 2:
            bends = np.abs(volts[2:] - 2.0 * volts[1:-1] + volts[:-2])
            self._noise.append(np.array([_median(row) for row in bends.T]) / (_GAUSS_MEDIAN * np.sqrt(6.0)))

    @property
    def noise_v(self) -> Array:
        """Standard deviation of each track from row to row; (tracks,). [V]

        Second differences of independent deviates have six times their variance, and a sweep leaves hardly any.
        """
        return np.nanmedian(np.stack(self._noise), axis=0) if self._noise else np.zeros(len(self.tracks))

    @property
    def middle_v(self) -> Array:
        """Median of each track; (tracks,). [V]"""
        return np.array([_level_at(counts, 0.5) for counts in self._counts])

    def ends_v(self, track: int, valid: tuple[float, float] | None) -> tuple[float, float]:
        """Lower and upper level between which a track moves; nan where it has no row. [V]

        Args:
            track: Its column.
            valid: What the control unit takes as valid; rows outside are drop-outs and no end of the sweep, unless
                there are many.
        """
        counts = self._counts[track]
        if valid is not None:
            inside = counts.copy()
            low, high = (int(np.clip((edge - LOWEST_V) / BIN_V, 0, BINS - 1)) for edge in valid)
            inside[:low] = 0
            inside[high + 1 :] = 0
            if inside.sum() > MOSTLY * counts.sum():
                counts = inside
        if not counts.sum():
            return float("nan"), float("nan")
        width = max(3.0 * float(self.noise_v[track]), _LEAST_WIDTH_V)
        low_v, high_v = _level_at(counts, _END_SHARE), _level_at(counts, 1.0 - _END_SHARE)
        return _level_near(counts, low_v - width, low_v + 2.0 * width), _level_near(
            counts, high_v - 2.0 * width, high_v + width
        )


def _median(row: Array) -> float:
    known = row[np.isfinite(row)]
    return float(np.median(known)) if known.size else float("nan")


def _level_at(counts: NDArray[np.int64], share: float) -> float:
    total = np.cumsum(counts)
    if not total[-1]:
        return float("nan")
    at = int(np.searchsorted(total, share * float(total[-1])))
    return LOWEST_V + BIN_V * (min(at, BINS - 1) + 0.5)


def _level_near(counts: NDArray[np.int64], low_v: float, high_v: float) -> float:
    """Median of the rows between two levels."""
    first, last = (int(np.clip((edge - LOWEST_V) / BIN_V, 0, BINS - 1)) for edge in (low_v, high_v))
    near = np.zeros_like(counts)
    near[first : last + 1] = counts[first : last + 1]
    return _level_at(near, 0.5)
