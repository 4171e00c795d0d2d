"""What a chart says, as plain values: curves with bands, limits, windows and marks. Drawn by panel_sheet."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np

from conversion.drawings.scales import Array
from conversion.drawings.svg import Pen

STYLES: tuple[Pen, ...] = (
    Pen(0.45),
    Pen(0.45, (2.2, 1.0)),
    Pen(0.45, (0.5, 0.9)),
    Pen(0.45, (2.6, 0.8, 0.5, 0.8)),
    Pen(0.22),
    Pen(0.22, (2.2, 1.0)),
    Pen(0.22, (0.4, 0.7)),
    Pen(0.22, (2.6, 0.7, 0.4, 0.7)),
)
"""Line styles that differ without colour, in the order in which curves take them."""

LIMIT = Pen(0.18, (1.2, 0.8))
UNDERLAID = Pen(1.6, colour="#b4b4b4")
OVERLAID: tuple[Pen, ...] = (Pen(0.22), Pen(0.8, (1.6, 2.4)), Pen(0.5, (0.5, 1.2)))
"""Line styles that can be told apart even where the lines lie on each other."""


@dataclass(frozen=True)
class Curve:
    """One line of a chart; arrays are (points,) and may hold nan, where the line is broken.

    Attributes:
        label: Written at the line's end.
        x: Along the chart.
        y: Figure drawn as a line.
        pen: Line style.
        low: Lower edge of its band; None without a band.
        high: Upper edge of its band.
        inner_low: Lower edge of a darker band within it; None without one.
        inner_high: Upper edge of that band.
    """

    label: str
    x: Array
    y: Array
    pen: Pen
    low: Array | None = None
    high: Array | None = None
    inner_low: Array | None = None
    inner_high: Array | None = None


@dataclass(frozen=True)
class Level:
    """A limit at one height, across the whole chart.

    Attributes:
        y: Where.
        label: Written at its end.
        pen: Line style.
        wall: Side that is hatched, for a limit that cannot be passed.
    """

    y: float
    label: str
    pen: Pen = LIMIT
    wall: Literal["", "above", "below"] = ""


@dataclass(frozen=True)
class Mark:
    """An upright line at one place along the chart, with a label above it."""

    x: float
    label: str
    pen: Pen = LIMIT


@dataclass(frozen=True)
class Window:
    """A bracket beside the curves: what is accepted at their beginning or at their end.

    Attributes:
        side: The beginning (``left``) or the end (``right``) of the chart.
        low: Least accepted.
        high: Greatest accepted.
        letter: Which curve it belongs to, in one or two letters.
    """

    side: Literal["left", "right"]
    low: float
    high: float
    letter: str


@dataclass(frozen=True)
class Whisker:
    """How far one figure may lie, as an upright bar with ends."""

    x: float
    low: float
    high: float


@dataclass(frozen=True)
class Panel:
    """One chart.

    Attributes:
        x_title: What runs along it, with its unit in brackets.
        y_title: What stands upright, with its unit in brackets.
        curves: Later ones lie over earlier ones; every band lies under every line.
        levels: Limits across.
        marks: Places along.
        windows: Accepted at beginning and end.
        whiskers: Spread of single figures.
        show_y: Figures that the upright axis has to reach.
        height_mm: Of the plot itself; it grows where its labels need more. [mm]
    """

    x_title: str
    y_title: str
    curves: tuple[Curve, ...]
    levels: tuple[Level, ...] = ()
    marks: tuple[Mark, ...] = ()
    windows: tuple[Window, ...] = ()
    whiskers: tuple[Whisker, ...] = ()
    show_y: tuple[float, ...] = ()
    height_mm: float = field(default=64.0)

    def heights(self) -> list[float]:
        """Every figure besides the curves that the upright axis has to reach."""
        limits = [level.y for level in self.levels]
        limits += [edge for window in self.windows for edge in (window.low, window.high)]
        limits += [edge for whisker in self.whiskers for edge in (whisker.low, whisker.high)]
        return [*limits, *self.show_y]

    def bands_and_lines(self) -> list[Array]:
        """Every array of figures that the upright axis should reach."""
        found = []
        for curve in self.curves:
            rows = (curve.y, curve.low, curve.high, curve.inner_low, curve.inner_high)
            found += [row for row in rows if row is not None]
        return found

    def along(self) -> tuple[float, float]:
        """First and last place of the curves along the chart."""
        places = [curve.x[np.isfinite(curve.x)] for curve in self.curves]
        places = [row for row in places if row.size]
        if not places:
            return 0.0, 1.0
        first, last = float(min(row.min() for row in places)), float(max(row.max() for row in places))
        return (first, last) if last > first else (first - 0.5, first + 0.5)
