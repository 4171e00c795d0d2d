"""What follows from the lever angles of a contact: where it touches, how far it slides, when it loses its face."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from conversion.linkage.contact import ContactLinkage
from conversion.linkage.kinds import TAKEN_HOLD_RAD, Motion, Watch
from conversion.linkage.motion import TOUCHING
from conversion.linkage.turning import Array, across, cross, dot, length, turned


@dataclass(frozen=True)
class ContactMotion(Motion):
    """Every position of a contact. Shapes are (positions,), or (samples, positions) for many.

    Attributes:
        touching_rad: Lever angle at which roller and face touch; below zero where the lever on its rest stop
            leaves a gap between them. [rad]
        reach: Square of the sine between the contact's line and the lever's arm; negative where they cannot
            touch.
        rest: The one position with the pedal at rest; None if this is it.
    """

    linkage: ContactLinkage
    touching_rad: Array
    reach: Array
    rest: ContactMotion | None

    @property
    def driven_rad(self) -> Array:
        """Lever angle at which they touch. [rad]"""
        return self.touching_rad

    @property
    def clear(self) -> np.ndarray:
        """True where the lever stands on its rest stop and the roller is clear of its face."""
        return self.touching_rad < -TAKEN_HOLD_RAD

    @property
    def touches(self) -> np.ndarray:
        """True where roller and face touch."""
        return self.exists & ~self.clear

    @cached_property
    def roller_mm(self) -> Array:
        """Centre of the roller, (..., positions, 3). [mm]"""
        linkage = self.linkage
        if linkage.roller_on == "pedal":
            return turned(linkage.roller_centre, linkage.pedal_pivot, linkage.pressing_axis, self.pedal_angle_rad)
        return turned(linkage.roller_centre, linkage.module_pivot, linkage.opening_axis, self.lever_angle_rad)

    def on_face(self, point_mm: Array) -> Array:
        """A point of the body with the face, (3,), in every position, (..., positions, 3). [mm]"""
        linkage = self.linkage
        if linkage.roller_on == "pedal":
            return turned(point_mm, linkage.module_pivot, linkage.opening_axis, self.lever_angle_rad)
        return turned(point_mm, linkage.pedal_pivot, linkage.pressing_axis, self.pedal_angle_rad)

    @cached_property
    def normal(self) -> Array:
        """Unit vector out of the face toward the roller, where they touch or would, (..., positions, 3)."""
        linkage = self.linkage
        if linkage.is_flat:
            return self.on_face(linkage.face_point + linkage.face_normal) - self.on_face(linkage.face_point)
        centre, hollow, _ = linkage.arch
        out = self.roller_mm - self.on_face(centre)
        return out / length(out)[..., None] * hollow[..., None, None]

    @cached_property
    def contact_mm(self) -> Array:
        """Point of the roller nearest to the face, (..., positions, 3). [mm]"""
        return self.roller_mm - self.normal * self.linkage.roller_radius_mm[..., None, None]

    @property
    def pedal_pin_mm(self) -> Array:
        """Where the pedal touches. [mm]"""
        return self.contact_mm

    @property
    def lever_pin_mm(self) -> Array:
        """Where the lever is touched. [mm]"""
        return self.contact_mm

    @cached_property
    def push(self) -> Array:
        """Unit vector of the force on the lever, (..., positions, 3)."""
        return -self.normal if self.linkage.roller_on == "pedal" else self.normal

    @cached_property
    def pedal_arm_mm(self) -> Array:
        """Moment about the pedal axis for each newton in the contact. [mm]"""
        path = cross(self.linkage.pressing_axis[..., None, :], self.roller_mm - self._pedal)
        return dot(self.push, path)

    @cached_property
    def lever_arm_mm(self) -> Array:
        """Moment about the lever's axis for each newton in the contact. [mm]"""
        path = cross(self.linkage.opening_axis[..., None, :], self.roller_mm - self._module)
        return dot(self.push, path)

    @cached_property
    def ratio(self) -> Array:
        r"""Lever angle gained for each pedal angle; zero while the roller is clear of its face.

        .. math:: \frac{d\varphi}{d\theta} = \frac{n \cdot (u \times x)}{n \cdot (v \times y)}

        n is along the contact's line, x and y the arms from pedal and lever axis to it: both bodies move
        alike along that line.
        """
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(self.clear, 0.0, self.pedal_arm_mm / self.lever_arm_mm)

    @cached_property
    def transmission_lever_rad(self) -> Array:
        """Between the contact's line and the arm to it at the lever, 0 … π/2, best at π/2. [rad]"""
        return self._against(self.linkage.module_axis, self._module)

    @cached_property
    def transmission_pedal_rad(self) -> Array:
        """The same at the pedal. [rad]"""
        return self._against(self.linkage.pedal_axis, self._pedal)

    @cached_property
    def along_face_mm(self) -> Array:
        """Where on the face they touch: along it from its middle, right-handed about its body's axis. [mm]"""
        linkage = self.linkage
        along = cross(linkage.face_axis, linkage.face_normal)
        along = along / length(along)[..., None]
        tangent = self.on_face(linkage.face_point + along) - self.on_face(linkage.face_point)
        if linkage.is_flat:
            return dot(self.contact_mm - self.on_face(linkage.face_point), tangent)
        middle = self.on_face(linkage.face_point + linkage.face_normal) - self.on_face(linkage.face_point)
        turn = np.arctan2(dot(self.normal, tangent), dot(self.normal, middle))
        return turn * linkage.face_radius_mm[..., None]

    def link_lines_mm(self) -> tuple[Array, ...]:
        """The face from edge to edge (as far as 30 mm where it has none), and the roller's rim."""
        return self._face(), self._rim()

    def quantities(self) -> dict[str, Array]:
        """Gap, place on the face, distance slid along it and across it since rest, distance to the nearer edge."""
        linkage = self.linkage
        rest = self.rest or self
        across_face = dot(self.contact_mm - self.on_face(linkage.face_point), linkage.face_axis[..., None, :])
        rest_across = dot(rest.contact_mm - rest.on_face(linkage.face_point), linkage.face_axis[..., None, :])
        return {
            "gap_mm": np.where(self.touches, 0.0, self._gap()),
            "along_face_mm": self.along_face_mm,
            "slid_mm": self.along_face_mm - rest.along_face_mm,
            "slid_across_mm": across_face - rest_across,
            "edge_margin_mm": np.minimum(self._near_margin(), self._far_margin()),
            "sideways_share_lever": np.abs(dot(self.push, linkage.module_axis[..., None, :])),
            "sideways_share_pedal": np.abs(dot(self.push, linkage.pedal_axis[..., None, :])),
        }

    def watched(self) -> tuple[Watch, ...]:
        """Dead centres of lever and pedal, no contact possible, roller clear of its face or beyond an edge."""
        near, far = self._near_margin(), self._far_margin()
        return (
            Watch("lock", self.reach, touching=TOUCHING**2),
            Watch("no-solution", self.reach, happens=~self.exists),
            Watch("reversal", self.pedal_arm_mm),
            Watch("lift-off", self.touching_rad, happens=self.clear),
            Watch("run-off", near, happens=self.touches & (near < 0.0), where="near edge"),
            Watch("run-off", far, happens=self.touches & (far < 0.0), where="far edge"),
        )

    @property
    def _pedal(self) -> Array:
        return self.linkage.pedal_pivot[..., None, :]

    @property
    def _module(self) -> Array:
        return self.linkage.module_pivot[..., None, :]

    def _near_margin(self) -> Array:
        return self.along_face_mm - self.linkage.face_from_mm[..., None]

    def _far_margin(self) -> Array:
        return self.linkage.face_to_mm[..., None] - self.along_face_mm

    def _gap(self) -> Array:
        linkage = self.linkage
        if linkage.is_flat:
            apart = dot(self.roller_mm - self.on_face(linkage.face_point), self.normal)
            return apart - (linkage.roller_radius_mm + linkage.packing_mm)[..., None]
        centre, hollow, distance = linkage.arch
        return hollow[..., None] * (length(self.roller_mm - self.on_face(centre)) - distance[..., None])

    def _against(self, axis: Array, pivot: Array) -> Array:
        path = cross(axis[..., None, :], across(axis[..., None, :], self.contact_mm - pivot))
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.arcsin(np.minimum(np.abs(dot(self.push, path)) / length(path), 1.0))

    def _face(self) -> Array:
        linkage = self.linkage
        start = np.maximum(linkage.face_from_mm, -30.0)
        share = np.linspace(0.0, 1.0, 2 if linkage.is_flat else 17)
        along = cross(linkage.face_axis, linkage.face_normal)
        along = along / length(along)[..., None]
        lines = []
        for each in share:
            at = start + each * (np.minimum(linkage.face_to_mm, 30.0) - start)
            if linkage.is_flat:
                point = linkage.face_point + along * at[..., None]
            else:
                radius, turn = linkage.face_radius_mm[..., None], (at / linkage.face_radius_mm)[..., None]
                point = linkage.face_point + radius * (
                    np.sin(turn) * along - (1.0 - np.cos(turn)) * across(linkage.face_axis, linkage.face_normal)
                )
            lines.append(self.on_face(point))
        return np.stack(lines, axis=-2)

    def _rim(self) -> Array:
        axis = self.linkage.pedal_axis if self.linkage.roller_on == "pedal" else self.linkage.module_axis
        out = across(axis[..., None, :], self.normal)
        with np.errstate(divide="ignore", invalid="ignore"):
            out = out / length(out)[..., None]
        side = cross(axis[..., None, :], out)
        radius = self.linkage.roller_radius_mm[..., None, None]
        turns = np.linspace(0.0, 2 * np.pi, 25)
        return np.stack(
            [self.roller_mm - radius * (np.cos(turn) * out + np.sin(turn) * side) for turn in turns], axis=-2
        )
