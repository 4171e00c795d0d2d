"""Which figure of the linkage moves the lever most, in the builder's own words."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description.complaints import dotted
from conversion.linkage import CableLinkage, ContactLinkage, DirectLinkage, Linkage
from conversion.plan import Travel

# Figure of a linkage -> where the description has it, under ``linkage``; what differs by kind stands after it.
_WHERE: dict[str, tuple[str, ...]] = {
    "pedal_pivot": ("pedal", "pivot"),
    "pedal_pin_at_rest": ("pedal", "rod_pin"),
    "module_pivot": ("module", "pivot"),
    "lever_pin_at_rest_stop": ("module", "lever_pin"),
    "rod_length_mm": ("rod", "length"),
    "second_rod_length_mm": ("rod", "length"),
    "crank_pivot": ("crank", "pivot"),
    "crank_pin_in_at_rest": ("crank", "pin_in"),
    "crank_pin_out_at_rest": ("crank", "pin_out"),
    "pedal_outer_end": ("cable", "pedal_outer_end"),
    "module_outer_end": ("cable", "module_outer_end"),
    "nipple_at_rest_stop": ("quadrant", "nipple"),
    "groove_centre_at_rest_stop": ("quadrant", "groove_centre"),
    "groove_radius_mm": ("quadrant", "groove_radius"),
    "slack_at_rest_mm": ("cable", "slack"),
    "roller_centre": ("contact", "roller_centre"),
    "roller_radius_mm": ("contact", "roller_radius"),
    "face_point": ("contact", "face_point"),
    "face_radius_mm": ("contact", "face_radius"),
    "set_at_rest": ("rod", "set_at_rest"),
    "pad": ("pedal", "pad"),
}
_BY_KIND: dict[type[Linkage], dict[str, tuple[str, ...]]] = {
    CableLinkage: {"pedal_pin_at_rest": ("pedal", "cable_pin"), "set_at_rest": ("cable", "set_at_rest")},
    ContactLinkage: {"set_at_rest": ("contact", "set_at_rest")},
    DirectLinkage: {"module_pivot": ("pedal", "pivot"), "set_at_rest": ("module", "set_at_rest")},
}
_ALONG = {"x": "forward", "y": "left", "z": "up"}


@dataclass(frozen=True, slots=True)
class Influence:
    """A toleranced figure of the linkage.

    Attributes:
        path: Steps to it in the conversion file.
        name: As a message names it: ``linkage.pedal.rod_pin.3 (up)``.
        lever_rad: Largest lever angle that it adds over the travel. [rad]
        share: Of what all figures add together.
    """

    path: tuple[str | int, ...]
    name: str
    lever_rad: float
    share: float


def largest_influence(travel: Travel) -> Influence | None:
    """The figure whose tolerance moves the lever most; None where no tolerance moves it."""
    total = sum(travel.influence_rad.values())
    if total <= 0.0:
        return None
    key = max(travel.influence_rad, key=lambda name: travel.influence_rad[name])
    path, name = where_described(travel.geometry.linkage, key)
    return Influence(path, name, travel.influence_rad[key], travel.influence_rad[key] / total)


def where_described(linkage: Linkage, figure: str) -> tuple[tuple[str | int, ...], str]:
    """Steps to a figure of a linkage in the conversion file, and its name for a message.

    Args:
        linkage: Whose figure it is.
        figure: As tolerances name it: ``rod_length_mm``, ``module_pivot.x``, ``set_at_rest``, ``pad``.
    """
    field, _, axis = figure.partition(".")
    steps: tuple[str | int, ...] = ("linkage", *_BY_KIND.get(type(linkage), {}).get(field, _WHERE[field]))
    if not axis:
        return steps, dotted(steps)
    path = (*steps, "xyz".index(axis))
    return path, f"{dotted(path)} ({_ALONG[axis]})"
