"""What follows from the lever angles of a rod linkage: pins, ratio, transmission angles, dead centres."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.geometry import RodLinkage
from conversion.linkage.kinds import Motion, Watch
from conversion.linkage.turning import Array, across, cross, dot, length, turned

# A dip of the transmission angle's sine below this, without a crossing, still is a dead centre.
TOUCHING = 1e-6


@dataclass(frozen=True)
class RodSolution(Motion):
    """Every position of a rod linkage. Shapes are (positions,), or (samples, positions) for many linkages.

    Attributes:
        linkage: What was solved.
        pedal_angle_rad: From the pedal's rest stop, positive pressed. [rad]
        lever_angle_rad: From the module's rest stop, positive toward full, continuous over the positions and
            nan where the rod cannot close. [rad]
        exists: True where the rod closes.
        other_branch_rad: The lever angle if the rod were put together on the other side. [rad]
        discriminant_mm4: p² + q² − r² of the closure; zero at a dead centre of the lever, negative where the
            rod cannot close. [mm⁴]
    """

    linkage: RodLinkage
    other_branch_rad: Array
    discriminant_mm4: Array

    @cached_property
    def pedal_pin_mm(self) -> Array:
        """Centre A of the ball on the pedal, (..., positions, 3). [mm]"""
        linkage = self.linkage
        return turned(linkage.pedal_pin_at_rest, linkage.pedal_pivot, linkage.pressing_axis, self.pedal_angle_rad)

    @cached_property
    def lever_pin_mm(self) -> Array:
        """Centre B of the ball on the lever, (..., positions, 3); nan where the rod cannot close. [mm]"""
        linkage = self.linkage
        return turned(linkage.lever_pin_at_rest_stop, linkage.module_pivot, linkage.opening_axis, self.lever_angle_rad)

    @cached_property
    def reach(self) -> Array:
        r"""Square of the lock measure, also where the rod cannot close: there it is negative.

        .. math:: \frac{p^2 + q^2 - r^2}{4 L^2 |b_\perp|^2}
        """
        scale = 4.0 * (self.linkage.rod_length_mm * self.linkage.lever_radius_mm) ** 2
        with np.errstate(divide="ignore", invalid="ignore"):
            return self.discriminant_mm4 / scale[..., None]

    @cached_property
    def lock_measure(self) -> Array:
        r"""How far the lever is from its dead centre, −1 … 1; at zero the lever locks.

        .. math:: \frac{(A - B) \cdot (v \times b)}{L \, |v \times b|}

        v is the lever's axis, b its arm: the cosine between the rod and the path of the lever pin, which is
        the sine of the transmission angle.
        """
        return self._along_path(self.lever_pin_mm, self.linkage.module_pivot, self.linkage.opening_axis)

    @cached_property
    def reversal_measure(self) -> Array:
        r"""How far the pedal is from going over centre, −1 … 1; at zero the lever turns back.

        .. math:: \frac{(A - B) \cdot (u \times a)}{L \, |u \times a|}

        u is the pedal's axis, a the arm of its pin.
        """
        return self._along_path(self.pedal_pin_mm, self.linkage.pedal_pivot, self.linkage.pressing_axis)

    @cached_property
    def ratio(self) -> Array:
        r"""Lever angle gained for each pedal angle, positive toward full; infinite or nan where the lever
        locks.

        .. math:: \frac{d\varphi}{d\theta} = \frac{(A - B) \cdot (u \times a)}{(A - B) \cdot (v \times b)}
        """
        pedal, lever = self.linkage.pedal_radius_mm[..., None], self.linkage.lever_radius_mm[..., None]
        with np.errstate(divide="ignore", invalid="ignore"):
            return self.reversal_measure * pedal / (self.lock_measure * lever)

    @cached_property
    def transmission_lever_rad(self) -> Array:
        """Transmission angle at the lever pin, 0 … π, best at π/2; see :func:`transmission_rad`. [rad]"""
        return transmission_rad(
            self.pedal_pin_mm - self.lever_pin_mm,
            self.lever_pin_mm - self.linkage.module_pivot[..., None, :],
            self.linkage.module_axis[..., None, :],
        )

    @cached_property
    def transmission_pedal_rad(self) -> Array:
        """Transmission angle at the pedal pin, 0 … π, best at π/2; see :func:`transmission_rad`. [rad]"""
        return transmission_rad(
            self.lever_pin_mm - self.pedal_pin_mm,
            self.pedal_pin_mm - self.linkage.pedal_pivot[..., None, :],
            self.linkage.pedal_axis[..., None, :],
        )

    @cached_property
    def pedal_arm_mm(self) -> Array:
        """Moment about the pedal axis for each newton of push in the rod, (..., positions). [mm]"""
        return self.reversal_measure * self.linkage.pedal_radius_mm[..., None]

    @cached_property
    def lever_arm_mm(self) -> Array:
        """Moment about the lever's axis for each newton of push in the rod, (..., positions). [mm]"""
        return self.lock_measure * self.linkage.lever_radius_mm[..., None]

    def link_lines_mm(self) -> tuple[Array, ...]:
        """The rod from ball to ball, one line of two points, (..., positions, 2, 3). [mm]"""
        return (np.stack([self.pedal_pin_mm, self.lever_pin_mm], axis=-2),)

    def quantities(self) -> dict[str, Array]:
        """Share of the rod's load that goes sideways, along the axis of pedal and lever, 0 … 1."""
        rod = (self.pedal_pin_mm - self.lever_pin_mm) / self.linkage.rod_length_mm[..., None, None]
        return {
            "sideways_share_lever": np.abs(dot(rod, self.linkage.module_axis[..., None, :])),
            "sideways_share_pedal": np.abs(dot(rod, self.linkage.pedal_axis[..., None, :])),
        }

    def watched(self) -> tuple[Watch, ...]:
        """Dead centre of the lever, pedal over centre, and where the rod cannot close."""
        return (
            Watch("lock", self.reach, touching=TOUCHING**2),
            Watch("no-solution", self.reach, happens=~self.exists),
            Watch("reversal", self.reversal_measure),
        )

    def why_none(self) -> tuple[Literal["", "short", "long"], str]:
        """What a rod that cannot close is: wherever the lever stands, the pins are farther apart, or nearer."""
        apart = length(self.pedal_pin_mm[0] - self.linkage.lever_pin_at_rest_stop)
        return ("short" if apart > self.linkage.rod_length_mm else "long"), ""

    def _along_path(self, pin_mm: Array, pivot_mm: Array, axis: Array) -> Array:
        path = cross(axis[..., None, :], pin_mm - pivot_mm[..., None, :])
        rod = self.pedal_pin_mm - self.lever_pin_mm
        with np.errstate(divide="ignore", invalid="ignore"):
            return dot(rod, path) / (self.linkage.rod_length_mm[..., None] * length(path))


def transmission_rad(rod: ArrayLike, arm: ArrayLike, axis: ArrayLike) -> Array:
    r"""Transmission angle at a pin: 90° where the rod lies along the path of the pin, 0° or 180° at dead
    centre.

    .. math:: \sin\mu = |e \cdot t|

    e is the unit vector of the rod, t the tangent of the pin's path, so the rod's force F turns the arm with
    F·sin μ. In a plane μ is the angle between rod and arm, over 90° where the rod leaves the pin outward. A
    rod that leans out of the plane of the pin's path by γ never comes nearer to 90° than γ, and steps from
    90° − γ to 90° + γ where it passes square to the arm.

    Args:
        rod: From this pin to the other one; (..., 3). [mm]
        arm: From any point of the axis to this pin; (..., 3). [mm]
        axis: Unit vector along the axis; (..., 3).

    Returns:
        (...), 0 … π. [rad]

    Example:
        >>> np.degrees(transmission_rad([0, 50, 0], [30, 0, 0], [0, 0, 1])).round(6).item()
        90.0
        >>> np.degrees(transmission_rad([0, 50, 50], [30, 0, 0], [0, 0, 1])).round(6).item()
        45.0
    """
    radial = across(axis, arm)
    tangent = cross(np.asarray(axis), radial)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.abs(dot(rod, tangent)) / (length(rod) * length(tangent))
    angle = np.arcsin(np.minimum(sine, 1.0))
    return np.where(dot(rod, radial) > 0.0, np.pi - angle, angle)
