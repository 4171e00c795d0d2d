"""How large an opening in the bulkhead must be: the extent of all that comes close to its face."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from conversion.fit.bodies import AnyBody, HalfSpace, Placed
from conversion.fit.bounds import between_planes
from conversion.fit.bulkhead import Bulkhead
from conversion.fit.distance import gap
from conversion.fit.poses import Poses
from conversion.linkage.turning import Array, length

# Between two positions looked at, no corner moves by more. [mm]
STEP_MM = 0.5


def opening(moving: Sequence[AnyBody], poses: Poses, bulkhead: Bulkhead, height_mm: float) -> tuple[Array, Array]:
    """Lowest and highest place across and up, each (2,), of whatever comes closer to the face than a height."""
    lows, highs = [], []
    for body in moving:
        fine, slack = _close_set(body, poses)
        for placed in body.placed(fine):
            if isinstance(placed, HalfSpace):
                raise ValueError(f"'{body.name}' has no end and cannot go through an opening")
            near = _near(placed, bulkhead, height_mm + slack)
            if near is not None:
                lows.append(near[0] - slack)
                highs.append(near[1] + slack)
    return np.min(lows, axis=0), np.max(highs, axis=0)


def _close_set(body: AnyBody, poses: Poses) -> tuple[Poses, float]:
    """Positions so close that no corner moves further than STEP_MM, and half of what it moves at most. [mm]"""
    if len(poses) == 1:
        return poses, 0.0
    moved = [
        np.max(length(np.diff(each.corners_mm, axis=0))) for each in body.placed(poses) if isinstance(each, Placed)
    ]
    parts = max(1, int(np.ceil(max(moved, default=0.0) / STEP_MM)))
    fine = poses.at(np.linspace(0, len(poses) - 1, (len(poses) - 1) * parts + 1))
    return fine, 0.55 * float(max(moved, default=0.0)) / parts


def _near(placed: Placed, bulkhead: Bulkhead, height_mm: float) -> tuple[Array, Array] | None:
    """Extent across and up of the part of a piece below a height, grown by its radius."""
    radius = placed.piece.radius_mm
    corners = placed.corners_mm
    if bulkhead.half_size_mm is not None:
        solid = bulkhead.body.placed(Poses.still())[0]
        assert isinstance(solid, Placed)
        there = Placed(solid.piece, np.broadcast_to(solid.corners_mm, (len(corners), *solid.corners_mm.shape[1:])))
        close = np.flatnonzero(between_planes(placed, there) < height_mm)
        if not len(close):
            return None
        placed, there = (Placed(each.piece, each.corners_mm[close]) for each in (placed, there))
        corners = placed.corners_mm[gap(placed, there).distance_mm < height_mm]
    local = (corners - bulkhead.point_mm) @ bulkhead.axes.T
    limit = height_mm + radius
    start, end = (local[:, placed.piece.edges[:, i]] for i in (0, 1))
    crosses = (start[..., 2] - limit) * (end[..., 2] - limit) < 0.0
    share = (limit - start[..., 2][crosses]) / (end[..., 2] - start[..., 2])[crosses]
    cut = start[crosses] + share[:, None] * (end[crosses] - start[crosses])
    points = np.concatenate([local[local[..., 2] <= limit], cut])[:, :2]
    if not len(points):
        return None
    return points.min(axis=0) - radius, points.max(axis=0) + radius
