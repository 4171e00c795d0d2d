"""Draws charts in black and white: labels stand at the ends of the lines, and nothing is told apart by colour."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened, spread, wrapped
from conversion.drawings.panel import Panel, Window
from conversion.drawings.scales import Array, Scale, inside, mark_text, marks, round_step, rounded_outward, shown_range
from conversion.drawings.svg import GREY, PALE, THIN, Canvas, Pen, Point

WIDTH_MM = 180.0
_LEFT, _RIGHT = 15.0, 128.0
_LABEL = 2.5
_LINE = 3.2
_SAMPLE = 6.0
_LABEL_AT = _RIGHT + 5.0
_TEXT_AT = _LABEL_AT + _SAMPLE + 1.2
_WALL = 2.0
_UPRIGHT_MARKS, _LEVEL_MARKS = 8, 8
_GRID = Pen(0.1, colour="#c8c8c8")
_LEADER = Pen(0.1, colour=GREY)
_BAND_EDGE = Pen(0.1, colour=GREY)
_BRACKET = Pen(0.4)
INNER = "#b0b0b0"


def chart(name: str, title: str, caption: str, panels: Sequence[Panel]) -> Drawing:
    """One drawing of one or more charts below each other."""
    canvas = Canvas()
    bottom = 1.0
    for panel in panels:
        bottom = _draw(canvas, panel, bottom) + 3.0
    height = bottom - 2.0
    return Drawing(name, title, caption, canvas.document(WIDTH_MM, height, title, caption), WIDTH_MM, height)


@dataclass(frozen=True)
class _End:
    """What stands in the margin at the end of a line."""

    y: float
    lines: list[str]
    pen: Pen | None
    start: Point | None


def _draw(canvas: Canvas, panel: Panel, top: float) -> float:
    """Draw one panel below a height of the page; returns its lower edge. [mm]"""
    plot_top = top + (9.5 if panel.marks else 5.0)
    first, last = panel.along()
    y_low, y_high = _upright(panel)
    ends_height = sum(_label_height(end) for end in _ends(panel, Scale(first, last, 0, 1), Scale(0, 1, 0, 1)))
    plot_bottom = plot_top + max(panel.height_mm, ends_height)
    strip = 1.5 + 3.4 * _columns(panel.windows)
    x = Scale(first, last, _LEFT + strip, _RIGHT - strip)
    y = Scale(y_low, y_high, plot_bottom, plot_top)
    _axes(canvas, panel, x, y)
    for curve in panel.curves:
        _band(canvas, curve.x, curve.low, curve.high, x, y, PALE)
    for curve in panel.curves:
        _band(canvas, curve.x, curve.inner_low, curve.inner_high, x, y, INNER)
    for level in panel.levels:
        at = y.held(level.y)
        canvas.line((_LEFT, at), (_RIGHT, at), level.pen)
        if level.wall:
            canvas.hatch((_LEFT, at - _WALL if level.wall == "above" else at), _RIGHT - _LEFT, _WALL)
    for mark in panel.marks:
        canvas.line((x.at(mark.x), plot_top), (x.at(mark.x), plot_bottom), mark.pen)
    for curve in panel.curves:
        for line in inside(curve.x.tolist(), curve.y.tolist(), y, x):
            canvas.polyline(line, curve.pen)
    for whisker in panel.whiskers:
        _bar(canvas, x.at(whisker.x), y.held(whisker.low), y.held(whisker.high), 0.0)
    _windows(canvas, panel.windows, y)
    canvas.rect((_LEFT, plot_top), _RIGHT - _LEFT, plot_bottom - plot_top, THIN)
    canvas.text((1.0, top + 2.2), panel.y_title, _LABEL, bold=True)
    _mark_labels(canvas, panel, x, plot_top)
    _end_labels(canvas, _ends(panel, x, y), plot_top, plot_bottom)
    return plot_bottom + 8.0


def _upright(panel: Panel) -> tuple[float, float]:
    low, high = shown_range(panel.bands_and_lines(), panel.heights())
    # Hatching needs room between a wall and the edge of the plot.
    room = (high - low) * 1.6 * _WALL / panel.height_mm
    for level in panel.levels:
        if level.wall == "below":
            low = min(low, level.y - room)
        elif level.wall == "above":
            high = max(high, level.y + room)
    return rounded_outward(low, high, round_step(low, high, _UPRIGHT_MARKS))


def _axes(canvas: Canvas, panel: Panel, x: Scale, y: Scale) -> None:
    step = round_step(y.low, y.high, _UPRIGHT_MARKS)
    for value in marks(y.low, y.high, step):
        at = y.at(value)
        canvas.line((_LEFT, at), (_RIGHT, at), _GRID)
        canvas.text((_LEFT - 1.2, at + 0.9), mark_text(value, step), _LABEL, "end")
    step = round_step(x.low, x.high, _LEVEL_MARKS)
    bottom, top = y.page_low, y.page_high
    # Where the strips beside the curves have room, marks go on beyond them.
    per_mm = (x.high - x.low) / (x.page_high - x.page_low)
    before, after = (x.page_low - _LEFT) * per_mm, (_RIGHT - x.page_high) * per_mm
    for value in marks(x.low - before if x.low < 0 else x.low, x.high + after, step):
        at = x.at(value)
        canvas.line((at, bottom), (at, top), _GRID)
        canvas.line((at, bottom), (at, bottom + 1.0), THIN)
        canvas.text((at, bottom + 3.8), mark_text(value, step), _LABEL, "middle")
    canvas.text(((_LEFT + _RIGHT) / 2, bottom + 7.4), panel.x_title, _LABEL, "middle", bold=True)


def _band(
    canvas: Canvas, along: Array, low: Array | None, high: Array | None, x: Scale, y: Scale, fill: str
) -> None:  # fmt: skip
    if low is None or high is None:
        return
    known = np.isfinite(low) & np.isfinite(high)
    # Stretches of known figures: where the flag turns, with an unknown one put before and after.
    turns = np.flatnonzero(np.diff(np.concatenate(([False], known, [False])).astype(int)))
    for start, end in zip(turns[::2].tolist(), turns[1::2].tolist(), strict=True):
        places = [x.at(value) for value in along[start:end].tolist()]
        lower = list(zip(places, map(y.held, low[start:end].tolist()), strict=True))
        upper = list(zip(places, map(y.held, high[start:end].tolist()), strict=True))
        canvas.polygon(upper + lower[::-1], _BAND_EDGE, fill)


def _bar(canvas: Canvas, at: float, low: float, high: float, cap: float) -> None:
    """An upright bar; caps on both sides, or on the side to which `cap` points."""
    left, right = (min(0.0, cap), max(0.0, cap)) if cap else (-0.8, 0.8)
    canvas.line((at, low), (at, high), _BRACKET)
    for end in (low, high):
        canvas.line((at + left, end), (at + right, end), _BRACKET)


def _columns(windows: Sequence[Window]) -> int:
    return max((sum(window.side == side for window in windows) for side in ("left", "right")), default=0)


def _windows(canvas: Canvas, windows: Sequence[Window], y: Scale) -> None:
    for side, edge, inward in (("left", _LEFT, 1.0), ("right", _RIGHT, -1.0)):
        for column, window in enumerate(each for each in windows if each.side == side):
            at = edge + inward * (1.7 + 3.4 * column)
            low, high = y.held(window.low), y.held(window.high)
            _bar(canvas, at, low, high, inward)
            above = high - 0.9 if high - 3.5 > y.page_high else low + 2.8
            canvas.text((at, above), window.letter, _LABEL, "middle", bold=True, halo=True)


def _mark_labels(canvas: Canvas, panel: Panel, x: Scale, plot_top: float) -> None:
    labels = [shortened(mark.label, _LABEL, 50.0) for mark in panel.marks]
    widths = [text_width_mm(label, _LABEL) + 3.0 for label in labels]
    middles = spread([x.at(mark.x) for mark in panel.marks], widths, 0.0, WIDTH_MM)
    for mark, label, middle in zip(panel.marks, labels, middles, strict=True):
        canvas.polyline([(x.at(mark.x), plot_top), (middle, plot_top - 1.6)], _LEADER)
        canvas.text((middle, plot_top - 2.2), label, _LABEL, "middle")


def _ends(panel: Panel, x: Scale, y: Scale) -> list[_End]:
    room = WIDTH_MM - 1.0 - _TEXT_AT
    found = []
    for curve in panel.curves:
        place = _last(curve.x, curve.y)
        if place is None:
            found.append(_End(y.page_low, wrapped(f"{curve.label} (no figure)", _LABEL, room, 2), curve.pen, None))
        else:
            at = y.held(place[1])
            found.append(_End(at, wrapped(curve.label, _LABEL, room, 2), curve.pen, (x.at(place[0]), at)))
    for level in panel.levels:
        at = y.held(level.y)
        found.append(_End(at, wrapped(level.label, _LABEL, room, 2), level.pen, (_RIGHT, at)))
    return found


def _last(xs: Array, ys: Array) -> tuple[float, float] | None:
    known = np.flatnonzero(np.isfinite(xs) & np.isfinite(ys))
    return (float(xs[known[-1]]), float(ys[known[-1]])) if known.size else None


def _label_height(end: _End) -> float:
    return _LINE * len(end.lines) + 0.4


def _end_labels(canvas: Canvas, ends: Sequence[_End], top: float, bottom: float) -> None:
    # Lines that end together keep the order in which they were given.
    middles = spread([round(end.y, 2) for end in ends], [_label_height(end) for end in ends], top, bottom)
    for end, middle in zip(ends, middles, strict=True):
        if end.start is not None:
            canvas.polyline([end.start, (_RIGHT, end.y), (_LABEL_AT - 0.8, middle)], _LEADER)
        if end.pen is not None:
            canvas.line((_LABEL_AT, middle), (_LABEL_AT + _SAMPLE, middle), end.pen)
        first = middle - _LINE * (len(end.lines) - 1) / 2 + 0.9
        for number, line in enumerate(end.lines):
            canvas.text((_TEXT_AT, first + _LINE * number), line, _LABEL)
