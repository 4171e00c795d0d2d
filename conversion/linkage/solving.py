"""Lever angle from pedal angle and back for every kind of linkage: the one place that knows which kinds there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar, overload

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.geometry import RodLinkage
from conversion.linkage.kinds import Linkage, Motion
from conversion.linkage.motion import RodSolution
from conversion.linkage.rod import rod_adjusted_at_rest, solve_rod, swapped
from conversion.linkage.turning import Array

AnyLinkage = TypeVar("AnyLinkage", bound=Linkage)


@dataclass(frozen=True)
class _Kind:
    """How one kind is solved, and how it is set at fitting."""

    solve: Callable[[Any, ArrayLike], Motion]
    adjusted: Callable[[Any, ArrayLike], Linkage]


_KINDS: dict[type[Linkage], _Kind] = {
    RodLinkage: _Kind(solve_rod, rod_adjusted_at_rest),
}


@overload
def solve(linkage: RodLinkage, pedal_angle_rad: ArrayLike) -> RodSolution: ...
@overload
def solve(linkage: Linkage, pedal_angle_rad: ArrayLike) -> Motion: ...
def solve(linkage: Linkage, pedal_angle_rad: ArrayLike) -> Motion:
    """Lever angle and all that follows from it for every pedal angle.

    Args:
        linkage: One linkage of any kind, or many along leading axes.
        pedal_angle_rad: From the pedal's rest stop, positive pressed; (positions,) or (samples, positions). [rad]

    Returns:
        The motion of that kind; see there for its formula.
    """
    return _KINDS[type(linkage)].solve(linkage, pedal_angle_rad)


def rest_position(linkage: Linkage) -> Array:
    """Lever angle with the pedal on its rest stop, (...); nan if the linkage cannot close there. [rad]

    A small positive angle means that the pedal's stop, not the module's, ends the return.
    """
    return solve(linkage, [0.0]).lever_angle_rad[..., 0]


def driven_at_rest(linkage: Linkage) -> Array:
    """The same, below zero where a one-way link has play at rest, (...). [rad]"""
    return solve(linkage, [0.0]).driven_rad[..., 0]


def adjusted_at_rest(linkage: AnyLinkage, lever_angle_rad: ArrayLike) -> AnyLinkage:
    """The linkage set at fitting so that the lever stands at an angle with the pedal at rest.

    Each kind has its own adjuster, named by its ``ADJUSTED``: the length of the rod (of the second one of
    two), the cable's adjuster, the packing of a contact, the rest stop of a module's own pedal.

    Args:
        linkage: One linkage, or many along leading axes.
        lever_angle_rad: Wanted lever angle with the pedal on its rest stop, (...); below zero it sets the play
            of a one-way link. [rad]

    Returns:
        The same linkage with another setting.
    """
    adjusted: Any = _KINDS[type(linkage)].adjusted(linkage, lever_angle_rad)
    return adjusted


def pedal_angle_for_lever(linkage: Linkage, lever_angle_rad: ArrayLike) -> Array:
    """Pedal angle at which the lever stands at an angle, such as the module's own full stop.

    For a rod, the closure with its roles exchanged, then solved forward again as a check. Where the pedal goes
    over centre the angle before that is given.

    Args:
        linkage: One linkage, or many along leading axes.
        lever_angle_rad: From the module's rest stop, positive toward full; (positions,) or (samples,
            positions). [rad]

    Returns:
        Same shape as ``solve`` would give; negative where the pedal's rest stop forbids it, nan where the
        lever cannot be brought there at all. [rad]
    """
    lever = np.atleast_1d(np.asarray(lever_angle_rad, dtype=np.float64))
    if isinstance(linkage, RodLinkage):
        pedal = solve(swapped(linkage), lever - rest_position(linkage)[..., None]).lever_angle_rad
        # Near a dead centre the lever angle moves with the root of the pedal's, so rounding shows at its root.
        agrees = np.abs(solve(linkage, pedal).lever_angle_rad - lever) < 1e-6
        return np.where(agrees, pedal, np.nan)
    return _searched(linkage, lever)


# A pedal that turns farther than this either way is none; the first look goes over it in these steps.
FARTHEST_RAD = 1.6
LOOKED_AT = np.linspace(-FARTHEST_RAD, FARTHEST_RAD, 321)


def _searched(linkage: Linkage, lever: Array) -> Array:
    """Bracketed by the first look, the crossing nearest to rest that the pedal comes to, then halved."""
    seen = solve(linkage, LOOKED_AT).driven_rad
    shape = np.broadcast_shapes(seen.shape[:-1], lever.shape[:-1])
    seen = np.broadcast_to(seen, (*shape, LOOKED_AT.size))
    lever = np.broadcast_to(lever, (*shape, lever.shape[-1]))
    low, high = np.full(lever.shape, np.nan), np.full(lever.shape, np.nan)
    distance = np.full(lever.shape, np.inf)
    middle = LOOKED_AT.size // 2
    for i in range(LOOKED_AT.size - 1):
        short = seen[..., i, None] - lever
        past = seen[..., i + 1, None] - lever
        # Ahead of rest comes before behind it.
        away = float(i - middle if i >= middle else 2 * LOOKED_AT.size - i)
        with np.errstate(invalid="ignore"):
            better = (short * past <= 0.0) & (away < distance)
        low, high = np.where(better, LOOKED_AT[i], low), np.where(better, LOOKED_AT[i + 1], high)
        distance = np.where(better, away, distance)
    start = np.sign(solve(linkage, low).driven_rad - lever)
    for _ in range(46):
        centre = (low + high) / 2
        same = np.sign(solve(linkage, centre).driven_rad - lever) == start
        low, high = np.where(same, centre, low), np.where(same, high, centre)
    found = (low + high) / 2
    with np.errstate(invalid="ignore"):
        return np.where(np.abs(solve(linkage, found).driven_rad - lever) < 1e-6, found, np.nan)
