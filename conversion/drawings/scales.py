"""Axes of charts: which stretch of figures is shown, and at which round figures it is marked."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scale:
    """One axis.

    Attributes:
        low: Figure at its beginning.
        high: Figure at its end; always above low.
        page_low: Where the beginning lies on the page. [mm]
        page_high: Where the end lies on the page. [mm]
    """

    low: float
    high: float
    page_low: float
    page_high: float

    def at(self, value: float) -> float:
        """Place on the page. [mm]"""
        return self.page_low + (value - self.low) / (self.high - self.low) * (self.page_high - self.page_low)

    def held(self, value: float) -> float:
        """Place on the page of the nearest figure that the axis shows. [mm]"""
        return self.at(min(max(value, self.low), self.high))


def finite(*values: ArrayLike) -> Array:
    """All finite figures of several arrays, in one row."""
    rows = [np.ravel(np.asarray(value, dtype=np.float64)) for value in values]
    row = np.concatenate(rows) if rows else np.empty(0)
    return row[np.isfinite(row)]


def shown_range(curves: Iterable[ArrayLike], always: Iterable[float] = ()) -> tuple[float, float]:
    """The stretch that an axis has to show.

    A few figures far away from all others, as near a dead centre, do not stretch the axis: five times the width of
    the middle 80 % is kept on either side. What is not finite is left out.

    Args:
        curves: Figures of the curves.
        always: Figures that must be seen, such as limits.

    Returns:
        Least and greatest figure; the greatest is always the larger.

    Example:
        >>> shown_range([[1.0, 2.0, float("nan")]], always=[0.0])
        (0.0, 2.0)
        >>> shown_range([[3.0, 3.0]])
        (2.5, 3.5)
    """
    values = finite(*curves)
    if values.size:
        near_low, near_high = np.percentile(values, [10.0, 90.0])
        room = 5.0 * (near_high - near_low) or math.inf
        values = np.clip(values, near_low - room, near_high + room)
    values = np.concatenate([values, finite(list(always))])
    if not values.size:
        return 0.0, 1.0
    low, high = float(values.min()), float(values.max())
    if high - low <= 1e-9 * max(1.0, abs(low), abs(high)):
        half = 0.5 * max(1.0, 0.1 * abs(low))
        return low - half, high + half
    return low, high


def round_step(low: float, high: float, wanted: int) -> float:
    """Distance of the marks of an axis: 1, 2 or 5 times a power of ten, at most `wanted` + 1 marks.

    Example:
        >>> round_step(0.0, 62.0, 6), round_step(0.0, 4.65, 6)
        (20.0, 1.0)
    """
    rough = (high - low) / wanted
    power = 10.0 ** math.floor(math.log10(rough))
    return next((factor * power for factor in (1.0, 2.0, 5.0) if factor * power >= rough), 10.0 * power)


def rounded_outward(low: float, high: float, step: float) -> tuple[float, float]:
    """The stretch widened to whole steps.

    Example:
        >>> rounded_outward(0.3, 4.65, 1.0)
        (0.0, 5.0)
    """
    return step * math.floor(low / step + 1e-9), step * math.ceil(high / step - 1e-9)


def marks(low: float, high: float, step: float) -> list[float]:
    """Whole steps inside a stretch.

    Example:
        >>> marks(-3.0, 62.0, 20.0)
        [0.0, 20.0, 40.0, 60.0]
    """
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [index * step for index in range(first, last + 1)]


def mark_text(value: float, step: float) -> str:
    """A mark's figure with as many decimals as the step needs.

    Example:
        >>> mark_text(0.5, 0.5), mark_text(20.0, 20.0), mark_text(3e7, 1e7)
        ('0.5', '20', '3e+07')
    """
    if abs(value) >= 1e6 or step < 1e-4:
        return f"{value:.3g}"
    text = f"{value:.{max(0, -math.floor(math.log10(step) + 1e-9))}f}"
    return text[1:] if text.startswith("-") and float(text) == 0.0 else text


def steps_across_square(angle_deg: ArrayLike) -> NDArray[np.intp]:
    """Where the curve of a transmission angle must be broken: a rod that leans sideways cannot reach 90° and steps
    across it between two positions.

    Args:
        angle_deg: (positions,). [°]

    Returns:
        Index of the first position after each step.

    Example:
        >>> steps_across_square([98.0, 97.0, 96.0, 84.0, 83.0]).tolist(), steps_across_square([91.0, 89.0]).tolist()
        ([3], [])
    """
    angle = np.asarray(angle_deg, dtype=np.float64)
    change = np.abs(np.diff(angle))
    usual = np.nanmedian(change) if np.any(np.isfinite(change)) else 0.0
    return np.flatnonzero((np.diff(np.sign(angle - 90.0)) != 0.0) & (change > 3.0 * usual + 1.0)) + 1


def inside(xs: Sequence[float], ys: Sequence[float], y_scale: Scale, x_scale: Scale) -> list[list[tuple[float, float]]]:
    """A curve as lines on the page: broken where it has no figure, cut where it leaves the axis.

    Args:
        xs: (points,)
        ys: (points,); nan and infinity break the curve.
        y_scale: Upright axis.
        x_scale: Level axis.

    Returns:
        Lines of at least two points each.
    """
    lines: list[list[tuple[float, float]]] = []
    low, high = y_scale.low, y_scale.high
    for x0, y0, x1, y1 in zip(xs[:-1], ys[:-1], xs[1:], ys[1:], strict=True):
        if not (math.isfinite(y0) and math.isfinite(y1)) or max(y0, y1) < low or min(y0, y1) > high:
            continue
        ends = []
        for y_from, x_from, y_to, x_to in ((y0, x0, y1, x1), (y1, x1, y0, x0)):
            held = min(max(y_from, low), high)
            share = 0.0 if held == y_from else (held - y_from) / (y_to - y_from)
            ends.append((x_scale.at(x_from + share * (x_to - x_from)), y_scale.at(held)))
        if lines and lines[-1][-1] == ends[0]:
            lines[-1].append(ends[1])
        else:
            lines.append(ends)
    return lines
