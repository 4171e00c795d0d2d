"""Whether what is described of the room around the pedal can stand where it is described."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule


@rule("fit/misplaced", severity="FIX", sources=(COMMON_PRACTICE,))
def misplaced(plan: Plan) -> Iterator[Found]:
    """A body or a pedal is described at a place, or with a way of moving, that cannot be right.

    Why: a sign that was lost on the way from the tape to the file puts the part somewhere else, and what was checked
    is not what is in the car.
    Found in:
        conversion: fit.bodies.module.centre = [-136 mm, -86 mm, -22 mm]
        conversion: fit.obstacles.brake.travel.presses = clockwise
    Put right:
        conversion: fit.bodies.module.centre = [136 mm, -86 mm, -22 mm]
        conversion: fit.obstacles.brake.travel.presses = anticlockwise
    Not seen: a slip that leaves the part near where it belongs.
    """
    if plan.fit is None:
        return
    for each in plan.fit.misplaced:
        apart = "leads the wrong way" if each.distance_mm is None else f"lies {show(each.distance_mm, 'length')} off"
        yield Found(
            ".".join(each.path),
            plan.description.place(*each.path),
            f"{each.what[0].upper() + each.what[1:]} {apart}; it should {each.should}.",
            "Look at the signs and the order of the figures: forward, left, up.",
        )


@rule("fit/far-off", severity="NOTE", sources=(COMMON_PRACTICE,))
def far_off(plan: Plan) -> Iterator[Found]:
    """An obstacle stays more than 300 mm from everything that belongs to the linkage.

    Why: either it is of no use in the description, or a figure of it has the wrong sign and the thing itself stands
    nearer.
    Found in:
        conversion: fit.obstacles.column.bar = {start: [-260 mm, 590 mm, 120 mm], end: [120 mm, 570 mm, -80 mm],
          radius: 22 mm}
    Put right:
        conversion: fit.obstacles.column.bar = {start: [-260 mm, 190 mm, 120 mm], end: [120 mm, 170 mm, -80 mm],
          radius: 22 mm}
    Not seen: a slip that leaves it near.
    """
    if plan.fit is None:
        return
    for name, distance in plan.fit.far_off.items():
        yield Found(
            name,
            plan.description.place("fit", "obstacles", name),
            f"{name[0].upper() + name[1:]} stays {show(distance, 'length')} or more from everything that belongs to "
            "the linkage; what may be in the way is within 300 mm.",
            "Measure it again, or leave it out.",
        )
