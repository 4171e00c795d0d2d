"""Distances that two pieces certainly keep, position by position, found at a small part of the distance's cost."""

from __future__ import annotations

import numpy as np

from conversion.fit.bodies import HalfSpace, Placed
from conversion.fit.distance import face_ways, gap_along
from conversion.linkage.turning import Array, length

# Distances that differ by less are one and the same, told apart by rounding alone: the first of them counts. [mm]
TIE_MM = 1e-6
_AXES = np.eye(3)[None]


def between_balls(one: Placed, two: Placed | HalfSpace) -> Array:
    """What the balls around both pieces keep between them, (positions,). [mm]"""
    middle, ball = _ball(one)
    if isinstance(two, HalfSpace):
        return np.asarray(middle @ two.normal - two.offset_mm - ball)
    other, other_ball = _ball(two)
    return np.asarray(length(middle - other) - ball - other_ball)


def _ball(placed: Placed) -> tuple[Array, float]:
    middle = np.mean(placed.corners_mm, axis=1)
    return middle, float(np.max(length(placed.corners_mm - middle[:, None]))) + placed.piece.radius_mm


def between_planes(one: Placed, two: Placed | HalfSpace) -> Array:
    """The widest gap between planes square to an axis or along a face of either piece, (positions,). [mm]"""
    a, rest = one.corners_mm, one.piece.radius_mm
    if isinstance(two, HalfSpace):
        return np.asarray(np.min(a @ two.normal, axis=-1) - two.offset_mm - rest)
    b, rest = two.corners_mm, rest + two.piece.radius_mm
    faces = [face_ways(each) for each in (one, two) if len(each.piece.face_ways)]
    ways = np.concatenate([np.broadcast_to(_AXES, (len(a), 3, 3)), *faces], axis=1)
    return np.maximum(np.max(gap_along(a, b, ways), axis=-1), np.max(gap_along(b, a, ways), axis=-1)) - rest


def over_travel(one: Placed, two: Placed | HalfSpace) -> float:
    """What two planes that stand still, square to an axis, keep between two pieces over the whole travel. [mm]

    Between two positions a corner leaves its chord by an eighth of the second difference if its way is bent evenly;
    twice that is taken off. What turns about an axis keeps its place along it, and there nothing is.
    """
    if isinstance(two, HalfSpace) or len(one.corners_mm) < 3:
        return -np.inf
    a, b = one.corners_mm, two.corners_mm
    slack = sum(np.max(np.abs(np.diff(each, 2, axis=0)), axis=(0, 1)) / 4 for each in (a, b))
    (low_a, high_a), (low_b, high_b) = ((np.min(each, axis=(0, 1)), np.max(each, axis=(0, 1))) for each in (a, b))
    apart = np.maximum(low_b - high_a, low_a - high_b) - slack
    return float(np.max(apart)) - one.piece.radius_mm - two.piece.radius_mm
