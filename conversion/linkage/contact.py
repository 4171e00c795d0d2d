"""A roller, or a round pad, on one body that pushes against a flat or arched face on the other."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from conversion.linkage.kinds import Linkage
from conversion.linkage.turning import Array, dot


@dataclass(frozen=True)
class ContactLinkage(Linkage):
    """Geometry of a contact. Every array may carry leading axes, (samples, 3) for (3,), for many at once.

    A flat face is a plane and the roller a ball: with parallel axes that is a roller of any width. An arched
    face is part of a cylinder along its body's axis; with axes out of parallel it counts as part of a ball
    (a crowned face). Points on the pedal are those with the pedal at rest, points on the lever those with the
    lever on the module's own rest stop.

    Attributes:
        pedal_pivot: A point of the pedal axis. [mm]
        pedal_axis: Unit vector along it.
        module_pivot: A point of the axis of the module's lever. [mm]
        module_axis: Unit vector along it.
        roller_centre: Centre of the roller. [mm]
        face_point: The middle of the face. [mm]
        face_normal: Unit vector out of the face at that point, toward the roller.
        lever_sense: +1 if the lever turns right-handed about module_axis toward full, else −1.
        pedal_sense: +1 if the pedal turns right-handed about pedal_axis when pressed, else −1.
        roller_radius_mm: Of the roller; zero for a point. [mm]
        face_radius_mm: Infinite for a flat face, positive for one arched toward the roller, negative for a
            hollow one, which must be larger than the roller. [mm]
        face_from_mm: Where the face begins, along it from its middle, right-handed about its body's axis
            (about the pressing axis, or the opening axis); negative. [mm]
        face_to_mm: Where it ends. [mm]
        packing_mm: What is added between roller and face by a packing, an adjusting screw or an eccentric: set
            at fitting; negative where something is taken away. [mm]
        roller_on: Which body carries the roller: ``pedal`` or ``lever``; the face is on the other one.
    """

    pedal_pivot: Array
    pedal_axis: Array
    module_pivot: Array
    module_axis: Array
    roller_centre: Array
    face_point: Array
    face_normal: Array
    lever_sense: Array
    pedal_sense: Array
    roller_radius_mm: Array
    face_radius_mm: Array = np.inf  # type: ignore[assignment]
    face_from_mm: Array = -np.inf  # type: ignore[assignment]
    face_to_mm: Array = np.inf  # type: ignore[assignment]
    packing_mm: Array = 0.0  # type: ignore[assignment]
    roller_on: Literal["pedal", "lever"] = "pedal"

    VECTORS = (
        "pedal_pivot",
        "pedal_axis",
        "module_pivot",
        "module_axis",
        "roller_centre",
        "face_point",
        "face_normal",
    )
    UNITS = ("pedal_axis", "module_axis", "face_normal")
    NUMBERS = ("roller_radius_mm", "face_radius_mm", "face_from_mm", "face_to_mm", "packing_mm")
    ADJUSTED = "packing_mm"
    one_way = True

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.roller_on not in ("pedal", "lever"):
            raise ValueError("roller_on must be 'pedal' or 'lever'")
        if np.any(self.roller_radius_mm < 0.0):
            raise ValueError("roller_radius_mm must not be negative")
        if np.any(self.face_radius_mm == 0.0):
            raise ValueError("face_radius_mm must not be zero; infinite for a flat face")
        flat = np.isinf(self.face_radius_mm)
        if np.any(flat) and not np.all(flat):
            raise ValueError("face_radius_mm must be infinite for all or for none of many contacts")
        if np.any((self.face_radius_mm < 0.0) & (-self.face_radius_mm <= self.roller_radius_mm)):
            raise ValueError("a hollow face must have a larger radius than the roller")
        if np.any(self.face_from_mm >= self.face_to_mm):
            raise ValueError("face_from_mm must be less than face_to_mm")
        along = np.abs(dot(self.face_normal, self.face_axis))
        if np.any(along > 1.0 - 1e-9):
            raise ValueError("face_normal lies along the axis of its own body, so turning it moves nothing")

    @property
    def is_flat(self) -> bool:
        """The face is a plane."""
        return bool(np.all(np.isinf(self.face_radius_mm)))

    @property
    def face_axis(self) -> Array:
        """Axis about which the body with the face turns, right-handed when pressed or opened, (..., 3)."""
        return self.opening_axis if self.roller_on == "pedal" else self.pressing_axis

    @cached_property
    def arch(self) -> tuple[Array, Array, Array]:
        """Of an arched face: its centre beside the roller, (..., 3) [mm]; +1 or −1 if hollow, (...); distance of the
        roller's centre from it, (...) [mm]."""
        hollow = np.sign(self.face_radius_mm)
        centre = self.face_point - self.face_normal * self.face_radius_mm[..., None]
        beside = dot(self.roller_centre - centre, self.face_axis)[..., None] * self.face_axis
        distance = np.abs(self.face_radius_mm) + hollow * (self.roller_radius_mm + self.packing_mm)
        return centre + beside, hollow, distance
