"""From the described linkage to the numbers that the solver takes, with every tolerance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description, Missing
from conversion.description.linkage_forms import LinkageForm
from conversion.description.parts import PedalModule
from conversion.linkage import Linkage, pad_radius_mm, pedal_angle_for_lever, solve
from conversion.linkage.turning import Array
from conversion.plan.link.linkages import build_linkage, listed
from conversion.plan.link.numbers import NO_TRAVEL, Numbers
from conversion.plan.link.words import link_words
from conversion.quantities import Quantity, show

PRESSED_RAD = np.linspace(0.0, np.pi / 2.0, 181)
"""Over which it is looked how far pressing turns the lever. [rad]"""


@dataclass(frozen=True)
class Geometry:
    """The described linkage as numbers.

    Attributes:
        linkage: What the solver takes.
        tolerances: Figure of the linkage -> how far it may lie below and above. [mm]
        sources: Figure of the linkage with a tolerance -> where in the conversion file it stands.
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

    linkage: Linkage
    tolerances: dict[str, tuple[float, float]]
    sources: dict[str, tuple[str | int, ...]]
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
    form, numbers = _form(description), Numbers(description)
    linkage, set_at_rest = build_linkage(description, form, numbers)
    pedal = form.pedal
    pad = numbers.point(listed(pedal.pad), None, "pedal", "pad")
    radius = float(pad_radius_mm(linkage.pedal_pivot, np.array(pedal.axis), pad))
    if radius <= 0.0:
        place = description.place("linkage", "pedal", "pad")
        raise Missing("linkage.pedal.pad", place, NO_TRAVEL, "lies on the pedal's axis")
    full_stop, full_set = _full_stop(description, form, linkage, radius)
    swing, full_at = _swing(description, form.module.device)
    return Geometry(
        linkage=linkage,
        tolerances=numbers.tolerances,
        sources=numbers.sources,
        pad_mm=pad,
        pad_radius_mm=radius,
        pad_radius_share=_radius_tolerance_mm(listed(pedal.pad), listed(pedal.pivot)) / radius,
        set_at_rest_rad=set_at_rest,
        full_stop_mm=full_stop,
        full_set_rad=full_set,
        swing_rad=swing,
        full_at_rad=full_at,
    )


def gather_linkage(description: Description) -> Linkage:
    """The linkage of a description, wherever its full stop is.

    Raises:
        Missing: There is no linkage, or one of its figures is not known.
    """
    return build_linkage(description, _form(description), Numbers(description))[0]


def _form(description: Description) -> LinkageForm:
    form = description.conversion.linkage
    if form is None:
        raise Missing("linkage", description.place(), "no linkage is described, so " + NO_TRAVEL)
    return form


def _full_stop(
    description: Description, form: LinkageForm, linkage: Linkage, pad_radius: float
) -> tuple[tuple[float, float, float], tuple[float, float, float] | None]:
    """Pad travel at the full stop, and the lever angle by which it is set if it is."""
    stop = form.pedal.full_stop
    path = ("linkage", "pedal", "full_stop")
    if "set_at" not in stop.model_fields_set:
        at = description.need(stop.at, NO_TRAVEL, *path, "at")
        return (at.nominal, at.low, at.high), None
    lever = description.need(stop.set_at, NO_TRAVEL, *path, "set_at")
    travel = float(pedal_angle_for_lever(linkage, [lever.nominal])[0]) * pad_radius
    if not travel > 0.0:
        _need_closed_at_rest(description, form, linkage)
        place = description.place(*path, "set_at")
        raise Missing("linkage.pedal.full_stop.set_at", place, NO_TRAVEL, _out_of_reach(linkage, lever.nominal))
    return (travel, travel, travel), (lever.nominal, lever.low, lever.high)


def _need_closed_at_rest(description: Description, form: LinkageForm, linkage: Linkage) -> None:
    """Raise Missing for a link that does not reach with the pedal at rest; nothing else can be said of it then."""
    motion = solve(linkage, [0.0])
    if not motion.exists[0]:
        path = link_words(form).path
        how, where = motion.why_none()
        rod = f": the {where or 'rod'} is too {how}" if how else ""
        state = f"does not reach from the pedal to the lever with the pedal at rest{rod}"
        raise Missing(".".join(path), description.place(*path), NO_TRAVEL, state)


def _out_of_reach(linkage: Linkage, wanted_rad: float) -> str:
    """Why pressing does not bring the lever to an angle, to follow the name of the full stop."""
    motion = solve(linkage, PRESSED_RAD)
    rest, most = float(motion.driven_rad[0]), float(np.nanmax(motion.lever_angle_rad))
    if wanted_rad <= rest:
        return f"is no more than the lever's angle with the pedal at rest, {show(rest, 'angle')}"
    return f"is a lever angle that pressing the pedal cannot reach; it turns the lever to {show(most, 'angle')} at most"


def _radius_tolerance_mm(pad: list[Quantity | None], pivot: list[Quantity | None]) -> float:
    """Greatest tolerance along any axis: the radius cannot be farther off than the points are, to first order."""
    spreads = [(figure.high - figure.low) / 2 for figure in (*pad, *pivot) if figure is not None]
    return max(spreads, default=0.0)


def _swing(description: Description, device: str) -> tuple[tuple[float, float, float], tuple[float, float, float]]:
    part = description.parts[device]
    assert isinstance(part, PedalModule), "the linkage's device is checked when the description is read"
    swing = description.part_need(part.lever.swing, NO_TRAVEL, device, "lever", "swing")
    full_at = part.lever.full_at or swing
    return (swing.nominal, swing.low, swing.high), (full_at.nominal, full_at.low, full_at.high)
