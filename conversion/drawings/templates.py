"""True-scale templates of a plan: what is drilled, cut and folded, and cardboard to try the room with."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from conversion.description import Missing
from conversion.fit import (
    Circle,
    Line,
    Purpose,
    TemplateSheet,
    Text,
    bracket_face,
    flat_pattern_sheet,
    lever_template,
    mock_up_sheet,
    opening_sheet,
)
from conversion.fit.shapes import Shape, sheet_of
from conversion.linkage import BellCrankLinkage, CableLinkage, Linkage, RodLinkage
from conversion.linkage.turning import Array, across, length
from conversion.plan import Plan
from conversion.plan.fitting.figures import FitFigures
from conversion.plan.fitting.fit import Fit
from conversion.quantities import show

NO_TEMPLATE = "there is no template of it"
CROSS_MM = 4.0


@dataclass(frozen=True, slots=True)
class Templates:
    """The sheets of a plan.

    Attributes:
        sheets: Each at true scale.
        left_out: What there is no sheet of, with the reason.
    """

    sheets: tuple[TemplateSheet, ...]
    left_out: tuple[tuple[str, str], ...]


def plan_templates(plan: Plan) -> Templates:
    """Every template that a plan allows; none where nothing is said of what takes room.

    Raises:
        Missing: The travel or the fit rests on a figure that is not known.
    """
    fit = plan.fit
    if fit is None:
        return Templates((), ())
    sheets: list[TemplateSheet] = []
    left_out: list[tuple[str, str]] = []
    figures = FitFigures(plan.description)
    makers: tuple[tuple[str, Callable[[], Iterator[TemplateSheet]]], ...] = (
        ("Lever", lambda: _lever(fit, figures)),
        ("Bell-crank", lambda: _crank(fit)),
        ("Face of the bracket", lambda: _face(plan, fit, figures)),
        ("Recess", lambda: _recess(fit)),
        ("Cardboard mock-up", lambda: _mock_up(fit)),
    )
    for what, make in makers:
        try:
            sheets += make()
        except Missing as missing:
            left_out.append((what, str(missing)))
        except _NotMade as reason:
            left_out.append((what, str(reason)))
    return Templates(tuple(sheets), tuple(left_out))


def template_sheets(plan: Plan) -> tuple[TemplateSheet, ...]:
    """The sheets alone; see :func:`plan_templates`."""
    return plan_templates(plan).sheets


class _NotMade(Exception):
    """Why there is no sheet."""


def _lever(fit: Fit, figures: FitFigures) -> Iterator[TemplateSheet]:
    linkage: Linkage = fit.travel.geometry.linkage
    if isinstance(linkage, CableLinkage):
        raise _NotMade("a cable runs on a quadrant, which is turned and not cut from sheet")
    if not isinstance(linkage, RodLinkage | BellCrankLinkage):
        raise _NotMade("this kind of linkage has no lever with a hole for a pin")
    arm = across(linkage.module_axis, linkage.lever_pin_at_rest_stop - linkage.module_pivot)
    radius = round(float(length(arm)), 2)
    title = f"Lever, axis to pin {show(radius, 'length')}"
    lever = fit.form.bodies.lever
    if lever is None or not {"hole", "bore"} & lever.model_fields_set:
        yield _centres("lever-centres", f"{title}: centres only", [("axis", (0.0, 0.0)), ("pin", (radius, 0.0))])
        return
    path = ("bodies", "lever")
    hole, bore, width = (figures.figure(getattr(lever, key), *path, key) for key in ("hole", "bore", "thickness"))
    past = figures.nominal(lever.past_pin, width.high / 2, *path, "past_pin")
    try:
        yield lever_template("lever", title, [radius], hole.nominal, bore.nominal, width.high, past)
    except ValueError as error:
        place = figures.description.place("fit", *path)
        raise Missing("fit.bodies.lever", place, NO_TEMPLATE, f"cannot be drilled so: {error}") from None


def _crank(fit: Fit) -> Iterator[TemplateSheet]:
    """Both pins of a bell-crank about its axis, seen along the axis, as centres."""
    linkage = fit.travel.geometry.linkage
    if not isinstance(linkage, BellCrankLinkage):
        return
    one, other = (
        _square_on(pin - linkage.crank_pivot, linkage.crank_axis, linkage.crank_pin_in_at_rest - linkage.crank_pivot)
        for pin in (linkage.crank_pin_in_at_rest, linkage.crank_pin_out_at_rest)
    )
    points = [("axis", (0.0, 0.0)), ("first rod", tuple(one)), ("second rod", tuple(other))]
    radii = " and ".join(show(float(np.hypot(*each)), "length") for each in (one, other))
    yield _centres("bell-crank-centres", f"Bell-crank, arms of {radii}: centres only", points)


def _square_on(point: Array, axis: Array, first: Array) -> Array:
    """Coordinates of a point across an axis; the first of them toward another point."""
    along = first - axis * (first @ axis)
    along = along / np.linalg.norm(along)
    return np.array([point @ along, point @ np.cross(axis, along)])


def _centres(name: str, title: str, points: list[tuple[str, tuple[float, ...]]]) -> TemplateSheet:
    """Centres to be punched, the first joined to each of the others by a line with its length."""
    start = np.array(points[0][1])
    shapes: list[Shape] = []
    for word, point in points:
        at = np.array(point)
        shapes += [Line(np.array([at - arm, at + arm]), Purpose.MARK) for arm in CROSS_MM * np.eye(2)]
        shapes += [Circle(at, CROSS_MM / 2, Purpose.MARK), Text(at + np.array([0.0, CROSS_MM + 1.5]), word)]
        run = at - start
        if float(np.hypot(*run)) > 2 * CROSS_MM:
            ends = run / np.hypot(*run) * CROSS_MM
            shapes.append(Line(np.array([start + ends, at - ends]), Purpose.MARK))
            shapes.append(Text(start + run / 2 + np.array([0.0, 1.5]), show(float(np.hypot(*run)), "length")))
    return sheet_of(name, title, shapes)


def _face(plan: Plan, fit: Fit, figures: FitFigures) -> Iterator[TemplateSheet]:
    face = fit.form.face
    if face is None:
        raise _NotMade("the module's mounting holes are not described; measure them and write them under fit.face")
    corners = figures.corners(face.corners, "face", "corners")
    holes = [
        (
            np.array([figures.figure(each, "face", "holes", n, "at", i).nominal for i, each in enumerate(hole.at)]),
            figures.figure(hole.diameter, "face", "holes", n, "diameter").nominal,
        )
        for n, hole in enumerate(face.holes)
    ]
    try:
        yield bracket_face("bracket-face", "Face of the bracket, from the module's side", corners, holes)
    except ValueError as error:
        place = plan.description.place("fit", "face")
        raise Missing("fit.face", place, NO_TEMPLATE, f"cannot be cut so: {error}") from None


def _recess(fit: Fit) -> Iterator[TemplateSheet]:
    if fit.form.recess is None and fit.lacks:
        raise _NotMade("the bulkhead is in the way and no recess is described")
    for number, plan in enumerate(fit.recesses, 1):
        more = f"-{number}" if len(fit.recesses) > 1 else ""
        where = f" in {plan.lack.flat.name}"
        recess = plan.recess
        yield flat_pattern_sheet(f"recess{more}", f"Flat pattern of the recess{where}", recess.flat)
        yield opening_sheet(f"recess-opening{more}", f"Opening for the recess{where}", recess.flat, recess.hole_mm)


def _mock_up(fit: Fit) -> Iterator[TemplateSheet]:
    linkage = fit.travel.geometry.linkage
    points = [("pedal's axis", linkage.pedal_pivot), ("lever's axis", linkage.module_pivot)]
    if isinstance(linkage, BellCrankLinkage):
        points.append(("crank's axis", linkage.crank_pivot))
    flat = [(word, np.asarray(point)[[0, 2]]) for word, point in points]
    yield mock_up_sheet(
        "mock-up", "Cardboard mock-up of all that moves, front of the car to the right", fit.envelope, flat
    )
