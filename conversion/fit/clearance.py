"""Least clearance over the travel, positions between the samples included."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from conversion.fit.apart import certainly_apart_mm
from conversion.fit.bodies import FIXED, AnyBody
from conversion.fit.closest import closest, pairs_of
from conversion.fit.least import least_position
from conversion.fit.poses import Poses
from conversion.fit.wanted import Wanted, wanted_between
from conversion.linkage.turning import Array


@dataclass(frozen=True)
class Clearance:
    """How close two bodies come, and where.

    Attributes:
        body: Name of the body that moves.
        obstacle: Name of what is in its way.
        distance_mm: Least distance; negative where they overlap: how far one must move to be free. [mm]
        position: Of the poses, counted from 0, with a fraction between two of them.
        pedal_angle_rad: There. [rad]
        pad_travel_mm: There. [mm]
        on_body_mm: Closest point of the body there, (3,). [mm]
        on_obstacle_mm: Closest point of the obstacle, (3,). [mm]
        wanted: How much is wanted between these kinds, and why.
    """

    body: str
    obstacle: str
    distance_mm: float
    position: float
    pedal_angle_rad: float
    pad_travel_mm: float
    on_body_mm: Array
    on_obstacle_mm: Array
    wanted: Wanted

    @property
    def enough(self) -> bool:
        """Whether at least the wanted clearance is there."""
        return self.distance_mm >= self.wanted.clearance_mm


def clearance_at(body: AnyBody, obstacle: AnyBody, poses: Poses) -> Array:
    """Distance between two bodies at each position, (positions,); negative where they overlap. [mm]"""
    return closest(pairs_of(body.placed(poses), obstacle.placed(poses))).distance_mm


def clearances(moving: Sequence[AnyBody], obstacles: Sequence[AnyBody], poses: Poses) -> tuple[Clearance, ...]:
    """Least clearance of each moving body to each obstacle.

    Args:
        moving: Bodies that move, or fixed ones to be checked against fixed obstacles.
        obstacles: What may be in the way. What moves as the body itself does is passed over: the two keep
            their distance. Two fixed bodies are compared.
        poses: The positions; between them the least is searched too.

    Returns:
        In the order of the bodies, then of the obstacles. Each least distance is at most 0.01 mm more than the
        least anywhere between the first and the last position, as far as the poses' cubics are the motion.

    Raises:
        ValueError: there is no body or no obstacle.

    Note:
        Of a body that is not convex the distance is exact wherever it is not negative. Where it overlaps, the
        way out is that of the piece that is deepest in, which may be less than the way out of the whole.
    """
    _some(moving, obstacles)
    return tuple(
        _least(body, obstacle, poses) for body in moving for obstacle in obstacles if _may_meet(body, obstacle)
    )


def least_clearance(moving: Sequence[AnyBody], obstacles: Sequence[AnyBody], poses: Poses) -> Clearance:
    """The smallest of all clearances; see :func:`clearances`.

    Raises:
        ValueError: there is no body, no obstacle, or no pair of them that move differently.
    """
    _some(moving, obstacles)
    pairs = [(body, obstacle) for body in moving for obstacle in obstacles if _may_meet(body, obstacle)]
    if not pairs:
        raise ValueError("every obstacle moves as the bodies do, so there is no clearance to find")
    # Nearest first, by a look that costs little: what certainly stays farther off need not be worked out.
    bounds = [certainly_apart_mm(*pair, poses) for pair in pairs]
    least: Clearance | None = None
    for i in np.argsort(bounds, kind="stable").tolist():
        if least is None or bounds[i] < least.distance_mm:
            body, obstacle = pairs[i]
            found = _least(body, obstacle, poses)
            least = found if least is None or found.distance_mm < least.distance_mm else least
    assert least is not None
    return least


def _some(moving: Sequence[AnyBody], obstacles: Sequence[AnyBody]) -> None:
    if not moving:
        raise ValueError("there is no moving body whose clearance could be found")
    if not obstacles:
        raise ValueError("there is no obstacle to find the clearance to")


def _may_meet(body: AnyBody, obstacle: AnyBody) -> bool:
    return body.moves_with != obstacle.moves_with or body.moves_with == FIXED


def clearance_of_fixed(bodies: Sequence[AnyBody], obstacles: Sequence[AnyBody]) -> tuple[Clearance, ...]:
    """Clearances between bodies that all stand still, such as a recess and what lies behind the bulkhead."""
    return clearances(bodies, obstacles, Poses.still())


def _least(body: AnyBody, obstacle: AnyBody, poses: Poses) -> Clearance:
    at = least_position(body, obstacle, poses)
    there = poses.at([at])
    found = closest(pairs_of(body.placed(there), obstacle.placed(there)))
    return Clearance(
        body=body.name,
        obstacle=obstacle.name,
        distance_mm=float(found.distance_mm[0]),
        position=at,
        pedal_angle_rad=float(there.pedal_angle_rad[0]),
        pad_travel_mm=float(there.pad_travel_mm[0]),
        on_body_mm=found.on_first_mm[0],
        on_obstacle_mm=found.on_second_mm[0],
        wanted=wanted_between(body.kind, obstacle.kind),
    )


def gap_at_mm(body: AnyBody, obstacle: AnyBody, poses: Poses, position: ArrayLike) -> Array:
    """Distance at chosen positions, fractions included, such as the last for the pad above the floor. [mm]

    Args:
        body: What moves.
        obstacle: What may be in its way.
        poses: The positions.
        position: Rising, counted from 0, (m,) or one figure.

    Returns:
        (m,); negative where they overlap. [mm]
    """
    return clearance_at(body, obstacle, poses.at(np.atleast_1d(position)))
