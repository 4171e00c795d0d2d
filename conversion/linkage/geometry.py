"""What a rod linkage is: two axes, two pins and the rod between them."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.linkage.kinds import Linkage, stacked
from conversion.linkage.turning import Array, across, length

__all__ = ["VECTORS", "RodLinkage", "stacked"]

VECTORS = (
    "pedal_pivot",
    "pedal_axis",
    "pedal_pin_at_rest",
    "module_pivot",
    "module_axis",
    "lever_pin_at_rest_stop",
)


@dataclass(frozen=True)
class RodLinkage(Linkage):
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

    VECTORS = VECTORS
    NUMBERS = ("rod_length_mm",)
    POSITIVE = ("rod_length_mm",)
    ADJUSTED = "rod_length_mm"

    @property
    def pedal_radius_mm(self) -> Array:
        """Distance of the pedal pin from the pedal axis, (...). [mm]"""
        return length(across(self.pedal_axis, self.pedal_pin_at_rest - self.pedal_pivot))

    @property
    def lever_radius_mm(self) -> Array:
        """Distance of the lever pin from the lever axis, (...). [mm]"""
        return length(across(self.module_axis, self.lever_pin_at_rest_stop - self.module_pivot))
