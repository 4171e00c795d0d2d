"""What follows from the lever angles of a cable: what is drawn, its wrap, slack, over-travel and lines."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from conversion.linkage.cable import CableLinkage
from conversion.linkage.kinds import TAKEN_HOLD_RAD, Motion, Watch
from conversion.linkage.motion import TOUCHING, transmission_rad
from conversion.linkage.quadrant import Lay, Quadrant
from conversion.linkage.turning import Array, cross, dot, length, turned

ARC_POINTS = 13


@dataclass(frozen=True)
class CableMotion(Motion):
    """Every position of a cable. Shapes are (positions,), or (samples, positions) for many.

    Attributes:
        drawn_mm: Inner drawn since the lever would leave its rest stop; negative while it hangs slack. [mm]
        taut_rad: Lever angle that the cable asks for, without stop or over-travel spring; below zero while it
            hangs slack. [rad]
        left_mm: What can still be drawn until the quadrant's dead centre; negative where more was drawn. [mm]
        quadrant: The quadrant in its frame.
    """

    linkage: CableLinkage
    drawn_mm: Array
    taut_rad: Array
    left_mm: Array
    quadrant: Quadrant

    @property
    def driven_rad(self) -> Array:
        """Lever angle that the cable asks for, as far as an over-travel spring does not give way. [rad]"""
        return np.minimum(self.taut_rad, self.linkage.over_travel_from_rad[..., None])

    @property
    def slack(self) -> np.ndarray:
        """True where the cable hangs loose and the lever stands on its rest stop."""
        return self.taut_rad < -TAKEN_HOLD_RAD

    @property
    def over_travelling(self) -> np.ndarray:
        """True where the over-travel spring gives way."""
        return self.taut_rad > self.linkage.over_travel_from_rad[..., None]

    @cached_property
    def lay(self) -> Lay:
        """The cable on the quadrant."""
        return self.quadrant.lay(self.lever_angle_rad)

    @cached_property
    def pedal_pin_mm(self) -> Array:
        """Where the inner is held on the pedal, (..., positions, 3). [mm]"""
        linkage = self.linkage
        return turned(linkage.pedal_pin_at_rest, linkage.pedal_pivot, linkage.pressing_axis, self.pedal_angle_rad)

    @cached_property
    def lever_pin_mm(self) -> Array:
        """Where the inner leaves the groove, or the nipple once the groove is used up. [mm]"""
        return self._placed(self.lay.leaves_x_mm, self.lay.leaves_y_mm)

    @cached_property
    def pedal_arm_mm(self) -> Array:
        """Inner drawn for each radian of the pedal: the moment about its axis for each newton of pull. [mm]"""
        from_outer = self.pedal_pin_mm - self.linkage.pedal_outer_end[..., None, :]
        path = cross(
            self.linkage.pressing_axis[..., None, :], self.pedal_pin_mm - self.linkage.pedal_pivot[..., None, :]
        )
        with np.errstate(divide="ignore", invalid="ignore"):
            return dot(from_outer, path) / length(from_outer)

    @property
    def lever_arm_mm(self) -> Array:
        """Moment about the lever's axis for each newton of pull. [mm]"""
        return self.lay.arm_mm

    @cached_property
    def ratio(self) -> Array:
        r"""Lever angle gained for each pedal angle; zero while the cable is slack or the over-travel spring gives.

        .. math:: \frac{d\varphi}{d\theta} = \frac{e \cdot (u \times a)}{h}

        e is the unit vector of the inner from the outer to the pedal, a the arm of its end there, h the arm of
        the pull on the quadrant.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.slack | self.over_travelling, 0.0, self.pedal_arm_mm / self.lever_arm_mm)

    @cached_property
    def transmission_pedal_rad(self) -> Array:
        """Between the inner and the arm of its end on the pedal, best at π/2. [rad]"""
        return transmission_rad(
            self.linkage.pedal_outer_end[..., None, :] - self.pedal_pin_mm,
            self.pedal_pin_mm - self.linkage.pedal_pivot[..., None, :],
            self.linkage.pedal_axis[..., None, :],
        )

    @cached_property
    def over_travel_mm(self) -> Array:
        """How far the over-travel spring is drawn out, (..., positions). [mm]"""
        stop = self.linkage.over_travel_from_rad[..., None]
        held = np.where(np.isfinite(stop), stop, 0.0)
        at_rest, at_stop = self.quadrant.lay(np.zeros_like(held)), self.quadrant.lay(held)
        beyond = self.drawn_mm - (at_rest.run_mm - at_stop.run_mm)
        return np.where(self.over_travelling, np.maximum(beyond, 0.0), 0.0)

    @cached_property
    def over_travel_force_n(self) -> Array:
        """Force of the over-travel spring where it gives way, else zero. [N]"""
        linkage = self.linkage
        force = linkage.over_travel_preload_n[..., None] + linkage.over_travel_rate_n_per_mm[..., None] * (
            self.over_travel_mm
        )
        return np.where(self.over_travelling, force, 0.0)

    @property
    def link_moment_nm(self) -> Array:
        """Moment of the over-travel spring about the pedal axis, toward rest. [N·m]"""
        return self.over_travel_force_n * self.pedal_arm_mm / 1000.0

    def link_lines_mm(self) -> tuple[Array, ...]:
        """Pedal to outer, (..., 2, 3); outer to groove and along it to the nipple. The outer is flexible."""
        pin = self.pedal_pin_mm
        outer = np.broadcast_to(self.linkage.pedal_outer_end[..., None, :], pin.shape)
        lay, radius = self.lay, self.quadrant.radius_mm
        wrap = np.maximum(lay.wrap_rad, 0.0)
        points = [np.broadcast_to(self.linkage.module_outer_end[..., None, :], self.lever_pin_mm.shape)]
        for share in np.linspace(0.0, 1.0, ARC_POINTS):
            angle = lay.leaves_rad - share * wrap
            points.append(
                self._placed(lay.centre_x_mm + radius * np.cos(angle), lay.centre_y_mm + radius * np.sin(angle))
            )
        return np.stack([pin, outer], axis=-2), np.stack(points, axis=-2)

    def quantities(self) -> dict[str, Array]:
        """Drawn and slack inner, its straight pieces, wrap, arm on the quadrant, over-travel, how the inner swings at
        the outer near the pedal, and how far out of the groove's plane it comes to the quadrant."""
        linkage = self.linkage
        leaving = self.pedal_pin_mm - linkage.pedal_outer_end[..., None, :]
        at_rest = (linkage.pedal_pin_at_rest - linkage.pedal_outer_end)[..., None, :]
        turn = np.arctan2(length(cross(leaving, at_rest)), dot(leaving, at_rest))
        aside = dot(linkage.module_outer_end - linkage.groove_centre_at_rest_stop, linkage.module_axis)
        with np.errstate(divide="ignore", invalid="ignore"):
            line = np.hypot(self.quadrant.outer_mm - self.lay.leaves_x_mm, self.lay.leaves_y_mm)
        return {
            "drawn_from_pedal_mm": length(leaving) - length(at_rest),
            "straight_at_pedal_mm": length(leaving),
            "straight_at_module_mm": np.hypot(line, aside[..., None]),
            "slack_mm": np.where(self.slack, -self.drawn_mm, 0.0),
            "wrap_rad": self.lay.wrap_rad,
            "quadrant_arm_mm": self.lay.arm_mm,
            "over_travel_mm": self.over_travel_mm,
            "over_travel_force_n": self.over_travel_force_n,
            "swing_at_outer_rad": turn,
            "out_of_groove_rad": np.abs(np.arctan2(aside[..., None], line)),
        }

    def watched(self) -> tuple[Watch, ...]:
        """Dead centre of the quadrant, more drawn than it can take, pedal over centre, slack, groove used up."""
        left = self.left_mm / self.quadrant.radius_mm
        return (
            Watch("lock", left, touching=TOUCHING**2),
            Watch("no-solution", left, happens=~self.exists),
            Watch("reversal", self.pedal_arm_mm),
            Watch("slack", self.taut_rad, happens=self.slack),
            Watch("unwrapped", self.lay.wrap_rad, happens=self.exists & (self.lay.wrap_rad < 0.0)),
        )

    def _placed(self, x: Array, y: Array) -> Array:
        """Points of the quadrant's frame in the vehicle, in the plane of the groove."""
        linkage, quadrant = self.linkage, self.quadrant
        aside = dot(linkage.groove_centre_at_rest_stop - linkage.module_pivot, linkage.module_axis)
        origin = linkage.module_pivot + aside[..., None] * linkage.module_axis
        return (
            origin[..., None, :]
            + x[..., None] * quadrant.first[..., None, :]
            + y[..., None] * quadrant.second[..., None, :]
        )
