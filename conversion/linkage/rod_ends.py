"""What a rod's ends must bear: misalignment against the joint's limit, thread left in, load, buckling."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.kinds import Motion
from conversion.linkage.motion import RodSolution
from conversion.linkage.turning import Array, dot, turned

STEEL_N_PER_MM2 = 200e3
BOLT_YIELD_N_PER_MM2 = 640.0
"""Of bolts of property class 8.8 up to 16 mm: ISO 898-1 (from memory)."""


def misalignment_rad(
    motion: RodSolution, pedal_bolt_axis: ArrayLike | None = None, lever_bolt_axis: ArrayLike | None = None
) -> tuple[Array | None, Array | None]:
    r"""How far each end of the rod leans from square to its bolt, to compare with the joint's limit.

    .. math:: \gamma = \arcsin |e \cdot w|

    e is along the rod, w along the bolt (or the stud of the ball), which turns with its pedal or lever.

    Args:
        motion: Of a rod; of a bell-crank, its ``first`` or ``second``.
        pedal_bolt_axis: Unit vector along the bolt on the pedal, the pedal at rest, (..., 3).
        lever_bolt_axis: Unit vector along the bolt on the lever, the lever on its rest stop, (..., 3).

    Returns:
        At the pedal and at the lever, (..., positions) each; None where no axis was given. [rad]

    Raises:
        ValueError: an axis is not a unit vector.

    Example:
        A rod in the plane of two arms, its bolts along the axes; then one bolt tilted by 0.1:

        >>> from conversion.linkage.geometry import RodLinkage
        >>> from conversion.linkage.rod import solve_rod
        >>> rod = RodLinkage([0, 0, 0], [0, 0, 1], [0, 60, 0], [200, 0, 0], [0, 0, 1], [200, 60, 0], 1, 1, 200)
        >>> pedal, lever = misalignment_rad(solve_rod(rod, [0.0]), [0, 0, 1], [np.sin(0.1), 0, np.cos(0.1)])
        >>> pedal.round(6).tolist(), lever.round(6).tolist()
        ([0.0], [0.1])
    """
    linkage = motion.linkage
    rod = (motion.pedal_pin_mm - motion.lever_pin_mm) / linkage.rod_length_mm[..., None, None]

    def lean(bolt: ArrayLike | None, axis: Array, angle: Array) -> Array | None:
        if bolt is None:
            return None
        along = np.asarray(bolt, dtype=np.float64)
        if np.any(np.abs(np.linalg.norm(along, axis=-1) - 1.0) > 1e-6):
            raise ValueError("a bolt's axis must be a unit vector")
        now = turned(along, np.zeros(3), axis, angle)
        return np.arcsin(np.minimum(np.abs(dot(rod, now)), 1.0))

    return (
        lean(pedal_bolt_axis, linkage.pressing_axis, motion.pedal_angle_rad),
        lean(lever_bolt_axis, linkage.opening_axis, motion.lever_angle_rad),
    )


def link_force_for_pad_n(motion: Motion, pad_force_n: ArrayLike, pad_radius_mm: float) -> Array:
    r"""Force in the link at the pedal when the pad is pressed so hard and the lever does not give.

    .. math:: F = F_{pad} \, R / a

    Args:
        motion: Of any kind of linkage; of two rods, this is the first.
        pad_force_n: Along the pad's arc, (positions,) or one. [N]
        pad_radius_mm: R, of that arc. [mm]

    Returns:
        (..., positions); infinite where the pedal is over centre. [N]

    Example:
        >>> from conversion.linkage.geometry import RodLinkage
        >>> from conversion.linkage.rod import solve_rod
        >>> rod = RodLinkage([0, 0, 0], [0, 0, 1], [0, 50, 0], [200, 0, 0], [0, 0, 1], [200, 50, 0], 1, 1, 200)
        >>> link_force_for_pad_n(solve_rod(rod, [0.0]), 100.0, 250.0).round(6).tolist()
        [500.0]
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(pad_force_n) * pad_radius_mm / np.abs(motion.pedal_arm_mm)


def euler_buckling_n(diameter_mm: float, length_mm: float, modulus_n_per_mm2: float = STEEL_N_PER_MM2) -> float:
    r"""Load at which a straight round rod between two balls buckles.

    .. math:: F = \frac{\pi^2 E I}{L^2}, \qquad I = \frac{\pi d^4}{64}

    Args:
        diameter_mm: d, of the thinnest long part: of a threaded rod, the core of its thread. [mm]
        length_mm: L, between the centres of the balls. [mm]
        modulus_n_per_mm2: E; steel if it is not given. [N/mm²]

    Returns:
        An upper bound: a rod that is bent or loaded off its centre gives way before. [N]

    Raises:
        ValueError: a figure that is not positive.

    Example:
        >>> round(euler_buckling_n(5.0, 200.0))
        1514

    References:
        Euler's case of a strut hinged at both ends; any handbook of mechanics.
    """
    if not (diameter_mm > 0.0 and length_mm > 0.0 and modulus_n_per_mm2 > 0.0):
        raise ValueError("diameter, length and modulus must be positive")
    return float(np.pi**3 * modulus_n_per_mm2 * diameter_mm**4 / (64.0 * length_mm**2))


def bolt_bends_n(diameter_mm: float, overhang_mm: float, yield_n_per_mm2: float = BOLT_YIELD_N_PER_MM2) -> float:
    r"""Load across the free end of a bolt held on one side at which its surface begins to yield.

    .. math:: F = \frac{\pi d^3 \sigma}{32 \, e}

    Args:
        diameter_mm: d, of the bolt where it leaves what holds it; of a thread, its core. [mm]
        overhang_mm: e, from there to the middle of the ball. [mm]
        yield_n_per_mm2: σ; property class 8.8 if it is not given. [N/mm²]

    Returns:
        Bending alone; the joint's play and shock are left out. [N]

    Raises:
        ValueError: a figure that is not positive.

    Example:
        >>> round(bolt_bends_n(6.0, 10.0))
        1357

    References:
        A cantilever of round section; any handbook of mechanics.
    """
    if not (diameter_mm > 0.0 and overhang_mm > 0.0 and yield_n_per_mm2 > 0.0):
        raise ValueError("diameter, overhang and yield must be positive")
    return float(np.pi * diameter_mm**3 * yield_n_per_mm2 / (32.0 * overhang_mm))
