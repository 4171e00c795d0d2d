"""The trunk on the board: one straight line, or rows one below the other where the board is too short for it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from conversion.linkage.turning import Array


@dataclass(frozen=True)
class Spine:
    """A way of given length, level rows joined by upright pieces.

    Attributes:
        corners_mm: Its points, (k, 2), x to the right and y up. [mm]
        at_mm: How far along the way each corner is, (k,). [mm]
    """

    corners_mm: Array
    at_mm: Array

    def point(self, along_mm: float) -> Array:
        """Where a length along the way ends, (2,). [mm]"""
        return np.array([np.interp(along_mm, self.at_mm, self.corners_mm[:, axis]) for axis in (0, 1)])

    def piece(self, start_mm: float, end_mm: float) -> Array:
        """Points of the way between two lengths, (k, 2); corners between them included. [mm]"""
        inside = (self.at_mm > start_mm + 1e-6) & (self.at_mm < end_mm - 1e-6)
        return np.array([self.point(start_mm), *self.corners_mm[inside], self.point(end_mm)])


def spine_of(length_mm: float, row_mm: float | None, apart_mm: float) -> Spine:
    """A way of a length, in rows no longer than told.

    Args:
        length_mm: Of the whole way; positive. [mm]
        row_mm: Greatest length of a row; None for one straight line. [mm]
        apart_mm: Of two rows; where two rows and what joins them would be longer than the way, it is less. [mm]

    Example:
        >>> spine_of(2500.0, 1000.0, 200.0).corners_mm.tolist()
        [[0.0, 0.0], [1000.0, 0.0], [1000.0, -200.0], [0.0, -200.0], [0.0, -400.0], [100.0, -400.0]]
    """
    if row_mm is None or length_mm <= row_mm:
        return Spine(np.array([[0.0, 0.0], [length_mm, 0.0]]), np.array([0.0, length_mm]))
    corners, left, x, y = [(0.0, 0.0)], length_mm, 0.0, 0.0
    while True:
        level = min(left, row_mm)
        x = level if x < row_mm / 2 else x - level
        corners.append((x, y))
        left -= level
        if left <= 1e-6:
            break
        down = min(left, apart_mm)
        y -= down
        corners.append((x, y))
        left -= down
        if left <= 1e-6:
            break
    points = np.array(corners)
    steps = [math.dist(one, two) for one, two in pairwise(corners)]
    return Spine(points, np.array([0.0, *np.cumsum(steps)]))
