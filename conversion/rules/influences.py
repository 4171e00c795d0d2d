"""Which figure of the linkage moves the lever most, in the builder's own words."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description.complaints import dotted
from conversion.plan import Travel

_POINTS = {
    "pedal_pivot": ("linkage", "pedal", "pivot"),
    "pedal_pin_at_rest": ("linkage", "pedal", "rod_pin"),
    "module_pivot": ("linkage", "module", "pivot"),
    "lever_pin_at_rest_stop": ("linkage", "module", "lever_pin"),
}
_OTHERS = {
    "rod_length_mm": ("linkage", "rod", "length"),
    "set_at_rest": ("linkage", "rod", "set_at_rest"),
    "pad": ("linkage", "pedal", "pad"),
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
    field, _, axis = key.partition(".")
    if axis:
        path: tuple[str | int, ...] = (*_POINTS[field], "xyz".index(axis))
        name = f"{dotted(path)} ({_ALONG[axis]})"
    else:
        path = _OTHERS[key]
        name = dotted(path)
    return Influence(path, name, travel.influence_rad[key], travel.influence_rad[key] / total)
