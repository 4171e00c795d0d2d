"""The recess in the bulkhead: whether one is needed, can be made, and finds room on the other side."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule


@rule("fit/recess-needed", severity="FIX", sources=(COMMON_PRACTICE,))
def recess_needed(plan: Plan) -> Iterator[Found]:
    """The bulkhead is too near to what moves, and no recess is described.

    Why: a lever that meets the bulkhead ends the travel there. How deep a recess has to be is better known before
    the hole is cut.
    Found in:
        conversion: fit.recess removed
    Put right:
        conversion: fit.recess = {thickness: 1.0 mm, inside_radius: 1.5 mm}
    Not seen: whether the bulkhead carries a load where it is cut.
    """
    fit = plan.fit
    if fit is None or fit.form.recess is not None:
        return
    for lack in fit.lacks:
        bodies, name = listed([body.name for body in lack.bodies], "and"), lack.flat.name
        yield Found(
            lack.flat.name,
            plan.description.place("fit", *lack.obstacle.path),
            f"{name[0].upper() + name[1:]} is too near to the {bodies}: it would have to go back by "
            f"{show(fit.least_depth_mm(lack), 'length')} for a clearance of {show(lack.clearance_mm, 'length')} over "
            "the whole travel, and no recess is described.",
            "Move the module back by that much, or describe a 'recess'.",
        )


@rule("fit/recess-no-room", severity="FIX", sources=(COMMON_PRACTICE,))
def recess_no_room(plan: Plan) -> Iterator[Found]:
    """The recess comes too near to what lies behind the bulkhead, or runs past the end of its flat part.

    Why: a brake line that rubs on a sheet edge, or a loom squeezed by it, is a new fault; and a flange that hangs
    over a bend cannot be sealed.
    Found in:
        conversion: fit.obstacles.brake-line.bar = {start: [186 mm, -150 mm, -60 mm], end: [186 mm, 150 mm, -60 mm],
          radius: 3 mm}
    Put right:
        conversion: fit.obstacles.brake-line.bar = {start: [230 mm, -150 mm, -60 mm], end: [230 mm, 150 mm, -60 mm],
          radius: 3 mm}
    Not seen: what was not described behind the bulkhead, and engines that move on their mounts.
    """
    fit = plan.fit
    if fit is None:
        return
    for planned in fit.recesses:
        recess, name = planned.recess, planned.lack.flat.name
        depth = show(recess.box.depth_mm, "length")
        for taken, obstacle in zip(recess.taken, planned.behind, strict=True):
            wanted = obstacle.wanted or taken.wanted
            if taken.distance_mm - obstacle.uncertain_mm < wanted.clearance_mm:
                yield Found(
                    f"recess and {obstacle.name}",
                    plan.description.place("fit", *obstacle.path),
                    f"The recess in {name}, {depth} deep, stands {show(recess.protrudes_mm, 'length')} out on the "
                    f"other side and leaves {show(taken.distance_mm, 'length')} to {obstacle.name}; "
                    f"{show(wanted.clearance_mm, 'length')} is wanted: {wanted.reason}.",
                    f"Move {obstacle.name}, or move the module back so that the recess may be shallower.",
                )
        if recess.over_edge_mm > 0.0:
            yield Found(
                f"recess in {name}",
                plan.description.place("fit", "recess"),
                f"The recess's flange runs {show(recess.over_edge_mm, 'length')} past the end of {name}; it should "
                "lie on the flat.",
                "Make the flange narrower, or move the module so that the recess lies on the flat.",
            )


@rule("fit/recess-under-bracket", severity="FIX", sources=(COMMON_PRACTICE,))
def recess_under_bracket(plan: Plan) -> Iterator[Found]:
    """A member of the bracket stands where the recess is let in.

    Why: the hole is cut first, and then there is no metal left to weld to, or the flange cannot lie flat and seal.
    Found in:
        conversion: fit.members.arm.start.at = [164 mm, -45 mm, -20 mm]
    Put right:
        conversion: fit.members.arm.start.at = [164 mm, -86 mm, 60 mm]
    Not seen: members that meet the bulkhead on another flat part, and what the weld itself takes.
    """
    fit = plan.fit
    if fit is None:
        return
    for planned, member in fit.members_on_recess:
        yield Found(
            f"recess and {member.name}",
            plan.description.place("fit", *member.path),
            f"{member.name[0].upper() + member.name[1:]} stands in the recess in {planned.lack.flat.name} or on its "
            "flange; it should stand beside it.",
            "Let the member meet the bulkhead farther from the opening, or make the flange narrower.",
        )


@rule("fit/behind-not-described", severity="FIX", sources=(COMMON_PRACTICE,))
def behind_not_described(plan: Plan) -> Iterator[Found]:
    """A recess is to be cut, and nothing is said of what lies behind the bulkhead there.

    Why: behind the bulkhead lie brake lines, fuel lines, looms and the heater. The box takes their room, and the
    saw finds them first.
    Found in:
        conversion: fit.obstacles.brake-line removed
    Put right:
        conversion: fit.obstacles.brake-line = {kind: fuel or brake line, behind_bulkhead: true,
          bar: {start: [230 mm, -150 mm, -60 mm], end: [230 mm, 150 mm, -60 mm], radius: 3 mm}}
    Not seen: whether all that lies there was described.
    """
    fit = plan.fit
    if fit is None or any(obstacle.behind_bulkhead for obstacle in fit.obstacles):
        return
    for planned in fit.recesses:
        yield Found(
            f"recess in {planned.lack.flat.name}",
            plan.description.place("fit", "recess"),
            f"The recess stands {show(planned.recess.protrudes_mm, 'length')} out on the other side of "
            f"{planned.lack.flat.name}, and no obstacle is described there; the nearest thing should be.",
            "Look behind, measure the nearest thing, and describe it with 'behind_bulkhead: true'.",
        )
