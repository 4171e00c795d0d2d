"""What the control unit needs around it, and which devices answer each need."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Description, Place
from conversion.description.parts import (
    BrakeSwitch,
    ClutchSwitch,
    ControlUnit,
    IgnitionSwitch,
    Part,
    PedalModule,
    Relay,
    StopSwitch,
    ThrottleBody,
    WarningLamp,
)  # fmt: skip
from conversion.wiring import Wiring, feed_chain

# Need -> (kind of device that answers it, roles that must be wired to the control unit).
_BY_DEVICE: dict[str, tuple[type[Part], tuple[str, ...]]] = {
    "pedal": (PedalModule, ("pedal.a.signal",)),
    "throttle": (ThrottleBody, ("throttle.motor.plus", "throttle.motor.minus", "throttle.a.signal")),
    "brake-switch": (BrakeSwitch, ("brake.make",)),
    "clutch-switch": (ClutchSwitch, ("clutch.signal",)),
    "warning-lamp": (WarningLamp, ("lamp.drive",)),
    "main-relay": (Relay, ("relay.drive",)),
    "idle-contact": (PedalModule, ("pedal.idle.signal",)),
    "kickdown-contact": (PedalModule, ("pedal.kickdown.signal",)),
}
_BY_FEED = {"ignition-feed": "feed.15", "permanent-feed": "feed.30"}


@dataclass(frozen=True, slots=True)
class NeedAnswer:
    """One need of the control unit.

    Attributes:
        need: Its word.
        answered_by: The devices that answer it; empty where none does.
        waived: Why it is not met, as the builder says; None where it is not waived.
        place: Where the need, or its waiver, stands.
    """

    need: str
    answered_by: tuple[str, ...]
    waived: str | None
    place: Place


def answer_needs(description: Description, wiring: Wiring) -> tuple[NeedAnswer, ...]:
    """Each need of the control unit with the devices that answer it; empty without a control unit."""
    unit = description.control_unit
    if unit is None:
        return ()
    reference, part = unit
    answers = []
    for index, need in enumerate(part.needs):
        waived = description.conversion.waived.get(need)
        place = description.part_place(reference, "needs", index)
        if waived is not None:
            place = description.place("waived", need)
        answers.append(NeedAnswer(need, _answer(description, wiring, reference, part, need), waived, place))
    return tuple(answers)


def _answer(description: Description, wiring: Wiring, reference: str, part: ControlUnit, need: str) -> tuple[str, ...]:
    if need in _BY_DEVICE:
        kind, roles = _BY_DEVICE[need]
        wired = [
            {
                terminal.device
                for terminal in wiring.nets.get(role, ())
                if isinstance(description.parts[terminal.device], kind)
            }
            for role in roles
        ]
        return tuple(sorted(set.intersection(*wired)))
    if need in _BY_FEED:
        role = _BY_FEED[need]
        return feed_chain(description, reference, role)[:1] if part.places_of(role) else ()
    return engine_stops(description, reference)


def engine_stops(description: Description, reference: str) -> tuple[str, ...]:
    """Switches that take the control unit's switched feed away, and so shut the engine off."""
    found: dict[str, None] = {}
    for role in ("feed.15", "feed.87"):
        for device in feed_chain(description, reference, role):
            if isinstance(description.parts[device], IgnitionSwitch | StopSwitch):
                found[device] = None
    return tuple(found)
