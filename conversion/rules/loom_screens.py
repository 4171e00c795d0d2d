"""Where the screens of sensor cables are drained."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Terminal
from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import End

SCREEN = "screen"
_GROUNDS = ("ground.31", "ground.point")


@rule("loom/screen-drained-twice", severity="FIX", sources=(COMMON_PRACTICE,))
def screen_drained_twice(plan: Plan) -> Iterator[Found]:
    """A screen is drained at more than one end.

    Why: the two ends are never at quite the same voltage, so that a current flows along the screen, beside the very
    wires that it should protect.
    Found in:
        K1: housings.A.cavities.30 = screen
        B1: housings.A.positions = 7
        B1: housings.A.rows = [["1", "2", "3"], ["4", "5", "6", "7"]]
        B1: housings.A.cavities.7 = {roles: [screen], holds: 2}
        conversion: loom.wires.3 = {from: B1.7, to: X1.1, reason: drain of the screen}
    Put right:
        conversion: loom.wires.3 removed
    Not seen: whether the control unit's own terminal really leads to ground.
    """
    for ends in _screens(plan):
        drains = [end for end in ends if _drains(plan, end)]
        if len(drains) > 1:
            names = listed([drain.name for drain in drains], "and")
            yield Found(
                f"screen at {drains[0].name}",
                plan.description.place("devices", drains[-1].device),
                f"The screen is drained at {names}; it should be at one end only.",
                "Drain it at the control unit, cut it back at the other end and insulate it there.",
            )


@rule("loom/screen-not-drained", severity="FIX", sources=(COMMON_PRACTICE,))
def screen_not_drained(plan: Plan) -> Iterator[Found]:
    """A screen is drained nowhere.

    Why: a screen that hangs free carries what it picks up to the wires inside it.
    Found in:
        M1: housings.A.cavities.2 = screen
        B1: housings.A.positions = 7
        B1: housings.A.rows = [["1", "2", "3"], ["4", "5", "6", "7"]]
        B1: housings.A.cavities.7 = screen
    Put right:
        K1: housings.A.cavities.30 = {roles: [screen], holds: 2}
    Not seen: drains that the description does not name.
    """
    for ends in _screens(plan):
        if not any(_drains(plan, end) for end in ends):
            names = listed([end.name for end in ends], "and")
            yield Found(
                f"screen at {ends[0].name}",
                plan.description.place("devices", ends[0].device),
                f"The screen between {names} is drained nowhere.",
                "Give the control unit a terminal for it, or join it to the sensors' ground at one end.",
            )


def _screens(plan: Plan) -> Iterator[list[Terminal]]:
    """The terminals of each screen, in building order; what its wires join is one screen."""
    left: dict[End, None] = {}
    for wire in plan.wiring.of_role(SCREEN):
        left |= {wire.start: None, wire.end: None}
    while left:
        reached = [next(iter(left))]
        joined: dict[End, None] = {}
        while reached:
            end = reached.pop()
            if end in joined:
                continue
            joined[end] = None
            del left[end]
            reached += [
                wire.end if wire.start == end else wire.start for wire in plan.wiring.at(end) if SCREEN in wire.roles
            ]
        yield [end for end in joined if isinstance(end, Terminal)]


def _drains(plan: Plan, end: Terminal) -> bool:
    """Whether a screen is joined to ground here: in the control unit, in the terminal itself, or by a wire."""
    unit = plan.description.control_unit
    if unit is not None and end.device == unit[0]:
        return True
    others = [wire.end if wire.start == end else wire.start for wire in plan.wiring.at(end) if SCREEN not in wire.roles]
    return any(_is_ground(plan, each) for each in (end, *others))


def _is_ground(plan: Plan, end: End) -> bool:
    if not isinstance(end, Terminal):
        return False
    cavity = plan.description.parts[end.device].housings[end.housing].cavities[end.cavity]
    return any(role in _GROUNDS for role in cavity.roles)
