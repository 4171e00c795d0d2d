"""What a search needs to know of many linkages at some positions of the travel: lever, ratio, squareness.

Rods are by far the most usual, and a million of them are looked at. For them everything follows from the nine
numbers of the closure and the angles, without a single point in space; other kinds are solved as they are.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.linkage import BellCrankMotion, CableLinkage, Linkage, RodLinkage, solve
from conversion.linkage.cable_solver import pedal_for_drawn
from conversion.linkage.closure import closure_numbers
from conversion.linkage.quadrant import Quadrant
from conversion.study.sampling import Array

# How far a lever angle that was solved back and forth may be off. [rad]
AGREES_RAD = 1e-6
# Ahead of rest, as far as a pedal turns; and when Newton's method, which doubles its figures each step, is done.
AHEAD_RAD = np.linspace(0.0, 1.6, 81)
MOST_STEPS, DONE_RAD = 40, 1e-8


@dataclass(frozen=True)
class Moving:
    """Many linkages over their travels; (samples, positions) unless said otherwise.

    Attributes:
        pedal_rad: Pedal angle from the rest stop. [rad]
        lever_rad: Lever angle; nan where the link does not close. [rad]
        ratio: Lever angle gained per pedal angle.
        square_lever: Sine of the transmission angle at the lever, and of a bell-crank, the lesser of this and that of
            its second rod at the crank; nan where the kind has none.
        square_pedal: The same at the pedal, with the first rod.
        link_moment_nm: About the pedal axis, of a spring that is part of the link. [N·m]
        unlocked: (samples,), True where it is proven that no dead centre of the lever lies between the
            positions; see :func:`rods_over_travel`.
    """

    pedal_rad: Array
    lever_rad: Array
    ratio: Array
    square_lever: Array
    square_pedal: Array
    link_moment_nm: Array
    unlocked: NDArray[np.bool_]


@dataclass(frozen=True)
class Rods:
    """Rod linkages as numbers: the closure and which way round each was put together.

    Attributes:
        closure: C of :mod:`conversion.linkage.closure`, entry by entry, [3][3] of (samples,). [mm²]
        side: Sign of √(p² + q² − r²) in ∂F/∂φ, (samples,).
        lever_mm: Twice rod length times lever radius, (samples,). [mm²]
        pedal_mm: Twice rod length times pedal radius. [mm²]
    """

    closure: list[list[Array]]
    side: Array
    lever_mm: Array
    pedal_mm: Array


def rods_of(linkage: RodLinkage, samples: int) -> Rods:
    """The numbers of many rod linkages.

    With both ends at rest F(0, 0) = |A − B|² − L² need not be zero, but ∂F/∂φ there, −2 (A − B)·(v × b), has the
    sign of the side on which the rod was measured; that is C[0][2] + C[1][2].
    """
    numbers, _ = closure_numbers(linkage)
    wide = np.broadcast_to(numbers, (samples, 3, 3))
    closure = [[np.ascontiguousarray(wide[:, i, j]) for j in range(3)] for i in range(3)]
    rod = 2.0 * linkage.rod_length_mm
    return Rods(
        closure,
        np.where(closure[0][2] + closure[1][2] >= 0.0, 1.0, -1.0),
        np.broadcast_to(rod * linkage.lever_radius_mm, samples),
        np.broadcast_to(rod * linkage.pedal_radius_mm, samples),
    )


def rod_pedal_for_lever(rods: Rods, lever_rad: Array) -> Array:
    r"""Pedal angle at which each lever stands at an angle, on the pedal's side of rest; nan where it cannot.

    .. math:: R + P \cos\theta + Q \sin\theta = 0, \qquad
        \theta = \mathrm{atan2}(Q, P) - t \arccos\big(-R / \sqrt{P^2 + Q^2}\big)

    The same closure read the other way: on one side of the pedal's dead centre ∂F/∂θ has the one sign
    t, on the other side the other, and t is read at rest.

    Args:
        rods: Of :func:`rods_of`.
        lever_rad: (samples,). [rad]

    Returns:
        (samples,), between −π and π. [rad]
    """
    cosine, sine = np.cos(lever_rad), np.sin(lever_rad)
    constant, p, q = (row[0] + row[1] * cosine + row[2] * sine for row in rods.closure)
    rest = rods_over_travel(rods, np.zeros((len(rods.side), 1)))
    side = -np.sign(rest.ratio[:, 0]) * rods.side
    with np.errstate(divide="ignore", invalid="ignore"):
        opening = np.arccos(-constant / np.hypot(p, q))
    angle: Array = np.arctan2(q, p) - side * opening
    return np.mod(angle + np.pi, 2.0 * np.pi) - np.pi


def rods_over_travel(rods: Rods, pedal_rad: Array) -> Moving:
    r"""Lever angle, ratio and squareness of rods from the closure alone.

    .. math:: \frac{d\varphi}{d\theta} = -\frac{F_\theta}{F_\varphi}, \qquad
        \sin\mu_{lever} = \frac{|F_\varphi|}{2 L |b_\perp|}, \qquad
        \sin\mu_{pedal} = \frac{|F_\theta|}{2 L |a_\perp|}

    **No dead centre between positions.** D(θ) = p² + q² − r² is zero exactly where the lever locks. Each of p,
    q and r has the form a₀ + a₁ cos θ + a₂ sin θ, so with A = √(a₁² + a₂²), |(p²)''| ≤ 2A² + 2(|a₀| + A)A
    and |D''| ≤ M, the sum of the three. A function with |D''| ≤ M lies, between two places a step h apart, nowhere
    deeper than M h²/8 below the lesser of its two values there. ``unlocked`` is True where that leaves D positive
    everywhere.

    Args:
        rods: Of :func:`rods_of`.
        pedal_rad: Evenly spaced from rest, (samples, positions). [rad]

    Returns:
        The motion.
    """
    cosine, sine = np.cos(pedal_rad), np.sin(pedal_rad)
    columns = [[rods.closure[i][j][:, None] for i in range(3)] for j in range(3)]
    r, p, q = (column[0] + column[1] * cosine + column[2] * sine for column in columns)
    square = p * p + q * q
    determinant = square - r * r
    with np.errstate(divide="ignore", invalid="ignore"):
        root = np.sqrt(determinant) * rods.side[:, None]
        # From F = r + p cos φ + q sin φ = 0 and ∂F/∂φ = q cos φ − p sin φ = root.
        cos_lever = (q * root - r * p) / square
        sin_lever = -(p * root + r * q) / square
        lever = np.arctan2(sin_lever, cos_lever)
        by_pedal = -sine * _along(rods, 1, cos_lever, sin_lever) + cosine * _along(rods, 2, cos_lever, sin_lever)
        ratio = -by_pedal / root
    bend = np.zeros(len(rods.side))
    for column in columns:
        swing = np.hypot(column[1], column[2])[:, 0]
        bend += 2.0 * swing**2 + 2.0 * (np.abs(column[0][:, 0]) + swing) * swing
    step = np.abs(pedal_rad[:, -1] - pedal_rad[:, 0]) / max(1, pedal_rad.shape[1] - 1)
    return Moving(
        pedal_rad,
        lever,
        ratio,
        np.abs(root) / rods.lever_mm[:, None],
        np.abs(by_pedal) / rods.pedal_mm[:, None],
        np.zeros((1, 1)),
        np.min(determinant, axis=1) > bend * step**2 / 8.0,
    )


def _along(rods: Rods, row: int, cosine: Array, sine: Array) -> Array:
    first, second, third = (entry[:, None] for entry in rods.closure[row])
    return first + second * cosine + third * sine


def pedal_at_lever(linkage: Linkage, rods: Rods | None, lever_rad: Array) -> Array:
    """Pedal angle at which each of many linkages has its lever at an angle, (samples,); nan where it cannot. [rad]"""
    if rods is not None:
        pedal = rod_pedal_for_lever(rods, lever_rad)
        back = rods_over_travel(rods, pedal[:, None]).lever_rad[:, 0]
    elif isinstance(linkage, CableLinkage):
        quadrant = Quadrant.of(linkage)
        start, there = (quadrant.lay(angle[:, None]).run_mm for angle in (np.zeros_like(lever_rad), lever_rad))
        pedal = pedal_for_drawn(linkage, start - there)[:, 0]
        back = solve(linkage, pedal[:, None]).driven_rad[:, 0]
    else:
        return _ahead(linkage, lever_rad)
    return np.where(np.abs(back - lever_rad) < AGREES_RAD, pedal, np.nan)


def _ahead(linkage: Linkage, lever_rad: Array) -> Array:
    """The first pedal angle ahead of rest at which each lever stands at an angle; nan where there is none.

    A search asks this of a million linkages, so that only what lies ahead is looked over, in the steps that
    :func:`conversion.linkage.pedal_angle_for_lever` takes, and Newton's method ends where rounding begins.
    """
    seen = solve(linkage, AHEAD_RAD).driven_rad
    off = np.broadcast_to(seen - lever_rad[:, None], (len(lever_rad), AHEAD_RAD.size))
    crossed = off[:, :-1] * off[:, 1:] <= 0.0
    step, found = np.argmax(crossed, axis=1), np.any(crossed, axis=1)
    low = np.where(found, AHEAD_RAD[step], np.nan)
    high = np.where(found, AHEAD_RAD[step + 1], np.nan)
    start = np.sign(off[np.arange(len(step)), step])
    pedal = (low + high) / 2.0
    for _ in range(MOST_STEPS):
        motion = solve(linkage, pedal[:, None])
        off_here = motion.driven_rad[..., 0] - lever_rad
        before = np.sign(off_here) == start
        low, high = np.where(before, pedal, low), np.where(before, high, pedal)
        with np.errstate(divide="ignore", invalid="ignore"):
            stepped = pedal - off_here / motion.ratio[..., 0]
        stepped = np.where((stepped >= low) & (stepped <= high), stepped, (low + high) / 2.0)
        change = np.max(np.abs(stepped - pedal), where=np.isfinite(stepped), initial=0.0)
        pedal = stepped
        if change < DONE_RAD:
            break
    back = solve(linkage, pedal[:, None]).driven_rad[..., 0]
    return np.where(np.abs(back - lever_rad) < AGREES_RAD, pedal, np.nan)


def over_travel(linkage: Linkage, rods: Rods | None, pedal_rad: Array) -> Moving:
    """The motion of many linkages at their own pedal angles, (samples, positions)."""
    if rods is not None:
        return rods_over_travel(rods, pedal_rad)
    motion = solve(linkage, pedal_rad)
    square_lever, square_pedal = np.sin(motion.transmission_lever_rad), np.sin(motion.transmission_pedal_rad)
    if isinstance(motion, BellCrankMotion):
        square_lever = np.minimum(square_lever, np.sin(motion.second.transmission_pedal_rad))
        square_pedal = np.minimum(square_pedal, np.sin(motion.first.transmission_lever_rad))

    def wide(figure: Array) -> Array:
        return np.broadcast_to(figure, pedal_rad.shape)

    return Moving(
        pedal_rad,
        wide(motion.driven_rad),
        wide(motion.ratio),
        wide(square_lever),
        wide(square_pedal),
        wide(motion.link_moment_nm),
        np.zeros(pedal_rad.shape[0], dtype=bool),
    )
