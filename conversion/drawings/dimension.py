"""Dimension lines: between two points of the picture, or beside it with lines that lead out."""

from __future__ import annotations

import math

from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.svg import FINE, Canvas, Pen, Point

TEXT_MM = 2.5
_HEAD_MM = 1.6
_CLEAR_MM = 4.4
DIMENSION = Pen(0.18)


def between(canvas: Canvas, start: Point, end: Point, taken: list[Point]) -> Point:
    """The distance of two points; the place for a number in a circle beside it, that words in the margin refer to.

    Points that are close on paper have their arrows outside.

    Args:
        canvas: To draw on.
        start: One point.
        end: The other.
        taken: Middles of circles that are already there; the new one keeps clear of them and is added.
    """
    run = math.dist(start, end)
    along = ((end[0] - start[0]) / run, (end[1] - start[1]) / run) if run > 1e-6 else (0.0, -1.0)
    if run > 3 * _HEAD_MM:
        canvas.line(start, end, DIMENSION)
        canvas.arrow_head(start, end, _HEAD_MM)
        canvas.arrow_head(end, start, _HEAD_MM)
        wanted = [(share * run, side) for share in (0.5, 0.25, 0.75, 0.1, 0.9) for side in (3.0, -3.0)]
    else:
        for point, sign in ((start, -1.0), (end, 1.0)):
            tail = (point[0] + sign * along[0] * 4.0, point[1] + sign * along[1] * 4.0)
            canvas.line(point, tail, DIMENSION)
            canvas.arrow_head(point, tail, _HEAD_MM)
        wanted = [(run + 6.2, 0.0), (-6.2, 0.0), (run + 4.0, 3.6), (-4.0, 3.6), (run + 4.0, -3.6), (-4.0, -3.6)]
    places = [
        (start[0] + along[0] * far - along[1] * side, start[1] + along[1] * far + along[0] * side)
        for far, side in wanted
    ]
    at = max(places, key=lambda place: min([_CLEAR_MM, *(math.dist(place, other) for other in taken)]))
    taken.append(at)
    return at


def balloon(canvas: Canvas, at: Point, number: str) -> None:
    """A number in a circle."""
    canvas.circle(at, max(1.9, text_width_mm(number, TEXT_MM) / 2 + 0.7), Pen(0.2), "#ffffff")
    canvas.text((at[0], at[1] + 0.9), number, TEXT_MM, "middle")


def level(canvas: Canvas, left: Point, right: Point, y: float, words: str) -> None:
    """A level dimension at a height of the page, led out from two points."""
    for x, from_y in ((left[0], left[1]), (right[0], right[1])):
        _lead(canvas, (x, from_y), (x, y))
    _arrows(canvas, (left[0], y), (right[0], y))
    _words(canvas, ((left[0] + right[0]) / 2, y - 0.7), words, right[0] - left[0], (right[0] + 2.2, y + 0.9))


def upright(canvas: Canvas, top: Point, bottom: Point, x: float, words: str) -> None:
    """An upright dimension at a place across the page, led out from two points; its words are read from the right."""
    for from_x, y in ((top[0], top[1]), (bottom[0], bottom[1])):
        _lead(canvas, (from_x, y), (x, y))
    _arrows(canvas, (x, top[1]), (x, bottom[1]))
    middle = (top[1] + bottom[1]) / 2
    if text_width_mm(words, TEXT_MM) + 1.0 < bottom[1] - top[1] or bottom[1] - top[1] > 12.0:
        canvas.text((x - 0.7, middle), words, TEXT_MM, "middle", upright=True)
    else:
        canvas.text((x + 1.2, middle + 0.9), words, TEXT_MM, halo=True)


def aligned(canvas: Canvas, start: Point, end: Point, off: float, words: str) -> None:
    """A dimension along the line of two points, moved to the right of someone who walks from start to end. [mm]

    One that is not moved has its words in the middle of its line, if that is long enough.
    """
    run = math.dist(start, end)
    along = ((end[0] - start[0]) / run, (end[1] - start[1]) / run)
    aside = (-along[1] * off, along[0] * off)
    moved = [(point[0] + aside[0], point[1] + aside[1]) for point in (start, end)]
    for point, to in zip((start, end), moved, strict=True):
        _lead(canvas, point, to)
    _arrows(canvas, moved[0], moved[1])
    middle = ((moved[0][0] + moved[1][0]) / 2, (moved[0][1] + moved[1][1]) / 2)
    fits_in_line = off == 0.0 and text_width_mm(words, TEXT_MM) + 1.0 < run
    if abs(aside[0]) < 0.5 and (fits_in_line or off != 0.0):
        canvas.text((middle[0], middle[1] + 0.9), words, TEXT_MM, "middle", halo=True)
    else:
        beyond = math.copysign(2.2, aside[0])
        canvas.text(
            (middle[0] + beyond, middle[1] + 0.9), words, TEXT_MM, "start" if beyond > 0.0 else "end", halo=True
        )


def _words(canvas: Canvas, over: Point, words: str, room: float, beside: Point) -> None:
    if text_width_mm(words, TEXT_MM) + 1.0 < room:
        canvas.text(over, words, TEXT_MM, "middle")
    else:
        canvas.text(beside, words, TEXT_MM, halo=True)


def _lead(canvas: Canvas, start: Point, end: Point) -> None:
    """From near the point to a little past the dimension line."""
    run = math.dist(start, end)
    if run < 1.2:
        return
    share, past = 1.0 / run, 1.0 + 1.0 / run
    canvas.line(
        (start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share),
        (start[0] + (end[0] - start[0]) * past, start[1] + (end[1] - start[1]) * past),
        FINE,
    )


def _arrows(canvas: Canvas, start: Point, end: Point) -> None:
    run = math.dist(start, end)
    if run < 2.5 * _HEAD_MM:
        along = ((end[0] - start[0]) / run, (end[1] - start[1]) / run) if run > 0.0 else (1.0, 0.0)
        tails = [(p[0] + s * along[0] * 3.5, p[1] + s * along[1] * 3.5) for p, s in ((start, -1.0), (end, 1.0))]
        for point, tail in zip((start, end), tails, strict=True):
            canvas.line(point, tail, DIMENSION)
            canvas.arrow_head(point, tail, _HEAD_MM)
        canvas.line(start, end, DIMENSION)
        return
    canvas.line(start, end, DIMENSION)
    canvas.arrow_head(start, end, _HEAD_MM)
    canvas.arrow_head(end, start, _HEAD_MM)
