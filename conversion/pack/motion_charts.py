"""Small charts over the pad's travel with a marker in each that goes along."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from conversion.drawings.scales import Scale, inside, mark_text, marks, round_step, rounded_outward, shown_range
from conversion.linkage.turning import Array
from conversion.pack.moving import Moving

WIDTH, HEIGHT = 340.0, 176.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 40.0, 330.0, 8.0, 148.0
_CAP = 5.0


@dataclass(frozen=True)
class Line:
    """A curve and its band, (positions,) each, in the unit of the chart.

    Attributes:
        name: In words.
        values: The curve.
        low: Lower edge of its band; None without one.
        high: Upper edge of its band; None without one.
        breaks: Positions at which the curve begins anew, not joined to the one before.
    """

    name: str
    values: Array
    low: Array | None = None
    high: Array | None = None
    breaks: tuple[int, ...] = ()


@dataclass(frozen=True)
class SmallChart:
    """A chart ready to be set.

    Attributes:
        key: For tests and style.
        title: What it shows, with the unit.
        names: Of its curves, in their order.
        x_marks: Place and words of each mark below.
        y_marks: Place and words of each mark at the left.
        levels: Heights of the levels.
        bands: Area of each curve's band, x and y in turn, with the number of its curve.
        curves: Pieces of each curve likewise.
        moving: Guide, whiskers and dots.
    """

    key: str
    title: str
    names: tuple[str, ...]
    x_marks: tuple[tuple[float, str], ...]
    y_marks: tuple[tuple[float, str], ...]
    levels: tuple[float, ...]
    bands: tuple[tuple[int, list[float]], ...]
    curves: tuple[tuple[int, list[float]], ...]
    moving: tuple[Moving, ...]


def small_chart(
    key: str,
    title: str,
    pad_mm: Array,
    lines: Sequence[Line],
    levels: Sequence[float] = (),
    always: Sequence[float] = (),
) -> SmallChart:
    """A chart of some curves over pad travel.

    Args:
        key: Its name.
        title: What it shows, with the unit.
        pad_mm: Pad travel, (positions,). [mm]
        lines: The curves.
        levels: Figures drawn as level lines, such as stops.
        always: Other figures that the upright axis must show.
    """
    shown = [line.values for line in lines]
    shown += [side for line in lines for side in (line.low, line.high) if side is not None]
    low, high = shown_range(shown, [*levels, *always])
    step = round_step(low, high, 4)
    low, high = rounded_outward(low, high, step)
    y = Scale(low, high, _BOTTOM, _TOP)
    x = Scale(0.0, float(pad_mm[-1]), _LEFT, _RIGHT)
    x_step = round_step(x.low, x.high, 5)
    xs = np.array([x.at(float(value)) for value in pad_mm])
    moving = [Moving("line", "guide", _upright(xs, np.full_like(xs, _TOP), np.full_like(xs, _BOTTOM)))]
    bands, curves = [], []
    for number, line in enumerate(lines):
        if line.low is not None and line.high is not None:
            bands += [(number, area) for area in _areas(xs, _held(y, line.low), _held(y, line.high))]
            moving.append(Moving("line", "whisker", _whisker(xs, _held(y, line.low), _held(y, line.high))))
        for run in np.split(np.arange(len(xs)), line.breaks):
            pieces = inside(pad_mm[run].tolist(), line.values[run].tolist(), y, x)
            curves += [(number, [round(value, 2) for point in piece for value in point]) for piece in pieces]
    for number, line in enumerate(lines):
        here = np.stack([xs, _held(y, line.values)], axis=-1)[:, None, :]
        moving.append(Moving("dot", f"marker line-{number % 4}", here, 3.2))
    return SmallChart(
        key, title, tuple(line.name for line in lines),
        tuple((round(x.at(value), 2), mark_text(value, x_step)) for value in marks(x.low, x.high, x_step)),
        tuple((round(y.at(value), 2), mark_text(value, step)) for value in marks(low, high, step)),
        tuple(round(y.held(value), 2) for value in levels), tuple(bands), tuple(curves), tuple(moving),
    )  # fmt: skip


def _held(scale: Scale, values: Array) -> Array:
    return np.array([scale.held(float(value)) if np.isfinite(value) else np.nan for value in values])


def _upright(xs: Array, low: Array, high: Array) -> Array:
    return np.stack([np.stack([xs, low], axis=-1), np.stack([xs, high], axis=-1)], axis=-2)


def _whisker(xs: Array, low: Array, high: Array) -> Array:
    """An upright line with a cap at either end."""
    corners = ((-_CAP, low), (_CAP, low), (0.0, low), (0.0, high), (-_CAP, high), (_CAP, high))
    return np.stack([np.stack([xs + aside, level], axis=-1) for aside, level in corners], axis=-2)


def _areas(xs: Array, low: Array, high: Array) -> list[list[float]]:
    """The band as closed areas, broken where it is not known."""
    known = np.isfinite(low) & np.isfinite(high)
    areas = []
    for run in np.split(np.arange(len(xs)), np.flatnonzero(np.diff(known)) + 1):
        if known[run[0]] and len(run) > 1:
            there = np.stack([xs[run], low[run]], axis=-1)
            back = np.stack([xs[run], high[run]], axis=-1)[::-1]
            areas.append([round(float(value), 2) for value in np.concatenate([there, back]).ravel()])
    return areas
