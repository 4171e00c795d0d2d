"""What the rules about sensors have in common: what is read, whether it can be judged, and in which words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from conversion.description import Description, Missing, Place, Terminal
from conversion.description.parts import Agreement, ControlUnit, SensingPart, SensorInput
from conversion.plan import Plan, Travel
from conversion.quantities import Quantity, show
from conversion.rules.registry import Found
from conversion.sensing import Sensor, SensorSweep
from conversion.wiring import End, Wire

SENSORS: tuple[Sensor, ...] = ("throttle", "pedal")
_NOT_REACHED = "nothing that rests on the lever's angle can be said"


@dataclass(frozen=True)
class Reading:
    """A position sensor and the control unit that reads it.

    Attributes:
        sensor: ``pedal`` or ``throttle``.
        device: Reference of the module or body.
        part: Its part.
        unit: Reference of the control unit.
        unit_part: Its part.
        accepts: What it accepts from this sensor.
    """

    description: Description
    sensor: Sensor
    device: str
    part: SensingPart
    unit: str
    unit_part: ControlUnit
    accepts: SensorInput

    @property
    def tracks(self) -> list[str]:
        """The tracks that are described on both sides, by name."""
        return [name for name in self.part.tracks if name in self.accepts.tracks]

    @property
    def pairs(self) -> Iterator[tuple[str, str]]:
        """Every two of them."""
        return combinations(self.tracks, 2)

    def input_place(self, *path: str) -> Place:
        """Where something of what the control unit accepts stands."""
        return self.description.part_place(self.unit, "accepts", self.sensor, *path)

    def window(self, track: str, which: str) -> Quantity:
        """One of the windows of a track: ``valid``, ``rest`` or ``full``.

        Raises:
            Missing: It is not known.
        """
        window = getattr(self.accepts.tracks[track], which)  # type: ignore[index]
        path = ("accepts", self.sensor, "tracks", track, which)
        return self.description.part_need(window, "the volts cannot be held against it", self.unit, *path)

    def agreement(self) -> tuple[Agreement, Quantity] | None:
        """The agreement check and its limit; None where none is described.

        Raises:
            Missing: The limit is not known.
        """
        agreement = self.accepts.agreement
        if agreement is None:
            return None
        why = "it cannot be said which disagreement passes"
        path = ("accepts", self.sensor, "agreement", "at_most")
        return agreement, self.description.part_need(agreement.at_most, why, self.unit, *path)


def reading(plan: Plan, sensor: Sensor) -> Reading | None:
    """A sensor as it is read; None where a device is not described or nothing reads it, which other rules report."""
    description = plan.description
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    unit = description.control_unit
    if holder is None or unit is None:
        return None
    accepts = getattr(unit[1].accepts, sensor)
    if accepts is None:
        return None
    return Reading(description, sensor, holder[0], holder[1], unit[0], unit[1], accepts)


def readings(plan: Plan) -> Iterator[Reading]:
    """Every sensor that is read, the throttle body first since it rests on no linkage."""
    for sensor in SENSORS:
        found = reading(plan, sensor)
        if found is not None:
            yield found


def each_track(plan: Plan, judge: Callable[[Plan, Reading, str], Iterable[Found]]) -> Iterator[Found | Missing]:
    """What a judge says about every track that is read; each figure that is missing is said once."""
    said: set[tuple[str, str]] = set()
    for read in readings(plan):
        for track in read.tracks:
            yield from _judged(judge(plan, read, track), said)


def each_pair(plan: Plan, judge: Callable[[Plan, Reading, str, str], Iterable[Found]]) -> Iterator[Found | Missing]:
    """The same for every two tracks of a sensor."""
    said: set[tuple[str, str]] = set()
    for read in readings(plan):
        for one, other in read.pairs:
            yield from _judged(judge(plan, read, one, other), said)


def _judged(found: Iterable[Found], said: set[tuple[str, str]]) -> Iterator[Found | Missing]:
    try:
        yield from found
    except Missing as missing:
        if (missing.path, missing.state) not in said:
            said.add((missing.path, missing.state))
            yield missing


def planned_travel(plan: Plan) -> Travel:
    """The travel, if the lever's angle as planned is known from rest to full.

    Raises:
        Missing: A figure is not known, or the linkage locks or does not close on the way.
    """
    travel = plan.travel
    for event in travel.events:
        if event.kind in ("lock", "no-solution"):
            at = show(event.pad_travel_mm, "length")
            state = (
                f"locks at {at} of pad travel" if event.kind == "lock" else f"does not close from {at} of pad travel"
            )
            raise Missing("linkage", plan.description.place("linkage"), _NOT_REACHED, state)
    return travel


def solved_travel(plan: Plan) -> Travel:
    """The travel, if the lever's angle is known from rest to full in the worst case of the tolerances too.

    Raises:
        Missing: As :func:`planned_travel`, or the linkage does not close on the way with a figure at its limit.
    """
    travel = planned_travel(plan)
    at = not_closing_mm(travel)
    if at is not None:
        state = f"may not close at {show(at, 'length')} of pad travel in the worst case"
        raise Missing("linkage", plan.description.place("linkage"), _NOT_REACHED, state)
    return travel


def not_closing_mm(travel: Travel) -> float | None:
    """The first pad travel at which the linkage does not close with a figure at its limit; None if it always does."""
    band = np.array([travel.lever_rad, travel.lever_min_rad, travel.lever_max_rad])
    open_at = np.flatnonzero(~np.all(np.isfinite(band), axis=0))
    return float(travel.pad_travel_mm[open_at[0]]) if open_at.size else None


def solved_sweep(plan: Plan, read: Reading) -> SensorSweep:
    """The sweep of a sensor whose volts and per cent are all known.

    Raises:
        Missing: A figure is not known, or the pedal's travel is not solved.
    """
    if read.sensor == "pedal":
        solved_travel(plan)
    sweep = plan.sensor(read.sensor)
    if read.accepts.scale == "fixed":
        for track in read.tracks:
            read.window(track, "rest"), read.window(track, "full")
    return sweep


def where(plan: Plan, read: Reading, index: int) -> str:
    """A position of a sweep in words: ``at 12.4 mm of pad travel``, ``with the plate open by 35.0 %``."""
    if read.sensor == "pedal":
        return f"at {show(float(plan.travel.pad_travel_mm[index]), 'length')} of pad travel"
    return f"with the plate open by {show(float(plan.throttle.position[index]), 'ratio')}"


def volts(value: float) -> str:
    """Volts as a message prints them."""
    return show(float(value), "voltage")


def percent(value: float) -> str:
    """Per cent, given as such, as a message prints it."""
    return show(float(value) / 100.0, "ratio")


def span(window: Quantity) -> str:
    """A window of volts in words."""
    return f"{volts(window.low)} to {volts(window.high)}"


def wire_words(plan: Plan, wire: Wire) -> str:
    """A wire with its size and, where it is known, its length: ``W7, 0.50 mm², 1160.0 mm``."""
    route = plan.routes.get(wire.tag)
    words = [wire.tag, show(wire.size_mm2, "area")]
    if route is not None and route.length_mm:
        words.append(show(route.length_mm, "length"))
    return ", ".join(words)


def wires_words(plan: Plan, wires: tuple[Wire, ...]) -> str:
    """Several wires, each with size and length."""
    return "; ".join(wire_words(plan, wire) for wire in wires)


def end_words(end: End) -> str:
    """An end of a wire: ``terminal B1.2`` or ``splice Z2``."""
    return f"terminal {end.name}" if isinstance(end, Terminal) else f"splice {end.name}"


def end_place(plan: Plan, end: End) -> Place:
    """Where a terminal or a splice stands in the description."""
    if isinstance(end, Terminal):
        return plan.description.part_place(end.device, "housings", end.housing, "cavities", end.cavity)
    return plan.description.place("loom", "splices", end.name)
