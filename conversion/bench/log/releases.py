"""A release of the pedal, row by row: when it began to move, and when it was back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.bench.log.events import Array, sound_percent
from conversion.bench.log.store import LogStore

BEFORE_S, AFTER_S = 1.0, 3.0
MOST_ROWS = 20_000
"""Looked at around a release; a log with more rows in that time is looked at as far as these reach."""
BACK_PERCENT = 2.0
"""The pedal counts as back within so much of rest; common practice, no source. [%]"""
MOST_POINTS = 600
"""Kept of a release to be drawn."""
FROM_FULL_PERCENT = 95.0
_NOISES = 4.0


@dataclass(frozen=True)
class Release:
    """One release.

    Attributes:
        row: The first row below a quarter of the sweep.
        start_s: Time of the last row before it fell. [s]
        returned_s: From there to the first row within :data:`BACK_PERCENT` of rest; nan where it never came. [s]
        from_percent: Where it was let go.
        left_percent: Lowest per cent that was reached.
        time_s: Time of the rows around it, thinned, from ``start_s``; (points,). [s]
        percent: Mean per cent of the tracks there; (points,).
    """

    row: int
    start_s: float
    returned_s: float
    from_percent: float
    left_percent: float
    time_s: Array
    percent: Array

    @property
    def from_full(self) -> bool:
        """Whether the pedal was let go near its full stop, so that the time is the whole one."""
        return self.from_percent >= FROM_FULL_PERCENT


def find_release(
    store: LogStore, row: int, step_s: float, scales: Array, low_v: Array, high_v: Array, noise_v: Array
) -> Release | None:
    """The release that passes a quarter of the sweep in a row; None where its rows do not tell it.

    Args:
        store: The log's figures, time first, then the tracks.
        row: First row below a quarter.
        step_s: Usual time from row to row. [s]
        scales: Volts at rest and at full of each track; (tracks, 2). [V]
        low_v: Least valid volts; (tracks,). [V]
        high_v: Greatest valid volts; (tracks,). [V]
        noise_v: Noise of each track; (tracks,). [V]
    """
    before = min(int(BEFORE_S / step_s) + 2, MOST_ROWS // 4)
    after = min(int(AFTER_S / step_s) + 2, MOST_ROWS)
    first = max(0, row - before)
    rows = store.part(first, row + after)
    times, volts = rows[:, 0], rows[:, 1 : len(scales) + 1]
    span = scales[:, 1] - scales[:, 0]
    percent = sound_percent(
        100.0 * (volts - scales[:, 0]) / span, np.isfinite(volts) & (volts >= low_v) & (volts <= high_v)
    )
    at = row - first
    if not np.isfinite(times[at]):
        return None
    allowed = max(BACK_PERCENT, _NOISES * float(np.max(100.0 * noise_v / np.abs(span))))
    early = percent[:at]
    peak = float(np.nanmax(early)) if np.isfinite(early).any() else float("nan")
    held = np.flatnonzero(early >= peak - allowed)
    if not held.size:
        return None
    start = int(held[-1])
    late = percent[at:]
    back = np.flatnonzero(late <= allowed)
    # Until the pedal is pressed again, at the latest.
    pressed = np.flatnonzero(late > 50.0)
    if back.size and pressed.size and back[0] > pressed[0]:
        back = back[:0]
    end = int(pressed[0]) if pressed.size else len(late)
    returned = float(times[at + back[0]] - times[start]) if back.size else float("nan")
    lowest = late[:end]
    left = float(np.nanmin(lowest)) if np.isfinite(lowest).any() else float("nan")
    thin = slice(None, None, -(-len(times) // MOST_POINTS))
    drawn = (times - times[start])[thin].copy(), percent[thin].copy()
    return Release(row, float(times[start]), returned, peak, left, *drawn)
