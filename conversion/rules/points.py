"""Whether the measured points and the rod fit together, and which one of them decides how well the plan holds."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.linkage_forms import BellCrankLinkageForm, RodLinkageForm
from conversion.linkage import BellCrankMotion, RodSolution
from conversion.linkage.turning import length
from conversion.plan import Plan
from conversion.plan.measuring import how_to_measure
from conversion.quantities import show
from conversion.rules.influences import largest_influence
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import planned_travel, solved_travel

_IMPLAUSIBLE_SHARE = 1.0 / 3.0
_WIDE_BAND_SHARE = 0.10
_DOMINATES_SHARE = 0.30


@rule("travel/points-disagree", severity="FIX", sources=(COMMON_PRACTICE,))
def points_disagree(plan: Plan) -> Iterator[Found]:
    """The rod's length and the measured points cannot both be right.

    Why: everything about the travel rests on these figures. A pin that was measured with the lever not on its rest
    stop, or on the other side of the car's axis, moves all of it.
    Found in:
        conversion: linkage.rod.length = 160 mm ± 2 mm
    Put right:
        conversion: linkage.rod.length = 140 mm ± 6 mm
    Not seen: errors that leave the distance between the pins as it is.
    """
    form = plan.description.conversion.linkage
    geometry = plan.travel.geometry
    if not isinstance(form, RodLinkageForm | BellCrankLinkageForm):
        return
    # What the linkage calls the length of the rod that is described: the only one, or the second of two.
    needed = float(getattr(geometry.linkage, geometry.linkage.ADJUSTED))
    place = plan.description.place("linkage", "rod", "length")
    remedy = "Measure the rod from ball centre to ball centre and the points again, the lever on its own rest stop."
    if geometry.set_at_rest_rad is not None:
        said = form.rod.length
        if said is not None and not said.contains(needed):
            yield Found(
                "linkage.rod",
                place,
                f"By the points the rod has to be {show(needed, 'length')} long for the lever to stand at its setting; "
                f"it is described as {show(said.low, 'length')} to {show(said.high, 'length')}.",
                remedy,
            )
        return
    rest = planned_travel(plan).lever_at_rest_rad[0]
    if abs(rest) > _IMPLAUSIBLE_SHARE * geometry.swing_rad[0]:
        solution = plan.travel.solution
        rod = solution.second if isinstance(solution, BellCrankMotion) else solution
        assert isinstance(rod, RodSolution), "the form has a rod"
        apart = float(length(rod.pedal_pin_mm[0] - rod.linkage.lever_pin_at_rest_stop))
        other = float(rod.other_branch_rad[0])
        side = ""
        if abs(other) < abs(rest):
            side = f" Put together on the other side of its dead centre it would stand at {show(other, 'angle')}."
        yield Found(
            "linkage.rod",
            place,
            f"With a rod of {show(needed, 'length')} and the pedal at rest the lever would stand at "
            f"{show(rest, 'angle')}, more than a third of its swing; its pin was measured on the rest stop, at 0°, "
            f"with the pins {show(apart, 'length')} apart.{side}",
            remedy,
        )


@rule("travel/one-figure-dominates", severity="NOTE", sources=(COMMON_PRACTICE,))
def one_figure_dominates(plan: Plan) -> Iterator[Found]:
    """One tolerance of the linkage makes most of the doubt about the lever's angle.

    Why: measuring that one figure better is worth more than measuring all the others.
    Found in:
        conversion: linkage.rod = {length: 140 mm ± 3 mm}
        conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}
    Put right:
        conversion: linkage.rod = {length: 140 mm, set_at_rest: 1.0° ± 0.5°}
    Not seen: tolerances that are written too small.
    """
    travel = solved_travel(plan)
    worst = largest_influence(travel)
    if worst is None or worst.share < _DOMINATES_SHARE:
        return
    total = worst.lever_rad / worst.share
    if total > _WIDE_BAND_SHARE * travel.geometry.swing_rad[0]:
        yield Found(
            worst.name,
            plan.description.place(*worst.path),
            f"{worst.name} alone may turn the lever by {show(worst.lever_rad, 'angle')}, which is "
            f"{show(worst.share, 'ratio')} of what all figures may, {show(total, 'angle')}.",
            how_to_measure(worst.path),
        )
