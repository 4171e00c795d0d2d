"""The throttle body's plate and motor: where the plate rests without power, and what the motor's wires come near."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

from conversion.description.complaints import listed
from conversion.description.parts import Housing, ThrottleBody
from conversion.description.roles import ROLES, group_of
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import end_place, end_words
from conversion.wiring.sharing import meeting

_FSAE = "Formula SAE Rules 2026 v1.0, "

_OPENING_LIMIT = 0.15
"""Slightly open is usual, some 5 % to 10 %; from here on an engine out of gear runs well above its idle. Common
practice, no source."""

_MOTOR = ("throttle.motor.plus", "throttle.motor.minus")
_SENSOR_GROUPS = ("sensor supply", "sensor ground", "sensor signal")


@rule("throttle/unpowered-not-described", severity="HOLD", sources=(_FSAE + "IC.4.1.1",))
def unpowered_not_described(plan: Plan) -> Iterator[Found]:
    """It is not said where the plate rests when the motor has no power.

    Why: that is where the engine is left after a fault, a blown fuse or a lost ground. Until it is known, nobody
    can say whether the car then coasts or pulls.
    Found in:
        M1: unpowered removed
    Put right:
        M1: unpowered = {opening: 7 % ± 1 %, springs: 2}
    Not seen: a plate that sticks on its way there.
    """
    body = plan.description.throttle_body
    if body is not None and body[1].unpowered is None:
        yield Found(
            body[0],
            plan.description.part_place(body[0]),
            f"{body[0]} does not say where its plate rests without power; 'unpowered' should give the opening.",
            "Unplug the throttle body, let the plate rest, and read its opening from both sides; write it there.",
        )


@rule("throttle/unpowered-too-open", severity="HOLD", sources=(_FSAE + "IC.4.1.1", COMMON_PRACTICE))
def unpowered_too_open(plan: Plan) -> Iterator[Found]:
    """Without power the plate rests farther open than a fast idle.

    Why: after a fault the engine then pulls, and the driver has only the brake and the key. Slightly open is how
    most throttle bodies are made, so that the car can creep off the road; the limit here, 15 %, is common practice.
    Found in:
        M1: unpowered.opening = 25 % ± 2 %
    Put right:
        M1: unpowered.opening = 7 % ± 1 %
    Not seen: how fast the engine turns at that opening; that is for the bench and the first start.
    """
    found = _unpowered(plan)
    if found is None:
        return
    device, part = found
    why = "it cannot be said how the engine runs without the motor"
    assert part.unpowered is not None
    opening = plan.description.part_need(part.unpowered.opening, why, device, "unpowered", "opening")
    if opening.high > _OPENING_LIMIT:
        yield Found(
            f"{device} unpowered",
            plan.description.part_place(device, "unpowered", "opening"),
            f"Without power the plate of {device} rests up to {show(opening.high, 'ratio')} open; it should be at most "
            f"{show(_OPENING_LIMIT, 'ratio')}.",
            "Measure it again with the plate clean; a throttle body that rests that far open is worn or not suited.",
        )


@rule("throttle/no-spring", severity="HOLD", sources=(_FSAE + "IC.4.1.1 and IC.4.1.2", "49 CFR 571.124, S5.1 and S5.2"))
def no_spring(plan: Plan) -> Iterator[Found]:
    """No spring brings the plate back when the motor has no power.

    Why: two sources of energy must each be able to close the throttle; the motor may be one of them, and a spring
    has to be the other.
    Found in:
        M1: unpowered.springs = 0
    Put right:
        M1: unpowered.springs = 1
    Not seen: springs inside the throttle's position sensor, which do not count; and a spring that is broken.
    """
    found = _unpowered(plan)
    if found is None:
        return
    device, part = found
    assert part.unpowered is not None
    if part.unpowered.springs < 1:
        yield Found(
            f"{device} unpowered",
            plan.description.part_place(device, "unpowered", "springs"),
            f"{device} has {part.unpowered.springs} springs at its plate; it should have at least 1 beside the motor.",
            "Feel for the spring with the part unplugged; a throttle body without one is not suited.",
        )


def _unpowered(plan: Plan) -> tuple[str, ThrottleBody] | None:
    body = plan.description.throttle_body
    return body if body is not None and body[1].unpowered is not None else None


@rule("throttle/motor-meets-sensor", severity="HOLD", sources=(COMMON_PRACTICE,))
def motor_meets_sensor(plan: Plan) -> Iterator[Found]:
    """A conductor of the throttle motor meets one of a position sensor.

    Why: the motor's leads carry battery voltage, chopped, and amperes. What shares a terminal, a splice or a wire
    with them reads whatever the motor does.
    Found in:
        conversion: loom.splices.Z9 = {station: engine, joins: [throttle.motor.minus, throttle.a.signal]}
    Put right:
        conversion: loom.splices.Z9 removed
    Not seen: what is joined inside the throttle body or the control unit. Sensor grounds that meet the motor's
    minus side have a rule of their own.
    """
    for leads, groups in ((_MOTOR, ("sensor supply", "sensor signal")), (_MOTOR[:1], ("sensor ground",))):
        sensors = [role for role, meaning in ROLES.items() if meaning.group in groups]
        met = meeting(plan.description, plan.wiring, leads, sensors)
        if met is not None:
            by = [end_words(end) for end in met.ends] or [wire.tag for wire in met.wires]
            yield Found(
                "throttle.motor",
                end_place(plan, met.ends[0]) if met.ends else met.wires[0].place,
                f"Conductors of the throttle motor and of a {' or '.join(groups)} meet at {listed(by, 'and')}; "
                "they should meet nowhere.",
                "Give the motor's two leads terminals and wires of their own, from control unit to throttle body.",
            )


@rule("throttle/motor-beside-sensor", severity="NOTE", sources=(COMMON_PRACTICE,))
def motor_beside_sensor(plan: Plan) -> Iterator[Found]:
    """A terminal of the throttle motor sits next to one of a position sensor in a housing.

    Why: moisture, a stray strand or a pushed-back terminal bridges neighbours first. The housing is as it is, but
    whoever makes and checks it should know which two to look at.
    Found in:
        M1: housings.A.cavities.2 = throttle.a.supply
        M1: housings.A.cavities.3 = empty
    Put right:
        M1: housings.A.cavities.2 = empty
        M1: housings.A.cavities.3 = throttle.a.supply
    Not seen: rows that are staggered, and terminals that face each other across a key.
    """
    for device, part in plan.description.parts.items():
        for name, housing in part.housings.items():
            pairs = [f"{one} beside {other}" for one, other in _neighbours(housing) if _clash(housing, one, other)]
            if pairs:
                yield Found(
                    f"{device} housing {name}",
                    plan.description.place("devices", device),
                    f"In housing {name} of {device} motor and sensor terminals are neighbours: {listed(pairs, 'and')}.",
                    "Look at these for stray strands and seated seals; check that they are open against each other.",
                )


def _neighbours(housing: Housing) -> Iterator[tuple[str, str]]:
    """Every ordered pair of places that are next to each other in a row, or above each other."""
    at = {(row, column): name for row, names in enumerate(housing.face) for column, name in enumerate(names)}
    for (row, column), name in at.items():
        for down, right in ((0, 1), (0, -1), (1, 0), (-1, 0)):
            other = at.get((row + down, column + right))
            if other is not None:
                yield name, other


def _clash(housing: Housing, one: str, other: str) -> bool:
    here, there = (housing.cavities[place].roles if place in housing.cavities else [] for place in (one, other))
    return any(a in _MOTOR and group_of(b) in _SENSOR_GROUPS for a, b in product(here, there))
