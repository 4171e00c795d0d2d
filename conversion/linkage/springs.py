"""Springs and weights that act on the pedal or on the module's lever, and the moment of each about its axis.

A half is the pedal or the lever with all that is fixed to it. Moments are positive when they turn their half
back to its rest stop. Lengths in mm, forces in N, moments in N·m, angles in rad from that half's rest stop.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.kinds import Linkage
from conversion.linkage.turning import Array, cross, dot, length, turned

GRAVITY_M_PER_S2 = 9.80665

Half = Literal["pedal", "module"]


@dataclass(frozen=True)
class Hinge:
    """The axis of one half, right-handed away from its rest stop.

    Attributes:
        pivot_mm: A point of the axis, (3,). [mm]
        axis: Unit vector, (3,); a right-handed turn presses the pedal or opens the lever.
    """

    pivot_mm: Array
    axis: Array


def hinge_of(linkage: Linkage, half: Half) -> Hinge:
    """The pedal's or the lever's hinge of a linkage."""
    if half == "pedal":
        return Hinge(linkage.pedal_pivot, linkage.pressing_axis)
    return Hinge(linkage.module_pivot, linkage.opening_axis)


@dataclass(frozen=True)
class PointSpring:
    """A coil spring between a fixed point and a point that moves with its half.

    Attributes:
        name: As the builder calls it.
        kind: ``extension`` pulls the two points together, ``compression`` pushes them apart.
        fixed_mm: Point on the vehicle, (3,). [mm]
        moving_mm: Point on the half, that half on its rest stop, (3,). [mm]
        free_length_mm: Between the points with the spring unloaded. [mm]
        rate_n_per_mm: Spring rate. [N/mm]
        initial_tension_n: Force with which an extension spring is wound shut; zero for a compression spring.
            [N]
        half: What it acts on.

    Raises:
        ValueError: a length or rate that is not positive, a negative initial tension, or one on a compression
            spring.
    """

    name: str
    kind: Literal["extension", "compression"]
    fixed_mm: Array
    moving_mm: Array
    free_length_mm: float
    rate_n_per_mm: float
    initial_tension_n: float = 0.0
    half: Half = "pedal"

    def __post_init__(self) -> None:
        object.__setattr__(self, "fixed_mm", np.asarray(self.fixed_mm, dtype=np.float64))
        object.__setattr__(self, "moving_mm", np.asarray(self.moving_mm, dtype=np.float64))
        if not (self.free_length_mm > 0.0 and self.rate_n_per_mm > 0.0):
            raise ValueError(f"spring {self.name}: free length and rate must be positive")
        if self.initial_tension_n < 0.0:
            raise ValueError(f"spring {self.name}: initial tension must not be negative")
        if self.kind == "compression" and self.initial_tension_n > 0.0:
            raise ValueError(f"spring {self.name}: a compression spring has no initial tension")

    def force_n(self, length_mm: ArrayLike) -> Array:
        r"""Pull (extension) or push (compression) at a length between its points; never negative.

        .. math:: F = F_0 + k\,(\ell - \ell_0) \quad (\ell > \ell_0), \qquad F = k\,(\ell_0 - \ell)
            \quad (\ell < \ell_0)

        for an extension and a compression spring; otherwise zero, since the spring hangs slack.

        Example:
            >>> spring = PointSpring("S1", "extension", [0, 0, 0], [90, 0, 0], 80.0, 0.5, 4.0)
            >>> spring.force_n([70.0, 100.0]).tolist()
            [0.0, 14.0]
        """
        stretched = np.asarray(length_mm, dtype=np.float64) - self.free_length_mm
        if self.kind == "extension":
            return np.where(stretched > 0.0, self.initial_tension_n + self.rate_n_per_mm * stretched, 0.0)
        return np.maximum(-self.rate_n_per_mm * stretched, 0.0)

    def moment_nm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        r"""Returning moment at each angle of its half, (positions,). [N·m]

        .. math:: M = -\,u \cdot (r \times F) / 1000

        u is the axis, right-handed away from rest, r the arm to the moving point [mm], F the force on it [N].

        Example:
            10 N at right angles to an arm of 100 mm:

            >>> spring = PointSpring("S1", "extension", [100, -50, 0], [100, 0, 0], 40.0, 1.0)
            >>> spring.moment_nm(Hinge(np.zeros(3), np.array([0.0, 0.0, 1.0])), [0.0]).tolist()
            [1.0]
        """
        moving = self._moving_mm(hinge, angle_rad)
        to_fixed = self.fixed_mm - moving
        span = length(to_fixed)
        pull = self.force_n(span) if self.kind == "extension" else -self.force_n(span)
        with np.errstate(divide="ignore", invalid="ignore"):
            toward = np.where(span[..., None] > 0.0, to_fixed / span[..., None], 0.0)
        return returning_moment_nm(hinge, moving, pull[..., None] * toward)

    def force_at_n(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        """Its force at each angle of its half, (positions,); zero where it hangs slack. [N]"""
        return self.force_n(self.length_at_mm(hinge, angle_rad))

    def length_at_mm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        """Between its points at each angle of its half, (positions,). [mm]"""
        return length(self.fixed_mm - self._moving_mm(hinge, angle_rad))

    def _moving_mm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        return turned(self.moving_mm, hinge.pivot_mm, hinge.axis, angle_rad)


@dataclass(frozen=True)
class TorsionSpring:
    """A spring wound about the axis of its half.

    Attributes:
        name: As the builder calls it.
        preload_nm: Returning moment with the half on its rest stop. [N·m]
        rate_nm_per_rad: Rise of it with the angle. [N·m/rad]
        half: What it acts on.
    """

    name: str
    preload_nm: float
    rate_nm_per_rad: float
    half: Half = "pedal"

    def moment_nm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        """Returning moment, (positions,); zero where the legs would have to pull. [N·m]

        Example:
            >>> anywhere = Hinge(np.zeros(3), np.array([0.0, 1.0, 0.0]))
            >>> TorsionSpring("S2", 1.5, 2.0).moment_nm(anywhere, [0.0, 0.25]).tolist()
            [1.5, 2.0]
        """
        turn = np.asarray(angle_rad, dtype=np.float64)
        return np.maximum(self.preload_nm + self.rate_nm_per_rad * turn, 0.0)


@dataclass(frozen=True)
class ModuleSpring:
    """A spring inside the module, known by its moment at the lever at both ends of the swing.

    Attributes:
        name: As the builder calls it.
        rest_nm: At the module's rest stop. [N·m]
        full_nm: At its full stop. [N·m]
        swing_rad: From stop to stop, positive. [rad]
    """

    name: str
    rest_nm: float
    full_nm: float
    swing_rad: float
    half: Half = field(default="module", init=False)

    def __post_init__(self) -> None:
        if not self.swing_rad > 0.0:
            raise ValueError(f"spring {self.name}: the swing must be positive")

    def moment_nm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        """Returning moment about the lever's axis, straight from rest to full, (positions,). [N·m]

        Example:
            >>> anywhere = Hinge(np.zeros(3), np.array([0.0, 1.0, 0.0]))
            >>> ModuleSpring("inner", 0.2, 0.4, 0.5).moment_nm(anywhere, [0.0, 0.25, 0.5]).round(9).tolist()
            [0.2, 0.3, 0.4]
        """
        turn = np.asarray(angle_rad, dtype=np.float64)
        return self.rest_nm + (self.full_nm - self.rest_nm) * turn / self.swing_rad


def module_springs(
    name: str, rest_nm: float, full_nm: float, swing_rad: float, count: int = 1
) -> tuple[ModuleSpring, ...]:
    """The springs of a module whose lever was measured with all of them in: equal shares of the moment.

    Args:
        name: Of the set; with more than one, each gets its number.
        rest_nm: Of all of them together at the module's rest stop. [N·m]
        full_nm: Of all of them together at its full stop. [N·m]
        swing_rad: From stop to stop. [rad]
        count: How many separate springs the module is known to hold; several strands of one are one.

    Raises:
        ValueError: count is less than one.

    Example:
        >>> [(spring.name, spring.full_nm) for spring in module_springs("inner", 0.2, 0.4, 0.5, count=2)]
        [('inner 1 of 2', 0.2), ('inner 2 of 2', 0.2)]
    """
    if count < 1:
        raise ValueError(f"spring {name}: count is {count}; leave out a module that has no spring")
    names = [name] if count == 1 else [f"{name} {i} of {count}" for i in range(1, count + 1)]
    return tuple(ModuleSpring(each, rest_nm / count, full_nm / count, swing_rad) for each in names)


@dataclass(frozen=True)
class Weight:
    """Mass of a half, or of something fixed to it.

    Attributes:
        name: As the builder calls it.
        mass_kg: Its mass. [kg]
        centre_mm: Centre of mass, its half on its rest stop, (3,). [mm]
        half: What it belongs to.
    """

    name: str
    mass_kg: float
    centre_mm: Array
    half: Half = "pedal"

    def moment_nm(self, hinge: Hinge, angle_rad: ArrayLike) -> Array:
        """Returning moment of gravity along −z, (positions,); negative where the weight presses. [N·m]

        Example:
            1 kg on an arm of 100 mm, level, that is pressed upward:

            >>> level = Hinge(np.zeros(3), np.array([0.0, -1.0, 0.0]))
            >>> Weight("arm", 1.0, np.array([100.0, 0.0, 0.0])).moment_nm(level, [0.0]).round(6).tolist()
            [0.980665]
        """
        centre = turned(self.centre_mm, hinge.pivot_mm, hinge.axis, angle_rad)
        return returning_moment_nm(hinge, centre, np.array([0.0, 0.0, -self.mass_kg * GRAVITY_M_PER_S2]))


Spring = PointSpring | TorsionSpring | ModuleSpring


def returning_moment_nm(hinge: Hinge, point_mm: Array, force_n: Array) -> Array:
    """Moment about the hinge of a force at a point, positive toward rest; (positions,). [N·m]"""
    return -dot(hinge.axis, cross(point_mm - hinge.pivot_mm, force_n)) / 1000.0
