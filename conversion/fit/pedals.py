"""How a pedal stands beside its neighbour: the gap between the two, and the step from one to the other."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from conversion.fit.bodies import AnyBody, HalfSpace
from conversion.fit.poses import Poses
from conversion.linkage.turning import Array, dot


def side_gap_mm(body: AnyBody, neighbour: AnyBody, poses: Poses) -> Array:
    """Gap sideways, along y, between two bodies at every position, whichever is on the left.

    The bodies are taken as wide as they are at their widest, so a foot that slips off at any height is meant.

    Args:
        body: Such as the accelerator's pad.
        neighbour: Such as the brake's pad.
        poses: The positions.

    Returns:
        (positions,); negative by as much as they overlap sideways. [mm]

    Raises:
        ValueError: a body has no end.
    """
    low, high = _reach_y(body, poses)
    other_low, other_high = _reach_y(neighbour, poses)
    return np.maximum(other_low - high, low - other_high)


def _reach_y(body: AnyBody, poses: Poses) -> tuple[Array, Array]:
    lows, highs = [], []
    for placed in body.placed(poses):
        if isinstance(placed, HalfSpace):
            raise ValueError(f"'{body.name}' has no end, so it has no side")
        y = placed.corners_mm[..., 1]
        lows.append(np.min(y, axis=-1) - placed.piece.radius_mm)
        highs.append(np.max(y, axis=-1) + placed.piece.radius_mm)
    return np.min(lows, axis=0), np.max(highs, axis=0)


def step_height_mm(pad_mm: ArrayLike, other_pad_mm: ArrayLike, toward_driver: ArrayLike) -> Array:
    """How far the other pad's face stands nearer to the driver than this one's.

    Args:
        pad_mm: Centre of this pad's face at each position, (positions, 3), or at one, (3,). [mm]
        other_pad_mm: Centre of the other's face, the same or (3,). [mm]
        toward_driver: Direction out of the other pad's face, (3,); of any length but zero.

    Returns:
        (positions,) or a single figure; positive where the other pad is nearer to the driver. [mm]

    Raises:
        ValueError: the direction has no length.

    Example:
        >>> float(step_height_mm([0, 0, 0], [-40, 70, 20], [-1, 0, 0]))
        40.0
    """
    way = np.asarray(toward_driver, dtype=np.float64)
    size = float(np.linalg.norm(way))
    if not size > 0.0:
        raise ValueError("the direction toward the driver has no length")
    return dot(np.subtract(other_pad_mm, pad_mm, dtype=np.float64), way / size)


def pad_centres_mm(pad_centre_mm: ArrayLike, poses: Poses, moves_with: str = "pedal") -> Array:
    """Centre of a pad's face at every position, (positions, 3), from where it is at rest, (3,). [mm]

    Raises:
        ValueError: there is no turn of that name.
    """
    if moves_with not in poses.turns:
        raise ValueError(f"the pad moves with '{moves_with}', of which there is no turn")
    points: Sequence[Sequence[float]] = np.asarray(pad_centre_mm, dtype=np.float64)[None, :].tolist()
    return poses.turns[moves_with].of(points)[:, 0]
