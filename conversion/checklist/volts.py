"""What is read by back-probing the control unit's terminals, and what the plan expects."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from conversion.checklist.calibration_limits import planned_difference
from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.saying import CannotSay, Limited, figure, of, window, with_limits
from conversion.checklist.writer import row
from conversion.description.parts import Part, SensorInput
from conversion.description.roles import group_of
from conversion.quantities import Quantity, show, unit_of
from conversion.sensing import Sensor, sensor_input

_VOLT = unit_of("voltage")
_NOTHING = Limited(f"below {show(0.5, 'voltage')}", -0.5, 0.5, "voltage")


_KEYS: dict[Sensor, tuple[str, str]] = {"pedal": ("rest", "full"), "throttle": ("closed", "open")}


def inputs_of(job: Job, sensor: Sensor) -> SensorInput | None:
    """What the control unit accepts from a sensor."""
    return sensor_input(job.description, sensor)


def signal_terminal(job: Job, sensor: Sensor, track: str) -> str:
    """Where a track is back-probed: at the control unit."""
    return job.terminal_name(job.unit[0] if job.unit else None, f"{sensor}.{track}.signal")


def track_volts(job: Job, sensor: Sensor, track: str, index: int) -> str:
    """Volts of a track at one end of its sweep, with limits."""
    sweep = job.plan.sensor(sensor).tracks[track]
    nominal, low, high = (float(volts[index]) for volts in (sweep.volts, sweep.volts_min, sweep.volts_max))
    return with_limits(nominal, low, high, "voltage")


def end_rows(job: Job, sensor: Sensor, rest: str, full: str, record: str = "volts") -> Iterator[Row]:
    """Volts of every track at both ends of its sweep.

    Args:
        job: The plan.
        sensor: ``pedal`` or ``throttle``.
        rest: Where lever or plate stands at the one end.
        full: Where it stands at the other.
        record: Under which word a record has them.
    """
    ends = _KEYS[sensor]
    for name in job.tracks(sensor):
        terminal = signal_terminal(job, sensor, name)
        for words, index, end in ((rest, 0, ends[0]), (full, -1, ends[1])):
            what = f"{sensor.capitalize()} track {name} at {terminal}, {words}"
            yield row(what, _ends(job, sensor, name, index), _VOLT, (record, sensor, name, end))
    if not job.tracks(sensor):
        yield row("Its tracks", f"cannot be said: no {sensor} sensor is described", _VOLT)


def _ends(job: Job, sensor: Sensor, track: str, index: int) -> Callable[[], str]:
    return lambda: track_volts(job, sensor, track, index)


def smooth_rows(job: Job, sensor: Sensor) -> Iterator[Row]:
    """Every track over a slow sweep."""
    for name in job.tracks(sensor):

        def expected(name: str = name) -> str:
            volts = job.plan.sensor(sensor).tracks[name].volts
            start, end = figure(float(volts[0]), "voltage"), figure(float(volts[-1]), "voltage")
            steps = np.diff(volts)
            if not (np.all(steps >= 0.0) or np.all(steps <= 0.0)):
                raise CannotSay("as planned the volts turn back on the way")
            moves = "rises" if volts[-1] >= volts[0] else "falls"
            return f"{moves} from {start} to {end} without a jump"

        yield row(f"{sensor.capitalize()} track {name} at {signal_terminal(job, sensor, name)}", expected)


def forced_rows(job: Job, sensor: Sensor) -> Iterator[Row]:
    """Every track with the pedal forced against each of its stops."""
    accepts = inputs_of(job, sensor)
    for name in job.tracks(sensor):
        valid = accepts.tracks[name].valid if accepts and name in accepts.tracks else None

        def expected(valid: Quantity | None = valid, name: str = name) -> str:
            path = ("accepts", sensor, "tracks", name, "valid")
            unit = job.unit
            if unit is None:
                raise CannotSay("no control unit is described")
            known = job.description.part_need(valid, "the limits cannot be said", unit[0], *path)
            return f"stays within {window(known)} and comes back to what it was"

        terminal = signal_terminal(job, sensor, name)
        yield row(
            f"{sensor.capitalize()} track {name} at {terminal}, pulled back hard against the rest stop", expected, _VOLT
        )
        yield row(
            f"{sensor.capitalize()} track {name} at {terminal}, pressed with a full foot against the full stop",
            expected,
            _VOLT,
        )


def agreement_rows(job: Job, sensor: Sensor) -> Iterator[Row]:
    """How far two tracks may be apart, and how far they are as planned."""

    def allowed() -> str:
        accepts = inputs_of(job, sensor)
        if accepts is None or accepts.agreement is None or job.unit is None:
            raise CannotSay("no agreement check is described")
        path = ("accepts", sensor, "agreement")
        limit = job.description.part_need(accepts.agreement.at_most, "", job.unit[0], *path, "at_most")
        within = job.description.part_need(accepts.agreement.within, "", job.unit[0], *path, "within")
        return f"at most {of(limit)}, for {of(within)}"

    yield row("Difference that the control unit lets pass, as described", allowed)
    yield row("Greatest difference over the sweep, as planned", lambda: planned_difference(job, sensor))


def feed_rows(job: Job) -> Iterator[Row]:
    """Feeds and grounds at the control unit's own housing, the control unit unplugged."""
    if job.unit is None:
        yield row("Feeds of the control unit", "cannot be said: no control unit is described", _VOLT)
        return
    for terminal, form in job.description.terminals(job.unit[0]):
        key = ("feeds", terminal.name)
        for role in form.roles:
            if role == "feed.30":
                yield row(f"{terminal.name}, permanent feed, ignition off", _supply(job), _VOLT, (*key, "ignition off"))
            elif role == "feed.15":
                yield row(f"{terminal.name}, switched feed, ignition off", _NOTHING, _VOLT, (*key, "ignition off"))
                yield row(f"{terminal.name}, switched feed, ignition on", _supply(job), _VOLT, (*key, "ignition on"))
            elif role == "feed.87":
                yield row(
                    f"{terminal.name}, feed of the main relay, relay at rest", _NOTHING, _VOLT, (*key, "relay at rest")
                )
            elif group_of(role) == "ground":
                what = f"{terminal.name}, ground: across a 21 W test lamp from the battery's plus to it"
                yield row(what, _supply(job), _VOLT, (*key, "test lamp"))


def supply_rows(job: Job) -> Iterator[Row]:
    """Every sensor supply, the control unit plugged in and the ignition on."""
    if job.unit is None or not job.unit[1].supplies:
        yield row("Supplies of the sensors", "cannot be said: no sensor supply is described", _VOLT)
        return
    reference, part = job.unit
    for name, supply in part.supplies.items():
        terminals = dict.fromkeys(job.terminal_name(reference, role) for role in supply.roles)
        what = f"Supply {name} at {', '.join(terminals)}, against the sensor ground of the same track"
        expected = job.part_described(supply.voltage, reference, "supplies", name, "voltage")
        yield row(what, expected, _VOLT, ("supplies", name))


def brake_rows(job: Job) -> Iterator[Row]:
    """Both contacts of the brake switch at the control unit."""
    yield from _switch(job, "brake.make", "make contact", closed_when_pressed=True)
    yield from _switch(job, "brake.break", "break contact", closed_when_pressed=False)


def clutch_rows(job: Job) -> Iterator[Row]:
    """The clutch switch at the control unit."""
    for terminal in job.terminals_of(job.unit[0], "clutch.signal") if job.unit else []:
        yield row(f"Clutch at {terminal.name}: pedal released", unit=_VOLT)
        yield row(f"Clutch at {terminal.name}: pedal pressed", "the other of the two levels", _VOLT)


def _switch(job: Job, role: str, words: str, *, closed_when_pressed: bool) -> Iterator[Row]:
    for terminal in job.terminals_of(job.unit[0], role) if job.unit else []:
        for pressed in (False, True):
            closed = pressed is closed_when_pressed
            doing = "pressed" if pressed else "released"
            yield row(f"Brake {words} at {terminal.name}: pedal {doing}", _level(job, role, closed), _VOLT)


def _level(job: Job, role: str, closed: bool) -> Callable[[], str]:
    """What a contact puts on its terminal: its feed when closed; what is there when open is the control unit's."""

    def expected() -> str:
        switches = {terminal.device for terminal in job.plan.wiring.nets.get(role, ())}
        parts = [part for ref, part in job.description.parts.items() if ref in switches and part.kind == "brake-switch"]
        if not parts:
            raise CannotSay("no brake switch is wired to it")
        fed, grounded = _groups(parts[0], "feed"), _groups(parts[0], "ground")
        if fed == grounded:
            raise CannotSay("it is not described whether the switch is fed or grounded")
        if closed:
            return _supply(job)() if fed else _NOTHING
        return "clearly lower" if fed else "clearly higher"

    return expected


def _groups(part: Part, group: str) -> bool:
    return any(group_of(role) == group for _, _, form in part.cavities() for role in form.roles)


def _supply(job: Job) -> Callable[[], str]:
    def expected() -> str:
        supply = job.supply_range()
        return Limited(f"the battery's volts, within {window(supply)}", supply.low, supply.high, "voltage")

    return expected


def unpowered_opening(job: Job) -> Quantity:
    """Opening at which the plate rests without power.

    Raises:
        Missing: It is not known.
        CannotSay: No throttle body is described.
    """
    reference, part = job.must_have_body()
    rests = part.unpowered
    why = "where the plate rests cannot be said"
    return job.description.part_need(rests.opening if rests else None, why, reference, "unpowered", "opening")


def unpowered_rows(job: Job) -> Iterator[Row]:
    """The plate once its motor has no power: opening, and volts of its tracks there."""
    yield row("Opening of the plate", lambda: of(unpowered_opening(job)), unit_of("ratio"))
    for name in job.tracks("throttle"):

        def expected(name: str = name) -> str:
            sweep = job.plan.throttle
            place = unpowered_opening(job)
            spread = [
                float(np.interp(share, sweep.position, volts))
                for share in place.limits
                for volts in (sweep.tracks[name].volts_min, sweep.tracks[name].volts_max)
            ]
            nominal = float(np.interp(place.nominal, sweep.position, sweep.tracks[name].volts))
            return with_limits(nominal, min(spread), max(spread), "voltage")

        key = ("volts", "throttle", name, "without power")
        yield row(f"Throttle track {name} at {signal_terminal(job, 'throttle', name)}", expected, _VOLT, key)
