"""From what a description lets move and wants to the search as numbers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import inf
from typing import Any

import numpy as np

from conversion.description import Description, Missing
from conversion.description import search_forms as forms
from conversion.description.complaints import Complaint, DescriptionError
from conversion.description.linkage_forms import LinkageForm
from conversion.description.parts import PedalModule
from conversion.description.search_faults import search_faults
from conversion.linkage import Linkage, pad_radius_mm
from conversion.linkage.springs import Half, hinge_of
from conversion.linkage.turning import Array
from conversion.plan.link.geometry import gather_linkage
from conversion.plan.link.linkages import listed
from conversion.plan.link.numbers import Numbers
from conversion.plan.link.returning import ReturnParts, gather_return
from conversion.quantities import Quantity
from conversion.study.search_case import FARTHEST_RAD, Loads, SearchCase, Table
from conversion.study.search_grid import Axis, Grid
from conversion.study.search_moves import Thread
from conversion.study.search_wants import ANY, MEASURES, Wants, Window, power_of

_NO_SEARCH = "the settings cannot be searched"
_POINTS = 4001
# How far beyond the module's swing the lever's springs are tabled; a lever that goes farther is refused anyway.
_BEYOND_RAD = 1.0

# Key of the description -> axis of the search.
LENGTHS = {
    "lever_hole": "lever_hole_mm", "pedal_hole": "pedal_hole_mm", "groove_radius": "groove_radius_mm",
    "crank_in": "crank_in_mm", "crank_out": "crank_out_mm",
}  # fmt: skip
ANGLES = {"rest": "rest_rad", "full": "full_rad"}


@dataclass(frozen=True)
class GatheredSearch:
    """A search, and what it does without.

    Attributes:
        case: What is searched.
        pitch_mm: Of the rod's thread; None where none is described. [mm]
        lacking: Why the force at the pad is not judged; None where it is.
    """

    case: SearchCase
    pitch_mm: float | None
    lacking: Missing | None


def gather_search(description: Description) -> GatheredSearch:
    """The search of a description.

    Args:
        description: With every point as coordinates.

    Raises:
        DescriptionError: It does not say what may move, or lets move what its kind of linkage does not have.
        Missing: A figure that the search needs is not known.
    """
    faults = list(search_faults(description))
    if faults:
        raise DescriptionError(faults)
    form, link = description.conversion.search, description.conversion.linkage
    assert form is not None and link is not None, "otherwise that is a fault"
    linkage = gather_linkage(description)
    swing = _swing(description, link)
    wants = _wants(form.wants or forms.Wants())
    loads, lacking = _loads(description, linkage, swing[0])
    if lacking is not None and wants.force_n != ANY:
        raise lacking
    rest, full = _link_of(link).set_at_rest, link.pedal.full_stop
    axes = tuple(_axes(description, form.may_move))
    thread, pitch = _thread(description, form.may_move.rod, linkage)
    numbers = Numbers(description)
    stop: dict[str, Any] = {}
    if "set_at" in full.model_fields_set:
        at = description.need(full.set_at, _NO_SEARCH, "linkage", "pedal", "full_stop", "set_at")
        stop = {"full_rad": at.nominal, "full_plus_rad": at.high - at.nominal}
    else:
        at = description.need(full.at, _NO_SEARCH, "linkage", "pedal", "full_stop", "at")
        stop = {"full_mm": at.nominal, "full_plus_mm": at.high - at.nominal}
    pad = numbers.point(listed(link.pedal.pad), None, "pedal", "pad")
    case = SearchCase(
        linkage=linkage,
        grid=_grid(description, axes),
        wants=wants,
        pad_radius_mm=float(pad_radius_mm(linkage.pedal_pivot, np.array(link.pedal.axis), pad)),
        swing_rad=swing,
        rest_rad=rest.nominal if rest else None,
        rest_minus_rad=rest.nominal - rest.low if rest else 0.0,
        thread=thread,
        loads=loads,
        **stop,
    )
    return GatheredSearch(case, pitch, lacking)


def _link_of(form: LinkageForm) -> Any:
    return next(getattr(form, name) for name in ("rod", "cable", "contact") if hasattr(form, name))


def _grid(description: Description, axes: tuple[Axis, ...]) -> Grid:
    try:
        return Grid(axes)
    except ValueError as error:
        raise DescriptionError(
            [Complaint(description.place("search", "may_move"), "search.may_move", str(error))]
        ) from None


def _axes(description: Description, may_move: forms.MayMove) -> Iterator[Axis]:
    for key, name in (LENGTHS | ANGLES).items():
        choice = getattr(may_move, key)
        if choice is not None:
            yield _axis(description, name, choice, key)
    if may_move.module is not None:
        for letter in "xyz":
            choice = getattr(may_move.module, letter)
            if choice is not None:
                yield _axis(description, f"module_{letter}_mm", choice, "module", letter)


def _axis(description: Description, name: str, choice: forms.Choice, *path: str) -> Axis:
    values = forms.values_of(choice)
    if values is None:
        steps = ("search", "may_move", *path)
        raise Missing(".".join(steps), description.place(*steps), _NO_SEARCH, "has a figure that is not known")
    return Axis(name, np.array(values))


def _thread(
    description: Description, form: forms.RodSteps | None, linkage: Linkage
) -> tuple[Thread | None, float | None]:
    """The lengths that can be set: the rod as it is described, and whole steps from there."""
    if form is None:
        return None, None
    pitch = description.need(form.pitch, _NO_SEARCH, "search", "may_move", "rod", "pitch").nominal
    step = pitch / 2 if form.half_turns else pitch
    described: Any = _link_of(description.conversion.linkage)  # type: ignore[arg-type]
    reference = described.length.nominal if described.length else float(getattr(linkage, linkage.ADJUSTED))
    least, most = form.length.limits if form.length else (0.0, inf)
    return Thread(reference, step, least, most), pitch


def _swing(description: Description, form: LinkageForm) -> tuple[float, float]:
    device = form.module.device
    part = description.parts[device]
    assert isinstance(part, PedalModule), "the linkage's device is checked when the description is read"
    swing = description.part_need(part.lever.swing, _NO_SEARCH, device, "lever", "swing")
    return swing.nominal, swing.low


def _wants(form: forms.Wants) -> Wants:
    default = Wants()

    def window(figure: Quantity | None, otherwise: Window) -> Window:
        return figure.limits if figure is not None else otherwise

    pad, lever = default.pad_shares, default.lever_shares
    if form.feel is not None and form.feel.half is not None:
        pad, lever = power_of(form.feel.half.nominal)
    elif form.feel is not None and form.feel.points:
        known = [(point.pad.nominal, point.lever.nominal) for point in form.feel.points if point.pad and point.lever]
        pad, lever = np.array([(0.0, 0.0), *known, (1.0, 1.0)]).T
    weights = {name: getattr(form.weights, name, None) for name in MEASURES}
    return Wants(
        lever_at_rest_rad=window(form.lever_at_rest, default.lever_at_rest_rad),
        below_full_rad=window(form.below_full, default.below_full_rad),
        margin_rad=form.margin.nominal if form.margin else default.margin_rad,
        pad_travel_mm=window(form.pad_travel, default.pad_travel_mm),
        pad_shares=pad,
        lever_shares=lever,
        feel_within=form.feel_within.nominal if form.feel_within else default.feel_within,
        transmission_rad=form.transmission.nominal if form.transmission else default.transmission_rad,
        force_n=window(form.force, ANY),
        weights={name: figure.nominal if figure else 1.0 for name, figure in weights.items()},
    )


def _loads(description: Description, linkage: Linkage, swing_rad: float) -> tuple[Loads, None] | tuple[None, Missing]:
    try:
        parts = gather_return(description, swing_rad)
    except Missing as missing:
        return None, missing
    return Loads(
        _table(linkage, parts, "pedal", np.linspace(0.0, FARTHEST_RAD, _POINTS)),
        _table(linkage, parts, "module", np.linspace(-_BEYOND_RAD, swing_rad + _BEYOND_RAD, _POINTS)),
        parts.pedal_friction_nm,
        parts.module_friction_nm,
    ), None


def _table(linkage: Linkage, parts: ReturnParts, half: Half, angle_rad: Array) -> Table:
    acting = [part for part in (*parts.springs, *parts.weights) if part.half == half]
    moment = sum((part.moment_nm(hinge_of(linkage, half), angle_rad) for part in acting), np.zeros_like(angle_rad))
    return Table(angle_rad, moment)
