"""From the described linkage to the numbers that the solver takes, with every tolerance."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from conversion.description import Description, Missing
from conversion.description.linkage_forms import RodLinkageForm
from conversion.description.parts import PedalModule
from conversion.linkage import RodLinkage, adjusted_at_rest, pad_radius_mm, pedal_angle_for_lever
from conversion.linkage.turning import Array
from conversion.quantities import Quantity

_NO_TRAVEL = "the travel cannot be computed"


@dataclass(frozen=True)
class Geometry:
    """The described linkage as numbers.

    Attributes:
        linkage: What the solver takes.
        tolerances: Figure of the linkage -> how far it may lie below and above. [mm]
        pad_mm: Centre of the pad at rest, (3,). [mm]
        pad_radius_mm: Of the pad's arc. [mm]
        pad_radius_share: Tolerance of that radius as a share of it.
        set_at_rest_rad: Least and greatest lever angle at rest that adjusting the rod leaves; None where the rod
            is not adjusted. [rad]
        full_stop_mm: Pad travel at the pedal's full stop: nominal, least and greatest; for a stop that is set by
            the lever all three are the same. [mm]
        full_set_rad: Lever angle at which the full stop is set: nominal, least and greatest; None for a stop that
            is placed by pad travel. [rad]
        swing_rad: Between the module's own stops: nominal, least and greatest. [rad]
        full_at_rad: Lever angle of full output: nominal, least and greatest. [rad]
    """

    linkage: RodLinkage
    tolerances: dict[str, tuple[float, float]]
    pad_mm: Array
    pad_radius_mm: float
    pad_radius_share: float
    set_at_rest_rad: tuple[float, float] | None
    full_stop_mm: tuple[float, float, float]
    full_set_rad: tuple[float, float, float] | None
    swing_rad: tuple[float, float, float]
    full_at_rad: tuple[float, float, float]


def gather_geometry(description: Description) -> Geometry:
    """The linkage of a description with its stops.

    Raises:
        Missing: There is no linkage, one of its figures is not known, or the full stop is out of reach.
    """
    form, linkage, tolerances, set_at_rest, pad = _points_and_rod(description)
    pedal = form.pedal
    radius = float(pad_radius_mm(linkage.pedal_pivot, np.array(pedal.axis), pad))
    if radius <= 0.0:
        place = description.place("linkage", "pedal", "pad")
        raise Missing("linkage.pedal.pad", place, _NO_TRAVEL, "lies on the pedal's axis")
    full_stop, full_set = _full_stop(description, form, linkage, radius)
    swing, full_at = _swing(description, form.module.device)
    return Geometry(
        linkage=linkage,
        tolerances=tolerances,
        pad_mm=pad,
        pad_radius_mm=radius,
        pad_radius_share=_radius_tolerance_mm(pedal.pad, pedal.pivot) / radius,
        set_at_rest_rad=set_at_rest,
        full_stop_mm=full_stop,
        full_set_rad=full_set,
        swing_rad=swing,
        full_at_rad=full_at,
    )


def gather_linkage(description: Description) -> RodLinkage:
    """The linkage of a description, wherever its full stop is.

    Raises:
        Missing: There is no linkage, or one of its figures is not known.
    """
    return _points_and_rod(description)[1]


def _points_and_rod(
    description: Description,
) -> tuple[RodLinkageForm, RodLinkage, dict[str, tuple[float, float]], tuple[float, float] | None, Array]:
    """Form, linkage, tolerances, lever angles at rest that adjusting the rod leaves, and the pad's centre."""
    form = description.conversion.linkage
    if form is None:
        raise Missing("linkage", description.place(), "no linkage is described, so " + _NO_TRAVEL)
    tolerances: dict[str, tuple[float, float]] = {}

    def point(figures: list[Quantity | None], field: str | None, *path: str) -> Array:
        values = []
        for index, (figure, axis) in enumerate(zip(figures, "xyz", strict=True)):
            known = description.need(figure, _NO_TRAVEL, "linkage", *path, index)
            values.append(known.nominal)
            if field is not None and known.has_tolerance:
                tolerances[f"{field}.{axis}"] = (known.nominal - known.low, known.high - known.nominal)
        return np.array(values)

    pedal, module = form.pedal, form.module
    pivot = point(pedal.pivot, "pedal_pivot", "pedal", "pivot")
    pad = point(pedal.pad, None, "pedal", "pad")
    linkage = RodLinkage(
        pedal_pivot=pivot,
        pedal_axis=np.array(pedal.axis),
        pedal_pin_at_rest=point(pedal.rod_pin, "pedal_pin_at_rest", "pedal", "rod_pin"),
        module_pivot=point(module.pivot, "module_pivot", "module", "pivot"),
        module_axis=np.array(module.axis),
        lever_pin_at_rest_stop=point(module.lever_pin, "lever_pin_at_rest_stop", "module", "lever_pin"),
        lever_sense=np.array(1.0 if module.opens == "clockwise" else -1.0),
        pedal_sense=np.array(_pedal_sense(description, form, pivot, pad)),
        rod_length_mm=np.array(1.0),
    )
    linkage, set_at_rest = _with_rod(description, form, linkage, tolerances)
    return form, linkage, tolerances, set_at_rest, pad


def _with_rod(
    description: Description, form: RodLinkageForm, linkage: RodLinkage, tolerances: dict[str, tuple[float, float]]
) -> tuple[RodLinkage, tuple[float, float] | None]:
    """The linkage with its rod: as long as described, or as long as adjusting it at rest makes it."""
    if "set_at_rest" in form.rod.model_fields_set:
        path = ("linkage", "rod", "set_at_rest")
        rest = description.need(form.rod.set_at_rest, _NO_TRAVEL, *path)
        adjusted = adjusted_at_rest(linkage, rest.nominal)
        if not adjusted.rod_length_mm > 0.0:
            raise Missing("linkage.rod.set_at_rest", description.place(*path), _NO_TRAVEL, "leaves no room for a rod")
        return adjusted, (rest.low, rest.high)
    rod = description.need(form.rod.length, _NO_TRAVEL, "linkage", "rod", "length")
    if rod.has_tolerance:
        tolerances["rod_length_mm"] = (rod.nominal - rod.low, rod.high - rod.nominal)
    return replace(linkage, rod_length_mm=np.array(rod.nominal)), None


def _full_stop(
    description: Description, form: RodLinkageForm, linkage: RodLinkage, pad_radius: float
) -> tuple[tuple[float, float, float], tuple[float, float, float] | None]:
    """Pad travel at the full stop, and the lever angle by which it is set if it is."""
    stop = form.pedal.full_stop
    path = ("linkage", "pedal", "full_stop")
    if "set_at" not in stop.model_fields_set:
        at = description.need(stop.at, _NO_TRAVEL, *path, "at")
        return (at.nominal, at.low, at.high), None
    lever = description.need(stop.set_at, _NO_TRAVEL, *path, "set_at")
    travel = float(pedal_angle_for_lever(linkage, [lever.nominal])[0]) * pad_radius
    if not travel > 0.0:
        raise Missing(
            "linkage.pedal.full_stop.set_at", description.place(*path, "set_at"), _NO_TRAVEL,
            "is a lever angle that pressing the pedal cannot reach",
        )  # fmt: skip
    return (travel, travel, travel), (lever.nominal, lever.low, lever.high)


def _pedal_sense(description: Description, form: RodLinkageForm, pivot: Array, pad: Array) -> int:
    """+1 if pressing turns the pedal right-handed about its axis, else −1.

    Pressing moves a pad forward and down; where the pad's path is square to that, the builder has to say it.
    """
    if form.pedal.presses is not None:
        return 1 if form.pedal.presses == "clockwise" else -1
    path = np.cross(np.array(form.pedal.axis), pad - pivot)
    reach = float(np.linalg.norm(path))
    forward_down = float(path @ np.array([1.0, 0.0, -1.0])) / np.sqrt(2.0)
    if reach == 0.0 or abs(forward_down) < 0.1 * reach:
        raise Missing(
            "linkage.pedal.presses",
            description.place("linkage", "pedal"),
            "it cannot be seen from the points which way the pedal is pressed; write 'presses: clockwise' or "
            "'presses: anticlockwise', seen along the axis arrow",
        )
    return 1 if forward_down > 0.0 else -1


def _radius_tolerance_mm(pad: list[Quantity | None], pivot: list[Quantity | None]) -> float:
    """Greatest tolerance along any axis: the radius cannot be farther off than the points are, to first order."""
    spreads = [(figure.high - figure.low) / 2 for figure in (*pad, *pivot) if figure is not None]
    return max(spreads, default=0.0)


def _swing(description: Description, device: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    part = description.parts[device]
    assert isinstance(part, PedalModule), "the linkage's device is checked when the description is read"
    swing = description.part_need(part.lever.swing, _NO_TRAVEL, device, "lever", "swing")
    full_at = part.lever.full_at or swing
    return (swing.nominal, swing.low, swing.high), (full_at.nominal, full_at.low, full_at.high)
