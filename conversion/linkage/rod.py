"""The rod solver: lever angle from pedal angle, in closed form, for many linkages at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from conversion.linkage.closure import at_pedal_angles, closure_numbers, counted_from, measured_side, pedal_terms
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.motion import RodSolution
from conversion.linkage.turning import Array, length, turned, wrapped

# Rounding allowed in the discriminant, relative to the square of the lengths that go into it.
ROUNDING = 1e-13
# Positions that are computed together: few enough for what lies between to stay in the cache of one core.
BLOCK = 12288


def solve_rod(linkage: RodLinkage, pedal_angle_rad: ArrayLike) -> RodSolution:
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
        >>> from_ground = solve_rod(four_bar, [crank]).lever_angle_rad + np.arctan2(64, 48)
        >>> np.degrees(from_ground).round(3).tolist()
        [57.325]

    References:
        Derived here. The half-angle form of the same closure is in Norton, Design of Machinery, chapter 4.
    """
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    closure, scale = closure_numbers(linkage)

    # Lever angles are counted from the direction atan2(q, p) at rest, so that a turn of less than half a
    # circle either way needs no unwrapping.
    r_rest, p_rest, q_rest = np.moveaxis(at_pedal_angles(closure, pedal_terms(np.zeros(1))), -2, 0)
    direction = np.arctan2(q_rest, p_rest)[..., 0]
    open_rest = np.arctan2(np.sqrt(np.maximum(p_rest**2 + q_rest**2 - r_rest**2, 0.0)), r_rest)[..., 0]
    side = measured_side(linkage, direction, open_rest)
    opened = side * open_rest
    ahead, behind = wrapped(direction + opened) - opened, wrapped(direction - opened) + opened

    samples = np.broadcast_shapes(closure.shape[:-2], pedal.shape[:-1])
    found, exists = np.empty((3, *samples, pedal.shape[-1])), np.empty((*samples, pedal.shape[-1]), dtype=bool)

    def rows(values: Array, own: tuple[int, ...]) -> Array:
        return np.broadcast_to(values, (*samples, *own)).reshape(-1, *own)

    closures, terms = rows(counted_from(closure, direction), (3, 3)), rows(pedal_terms(pedal), (3, pedal.shape[-1]))
    sides, aheads, behinds, roundings = (
        rows(each[..., None], (1,)) for each in (side, ahead, behind, ROUNDING * scale**2)
    )
    found_rows, exists_rows = found.reshape(3, -1, pedal.shape[-1]), exists.reshape(-1, pedal.shape[-1])
    step = max(1, BLOCK // max(1, pedal.shape[-1]))
    for start in range(0, len(closures), step):
        at = slice(start, start + step)
        closed = at_pedal_angles(closures[at], terms[at])
        exists_rows[at] = _positions(closed, sides[at], aheads[at], behinds[at], roundings[at], out=found_rows[:, at])
    lever, other, discriminant = found
    return RodSolution(linkage, pedal, lever, exists, other, discriminant)


def _positions(
    closed: Array, side: Array, ahead: Array, behind: Array, rounding: Array, out: Array
) -> NDArray[np.bool_]:
    """Fill in lever angle, other branch and discriminant of some linkages; return where the rod closes.

    Args:
        closed: r, p and q, lever angles counted from their direction at rest, (samples, 3, positions). [mm²]
        side: Branch s, (samples, 1).
        ahead: What is added to come to the angle from the lever's rest stop, (samples, 1). [rad]
        behind: The same for the other branch. [rad]
        rounding: Allowed in the discriminant, (samples, 1). [mm⁴]
        out: Filled; (3, samples, positions).
    """
    r, p, q = (closed[:, i] for i in range(3))
    lever, other, discriminant = out
    along = np.arctan2(q, p)
    if not np.max(along) - np.min(along) <= np.pi:
        jump = np.nan_to_num(np.diff(along, axis=-1))
        along[..., 1:] -= 2 * np.pi * np.cumsum(np.round(jump / (2 * np.pi)), axis=-1)
    square = p * p + q * q
    np.subtract(square, r * r, out=discriminant)
    exists = (discriminant >= -rounding) & (square > rounding)
    if not np.all(exists):
        along[~exists] = np.nan
    opening = np.arctan2(np.sqrt(np.maximum(discriminant, 0.0)), r)
    opening *= side
    np.add(along, opening, out=lever)
    np.subtract(along, opening, out=other)
    lever += ahead
    other += behind
    return exists


def rod_adjusted_at_rest(linkage: RodLinkage, lever_angle_rad: ArrayLike) -> RodLinkage:
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
    rest = solve_rod(linkage, [0.0]).lever_angle_rad
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
