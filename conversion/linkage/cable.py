"""A cable from the pedal, through its outer, onto a round or eccentric quadrant on the module's lever."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.linkage.kinds import Linkage
from conversion.linkage.turning import Array, across, length


@dataclass(frozen=True)
class CableLinkage(Linkage):
    """Geometry of a control cable. Every field may carry leading axes, (samples, 3) for (3,), for many at once.

    The inner runs straight from the pedal to the end of the outer that is held near it, and straight from the
    other end of the outer to the quadrant's groove. The quadrant's groove is a circle across the lever's axis,
    and what happens there is looked at along that axis.

    Attributes:
        pedal_pivot: A point of the pedal axis. [mm]
        pedal_axis: Unit vector along it.
        pedal_pin_at_rest: Where the inner is held on the pedal, the pedal on its rest stop. [mm]
        pedal_outer_end: Where the inner enters the outer near the pedal. [mm]
        module_outer_end: Where it leaves the outer near the module. [mm]
        module_pivot: A point of the axis of the module's lever. [mm]
        module_axis: Unit vector along it.
        nipple_at_rest_stop: Where the inner is held on the quadrant, the lever on the module's own rest stop;
            its direction from the centre of the groove counts. [mm]
        groove_centre_at_rest_stop: Centre of the groove's circle, likewise; on the lever's axis for a round
            quadrant. [mm]
        lever_sense: +1 if the lever turns right-handed about module_axis toward full, else −1.
        pedal_sense: +1 if the pedal turns right-handed about pedal_axis when pressed, else −1.
        groove_radius_mm: To the middle of the inner as it lies in the groove. [mm]
        slack_at_rest_mm: Inner that must be drawn, the pedal at rest, before the lever leaves its rest stop;
            negative where the cable holds the lever off it. Set by the cable's adjuster. [mm]
        over_travel_from_rad: Lever angle at which the lever is stopped and an over-travel spring in the cable
            gives way; infinite without such a spring. [rad]
        over_travel_preload_n: Force at which that spring begins to give way. [N]
        over_travel_rate_n_per_mm: Rise of it with what the spring is drawn out. [N/mm]
    """

    pedal_pivot: Array
    pedal_axis: Array
    pedal_pin_at_rest: Array
    pedal_outer_end: Array
    module_outer_end: Array
    module_pivot: Array
    module_axis: Array
    nipple_at_rest_stop: Array
    groove_centre_at_rest_stop: Array
    lever_sense: Array
    pedal_sense: Array
    groove_radius_mm: Array
    slack_at_rest_mm: Array = 0.0  # type: ignore[assignment]
    over_travel_from_rad: Array = np.inf  # type: ignore[assignment]
    over_travel_preload_n: Array = 0.0  # type: ignore[assignment]
    over_travel_rate_n_per_mm: Array = 0.0  # type: ignore[assignment]

    VECTORS = (
        "pedal_pivot",
        "pedal_axis",
        "pedal_pin_at_rest",
        "pedal_outer_end",
        "module_outer_end",
        "module_pivot",
        "module_axis",
        "nipple_at_rest_stop",
        "groove_centre_at_rest_stop",
    )
    NUMBERS = (
        "groove_radius_mm",
        "slack_at_rest_mm",
        "over_travel_from_rad",
        "over_travel_preload_n",
        "over_travel_rate_n_per_mm",
    )
    POSITIVE = ("groove_radius_mm", "over_travel_from_rad")
    ADJUSTED = "slack_at_rest_mm"
    one_way = True

    def __post_init__(self) -> None:
        super().__post_init__()
        if np.any(self.over_travel_preload_n < 0.0) or np.any(self.over_travel_rate_n_per_mm < 0.0):
            raise ValueError("preload and rate of an over-travel spring must not be negative")
        if np.any(self.eccentricity_mm >= self.groove_radius_mm):
            raise ValueError("the lever's axis must lie inside the circle of the quadrant's groove")

    @property
    def eccentricity_mm(self) -> Array:
        """Distance of the groove's centre from the lever's axis, (...); zero for a round quadrant. [mm]"""
        return length(across(self.module_axis, self.groove_centre_at_rest_stop - self.module_pivot))
