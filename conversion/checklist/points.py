"""The points of every kind of linkage in a builder's words, with the readings of a tape where there are marks."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.saying import with_limits
from conversion.checklist.writer import row
from conversion.description.linkage_forms import (
    BellCrankLinkageForm,
    CableLinkageForm,
    ContactLinkageForm,
    DirectLinkageForm,
    LinkageForm,
    RodLinkageForm,
)  # fmt: skip
from conversion.description.places import Point
from conversion.plan.tape.points import TapeResult
from conversion.quantities import show, unit_of

Steps = tuple[str, ...]


def linkage_points(form: LinkageForm) -> Iterator[tuple[str, Point, Steps]]:
    """Every point of the linkage: in words, as described, and the steps to it."""
    pedal = form.pedal
    yield "Pivot of the pedal", pedal.pivot, ("linkage", "pedal", "pivot")
    if isinstance(form, RodLinkageForm | BellCrankLinkageForm):
        yield "Pin of the rod on the pedal, at rest", form.pedal.rod_pin, ("linkage", "pedal", "rod_pin")
    if isinstance(form, BellCrankLinkageForm):
        yield "Pivot of the bell-crank", form.crank.pivot, ("linkage", "crank", "pivot")
        yield "First pin of the bell-crank, pedal at rest", form.crank.pin_in, ("linkage", "crank", "pin_in")
        yield "Second pin of the bell-crank, pedal at rest", form.crank.pin_out, ("linkage", "crank", "pin_out")
    if isinstance(form, CableLinkageForm):
        yield "Pin of the cable on the pedal, at rest", form.pedal.cable_pin, ("linkage", "pedal", "cable_pin")
        ends = ("linkage", "cable")
        yield "End of the outer at the pedal", form.cable.pedal_outer_end, (*ends, "pedal_outer_end")
        yield "End of the outer at the module", form.cable.module_outer_end, (*ends, "module_outer_end")
    if isinstance(form, ContactLinkageForm):
        contact, where = form.contact, ("linkage", "contact")
        yield (
            f"Centre of the roller on the {contact.roller_on}, at rest",
            contact.roller_centre,
            (
                *where,
                "roller_centre",
            ),
        )
        yield "Middle of the face, at rest", contact.face_point, (*where, "face_point")
    if isinstance(form, DirectLinkageForm):
        yield "Centre of the pad, at rest", pedal.pad, ("linkage", "pedal", "pad")
        return
    yield "Pivot of the lever", form.module.pivot, ("linkage", "module", "pivot")
    if isinstance(form, RodLinkageForm | BellCrankLinkageForm):
        path = ("linkage", "module", "lever_pin")
        yield "Pin of the rod on the lever, lever on its own rest stop", form.module.lever_pin, path
    if isinstance(form, CableLinkageForm):
        yield "Nipple, lever on its own rest stop", form.quadrant.nipple, ("linkage", "quadrant", "nipple")
        if form.quadrant.groove_centre is not None:
            path = ("linkage", "quadrant", "groove_centre")
            yield "Centre of the groove, lever on its own rest stop", form.quadrant.groove_centre, path


def point_rows(job: Job, what: str, point: Point, *path: str) -> Iterator[Row]:
    """A point's coordinates, and its distances from the marks where the car has any."""
    assert isinstance(point, list), "points from a tape are resolved when the plan begins"
    for index, axis in enumerate(("forward", "left", "up")):
        yield row(f"{what}: {axis}", job.described(point[index], *path, index), unit_of("length"))


def tape_rows(job: Job) -> Iterator[Row]:
    """The distance of each linkage's point from each mark: as read where it was read, else as the plan has it."""
    form = job.linkage
    if form is None or not job.conversion.marks:
        return
    results = {result.path: result for result in job.plan.tape}
    for what, point, path in linkage_points(form):
        yield from _from_marks(job, what, point, results.get(path))


def _from_marks(job: Job, what: str, point: Point, result: TapeResult | None) -> Iterator[Row]:
    at = _known(point)
    for name, mark in job.conversion.marks.items():
        read = (
            next((each for each in result.readings if each.kind == "distance" and each.from_name == name), None)
            if (result)
            else None
        )
        where = _known(mark)
        if read is not None:
            low, high = read.value - read.tolerance, read.value + read.tolerance
            yield row(f"{what}: from {name}", with_limits(read.value, low, high, "length"), unit_of("length"))
        elif at is not None and where is not None:
            yield row(f"{what}: from {name}", show(float(np.linalg.norm(at - where)), "length"), unit_of("length"))


def _known(point: Point) -> np.ndarray | None:
    if not isinstance(point, list) or any(figure is None for figure in point):
        return None
    return np.array([figure.nominal for figure in point if figure is not None])
