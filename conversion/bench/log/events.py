"""Second look over a log, row by row: drop-outs, disagreement that lasts, releases; and the log in few buckets."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

MOST_KEPT = 200
"""Of each kind of event so many are kept whole; the others are counted."""
PRESSED, LET_GO = 75.0, 25.0
"""A release passes from above the one to below the other per cent within :data:`SNAP_S`."""
SNAP_S = 0.3
"""No foot follows the pedal back so fast; common practice, no source. [s]"""
_SPIKE_NOISES, _SPIKE_SHARE = 8.0, 0.02


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of rows of which something holds: first and last row, when, and the worst figure in it."""

    first_row: int
    last_row: int
    start_s: float
    end_s: float
    worst: float

    @property
    def lasts_s(self) -> float:
        """From its first to its last row. [s]"""
        return self.end_s - self.start_s


@dataclass
class Runs:
    """Gathers stretches over the blocks of a log.

    Example:
        >>> runs = Runs()
        >>> runs.take(np.array([False, True]), 0, np.array([0.0, 0.1]), np.array([0.0, 5.0]))
        >>> runs.take(np.array([True, False]), 2, np.array([0.2, 0.3]), np.array([7.0, 0.0]))
        >>> [(run.first_row, run.last_row, run.worst) for run in runs.finished()]
        [(1, 2, 7.0)]
    """

    count: int = 0
    rows: int = 0
    longest: Run | None = None
    worst: Run | None = None
    _kept: list[Run] = field(default_factory=list)
    _open: Run | None = None

    def take(self, holds: Flags, first_row: int, times: Array, figures: Array) -> None:
        """The next block; (rows,) each."""
        self.rows += int(holds.sum())
        turns = np.flatnonzero(np.diff(np.concatenate(([False], holds, [False])).astype(np.int8)))
        for start, end in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
            worst = float(np.max(figures[start:end], initial=0.0, where=np.isfinite(figures[start:end])))
            run = Run(first_row + start, first_row + end - 1, float(times[start]), float(times[end - 1]), worst)
            if start == 0 and self._open is not None:
                before = self._open
                run = Run(before.first_row, run.last_row, before.start_s, run.end_s, max(before.worst, run.worst))
                self._open = None
            self._close()
            self._open = run
        if not (len(holds) and holds[-1]):
            self._close()

    def _close(self) -> None:
        run, self._open = self._open, None
        if run is None:
            return
        self.count += 1
        if len(self._kept) < MOST_KEPT:
            self._kept.append(run)
        if self.longest is None or run.lasts_s > self.longest.lasts_s:
            self.longest = run
        if self.worst is None or run.worst > self.worst.worst:
            self.worst = run

    def finished(self) -> tuple[Run, ...]:
        """Those that are kept, after the last block."""
        self._close()
        return tuple(self._kept)


def spikes(volts: Array, noise_v: Array, span_v: Array) -> Flags:
    """Rows in which a track jumps away from its neighbours and is back within two rows; (rows, tracks).

    The middle of five neighbours follows every movement of a pedal, also its beginning and its end.
    """
    limit = np.maximum(_SPIKE_NOISES * noise_v, _SPIKE_SHARE * np.abs(span_v))
    found = np.zeros(volts.shape, dtype=bool)
    if len(volts) < 5:
        return found
    bend = np.abs(volts[1:-1] - 0.5 * (volts[:-2] + volts[2:]))
    rows, tracks = np.nonzero(bend > 0.5 * limit)
    rows += 1
    near = (rows >= 2) & (rows < len(volts) - 2)
    rows, tracks = rows[near], tracks[near]
    five = np.stack([volts[rows + shift, tracks] for shift in (-2, -1, 0, 1, 2)])
    away = np.abs(volts[rows, tracks] - np.median(five, axis=0)) > limit[tracks]
    found[rows[away], tracks[away]] = True
    return found


@dataclass
class Snaps:
    """Finds where the pedal falls from pressed to let go faster than a foot moves."""

    rows: list[int] = field(default_factory=list)
    count: int = 0
    _state: int = 0
    _since_s: float = float("nan")

    def take(self, percent: Array, times: Array, first_row: int) -> None:
        """The next block; rows without a per cent are passed over; (rows,)."""
        state = np.where(percent >= PRESSED, 1, np.where(percent <= LET_GO, -1, 0))
        at = np.flatnonzero(state)
        if not at.size:
            return
        states = np.concatenate([[self._state], state[at]])
        when = np.concatenate([[self._since_s], times[at]])
        for index in np.flatnonzero((states[:-1] == 1) & (states[1:] == -1)).tolist():
            if 0.0 < when[index + 1] - when[index] <= SNAP_S:
                self.count += 1
                if len(self.rows) < MOST_KEPT:
                    self.rows.append(first_row + int(at[index]))
        self._state, self._since_s = int(states[-1]), float(when[-1])


@dataclass(frozen=True)
class Buckets:
    """A log in at most a few thousand stretches of rows; nan where a stretch has no sound row.

    Attributes:
        time_s: Mean time; (buckets,). [s]
        mean: Mean of every column over its sound rows; (buckets, columns).
        least: Least figure, drop-outs included; (buckets, columns).
        greatest: Greatest figure likewise; (buckets, columns).
    """

    time_s: Array
    mean: Array
    least: Array
    greatest: Array


@dataclass
class BucketLook:
    """Gathers buckets; each block begins a new one."""

    size: int
    _parts: list[tuple[Array, Array, Array]] = field(default_factory=list)

    def take(self, columns: Array, sound: Flags) -> None:
        """The next block; (rows, columns) each, time first."""
        starts = np.arange(0, len(columns), self.size)
        counts = np.add.reduceat(sound.astype(np.float64), starts, axis=0)
        sums = np.add.reduceat(np.where(sound, columns, 0.0), starts, axis=0)
        known = np.isfinite(columns)
        least = np.minimum.reduceat(np.where(known, columns, np.inf), starts, axis=0)
        greatest = np.maximum.reduceat(np.where(known, columns, -np.inf), starts, axis=0)
        mean = np.divide(sums, counts, out=np.full_like(sums, np.nan), where=counts > 0)
        self._parts.append(
            (mean, np.where(np.isinf(least), np.nan, least), np.where(np.isinf(greatest), np.nan, greatest))
        )

    def finished(self) -> Buckets:
        """All of them."""
        mean, least, greatest = (np.concatenate(rows) for rows in zip(*self._parts, strict=True))
        return Buckets(mean[:, 0], mean, least, greatest)


def sound_percent(percent: Array, sound: Flags) -> Array:
    """Mean per cent of the tracks that can be believed in each row; nan where none can; (rows,)."""
    count = sound.sum(axis=1)
    total = np.where(sound, percent, 0.0).sum(axis=1)
    return np.divide(total, count, out=np.full(len(percent), np.nan), where=count > 0)


def columns_of(rows: Array, places: Sequence[int | None]) -> Array:
    """Some columns of a block; one of nan for a column that the log has not."""
    return np.stack([np.full(len(rows), np.nan) if at is None else rows[:, at] for at in places], axis=1)
