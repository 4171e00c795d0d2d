"""Points that must not fall together: an arm without length, a rod or a cable from a point to itself."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description import Description, Missing
from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, Linkage, RodLinkage
from conversion.linkage.turning import Array, across
from conversion.plan.link.numbers import NO_TRAVEL

LEAST_ARM_MM = 1.0
"""Of a pin from the axis about which it turns, and from the other end of its rod; less is a slip of the pencil."""

_PEDAL, _LEVER, _CRANK = "the pedal's axis", "the lever's axis", "the bell-crank's axis"
_Steps = tuple[str, ...]


def need_arms(description: Description, linkage: Linkage) -> None:
    """Look at every arm of a linkage, and at every stretch between two points.

    Raises:
        Missing: One of them has no length worth the name; placed at the point.
    """
    for steps, arm, words in _arms(linkage):
        far = float(np.linalg.norm(arm))
        if far < LEAST_ARM_MM:
            path = ("linkage", *steps)
            state = f"lies within {LEAST_ARM_MM:g} mm of {words}"
            raise Missing(".".join(path), description.place(*path), NO_TRAVEL, state)


def _arms(linkage: Linkage) -> Iterator[tuple[_Steps, Array, str]]:
    if isinstance(linkage, RodLinkage):
        pin, lever = ("pedal", "rod_pin"), ("module", "lever_pin")
        yield pin, _from_pedal(linkage, linkage.pedal_pin_at_rest), _PEDAL
        yield lever, _from_lever(linkage, linkage.lever_pin_at_rest_stop), _LEVER
    elif isinstance(linkage, BellCrankLinkage):
        ends = (linkage.crank_pin_in_at_rest, linkage.crank_pin_out_at_rest)
        yield ("pedal", "rod_pin"), _from_pedal(linkage, linkage.pedal_pin_at_rest), _PEDAL
        for key, pin_mm in zip(("pin_in", "pin_out"), ends, strict=True):
            yield ("crank", key), across(linkage.crank_axis, pin_mm - linkage.crank_pivot), _CRANK
        yield ("crank", "pin_in"), ends[0] - linkage.pedal_pin_at_rest, "the rod's pin on the pedal"
        yield ("module", "lever_pin"), _from_lever(linkage, linkage.lever_pin_at_rest_stop), _LEVER
    elif isinstance(linkage, CableLinkage):
        yield ("pedal", "cable_pin"), _from_pedal(linkage, linkage.pedal_pin_at_rest), _PEDAL
        away = linkage.pedal_outer_end - linkage.pedal_pin_at_rest
        yield ("cable", "pedal_outer_end"), away, "the cable's pin on the pedal"
        out = across(linkage.module_axis, linkage.module_outer_end - linkage.groove_centre_at_rest_stop)
        beyond = out * max(1.0 - float(linkage.groove_radius_mm) / max(float(np.linalg.norm(out)), 1e-9), 0.0)
        yield ("cable", "module_outer_end"), beyond, "the quadrant's groove, or inside it"
    elif isinstance(linkage, ContactLinkage):
        on_pedal = linkage.roller_on == "pedal"
        arm = (_from_pedal if on_pedal else _from_lever)(linkage, linkage.roller_centre)
        yield ("contact", "roller_centre"), arm, _PEDAL if on_pedal else _LEVER


def _from_pedal(linkage: Linkage, point: Array) -> Array:
    return across(linkage.pedal_axis, point - linkage.pedal_pivot)


def _from_lever(linkage: Linkage, point: Array) -> Array:
    return across(linkage.module_axis, point - linkage.module_pivot)
