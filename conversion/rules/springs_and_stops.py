"""The springs and the stops themselves: how many there are, what is known of them, and whether they hold."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Missing
from conversion.description.linkage_forms import Stop
from conversion.description.parts import ModuleSprings
from conversion.plan import Plan
from conversion.plan.measuring import how_to_measure
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_FMVSS = "49 CFR 571.124, "
_LOADS = {
    "rest_stop": "what it carries when the springs throw the pedal back",
    "full_stop": "a foot's full force",
}
_STRANDS = "NHTSA interpretation 11368DRN"


@rule("return/fewer-than-two-springs", severity="HOLD", sources=(_FMVSS + "S5.1", _STRANDS))
def fewer_than_two_springs(plan: Plan) -> Iterator[Found]:
    """Fewer than two springs return the pedal and the lever.

    Why: at least two sources of energy must be able to return the throttle. Strands of one spring are one source.
    Found in:
        conversion: springs removed
        B1: lever.springs.count = 1
    Put right:
        B1: lever.springs.count = 2
    Not seen: whether the springs are separate, each with its own anchor.
    """
    inner = _module_springs(plan)
    if inner is None:
        return
    described = list(plan.description.conversion.springs)
    count = len(described) + inner[1].count
    if count < 2:
        yield Found(
            "springs",
            plan.description.place("springs"),
            f"There {'is 1 spring' if count == 1 else 'are 0 springs'}: {len(described)} under 'springs' and "
            f"{inner[1].count} in {inner[0]}; at least 2 are needed.",
            "Add a second spring with its own anchor, on the half that has the fewer.",
        )


@rule("return/springs-only-in-sensor", severity="NOTE", sources=("Formula SAE Rules 2026 v1.0, T.4.2.1",))
def springs_only_in_sensor(plan: Plan) -> Iterator[Found]:
    """Fewer than two springs remain when those inside the position sensor are not counted.

    Why: a competition rule: springs in the position sensor do not count as return springs. On the road a complete
    pedal module with proven springs may do; a bare sensor may not.
    Found in:
        conversion: springs removed
        B1: lever.springs.inside = position sensor
    Put right:
        B1: lever.springs.inside = module
    Not seen: what the springs inside the module are made for; 'inside' is the builder's word.
    """
    inner = _module_springs(plan)
    if inner is None:
        return
    device, springs = inner
    described = list(plan.description.conversion.springs)
    count = len(described) + (springs.count if springs.inside == "module" else 0)
    if springs.inside == "position sensor" and count < 2:
        yield Found(
            f"{device} lever.springs",
            plan.description.part_place(device, "lever", "springs", "inside"),
            f"Beside the springs inside the position sensor of {device} there {'is' if count == 1 else 'are'} {count}; "
            "the competition rule asks for 2 that do not sit in the sensor.",
            "For a competition, add springs at the pedal, each able to return it alone.",
        )


@rule("return/strands-count-once", severity="NOTE", sources=(_STRANDS,))
def strands_count_once(plan: Plan) -> Iterator[Found]:
    """A spring of several strands is one spring.

    Why: its strands share hooks, anchors and fate; the interpretation counts them as one source of energy.
    Found in:
        conversion: springs.main.strands = 2
    Put right:
        conversion: springs.main.strands = 1
    Not seen: springs wound inside each other with anchors of their own, which are two.
    """
    for name, spring in plan.description.conversion.springs.items():
        if spring.strands > 1:
            yield Found(
                f"springs.{name}",
                plan.description.place("springs", name, "strands"),
                f"'{name}' has {spring.strands} strands and counts as 1 spring, also where one spring is taken out.",
                "If they are separate springs with their own anchors, describe each by itself.",
            )


@rule("return/module-springs-unproven", severity="HOLD", sources=(_FMVSS + "S5.1", COMMON_PRACTICE))
def module_springs_unproven(plan: Plan) -> Iterator[Found]:
    """The moment of the springs inside the module is only assumed.

    Why: with the link parted they alone bring the lever back, and the lever is what the control unit reads. A
    guess is no return spring.
    Found in:
        B1: lever.springs.rest_moment = 0.30 N·m, assumed
    Put right:
        B1: lever.springs.rest_moment = 0.30 N·m, measured
    Not seen: how many springs there are inside, and whether each has its own anchor; only opening one shows it.
    """
    inner = _module_springs(plan)
    if inner is None or inner[1].count == 0:
        return
    device = inner[0]
    for name in ("rest_moment", "full_moment"):
        path = ("lever", "springs", name)
        why = "it cannot be said whether the lever returns on its own"
        plan.description.part_need(getattr(inner[1], name), why, device, *path)
        place = plan.description.part_place(device, *path)
        stated = next(figure for figure in plan.figures if figure.path == path and figure.place == place)
        if stated.evidence == "assumed":
            yield Found(
                f"{device}: lever.springs.{name}",
                place,
                f"The moment of the springs in {device} is assumed ({name} {show(stated.figure.nominal, 'moment')}); "
                "it should be measured or documented.",
                f"{how_to_measure(path)} Then write 'measured' behind it.",
            )


def _module_springs(plan: Plan) -> tuple[str, ModuleSprings] | None:
    """The pedal module with its springs; None without a module, or without a linkage that it is part of.

    Raises:
        Missing: The module does not say whether it has springs.
    """
    module = plan.description.pedal_module
    if module is None or plan.description.conversion.linkage is None:
        return None
    device, part = module
    if part.lever.springs is None:
        why = "the springs cannot be counted; write 'count: 0' if the module has none"
        raise Missing(f"{device}: lever.springs", plan.description.part_place(device, "lever"), why)
    return device, part.lever.springs


@rule("return/stop-not-lockable", severity="FIX", sources=(COMMON_PRACTICE,))
def stop_not_lockable(plan: Plan) -> Iterator[Found]:
    """A stop that was made cannot be locked.

    Why: a screw that turns by itself moves the end of the travel: the rest is no longer reached, or the module
    takes the foot's force on its own stop and breaks.
    Found in:
        conversion: linkage.pedal.full_stop.lockable = false
    Put right:
        conversion: linkage.pedal.full_stop.lockable = true
    Not seen: whether it was locked.
    """
    for name, stop in _stops(plan):
        if stop.origin == "made" and not stop.lockable:
            yield Found(
                f"linkage.pedal.{name}",
                plan.description.place("linkage", "pedal", name),
                f"The {name.replace('_', ' ')} is made and is not lockable; it should hold its setting.",
                "Give it a lock nut, a locked thread or a pin, and write 'lockable: true'.",
            )


@rule("return/stop-load-unknown", severity="NOTE", sources=(COMMON_PRACTICE,))
def stop_load_unknown(plan: Plan) -> Iterator[Found]:
    """It is not said what force a stop carries.

    Why: a driver who brakes with the wrong foot stands on the full stop. If it bends, the module takes the rest.
    Found in:
        conversion: linkage.pedal.full_stop.load removed
    Put right:
        conversion: linkage.pedal.full_stop.load = 900 N
    Not seen: whether the stop, its bracket and the pedal's arm carry that force.
    """
    for name, stop in _stops(plan):
        if stop.load is None:
            yield Found(
                f"linkage.pedal.{name}",
                plan.description.place("linkage", "pedal", name, "load"),
                f"The {name.replace('_', ' ')} has no 'load'; {_LOADS[name]} should stand there.",
                f"{how_to_measure(('linkage', 'pedal', name, 'load'))} Then write it as 'load'.",
            )


def _stops(plan: Plan) -> Iterator[tuple[str, Stop]]:
    linkage = plan.description.conversion.linkage
    if linkage is not None:
        yield "rest_stop", linkage.pedal.rest_stop
        yield "full_stop", linkage.pedal.full_stop
