"""Room around what moves: expected clearances, the gaps at the pad, and the steps of the recess."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from conversion.checklist import words
from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.saying import reason
from conversion.checklist.writer import StageWriter, row
from conversion.description import Missing
from conversion.quantities import Quantity, show, unit_of

if TYPE_CHECKING:
    from conversion.plan.fitting.fit import Fit
    from conversion.plan.fitting.judged import FitClearance
    from conversion.plan.fitting.recess import RecessPlan

_MM = unit_of("length")


def fit_of(job: Job) -> Fit | Missing | None:
    """The fit; None where nothing is described, the Missing where it cannot be computed."""
    try:
        return job.plan.fit
    except Missing as missing:
        return missing


def clearance_rows(job: Job) -> Iterator[Row]:
    """To each obstacle the part that has least to spare, where in the travel, and what to expect."""
    fit = fit_of(job)
    if isinstance(fit, Missing):
        yield row("Clearances", reason(fit), _MM)
        return
    if fit is None:
        return
    tightest: dict[str, FitClearance] = {}
    for each in fit.clearances:
        known = tightest.get(each.obstacle.name)
        if not each.still and (known is None or each.to_spare_mm < known.to_spare_mm):
            tightest[each.obstacle.name] = each
    for name, each in tightest.items():
        found = each.clearance
        yield row(
            f"{found.body[0].upper() + found.body[1:]} to {'the recess in ' if each.in_recess else ''}{name}, "
            f"at {show(found.pad_travel_mm, 'length')} of pad travel",
            f"{_room(found.distance_mm)}; at least {show(found.wanted.clearance_mm, 'length')}",
            _MM,
        )
    for missing in fit.unknown:
        yield row("Clearance to something whose measure is lacking", reason(missing), _MM)


def pad_rows(job: Job) -> Iterator[Row]:
    """Gap under the pad at full, gap and step to the brake pedal, least gap of link and lever."""
    fit = fit_of(job)
    known = fit if fit is not None and not isinstance(fit, Missing) else None
    gap, brake = (known.pad_gap, known.brake) if known is not None else (None, None)
    under = gap.obstacle.name if gap else "the mat"
    yield row(f"Gap from the pad to {under} at full", _room(gap.gap_mm) if gap else None, _MM)
    beside = show(brake.side_gap_mm, "length") if brake else None
    yield row("Gap to the brake pedal, side by side", beside, _MM)
    step = show(brake.step_mm, "length") if brake is not None and brake.step_mm is not None else None
    yield row("Height of the brake pedal above this one, both at rest", step, _MM)
    moving = [] if known is None else [each for each in known.clearances if each.clearance.body not in _FOOT]
    nearest = min((each for each in moving if not each.still), key=lambda each: each.to_spare_mm, default=None)
    expected = None
    if nearest is not None:
        found = nearest.clearance
        expected = f"{_room(found.distance_mm)}, {found.body} to {nearest.obstacle.name}"
    yield row("Gap from the lever and the link to what is nearest, at its nearest", expected, _MM)


_FOOT = ("pedal arm", "pad", "shoe")


def _room(distance_mm: float) -> str:
    return show(distance_mm, "length") if distance_mm >= 0.0 else f"none: they meet {show(-distance_mm, 'length')} deep"


def recess_steps(job: Job, work: StageWriter) -> None:
    """Mark, cut, fold and fit the recess; nothing where none is described or needed."""
    if job.conversion.fit is None or job.conversion.fit.recess is None:
        return
    fit = fit_of(job)
    try:
        planned = fit.recesses if fit is not None and not isinstance(fit, Missing) else ()
        lacking = fit if isinstance(fit, Missing) else None
    except Missing as missing:
        planned, lacking = (), missing
    for each in planned:
        _recess(work, _hole_rows(each), _box_rows(each), _behind_rows(each))
    if lacking is not None:
        _recess(work, *([row(what, reason(lacking), _MM)] for what in ("Its hole", "Its size", "What it leaves")))


def _recess(work: StageWriter, hole: Iterable[Row], box: Iterable[Row], behind: Iterable[Row]) -> None:
    work.step(
        "Mark the hole for the recess on the bulkhead, about its middle. Forward, left and up count from the origin of "
        "the description. Look behind before the first hole, and drill the corners first.",
        rows=hole,
        tools=("tape", "square", "mirror", "torch"),
        cautions=(words.LINES, words.AIRBAG),
    )
    work.step(
        "Cut the recess from its flat pattern, drill the reliefs before folding, fold it, and measure it inside.",
        rows=box,
        tools=("shears", "folder", "caliper"),
    )
    work.step(
        "Hold the recess in its hole and measure on the other side.",
        rows=behind,
        tools=("tape", "mirror"),
        cautions=(words.SEAL,),
    )


def _hole_rows(planned: RecessPlan) -> Iterator[Row]:
    yield row("Flat part of the bulkhead", planned.lack.flat.name)
    for axis, value in zip(("forward", "left", "up"), planned.recess.centre_mm, strict=True):
        yield row(f"Middle of the hole: {axis}", show(float(value), "length"), _MM)
    for side, size in zip(("across the car", "up along the bulkhead"), planned.recess.hole_mm, strict=True):
        yield row(f"Hole {side}", show(size, "length"), _MM)


def _box_rows(planned: RecessPlan) -> Iterator[Row]:
    box = planned.recess.box
    sizes = (("width", box.width_mm), ("height", box.height_mm), ("depth", box.depth_mm), ("flange", box.flange_mm))
    for what, size in sizes:
        yield row(f"Recess, {what}" + ("" if what == "flange" else " inside"), show(size, "length"), _MM)
    for what, size in zip(("width", "height"), planned.recess.flat.size_mm, strict=True):
        yield row(f"Flat sheet, {what}", show(size, "length"), _MM)


def _behind_rows(planned: RecessPlan) -> Iterator[Row]:
    yield row("Stands out on the other side", show(planned.recess.protrudes_mm, "length"), _MM)
    for taken, obstacle in zip(planned.recess.taken, planned.behind, strict=True):
        wanted = obstacle.wanted or taken.wanted
        expected = f"{_room(taken.distance_mm)}; at least {show(wanted.clearance_mm, 'length')}"
        yield row(f"From the recess to {obstacle.name}", expected, _MM)


def bracket_rows(job: Job) -> Iterator[Row]:
    """Cut lengths of the bracket's members and infills, with the angles of their cuts."""
    fit = fit_of(job)
    if fit is None or isinstance(fit, Missing):
        return
    for name, cut in fit.members.items():
        if isinstance(cut, Missing):
            yield row(f"Member {name}", reason(cut), _MM)
            continue
        yield row(f"Member {name}, {cut.section.name}: longest edge", show(cut.longest_mm, "length"), _MM)
        yield row(f"Member {name}: shortest edge", show(cut.shortest_mm, "length"), _MM)
        for end, angles in zip(("start", "end"), cut.mitres_rad, strict=True):
            for side, angle in zip(("width", "height"), angles, strict=True):
                if abs(float(angle)) > 1e-6:
                    what = f"Member {name}: cut at its {end} leaves square, across its {side}, by"
                    yield row(what, show(abs(float(angle)), "angle"), unit_of("angle"))
    for name, infill in fit.infills.items():
        if isinstance(infill, Missing):
            yield row(f"Infill {name}", reason(infill), _MM)
            continue
        yield row(f"Infill {name}: outside edge", show(infill.outside_mm, "length"), _MM)
        yield row(f"Infill {name}: inside edge", show(infill.inside_mm, "length"), _MM)
        yield row(f"Infill {name}: both ends leave square by", show(infill.mitre_rad, "angle"), unit_of("angle"))


def drilled_rows(job: Job) -> Iterator[Row]:
    """Holes of the lever and of the bracket's face as they are to be after drilling."""
    fit = fit_of(job)
    if fit is None or isinstance(fit, Missing):
        return
    lever, face = fit.form.bodies.lever, fit.form.face
    if lever is not None:
        for what, size in (("hole for the pin", lever.hole), ("bore at the axis", lever.bore)):
            if size is not None:
                yield row(f"Lever: {what}", show(size.nominal, "length"), _MM)
    if face is None:
        return
    holes = list(face.holes)
    for number, hole in enumerate(holes, 1):
        size = hole.diameter
        yield row(f"Face of the bracket: hole {number}", show(size.nominal, "length") if size else None, _MM)
    for number, (one, other) in enumerate(pairwise(holes), 1):
        apart = _apart_mm(one.at, other.at)
        what = f"Face of the bracket: middle of hole {number} to middle of hole {number + 1}"
        yield row(what, show(apart, "length") if apart is not None else None, _MM)


def _apart_mm(one: Sequence[Quantity | None], other: Sequence[Quantity | None]) -> float | None:
    """Distance of two points; None while one of them is not known. [mm]"""
    pairs = [(a.nominal, b.nominal) for a, b in zip(one, other, strict=True) if a is not None and b is not None]
    return math.dist(*zip(*pairs, strict=True)) if len(pairs) == len(one) else None
