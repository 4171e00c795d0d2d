"""Faults of the control unit's checks: those that rest on a contact which it does not have."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, dotted
from conversion.description.described import Description, Step
from conversion.description.parts import SensorInput

_IDLE, _BRAKE = "pedal.idle.signal", ("brake.make", "brake.break")


def rest_checks(description: Description) -> Iterator[Complaint]:
    for reference, sensor, accepts in _sensors(description):
        check = accepts.rest_check
        if check is None or check.when != "idle contact":
            continue
        path = ("accepts", sensor, "rest_check", "when")
        if sensor == "throttle":
            why = "the idle contact is the pedal's and says nothing of the plate; of a throttle, write 'key on'"
            yield _at(description, reference, path, why)
        elif not description.parts[reference].places_of(_IDLE):
            why = f"no terminal of this control unit has the role '{_IDLE}'; name it in 'cavities', or write 'key on'"
            yield _at(description, reference, path, why)


def brake_overrides(description: Description) -> Iterator[Complaint]:
    for reference, sensor, accepts in _sensors(description):
        part = description.parts[reference]
        if accepts.brake_override is not None and not any(part.places_of(role) for role in _BRAKE):
            why = f"this control unit has no terminal with the role '{_BRAKE[0]}' or '{_BRAKE[1]}' to know the brake by"
            yield _at(description, reference, ("accepts", sensor, "brake_override"), why)


def _sensors(description: Description) -> Iterator[tuple[str, str, SensorInput]]:
    unit = description.control_unit
    if unit is not None:
        for sensor, accepts in (("pedal", unit[1].accepts.pedal), ("throttle", unit[1].accepts.throttle)):
            if accepts is not None:
                yield unit[0], sensor, accepts


def _at(description: Description, reference: str, path: tuple[Step, ...], message: str) -> Complaint:
    return Complaint(description.part_place(reference, *path), dotted(path), message)
