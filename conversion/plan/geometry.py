"""From the described linkage to the numbers that the solver takes, with every tolerance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description, Missing
from conversion.description.conversion import RodLinkageForm
from conversion.description.parts import PedalModule
from conversion.linkage import RodLinkage, pad_radius_mm
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
        full_stop_mm: Pad travel at the pedal's full stop: nominal, least and greatest. [mm]
        swing_rad: Between the module's own stops: nominal, least and greatest. [rad]
        full_at_rad: Lever angle of full output: nominal, least and greatest. [rad]
    """

    linkage: RodLinkage
    tolerances: dict[str, tuple[float, float]]
    pad_mm: Array
    pad_radius_mm: float
    pad_radius_share: float
    full_stop_mm: tuple[float, float, float]
    swing_rad: tuple[float, float, float]
    full_at_rad: tuple[float, float, float]


def gather_geometry(description: Description) -> Geometry:
    """The linkage of a description.

    Raises:
        Missing: There is no linkage, or one of its figures is not known.
    """
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
    rod = description.need(form.rod.length, _NO_TRAVEL, "linkage", "rod", "length")
    if rod.has_tolerance:
        tolerances["rod_length_mm"] = (rod.nominal - rod.low, rod.high - rod.nominal)
    linkage = RodLinkage(
        pedal_pivot=pivot,
        pedal_axis=np.array(pedal.axis),
        pedal_pin_at_rest=point(pedal.rod_pin, "pedal_pin_at_rest", "pedal", "rod_pin"),
        module_pivot=point(module.pivot, "module_pivot", "module", "pivot"),
        module_axis=np.array(module.axis),
        lever_pin_at_rest_stop=point(module.lever_pin, "lever_pin_at_rest_stop", "module", "lever_pin"),
        lever_sense=1 if module.opens == "clockwise" else -1,
        pedal_sense=_pedal_sense(description, form, pivot, pad),
        rod_length_mm=rod.nominal,
    )
    radius = float(pad_radius_mm(pivot, np.array(pedal.axis), pad))
    full_stop = description.need(pedal.full_stop.at, _NO_TRAVEL, "linkage", "pedal", "full_stop", "at")
    swing, full_at = _swing(description, module.device)
    return Geometry(
        linkage=linkage,
        tolerances=tolerances,
        pad_mm=pad,
        pad_radius_mm=radius,
        pad_radius_share=_radius_tolerance_mm(pedal.pad, pedal.pivot) / radius,
        full_stop_mm=(full_stop.nominal, full_stop.low, full_stop.high),
        swing_rad=swing,
        full_at_rad=full_at,
    )


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
