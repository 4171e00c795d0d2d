"""A quick look at two bodies: a distance that they certainly keep over the whole travel."""

from __future__ import annotations

import numpy as np

from conversion.fit.bodies import FIXED, AnyBody, HalfSpace, Placed
from conversion.fit.poses import Poses

# Between two positions a corner leaves its chord by less, with positions 0.05 rad apart at 1.5 m radius. [mm]
SLACK_MM = 0.5
AXES = np.eye(3)


def certainly_apart_mm(body: AnyBody, obstacle: AnyBody, poses: Poses) -> float:
    """A distance below which two bodies never come, from planes that lie between them; negative if there are none.

    The planes tried are square to the axes and along the faces of an obstacle that stands still. All places of
    the body are held against all places of the obstacle, so that both may move.
    """
    ours, theirs = body.placed(poses), obstacle.placed(poses)
    return min(_between(one, two, obstacle.moves_with == FIXED) for one in ours for two in theirs) - SLACK_MM


def _between(one: Placed | HalfSpace, two: Placed | HalfSpace, fixed: bool) -> float:
    if isinstance(one, HalfSpace):
        return -np.inf
    if isinstance(two, HalfSpace):
        return float(np.min(one.corners_mm @ two.normal)) - one.piece.radius_mm - two.offset_mm
    ways = np.concatenate([AXES, -AXES, two.piece.normals]) if fixed else np.concatenate([AXES, -AXES])
    theirs = two.corners_mm[0] if fixed else two.corners_mm.reshape(-1, 3)
    gaps = np.min(one.corners_mm.reshape(-1, 3) @ ways.T, axis=0) - np.max(theirs @ ways.T, axis=0)
    return float(np.max(gaps)) - one.piece.radius_mm - two.piece.radius_mm
