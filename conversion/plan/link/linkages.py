"""From each described kind of linkage to the dataclass that the solver takes."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from conversion.description import Description, Missing
from conversion.description.linkage_forms import (
    BellCrankLinkageForm,
    CableLinkageForm,
    ContactLinkageForm,
    DirectLinkageForm,
    LinkageForm,
    ModulePlace,
    Pedal,
    RodLinkageForm,
)  # fmt: skip
from conversion.description.rod_forms import AdjustedRod
from conversion.linkage import (
    BellCrankLinkage,
    CableLinkage,
    ContactLinkage,
    DirectLinkage,
    Linkage,
    RodLinkage,
    adjusted_at_rest,
)  # fmt: skip
from conversion.linkage.turning import Array, across
from conversion.plan.link.arms import need_arms
from conversion.plan.link.numbers import NO_TRAVEL, Numbers
from conversion.quantities import Quantity

Setting = tuple[float, float]

# A face's normal this near to its body's axis, as a cosine less one, lies along it.
ALONG = 1e-6


def build_linkage(description: Description, form: LinkageForm, numbers: Numbers) -> tuple[Linkage, Setting | None]:
    """The linkage as the solver takes it, and the lever angles at rest that setting it at fitting leaves.

    Raises:
        Missing: One of its figures is not known, or the setting leaves no room for the link.
    """
    if isinstance(form, RodLinkageForm):
        return _rod(description, form, numbers)
    if isinstance(form, CableLinkageForm):
        return _cable(description, form, numbers)
    if isinstance(form, ContactLinkageForm):
        return _contact(description, form, numbers)
    if isinstance(form, BellCrankLinkageForm):
        return _bell_crank(description, form, numbers)
    return _direct(description, form, numbers)


def _rod(description: Description, form: RodLinkageForm, numbers: Numbers) -> tuple[Linkage, Setting | None]:
    linkage = RodLinkage(
        **_hinges(description, form.pedal, form.module, numbers),
        pedal_pin_at_rest=numbers.point(listed(form.pedal.rod_pin), "pedal_pin_at_rest", "pedal", "rod_pin"),
        lever_pin_at_rest_stop=numbers.point(
            listed(form.module.lever_pin), "lever_pin_at_rest_stop", "module", "lever_pin"
        ),
        rod_length_mm=np.array(1.0),
    )
    return _with_rod(description, form.rod, linkage, "rod_length_mm", numbers)


def _bell_crank(
    description: Description, form: BellCrankLinkageForm, numbers: Numbers
) -> tuple[Linkage, Setting | None]:
    pin = numbers.point(listed(form.pedal.rod_pin), "pedal_pin_at_rest", "pedal", "rod_pin")
    pin_in = numbers.point(listed(form.crank.pin_in), "crank_pin_in_at_rest", "crank", "pin_in")
    linkage = BellCrankLinkage(
        **_hinges(description, form.pedal, form.module, numbers),
        pedal_pin_at_rest=pin,
        crank_pivot=numbers.point(listed(form.crank.pivot), "crank_pivot", "crank", "pivot"),
        crank_axis=np.array(form.crank.axis),
        crank_pin_in_at_rest=pin_in,
        crank_pin_out_at_rest=numbers.point(listed(form.crank.pin_out), "crank_pin_out_at_rest", "crank", "pin_out"),
        lever_pin_at_rest_stop=numbers.point(
            listed(form.module.lever_pin), "lever_pin_at_rest_stop", "module", "lever_pin"
        ),
        # The bell-crank is described as it stands with the pedal at rest, so the first rod is as long as that makes it.
        first_rod_length_mm=np.array(max(float(np.linalg.norm(pin - pin_in)), 1e-9)),
        second_rod_length_mm=np.array(1.0),
    )
    return _with_rod(description, form.rod, linkage, "second_rod_length_mm", numbers)


def _cable(description: Description, form: CableLinkageForm, numbers: Numbers) -> tuple[Linkage, Setting | None]:
    hinges = _hinges(description, form.pedal, form.module, numbers)
    quadrant, cable = form.quadrant, form.cable
    centre = hinges["module_pivot"]
    if quadrant.groove_centre is not None:
        centre = numbers.point(
            listed(quadrant.groove_centre), "groove_centre_at_rest_stop", "quadrant", "groove_centre"
        )
    more: dict[str, Any] = {}
    if cable.over_travel is not None:
        path = ("cable", "over_travel")
        more = {
            "over_travel_from_rad": np.array(numbers.number(cable.over_travel.from_lever, None, *path, "from_lever")),
            "over_travel_preload_n": np.array(numbers.number(cable.over_travel.preload, None, *path, "preload")),
            "over_travel_rate_n_per_mm": np.array(numbers.number(cable.over_travel.rate, None, *path, "rate")),
        }
    slack = 0.0
    if "slack" in cable.model_fields_set:
        slack = numbers.number(cable.slack, "slack_at_rest_mm", "cable", "slack")
    nipple = numbers.point(listed(quadrant.nipple), "nipple_at_rest_stop", "quadrant", "nipple")
    radius = numbers.number(quadrant.groove_radius, "groove_radius_mm", "quadrant", "groove_radius")
    _need_groove(description, hinges, centre, nipple, radius)
    linkage = CableLinkage(
        **hinges,
        pedal_pin_at_rest=numbers.point(listed(form.pedal.cable_pin), "pedal_pin_at_rest", "pedal", "cable_pin"),
        pedal_outer_end=numbers.point(listed(cable.pedal_outer_end), "pedal_outer_end", "cable", "pedal_outer_end"),
        module_outer_end=numbers.point(listed(cable.module_outer_end), "module_outer_end", "cable", "module_outer_end"),
        nipple_at_rest_stop=nipple,
        groove_centre_at_rest_stop=centre,
        groove_radius_mm=np.array(radius),
        slack_at_rest_mm=np.array(slack),
        **more,
    )
    return _set(description, linkage, cable, "cable")


def _contact(description: Description, form: ContactLinkageForm, numbers: Numbers) -> tuple[Linkage, Setting | None]:
    contact = form.contact
    more: dict[str, Any] = {}
    if "face_radius" in contact.model_fields_set:
        more["face_radius_mm"] = np.array(
            numbers.number(contact.face_radius, "face_radius_mm", "contact", "face_radius")
        )
    if "face_half_length" in contact.model_fields_set:
        half = numbers.number(contact.face_half_length, None, "contact", "face_half_length")
        more |= {"face_from_mm": np.array(-half), "face_to_mm": np.array(half)}
    hinges = _hinges(description, form.pedal, form.module, numbers)
    axis = hinges["module_axis"] if contact.roller_on == "pedal" else hinges["pedal_axis"]
    if abs(float(np.array(contact.face_normal) @ axis)) > 1.0 - ALONG:
        place = description.place("linkage", "contact", "face_normal")
        state = "points along the axis of its own body, so that turning it moves nothing"
        raise Missing("linkage.contact.face_normal", place, NO_TRAVEL, state)
    linkage = ContactLinkage(
        **hinges,
        roller_centre=numbers.point(listed(contact.roller_centre), "roller_centre", "contact", "roller_centre"),
        face_point=numbers.point(listed(contact.face_point), "face_point", "contact", "face_point"),
        face_normal=np.array(contact.face_normal),
        roller_radius_mm=np.array(
            numbers.number(contact.roller_radius, "roller_radius_mm", "contact", "roller_radius")
        ),
        roller_on=contact.roller_on,
        **more,
    )
    return _set(description, linkage, contact, "contact")


def _need_groove(
    description: Description, hinges: dict[str, Any], centre: Array, nipple: Array, radius_mm: float
) -> None:
    """Raise Missing for a groove that does not go round the lever's axis, or a nipple without a direction."""
    axis = hinges["module_axis"]
    place = description.place("linkage", "quadrant")
    if float(np.linalg.norm(across(axis, centre - hinges["module_pivot"]))) >= radius_mm:
        state = "has a groove that does not go round the lever's axis"
        raise Missing("linkage.quadrant", place, NO_TRAVEL, state)
    if float(np.linalg.norm(across(axis, nipple - centre))) < 1e-6:
        place = description.place("linkage", "quadrant", "nipple")
        raise Missing("linkage.quadrant.nipple", place, NO_TRAVEL, "lies on the axis of the groove")


def _direct(description: Description, form: DirectLinkageForm, numbers: Numbers) -> tuple[Linkage, Setting | None]:
    pivot = numbers.point(listed(form.pedal.pivot), "module_pivot", "pedal", "pivot")
    pad = numbers.point(listed(form.pedal.pad), None, "pedal", "pad")
    linkage = DirectLinkage(
        module_pivot=pivot,
        module_axis=np.array(form.pedal.axis),
        lever_sense=np.array(pedal_sense(description, form.pedal, pivot, pad)),
    )
    return _set(description, linkage, form.module, "module")


def _hinges(description: Description, pedal: Pedal, module: ModulePlace, numbers: Numbers) -> dict[str, Any]:
    """What every kind but the direct one has: the two axes and which way each turns."""
    pivot = numbers.point(listed(pedal.pivot), "pedal_pivot", "pedal", "pivot")
    pad = numbers.point(listed(pedal.pad), None, "pedal", "pad")
    return {
        "pedal_pivot": pivot,
        "pedal_axis": np.array(pedal.axis),
        "pedal_sense": np.array(pedal_sense(description, pedal, pivot, pad)),
        "module_pivot": numbers.point(listed(module.pivot), "module_pivot", "module", "pivot"),
        "module_axis": np.array(module.axis),
        "lever_sense": np.array(1.0 if module.opens == "clockwise" else -1.0),
    }


def _with_rod(
    description: Description, rod: AdjustedRod, linkage: Linkage, field: str, numbers: Numbers
) -> tuple[Linkage, Setting | None]:
    """The linkage with its rod: as long as described, or as long as adjusting it at rest makes it."""
    if "set_at_rest" in rod.model_fields_set:
        return _set(description, linkage, rod, "rod")
    need_arms(description, linkage)
    length = np.array(numbers.number(rod.length, field, "rod", "length"))
    one: Any = linkage
    changed: Linkage = replace(one, **{field: length})
    return changed, None


def _set(description: Description, linkage: Linkage, form: Any, where: str) -> tuple[Linkage, Setting | None]:
    """The linkage adjusted at fitting, where the form says to what lever angle."""
    need_arms(description, linkage)
    if "set_at_rest" not in form.model_fields_set:
        return linkage, None
    path = ("linkage", where, "set_at_rest")
    rest = description.need(form.set_at_rest, NO_TRAVEL, *path)
    adjusted = adjusted_at_rest(linkage, rest.nominal)
    if not np.all(np.isfinite(getattr(adjusted, linkage.ADJUSTED))):
        raise Missing(f"linkage.{where}.set_at_rest", description.place(*path), NO_TRAVEL, "cannot be reached")
    return adjusted, (rest.low, rest.high)


def pedal_sense(description: Description, pedal: Pedal, pivot: Array, pad: Array) -> float:
    """+1 if pressing turns the pedal right-handed about its axis, else −1.

    Pressing moves a pad forward and down; where the pad's path is square to that, the builder has to say it.
    """
    if pedal.presses is not None:
        return 1.0 if pedal.presses == "clockwise" else -1.0
    path = np.cross(np.array(pedal.axis), pad - pivot)
    reach = float(np.linalg.norm(path))
    forward_down = float(path @ np.array([1.0, 0.0, -1.0])) / np.sqrt(2.0)
    if reach == 0.0 or abs(forward_down) < 0.1 * reach:
        raise Missing(
            "linkage.pedal.presses",
            description.place("linkage", "pedal"),
            "it cannot be seen from the points which way the pedal is pressed; write 'presses: clockwise' or "
            "'presses: anticlockwise', seen along the axis arrow",
        )
    return 1.0 if forward_down > 0.0 else -1.0


def listed(point: Any) -> list[Quantity | None]:
    """A point's coordinates; points from a tape have been resolved before."""
    assert isinstance(point, list), "points from a tape are resolved when the plan begins"
    return point
