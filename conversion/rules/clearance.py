"""Whether everything that moves clears what is around it, and whether all that is around it was asked for."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

if TYPE_CHECKING:
    from conversion.plan.fitting.fit import Fit  # loads solid geometry, which not every description needs
    from conversion.plan.fitting.judged import FitClearance

_EXHAUST = "Formula SAE Rules 2026 v1.0, IC.3.3.1: a throttle cable or rod at least 50 mm from the exhaust"
_ASK = {
    "bulkhead": "Measure the bulkhead ahead of the pedal, as a plane or as a bent sheet.",
    "floor": "Measure the floor under the pad.",
    "floor mat": "Measure the mat that is to lie there, its top as a plane or the mat as a block.",
    "carpet": "Measure the carpet's top under and ahead of the pedal.",
    "shoe": "Describe the widest shoe that is to drive the car, under bodies.",
    "column": "Measure the steering column and its lower joint as a bar.",
    "brake pedal": "Measure the brake pedal's pad and its travel.",
}
_PAD_GAP = "at least 15.0 mm"


@rule("fit/not-described", severity="FIX", sources=(COMMON_PRACTICE,))
def not_described(plan: Plan) -> Iterator[Found]:
    """Nothing is said of what takes room, so no clearance is known.

    Why: a lever that moves freely on the bench may meet the bulkhead, the column or a shoe in the car. Metal that
    was cut before anybody looked is cut again.
    Found in:
        conversion: fit removed
    Put right:
        conversion: fit = {bodies: {pedal_arm: 12 mm, pad: {width: 50 mm, height: 60 mm, thickness: 10 mm}}}
    Not seen: whether what is described is all that there is.
    """
    conversion = plan.description.conversion
    if conversion.linkage is not None and conversion.fit is None:
        yield Found(
            "fit",
            plan.description.place(),
            "The description has no 'fit', so it is not known whether anything is in the way of pedal, link and lever "
            "over their travel; thicknesses and obstacles are needed.",
            "Measure what moves and what stands around it, and describe both under 'fit'.",
        )


@rule("fit/not-asked", severity="FIX", sources=(COMMON_PRACTICE,))
def not_asked(plan: Plan) -> Iterator[Found]:
    """Something that every footwell or linkage has is neither described nor said to be absent.

    Why: mat, carpet and shoe are what jams pedals in real cars, and they are what one forgets while looking at
    metal. What was not described was not checked.
    Found in:
        conversion: fit.obstacles.mat removed
        conversion: fit.bodies.module removed
    Put right:
        conversion: fit.absent.'floor mat' = bare rubber floor, and a label says so
        conversion: fit.bodies.module = {centre: [136 mm, -86 mm, -22 mm], size: [44 mm, 56 mm, 78 mm]}
    Not seen: a mat that somebody lays in later.
    """
    fit = plan.fit
    if fit is None:
        return
    for kind in fit.not_described:
        yield Found(
            f"fit: {kind}",
            plan.description.place("fit"),
            f"The {kind} is neither described as an obstacle nor said to be absent, so nothing is checked against it.",
            f"{_ASK[kind]} If there is none, write why under 'absent'.",
        )
    for name in fit.still_pedals:
        yield Found(
            f"fit.obstacles.{name}",
            plan.description.place("fit", "obstacles", name),
            f"Nothing is said of the travel of {name}, so neither the room that it takes when pressed nor its height "
            "beside this pedal is checked.",
            "Measure its axis, the middle of its pad and how far that goes, and describe them as its 'travel'.",
        )
    for key in fit.bodies_not_described:
        yield Found(
            f"fit.bodies.{key}",
            plan.description.place("fit", "bodies"),
            f"Nothing is said of the {key}'s size, so what it might meet is not checked; a size is needed.",
            f"Measure the {key} with a caliper and describe it under 'bodies'.",
        )


@rule("fit/touches", severity="HOLD", sources=(COMMON_PRACTICE, _EXHAUST))
def touches(plan: Plan) -> Iterator[Found | Missing]:
    """Something that moves runs into what stands in its way.

    Why: the pedal then jams, or ends its travel on a part that was never meant to be a stop. Held where it jams, it
    is a stuck throttle.
    Found in:
        conversion: fit.obstacles.column.bar = {start: [-260 mm, 60 mm, 120 mm], end: [120 mm, 0 mm, -80 mm],
          radius: 22 mm}
    Put right:
        conversion: fit.obstacles.column.bar = {start: [-260 mm, 190 mm, 120 mm], end: [120 mm, 170 mm, -80 mm],
          radius: 22 mm}
    Not seen: parts that bend under a heavy foot, and what was not described.
    """
    fit = plan.fit
    if fit is None:
        return
    yield from fit.unknown
    for each in fit.too_near:
        if each.touches:
            yield Found(
                _pair(each),
                plan.description.place("fit", *each.obstacle.path),
                f"The {each.clearance.body} runs {show(-each.clearance.distance_mm, 'length')} into "
                f"{_what(each)}{_where(each)}; {_wanted(each)}.",
                _remedy(each, fit),
            )


@rule("fit/too-near", severity="FIX", sources=(COMMON_PRACTICE,))
def too_near(plan: Plan) -> Iterator[Found]:
    """Something that moves comes nearer to what stands around it than is wanted.

    Why: brackets give, bushes wear, mats creep and boots are wider than feet. A gap that is just there on the drawing
    is gone after a year.
    Found in:
        conversion: fit.obstacles.brake.clearance = 80 mm
    Put right:
        conversion: fit.obstacles.brake.clearance = 10 mm
    Not seen: parts that bend under a heavy foot, and what was not described.
    """
    fit = plan.fit
    if fit is None:
        return
    # A bulkhead that is too near is a matter of its recess, a heat source one of heat.
    recessed = {lack.obstacle.name for lack in fit.lacks}
    for each in fit.too_near:
        of_recess = each.obstacle.name in recessed and each.clearance.body != "shoe" and not each.in_recess
        if not (each.touches or of_recess or _is_heat(each)):
            yield Found(
                _pair(each), plan.description.place("fit", *each.obstacle.path), _near(each), _remedy(each, fit)
            )


@rule("fit/heat-near", severity="FIX", sources=(_EXHAUST,))
def heat_near(plan: Plan) -> Iterator[Found]:
    """A cable, lever, link or module stands nearer to a heat source than 50 mm.

    Why: the lining of a cable melts and grips the inner, a plastic lever creeps, and a sensor drifts. Each of them
    can hold a throttle open.
    Found in:
        conversion: fit.obstacles.heater-pipe = {kind: heat source, bar: {start: [150 mm, 20 mm, 0 mm],
          end: [150 mm, 20 mm, 100 mm], radius: 10 mm}}
    Put right:
        conversion: fit.obstacles.heater-pipe = {kind: heat source, bar: {start: [100 mm, 20 mm, 160 mm],
          end: [100 mm, 90 mm, 160 mm], radius: 10 mm}}
    Not seen: shields, and air that an exhaust heats.
    """
    fit = plan.fit
    if fit is None:
        return
    for each in fit.too_near:
        if _is_heat(each) and not each.touches:
            yield Found(
                _pair(each),
                plan.description.place("fit", *each.obstacle.path),
                _near(each),
                "Move one of the two, or put a shield between them and describe the shield as the heat source.",
            )


@rule("fit/pad-to-floor", severity="FIX", sources=(COMMON_PRACTICE,))
def pad_to_floor(plan: Plan) -> Iterator[Found]:
    """With the pedal at its full stop less than 15 mm are left between the pad and what lies under it.

    Why: a second mat, a stone or a rolled edge then ends the travel early, or holds the pedal down.
    Found in:
        conversion: fit.obstacles.mat.plane.point = [0 mm, 0 mm, -330 mm]
    Put right:
        conversion: fit.obstacles.mat.plane.point = [0 mm, 0 mm, -396 mm ± 3 mm]
    Not seen: a mat that creeps up against the pedal.
    """
    gap = plan.fit.pad_gap if plan.fit is not None else None
    if gap is not None and not gap.enough:
        yield Found(
            f"pad and {gap.obstacle.name}",
            plan.description.place("fit", *gap.obstacle.path),
            f"With the pedal at its full stop {_length(gap.gap_mm)} lie between the pad and {gap.obstacle.name}"
            f"{_uncertain(gap.obstacle.uncertain_mm)}; {_PAD_GAP} should.",
            "Set the full stop earlier, shorten the pad, or take away what lies under it and say so.",
        )


@rule("fit/brake-beside", severity="NOTE", sources=(COMMON_PRACTICE,))
def brake_beside(plan: Plan) -> Iterator[Found]:
    """The brake pedal stands too near beside the accelerator, too far from it, or farther from the driver.

    Why: with too small a gap one boot presses both; with too wide a one the foot has to look for the brake; and a
    foot that moves from a higher accelerator to a lower brake catches under its pad.
    Found in:
        conversion: fit.brake_gap = 60 mm..90 mm
    Put right:
        conversion: fit.brake_gap = 40 mm..90 mm
    Not seen: how the pedals stand to each other while they are pressed.
    """
    brake = plan.fit.brake if plan.fit is not None else None
    if brake is None:
        return
    place = plan.description.place("fit", *brake.obstacle.path)
    if not brake.gap_enough:
        least, most = brake.wanted_mm
        yield Found(
            f"pad and {brake.obstacle.name}",
            place,
            f"Between the accelerator's pad and {brake.obstacle.name} lie {_length(brake.side_gap_mm)} sideways; "
            f"{show(least, 'length')} to {show(most, 'length')} are wanted.",
            "Move or trim a pad, or state another range as 'brake_gap' with a reason in a comment.",
        )
    if brake.step_mm is not None and brake.step_mm < 0.0:
        yield Found(
            f"pad and {brake.obstacle.name}",
            place,
            f"At rest the face of {brake.obstacle.name} lies {show(-brake.step_mm, 'length')} farther from the driver "
            "than the accelerator's; it should be no farther.",
            "Set the accelerator's rest stop so that its pad lies level with the brake's or lower.",
        )


def _is_heat(each: FitClearance) -> bool:
    return each.obstacle.kind == "heat source"


def _pair(each: FitClearance) -> str:
    return f"{each.clearance.body} and {each.obstacle.name}"


def _what(each: FitClearance) -> str:
    return f"the recess in {each.obstacle.name}" if each.in_recess else each.obstacle.name


def _where(each: FitClearance) -> str:
    return "" if each.still else f" at {show(each.clearance.pad_travel_mm, 'length')} of pad travel"


def _near(each: FitClearance) -> str:
    return (
        f"The {each.clearance.body} comes within {_length(each.clearance.distance_mm)} of {_what(each)}{_where(each)}"
        f"{_uncertain(each.obstacle.uncertain_mm)}; {_wanted(each)}."
    )


def _wanted(each: FitClearance) -> str:
    wanted = each.clearance.wanted
    return f"{show(wanted.clearance_mm, 'length')} is wanted: {wanted.reason}"


def _uncertain(uncertain_mm: float) -> str:
    return f" (which may stand {show(uncertain_mm, 'length')} nearer than described)" if uncertain_mm > 0.0 else ""


def _length(value_mm: float) -> str:
    return show(value_mm, "length")


def _remedy(each: FitClearance, fit: Fit) -> str:
    if each.in_recess or (each.obstacle.flats and fit.form.recess is not None and each.clearance.body != "shoe"):
        return "Move the module back, or mend what is described under 'recess': as it is it does not give the room."
    if each.obstacle.kind == "bulkhead" and each.clearance.body != "shoe":
        return "Move the module back, or let a recess into the bulkhead and describe it under 'recess'."
    if each.clearance.body == "shoe":
        return "Move the pad or what stands beside it; a narrower shoe is no cure."
    return f"Move the {each.clearance.body} or {each.obstacle.name}, or end the travel earlier."
