"""What lies on the board so far, and what would be in the way of something more."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.linkage.turning import Array
from conversion.loom.board.touching import Truth, box_distance_mm, line_distance_mm, line_in_box, point_distance_mm

_AWAY = 1e8
# Two parts of the loom that begin close to each other may stay as close, as long as they do not come much closer.
_SHARE = 0.7


@dataclass(frozen=True, slots=True)
class Apart:
    """What should be left between things on the board.

    Attributes:
        lines_mm: Between two lengths of loom. [mm]
        boxes_mm: Between two boxes. [mm]
        line_box_mm: Between a length of loom and a box. [mm]
        angle_rad: Between two lengths of loom that leave one station. [rad]
    """

    lines_mm: float
    boxes_mm: float
    line_box_mm: float
    angle_rad: float


@dataclass(frozen=True)
class Tried:
    """Ways in which one thing could be laid, all from one station.

    Attributes:
        legs: Straight lines one after the other, (ways, legs, 4). [mm]
        boxes: The box at the end of each way, (ways, 4); None for a run. [mm]
        half_mm: Half the thickness. [mm]
        station: Number of the station that they leave.
    """

    legs: Array
    boxes: Array | None
    half_mm: float
    station: int

    def reach(self) -> tuple[Array, Array]:
        """Least and greatest x and y of each way, (ways, 2) each. [mm]"""
        ends = self.legs.reshape(len(self.legs), -1, 2)
        low, high = ends.min(axis=1) - self.half_mm, ends.max(axis=1) + self.half_mm
        if self.boxes is not None:
            low, high = np.minimum(low, self.boxes[:, :2]), np.maximum(high, self.boxes[:, 2:])
        return low, high


class Room:
    """Lines and boxes by who owns them; what is taken away leaves its place in the arrays empty."""

    def __init__(self) -> None:
        self.lines = np.full((64, 4), _AWAY)
        self.half_mm = np.zeros(64)
        self.line_owner = np.full(64, -1)
        self.line_ends = np.full((64, 2), -1)
        self.boxes = np.full((64, 4), _AWAY)
        self.box_owner = np.full(64, -1)
        self._line_count = 0
        self._box_count = 0

    def add_lines(self, owner: int, points: Array, half_mm: float, stations: tuple[int, int]) -> None:
        """A way through points, (k, 2), between two stations by number; -1 stands for none."""
        last = len(points) - 2
        for leg in range(last + 1):
            if self._line_count == len(self.lines):
                self._grow_lines()
            row = self._line_count
            self.lines[row] = [*points[leg], *points[leg + 1]]
            self.half_mm[row], self.line_owner[row] = half_mm, owner
            self.line_ends[row] = [stations[0] if leg == 0 else -1, stations[1] if leg == last else -1]
            self._line_count += 1

    def add_box(self, owner: int, box: Array) -> None:
        """A box, (4,). [mm]"""
        if self._box_count == len(self.boxes):
            self.boxes = np.concatenate([self.boxes, np.full_like(self.boxes, _AWAY)])
            self.box_owner = np.concatenate([self.box_owner, np.full_like(self.box_owner, -1)])
        self.boxes[self._box_count], self.box_owner[self._box_count] = box, owner
        self._box_count += 1

    def remove(self, owner: int) -> None:
        """Take away all that one owner has."""
        gone = self.line_owner == owner
        self.lines[gone], self.line_owner[gone], self.line_ends[gone] = _AWAY, -1, -1
        gone = self.box_owner == owner
        self.boxes[gone], self.box_owner[gone] = _AWAY, -1

    def reach(self) -> tuple[Array, Array]:
        """Least and greatest x and y of all that lies there, (2,) each; nothing lies at the origin. [mm]"""
        lines, boxes = self.lying()
        if not len(lines):
            return np.zeros(2), np.zeros(2)
        ends = np.concatenate([lines[:, :2], lines[:, 2:], boxes[:, :2], boxes[:, 2:]])
        return ends.min(axis=0), ends.max(axis=0)

    def lying(self) -> tuple[Array, Array]:
        """Lines and boxes that lie there, (n, 4) and (m, 4). [mm]"""
        return self.lines[self.lines[:, 0] < _AWAY], self.boxes[self.boxes[:, 0] < _AWAY]

    def in_the_way(self, tried: Tried, apart: Apart) -> tuple[Truth, Truth]:
        """Which lines and which boxes each way would come too near, (ways, lines) and (ways, boxes) of the arrays."""
        low, high = tried.reach()
        margin = apart.lines_mm + tried.half_mm + 60.0
        low, high = low.min(axis=0) - margin, high.max(axis=0) + margin
        near_lines = np.flatnonzero(
            (np.minimum(self.lines[:, 0], self.lines[:, 2]) <= high[0])
            & (np.maximum(self.lines[:, 0], self.lines[:, 2]) >= low[0])
            & (np.minimum(self.lines[:, 1], self.lines[:, 3]) <= high[1])
            & (np.maximum(self.lines[:, 1], self.lines[:, 3]) >= low[1])
        )
        near_boxes = np.flatnonzero(
            (self.boxes[:, 0] <= high[0]) & (self.boxes[:, 2] >= low[0])
            & (self.boxes[:, 1] <= high[1]) & (self.boxes[:, 3] >= low[1])
        )  # fmt: skip
        lines = np.zeros((len(tried.legs), len(self.lines)), bool)
        boxes = np.zeros((len(tried.legs), len(self.boxes)), bool)
        if len(near_lines):
            lines[:, near_lines] = self._lines_hit(tried, apart, near_lines)
        if len(near_boxes):
            boxes[:, near_boxes] = self._boxes_hit(tried, apart, near_boxes)
        return lines, boxes

    def _lines_hit(self, tried: Tried, apart: Apart, near: NDArray[np.intp]) -> Truth:
        there, origin = self.lines[near], tried.legs[0, 0, :2]
        from_station = point_distance_mm((origin[0], origin[1]), there)
        full = apart.lines_mm + tried.half_mm + self.half_mm[near]
        meets = self.line_ends[near] == tried.station
        incident = meets.any(axis=1)
        span = np.linalg.norm(tried.legs[:, 0, 2:] - tried.legs[:, 0, :2], axis=1)
        hit = np.zeros((len(tried.legs), len(near)), bool)
        for leg in range(tried.legs.shape[1]):
            begins = tried.legs[:, leg][:, [0, 1, 0, 1]]
            at_start = from_station if leg == 0 else line_distance_mm(begins, there)
            close = line_distance_mm(tried.legs[:, leg], there) < np.minimum(full, _SHARE * at_start)
            if leg == 0:
                # Two that leave one station touch there; at its far end each is clear of the other's thickness.
                ends = line_distance_mm(tried.legs[:, 0][:, [2, 3, 2, 3]], there)
                thick = tried.half_mm + self.half_mm[near]
                touching = ends < np.minimum(thick, _SHARE * span[:, None])
                close = np.where(incident, touching | self._too_acute(tried.legs[:, 0], there, meets, apart), close)
            hit |= close
        if tried.boxes is not None:
            free = np.where(incident, span[:, None], from_station)
            hit |= line_in_box(
                there, tried.boxes, np.minimum(apart.line_box_mm + self.half_mm[near], _SHARE * free).T
            ).T
        return hit

    def _too_acute(self, legs: Array, there: Array, meets: Truth, apart: Apart) -> Truth:
        way = legs[:, 2:] - legs[:, :2]
        out = np.where(meets[:, :1], there[:, 2:] - there[:, :2], there[:, :2] - there[:, 2:])
        turned = np.arctan2(way[:, 1], way[:, 0])[:, None] - np.arctan2(out[:, 1], out[:, 0])[None, :]
        between = np.abs((turned + np.pi) % (2 * np.pi) - np.pi)
        acute: Truth = between < apart.angle_rad - 1e-6
        return acute

    def _boxes_hit(self, tried: Tried, apart: Apart, near: NDArray[np.intp]) -> Truth:
        there = self.boxes[near]
        hit = np.zeros((len(tried.legs), len(near)), bool)
        for leg in range(tried.legs.shape[1]):
            hit |= line_in_box(tried.legs[:, leg], there, apart.line_box_mm + tried.half_mm)
        if tried.boxes is not None:
            hit |= box_distance_mm(tried.boxes, there) < apart.boxes_mm
        return hit

    def _grow_lines(self) -> None:
        self.lines = np.concatenate([self.lines, np.full_like(self.lines, _AWAY)])
        self.half_mm = np.concatenate([self.half_mm, np.zeros_like(self.half_mm)])
        self.line_owner = np.concatenate([self.line_owner, np.full_like(self.line_owner, -1)])
        self.line_ends = np.concatenate([self.line_ends, np.full_like(self.line_ends, -1)])
