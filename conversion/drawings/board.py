"""The loom on its board, reduced to a page of the pack: where everything is, and how far apart."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from conversion.drawings.board_sheet import (
    LEAST_WIDTH_MM,
    longest_leg,
    station_thick_mm,
    thick_mm,
)
from conversion.drawings.board_words import counted, length_words, splices_at
from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import ASCENT, text_width_mm
from conversion.drawings.svg import BLACK, GREY, WHITE, Canvas, Pen, Point
from conversion.linkage.turning import Array
from conversion.loom.board.placing import Ground, Placed, Words, place_words
from conversion.plan import Plan
from conversion.plan.loom.board import STRIP_MM, BoardPlan

WIDTH_MM = 180.0
HIGHEST_MM = 205.0

_EDGE_MM = 7.0
_NAME_MM, _LENGTH_MM = 2.5, 2.2
_NODE_MM, _END_MM = 0.9, 0.6
_LEADER = Pen(0.1, colour=GREY)
# How far names may be led away; where there are many, leaders would hide the loom.
_FAR_MM, _NEAR_MM = 45.0, 3.0
_MANY = 150
_GAP_MM = 0.5


def board_overview(plan: Plan) -> Drawing:
    """The reduced drawing.

    Raises:
        Missing: the loom cannot be laid; see :func:`~conversion.plan.loom.board.board_plan`.
    """
    board = plan.board
    layout = board.layout
    ends = np.concatenate([*layout.runs.values(), *layout.tails.values()])
    low, high = ends.min(axis=0), ends.max(axis=0)
    room = np.array([WIDTH_MM, HIGHEST_MM]) - 2 * _EDGE_MM
    scale = float(np.min(room / np.maximum(high - low, 1.0)))
    height = float(high[1] - low[1]) * scale + 2 * _EDGE_MM
    shift = np.array([(WIDTH_MM - scale * (high[0] - low[0])) / 2, _EDGE_MM]) - scale * low
    picture = _Picture(plan, scale, shift, height)
    picture.draw()
    title = "The loom on its board"
    caption = _caption(board, scale, picture.left_out)
    svg = picture.canvas.document(WIDTH_MM, height, title, caption)
    return Drawing("board", title, caption, svg, WIDTH_MM, height)


def _caption(board: BoardPlan, scale: float, left_out: int) -> str:
    layout = board.layout
    width, height = max(layout.width_mm, LEAST_WIDTH_MM), layout.height_mm + STRIP_MM
    words = [
        f"Reduced about 1 to {1 / scale:.0f}. The board takes {width:.0f} × {height:.0f} mm; lines are as thick as the "
        "loom where that can be seen. Numbers are lengths of runs in mm, a ring is a station, a diamond a station with "
        "splices, a square the end of a tail.",
    ]
    if layout.folds:
        words.append("Where a line is bent between two stations, it is bent on the board only.")
    if not layout.fits:
        words.append("The described board is smaller.")
    if left_out:
        words.append(f"{counted(left_out, 'name')} found no room here; the board at true scale has them all.")
    return " ".join(words)


class _Picture:
    """The picture while it is drawn; y counts upward until something is put on the canvas."""

    def __init__(self, plan: Plan, scale: float, shift: Array, height_mm: float) -> None:
        self.plan, self.board, self.layout = plan, plan.board, plan.board.layout
        self._scale, self._shift, self._height = scale, shift, height_mm
        self.canvas = Canvas()
        self.left_out = 0

    def draw(self) -> None:
        """Loom, marks, words."""
        thick = thick_mm(self.board)
        for name, points in (*self.layout.tails.items(), *self.layout.runs.items()):
            pen = Pen(max(0.25, thick[name] * self._scale))
            self.canvas.polyline([self._at(point) for point in points], pen)
        for points in self.layout.tails.values():
            x, y = self._at(points[-1])
            self.canvas.rect((x - _END_MM, y - _END_MM), 2 * _END_MM, 2 * _END_MM, Pen(0.2), WHITE)
        for station, place in self.layout.stations.items():
            x, y = self._at(place)
            if splices_at(self.plan, station):
                reach = 1.7 * _NODE_MM
                self.canvas.polygon([(x + reach, y), (x, y + reach), (x - reach, y), (x, y - reach)], Pen(0.3), WHITE)
            else:
                self.canvas.circle((x, y), _NODE_MM, Pen(0.3), WHITE)
        self._write()

    def _at(self, point: Array) -> Point:
        x, y = self._scale * point + self._shift
        return float(x), self._height - float(y)

    def _write(self) -> None:
        """Names of housings first, then those of stations, then lengths."""
        layout, lengths = self.layout, {run.name: run.length_mm for run in self.board.tree.runs}
        wanted: list[tuple[str, float, bool, Array]] = []
        for name, points in layout.tails.items():
            wanted.append((name, _NAME_MM, True, np.array([points[-1], points[-1]])))
        for station, place in layout.stations.items():
            wanted.append((station, _NAME_MM, False, np.array([place, place])))
        for name, points in layout.runs.items():
            wanted.append((length_words(lengths[name]).removesuffix(" mm"), _LENGTH_MM, False, longest_leg(points)))
        words = [
            Words((text_width_mm(text, size, bold), ASCENT * size), self._scale * along + self._shift)
            for text, size, bold, along in wanted
        ]
        for (text, size, bold, _), placed in zip(wanted, place_words(words, self._ground()), strict=True):
            self._put(text, size, bold, placed)

    def _put(self, text: str, size: float, bold: bool, place: Placed) -> None:
        if not place.clear:
            self.left_out += 1
            return
        if place.leader is not None:
            start, end = ((float(x), self._height - float(y)) for x, y in place.leader)
            self.canvas.line(start, end, _LEADER)
        left, foot = float(place.box[0]), self._height - float(place.box[1])
        self.canvas.text((left, foot), text, size, bold=bold, colour=BLACK)

    def _ground(self) -> Ground:
        thick, at_station = thick_mm(self.board), station_thick_mm(self.board)
        ways = (*self.layout.runs.items(), *self.layout.tails.items())
        lines = [
            ([*one, *two], thick[name] / 2 * self._scale + 0.2)
            for name, points in ways
            for one, two in pairwise(points)
        ]
        lines += [
            ([*at, *at], max(1.7 * _NODE_MM, at_station[name] / 2 * self._scale))
            for name, at in self.layout.stations.items()
        ]
        lines += [([*points[-1], *points[-1]], _END_MM + 0.2) for points in self.layout.tails.values()]
        where, half = zip(*lines, strict=True)
        placed = self._scale * np.array(where) + np.tile(self._shift, 2)
        inside = np.array([0.5, 0.5, WIDTH_MM - 0.5, self._height - 0.5])
        far_mm = _FAR_MM if len(ways) + len(self.layout.stations) < _MANY else _NEAR_MM
        return Ground(placed, np.array(half), np.empty((0, 4)), inside, _GAP_MM, far_mm)
