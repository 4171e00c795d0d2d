"""Words in the two margins of a drawing, each with a leader to its point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import beside
from conversion.drawings.svg import BLACK, GREY, Canvas, Pen, Point

TEXT_MM, LINE_MM = 2.5, 3.2
LEADER = Pen(0.1, colour=GREY)
_APART_MM = 1.6


@dataclass(frozen=True, slots=True)
class Callout:
    """Words in the margin about a point of the picture.

    Attributes:
        at: The point on the page.
        lines: Already as narrow as the margin.
        bold: How many of the first lines are set bold.
    """

    at: Point
    lines: tuple[str, ...]
    bold: int = 0

    def moved(self, down_mm: float) -> Callout:
        """The same with its point further down. [mm]"""
        return replace(self, at=(self.at[0], self.at[1] + down_mm))

    @property
    def height_mm(self) -> float:
        """With what parts it from the next. [mm]"""
        return LINE_MM * len(self.lines) + _APART_MM


def halves(callouts: Sequence[Callout]) -> tuple[list[Callout], list[Callout]]:
    """For the left and for the right margin, so that leaders stay short and both are about as full."""
    order = sorted(callouts, key=lambda each: each.at[0])
    total, taken = sum(each.height_mm for each in order), 0.0
    for count, each in enumerate(order):
        if taken + each.height_mm / 2 > total / 2:
            return order[:count], order[count:]
        taken += each.height_mm
    return order, []


def needed_mm(columns: Sequence[Sequence[Callout]]) -> float:
    """Height of the fuller column. [mm]"""
    return max(sum(each.height_mm for each in column) for column in columns)


def place(
    canvas: Canvas, columns: tuple[Sequence[Callout], Sequence[Callout]], width_mm: float, column_mm: float,
    top: float, bottom: float,
) -> None:  # fmt: skip
    """Both margins, with leaders.

    Args:
        canvas: To draw on.
        columns: Left and right.
        width_mm: Of the drawing. [mm]
        column_mm: Of a margin. [mm]
        top: Where the margins begin. [mm]
        bottom: Where they end. [mm]
    """
    for column, on_left in zip(columns, (True, False), strict=True):
        starts = [_start(each, 1.0 if on_left else width_mm - column_mm, on_left) for each in column]
        middles = beside([each.at for each in column], [each.height_mm for each in column], starts, top, bottom)
        for callout, middle in zip(column, middles, strict=True):
            _one(canvas, callout, middle, 1.0 if on_left else width_mm - column_mm, on_left)


def _one(canvas: Canvas, callout: Callout, middle: float, left: float, on_left: bool) -> None:
    canvas.line((_start(callout, left, on_left), middle), callout.at, LEADER)
    canvas.circle(callout.at, 0.35, None, BLACK)
    first = middle - LINE_MM * (len(callout.lines) - 1) / 2 + 0.9
    for number, line in enumerate(callout.lines):
        canvas.text((left, first + LINE_MM * number), line, TEXT_MM, halo=True, bold=number < callout.bold)


def _start(callout: Callout, left: float, on_left: bool) -> float:
    """Across the page, where the leader begins. [mm]"""
    wide = max(text_width_mm(line, TEXT_MM, number < callout.bold) for number, line in enumerate(callout.lines))
    return left + wide + 0.8 if on_left else left - 0.8
