"""The rod solver: lever angle from pedal angle and back, in closed form, for many linkages at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.closure import at_pedal_angles, closure_numbers, counted_from, measured_side
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.motion import RodSolution
from conversion.linkage.turning import Array, length, turned, wrapped

# Rounding allowed in the discriminant, relative to the square of the lengths that go into it.
ROUNDING = 1e-13


def solve(linkage: RodLinkage, pedal_angle_rad: ArrayLike) -> RodSolution:
    r"""Lever angle for every pedal angle, on the side of the dead centre that was measured.

    .. math:: p \cos\varphi + q \sin\varphi = r, \qquad
        \varphi = \mathrm{atan2}(q, p) + s \, \mathrm{atan2}\big(\sqrt{p^2 + q^2 - r^2},\; r\big)

    with d = A − Q, b the lever's arm at its rest stop (b∥ along the unit axis v, b⊥ across it), p = 2 d·b⊥,
    q = 2 d·(v × b⊥), r = d² + b² − L² − 2 d·b∥, all in mm². Since (A − B)·(v × b) = −(s/2) √(p² + q² − r²),
    the side s = ±1 is read from the pins as measured with both ends at rest. Where that is too close to call,
    the root nearer the lever's rest stop is taken. No position can change s.

    Args:
        linkage: One linkage, or many along leading axes.
        pedal_angle_rad: From the pedal's rest stop, positive pressed; (positions,) or (samples, positions). A
            lever that turns more than half a turn needs neighbouring positions less than half a turn apart.
            [rad]

    Returns:
        Angles with both branches, and everything that follows from them.

    Note:
        With A on the lever's axis (p = q = 0) any lever angle closes or none does; that counts as no
        solution.

    Example:
        The planar four-bar with ground 100, crank 40, rod 120 and lever 80 mm, crank at 40°:

        >>> crank = np.radians(40.0)
        >>> four_bar = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1,
        ...     pedal_pin_at_rest=[40, 0, 0], module_pivot=[100, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[148, 64, 0], rod_length_mm=120)
        >>> from_ground = solve(four_bar, [crank]).lever_angle_rad + np.arctan2(64, 48)
        >>> np.degrees(from_ground).round(3).tolist()
        [57.325]

    References:
        Derived here. The half-angle form of the same closure is in Norton, Design of Machinery, chapter 4.
    """
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    closure, scale = closure_numbers(linkage)
    rounding = ROUNDING * scale**2

    # Lever angles are counted from the direction atan2(q, p) at rest, so that a turn of less than half a
    # circle either way needs no unwrapping.
    p_rest, q_rest, r_rest = at_pedal_angles(closure, np.zeros(1))
    direction = np.arctan2(q_rest, p_rest)[..., 0]
    closure = counted_from(closure, direction)
    open_rest = np.arctan2(np.sqrt(np.maximum(p_rest**2 + q_rest**2 - r_rest**2, 0.0)), r_rest)[..., 0]
    side = measured_side(linkage, direction, open_rest)

    p, q, r = at_pedal_angles(closure, pedal)
    along = np.arctan2(q, p)
    jump = np.diff(along, axis=-1)
    if np.any(np.abs(jump) > np.pi):
        along[..., 1:] -= 2 * np.pi * np.cumsum(np.round(np.nan_to_num(jump) / (2 * np.pi)), axis=-1)
    square = p * p
    square += q * q
    discriminant = square - r * r
    exists = (discriminant >= -rounding[..., None]) & (square > rounding[..., None])
    opening = np.arctan2(np.sqrt(np.maximum(discriminant, 0.0)), r)
    opening *= side[..., None]
    along[~exists] = np.nan
    rest = wrapped(direction + side * open_rest)
    other_rest = wrapped(direction - side * open_rest)
    return RodSolution(
        linkage=linkage,
        pedal_angle_rad=pedal,
        lever_angle_rad=along + opening + (rest - side * open_rest)[..., None],
        other_branch_rad=along - opening + (other_rest + side * open_rest)[..., None],
        exists=exists,
        discriminant_mm4=discriminant,
    )


def rest_position(linkage: RodLinkage) -> Array:
    """Lever angle with the pedal on its rest stop, (...); nan if the rod cannot close there. [rad]

    A small positive angle means that the pedal's stop, not the module's, ends the return.
    """
    return solve(linkage, [0.0]).lever_angle_rad[..., 0]


def adjusted_at_rest(linkage: RodLinkage, lever_angle_rad: ArrayLike) -> RodLinkage:
    """The linkage with its rod screwed to the length that puts the lever at an angle, the pedal at rest.

    Args:
        linkage: One linkage, or many along leading axes.
        lever_angle_rad: Wanted lever angle with the pedal on its rest stop, (...). [rad]

    Returns:
        The same linkage with another rod length.
    """
    angle = np.asarray(lever_angle_rad, dtype=np.float64)[..., None]
    pin = turned(linkage.lever_pin_at_rest_stop, linkage.module_pivot, linkage.opening_axis, angle)[..., 0, :]
    return replace(linkage, rod_length_mm=length(linkage.pedal_pin_at_rest - pin))


def swapped(linkage: RodLinkage) -> RodLinkage:
    """The same mechanism driven from the lever: its pedal angle is the lever's turn from where it rests.

    If ``solve(linkage, pedal)`` gives ``lever``, then ``solve(swapped(linkage), lever -
    rest_position(linkage))`` gives ``pedal``, as far as neither goes over centre.
    """
    rest = rest_position(linkage)[..., None]
    return RodLinkage(
        pedal_pivot=linkage.module_pivot,
        pedal_axis=linkage.module_axis,
        pedal_sense=linkage.lever_sense,
        pedal_pin_at_rest=turned(linkage.lever_pin_at_rest_stop, linkage.module_pivot, linkage.opening_axis, rest)[
            ..., 0, :
        ],
        module_pivot=linkage.pedal_pivot,
        module_axis=linkage.pedal_axis,
        lever_sense=linkage.pedal_sense,
        lever_pin_at_rest_stop=linkage.pedal_pin_at_rest,
        rod_length_mm=linkage.rod_length_mm,
    )


def pedal_angle_for_lever(linkage: RodLinkage, lever_angle_rad: ArrayLike) -> Array:
    """Pedal angle at which the lever stands at an angle, such as the module's own full stop.

    The closure with its roles exchanged, then solved forward again as a check. Where the pedal goes over
    centre the angle before that is given.

    Args:
        linkage: One linkage, or many along leading axes.
        lever_angle_rad: From the module's rest stop, positive toward full; (positions,) or (samples,
            positions). [rad]

    Returns:
        Same shape as ``solve`` would give; negative where the pedal's rest stop forbids it, nan where the
        lever cannot be brought there at all. [rad]
    """
    lever = np.atleast_1d(np.asarray(lever_angle_rad, dtype=np.float64))
    pedal = solve(swapped(linkage), lever - rest_position(linkage)[..., None]).lever_angle_rad
    # Near a dead centre the lever angle moves with the root of the pedal's, so rounding shows at its root.
    agrees = np.abs(solve(linkage, pedal).lever_angle_rad - lever) < 1e-6
    return np.where(agrees, pedal, np.nan)
