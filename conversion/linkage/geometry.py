"""What a rod linkage is: two axes, two pins and the rod between them."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from conversion.linkage.turning import Array, across, length

VECTORS = (
    "pedal_pivot",
    "pedal_axis",
    "pedal_pin_at_rest",
    "module_pivot",
    "module_axis",
    "lever_pin_at_rest_stop",
)


@dataclass(frozen=True)
class RodLinkage:
    """Geometry of a rod linkage. Every field may carry leading axes, (samples, 3) for (3,), for many at once.

    Attributes:
        pedal_pivot: A point of the pedal axis. [mm]
        pedal_axis: Unit vector along the pedal axis.
        pedal_pin_at_rest: Centre of the rod's ball on the pedal, the pedal on its rest stop. [mm]
        module_pivot: A point of the axis of the module's lever. [mm]
        module_axis: Unit vector along that axis.
        lever_pin_at_rest_stop: Centre of the rod's ball on the lever, the lever on the module's own rest
            stop, where the lever angle is zero. [mm]
        lever_sense: +1 if the lever turns right-handed about module_axis toward full, else −1.
        pedal_sense: +1 if the pedal turns right-handed about pedal_axis when pressed, else −1.
        rod_length_mm: Between the centres of the two balls. [mm]

    Raises:
        ValueError: a shape does not end in 3, an axis is not a unit vector, a sense is not ±1, or the rod
            length is not positive.
    """

    pedal_pivot: Array
    pedal_axis: Array
    pedal_pin_at_rest: Array
    module_pivot: Array
    module_axis: Array
    lever_pin_at_rest_stop: Array
    lever_sense: Array
    pedal_sense: Array
    rod_length_mm: Array

    def __post_init__(self) -> None:
        for name in (field.name for field in fields(self)):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))
        for name in VECTORS:
            if getattr(self, name).shape[-1:] != (3,):
                raise ValueError(f"{name} has shape {getattr(self, name).shape}; it must end in 3 (x, y, z)")
        for name in ("pedal_axis", "module_axis"):
            if np.any(np.abs(np.linalg.norm(getattr(self, name), axis=-1) - 1.0) > 1e-6):
                raise ValueError(f"{name} must be a unit vector")
        for name in ("pedal_sense", "lever_sense"):
            if np.any(np.abs(getattr(self, name)) != 1.0):
                raise ValueError(f"{name} must be +1 or -1")
        if np.any(self.rod_length_mm <= 0.0):
            raise ValueError("rod_length_mm must be positive")

    @property
    def pressing_axis(self) -> Array:
        """Axis about which pressing the pedal is a right-handed turn, (..., 3)."""
        return self.pedal_axis * self.pedal_sense[..., None]

    @property
    def opening_axis(self) -> Array:
        """Axis about which the lever's way to full is a right-handed turn, (..., 3)."""
        return self.module_axis * self.lever_sense[..., None]

    @property
    def pedal_radius_mm(self) -> Array:
        """Distance of the pedal pin from the pedal axis, (...). [mm]"""
        return length(across(self.pedal_axis, self.pedal_pin_at_rest - self.pedal_pivot))

    @property
    def lever_radius_mm(self) -> Array:
        """Distance of the lever pin from the lever axis, (...). [mm]"""
        return length(across(self.module_axis, self.lever_pin_at_rest_stop - self.module_pivot))


def stacked(linkage: RodLinkage, samples: int) -> RodLinkage:
    """The same linkage ``samples`` times along a leading axis, every field writable on its own."""
    return replace(
        linkage,
        **{
            field.name: np.repeat(getattr(linkage, field.name)[None, ...], samples, axis=0) for field in fields(linkage)
        },
    )
