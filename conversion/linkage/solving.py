"""Lever angle from pedal angle and back for every kind of linkage: the one place that knows which kinds there are."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, TypeVar, overload

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.bell_crank import BellCrankLinkage, bell_crank_adjusted_at_rest, solve_bell_crank
from conversion.linkage.cable import CableLinkage
from conversion.linkage.cable_solver import cable_adjusted_at_rest, solve_cable
from conversion.linkage.contact import ContactLinkage
from conversion.linkage.contact_solver import contact_adjusted_at_rest, solve_contact
from conversion.linkage.direct import DirectLinkage, direct_adjusted_at_rest, solve_direct
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
    CableLinkage: _Kind(solve_cable, cable_adjusted_at_rest),
    ContactLinkage: _Kind(solve_contact, contact_adjusted_at_rest),
    BellCrankLinkage: _Kind(solve_bell_crank, bell_crank_adjusted_at_rest),
    DirectLinkage: _Kind(solve_direct, direct_adjusted_at_rest),
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
LOOKED_AT = np.linspace(-FARTHEST_RAD, FARTHEST_RAD, 161)
# Which step is looked at first: those ahead of rest going forward, then those behind it going back.
_FORWARD = np.arange(LOOKED_AT.size // 2, LOOKED_AT.size - 1)
_ORDER = np.concatenate([_FORWARD, np.arange(LOOKED_AT.size // 2 - 1, -1, -1)])
STEPS, DONE_RAD, AGREES_RAD = 60, 1e-13, 1e-6


def _searched(linkage: Linkage, lever: Array) -> Array:
    """The crossing that the pedal comes to first, by Newton's method kept inside the step where it was seen."""
    seen = solve(linkage, LOOKED_AT).driven_rad
    shape = np.broadcast_shapes(seen.shape[:-1], lever.shape[:-1])
    lever = np.broadcast_to(lever, (*shape, lever.shape[-1]))
    low, high, start = (np.full(lever.shape, np.nan) for _ in range(3))
    for at in range(lever.shape[-1]):
        off = np.broadcast_to(seen - lever[..., at, None], (*shape, LOOKED_AT.size))
        crossed = ((off[..., :-1] * off[..., 1:]) <= 0.0)[..., _ORDER]
        step = _ORDER[np.argmax(crossed, axis=-1)]
        found = np.any(crossed, axis=-1)
        low[..., at] = np.where(found, LOOKED_AT[step], np.nan)
        high[..., at] = np.where(found, LOOKED_AT[step + 1], np.nan)
        start[..., at] = np.sign(np.take_along_axis(off, step[..., None], axis=-1)[..., 0])
    pedal = (low + high) / 2
    for _ in range(STEPS):
        motion = solve(linkage, pedal)
        off = motion.driven_rad - lever
        before = np.sign(off) == start
        low, high = np.where(before, pedal, low), np.where(before, high, pedal)
        with np.errstate(divide="ignore", invalid="ignore"):
            stepped = pedal - off / motion.ratio
        stepped = np.where((stepped >= low) & (stepped <= high), stepped, (low + high) / 2)
        change = np.max(np.abs(stepped - pedal), where=np.isfinite(stepped), initial=0.0)
        pedal = stepped
        if change < DONE_RAD:
            break
    return np.where(np.abs(solve(linkage, pedal).driven_rad - lever) < AGREES_RAD, pedal, np.nan)
