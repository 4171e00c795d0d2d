"""From chosen settings to linkages: where each thing that may move puts pins, pivots and lengths."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from conversion.linkage import (
    BellCrankLinkage,
    CableLinkage,
    ContactLinkage,
    Linkage,
    RodLinkage,
    adjusted_at_rest,
)
from conversion.linkage.kinds import with_figures
from conversion.linkage.turning import across, length
from conversion.study.sampling import Array

MODULE_AXES = ("module_x_mm", "module_y_mm", "module_z_mm")
BY_KIND: dict[type[Linkage], tuple[str, ...]] = {
    RodLinkage: (*MODULE_AXES, "lever_hole_mm", "pedal_hole_mm", "rest_rad", "full_rad"),
    BellCrankLinkage: (
        *MODULE_AXES, "lever_hole_mm", "pedal_hole_mm", "crank_in_mm", "crank_out_mm", "rest_rad", "full_rad",
    ),
    CableLinkage: (*MODULE_AXES, "pedal_hole_mm", "groove_radius_mm", "rest_rad", "full_rad"),
    ContactLinkage: (*MODULE_AXES, "rest_rad", "full_rad"),
}  # fmt: skip
"""What may move in each kind; the direct one has nothing that could."""

# Pin -> pivot and axis of the body that it is on, and the setting that moves it along its arm.
_PINS: dict[str, tuple[str, str, str]] = {
    "pedal_pin_at_rest": ("pedal_pivot", "pedal_axis", "pedal_hole_mm"),
    "lever_pin_at_rest_stop": ("module_pivot", "module_axis", "lever_hole_mm"),
    "crank_pin_in_at_rest": ("crank_pivot", "crank_axis", "crank_in_mm"),
    "crank_pin_out_at_rest": ("crank_pivot", "crank_axis", "crank_out_mm"),
}


@dataclass(frozen=True)
class Thread:
    """The thread of a rod: lengths that can be set.

    Attributes:
        reference_mm: One length that can be set. [mm]
        step_mm: From one to the next. [mm]
        least_mm: Shortest rod. [mm]
        most_mm: Longest rod. [mm]
    """

    reference_mm: float
    step_mm: float
    least_mm: float = 0.0
    most_mm: float = np.inf

    def nearest_mm(self, wanted_mm: Array) -> Array:
        """The nearest length that can be set, whether or not it is within the range. [mm]"""
        return self.reference_mm + self.step_mm * np.round((wanted_mm - self.reference_mm) / self.step_mm)


def on_module(linkage: Linkage) -> tuple[str, ...]:
    """Names of the points that go with the module when it is put elsewhere."""
    if isinstance(linkage, CableLinkage):
        return "module_pivot", "module_outer_end", "nipple_at_rest_stop", "groove_centre_at_rest_stop"
    if isinstance(linkage, ContactLinkage):
        return "module_pivot", "roller_centre" if linkage.roller_on == "lever" else "face_point"
    return "module_pivot", "lever_pin_at_rest_stop"


def moved(linkage: Linkage, settings: Mapping[str, Array], thread: Thread | None, aim_rad: Array | None) -> Linkage:
    """Many linkages from one, each with its settings; a rod set to the nearest length that its thread gives.

    Args:
        linkage: As described, of a kind in :data:`BY_KIND`, no leading axes.
        settings: By axis, (samples,) each; those that move nothing of a linkage are passed over.
        thread: Of its rod; None where it can be set to any length, or has none.
        aim_rad: Lever angle at rest to which the link is adjusted at fitting, (samples,) or one; None where it
            stays as long as it is. [rad]

    Returns:
        The linkages. The first rod of a bell-crank is as long as its pins are then apart.
    """
    new: dict[str, Array] = {}
    for index, name in enumerate(MODULE_AXES):
        if name in settings:
            by = np.zeros((len(settings[name]), 3))
            by[:, index] = settings[name] - linkage.module_pivot[index]
            new |= {point: new.get(point, getattr(linkage, point)) + by for point in on_module(linkage)}

    def now(name: str) -> Array:
        found: Array = new.get(name, getattr(linkage, name))
        return found

    for pin, (pivot, axis, setting) in _PINS.items():
        if setting in settings:
            arm = now(pin) - now(pivot)
            radial = across(getattr(linkage, axis), arm)
            new[pin] = now(pin) + radial * (settings[setting] / length(radial) - 1.0)[:, None]
    if "groove_radius_mm" in settings and isinstance(linkage, CableLinkage):
        centre = now("groove_centre_at_rest_stop")
        grown = settings["groove_radius_mm"] / linkage.groove_radius_mm
        new["nipple_at_rest_stop"] = centre + (now("nipple_at_rest_stop") - centre) * grown[:, None]
        new["groove_radius_mm"] = settings["groove_radius_mm"]
    if isinstance(linkage, BellCrankLinkage):
        new["first_rod_length_mm"] = length(now("pedal_pin_at_rest") - now("crank_pin_in_at_rest"))
    changed = with_figures(linkage, new)
    if aim_rad is None:
        return changed
    changed = adjusted_at_rest(changed, aim_rad)
    if thread is None:
        return changed
    rod = getattr(changed, linkage.ADJUSTED)
    return with_figures(changed, {linkage.ADJUSTED: np.maximum(thread.nearest_mm(rod), thread.step_mm)})


def picked(linkage: Linkage, index: int) -> Linkage:
    """One of many linkages, without leading axes."""
    held = (*linkage.VECTORS, *linkage.SENSES, *linkage.NUMBERS)
    figures = {name: getattr(linkage, name) for name in held}
    return with_figures(
        linkage,
        {name: value[index] if value.ndim > (name in linkage.VECTORS) else value for name, value in figures.items()},
    )
