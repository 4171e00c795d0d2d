"""What is read with a meter on the sensors and the motor, unplugged, and what the plan expects."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.ohmmeter import Stop, meter_reading
from conversion.checklist.saying import Limited, of, with_limits
from conversion.checklist.volts import unpowered_opening
from conversion.checklist.writer import row
from conversion.description.parts import Track
from conversion.plan.loom.tables.continuity import APART_OHM, CONTINUITY_OHM
from conversion.quantities import Quantity, show, unit_of
from conversion.sensing import Sensor

JOINED = Limited(f"below {show(CONTINUITY_OHM, 'resistance')}", 0.0, CONTINUITY_OHM, "resistance")
APART = Limited(f"above {show(APART_OHM, 'resistance')}", APART_OHM, float("inf"), "resistance")
_OHM = unit_of("resistance")
_HOLDER = {"pedal": "pedal module", "throttle": "throttle body"}


def resistance_rows(job: Job, sensor: Sensor) -> Iterator[Row]:
    """End to end of every potentiometer track, and for a pedal its signal at both stops.

    Tracks that share both ends are one reading.
    """
    if job.sensor(sensor) is None:
        yield row("Its tracks", f"cannot be said: no {_HOLDER[sensor]} is described")
        return
    read: set[tuple[str, str]] = set()
    for name, track in job.tracks(sensor).items():
        if track.principle != "potentiometer":
            yield row(f"Track {name}, {track.principle}", "an ohmmeter says nothing about it: do not probe it")
            continue
        ends = _names(job, sensor, name, ("supply", "ground"))
        if ends not in read:
            read.add(ends)
            yield _ohm_row(job, sensor, name, ("supply", "ground"), "rest", "end to end", "ends")
        if sensor == "pedal":
            yield _ohm_row(job, sensor, name, ("signal", "ground"), "rest", "lever at rest", "rest")
            yield _ohm_row(job, sensor, name, ("signal", "ground"), "full", "lever at the module's full stop", "full")


def _names(job: Job, sensor: Sensor, track: str, ends: tuple[str, str]) -> tuple[str, str]:
    holder = job.sensor(sensor)
    reference = holder[0] if holder else None
    one, other = (job.terminal_name(reference, f"{sensor}.{track}.{end}") for end in ends)
    return one, other


def _ohm_row(job: Job, sensor: Sensor, track: str, ends: tuple[str, str], at: Stop, words: str, key: str) -> Row:
    one, other = _names(job, sensor, track, ends)
    alike = [name for name in job.tracks(sensor) if _names(job, sensor, name, ends) == (one, other)]

    def expected() -> str:
        reading = meter_reading(job.description, sensor, track, ends, at)
        return with_limits(reading.nominal_ohm, reading.low_ohm, reading.high_ohm, "resistance")

    which = f"Tracks {' and '.join(alike)} together" if len(alike) > 1 else f"Track {track}"
    return row(f"{which}, {words}: {one} to {other}", expected, _OHM, ("resistance", sensor, track, key))


def powered_track_rows(job: Job, sensor: Sensor) -> list[Row]:
    """Terminals and outputs of every track that is no potentiometer."""
    holder = job.sensor(sensor)
    return [
        line
        for name, track in job.tracks(sensor).items()
        if holder is not None and track.principle != "potentiometer"
        for line in _powered_track(job, sensor, holder[0], name, track)
    ]


def _powered_track(job: Job, sensor: Sensor, reference: str, name: str, track: Track) -> Iterator[Row]:
    names = {end: job.terminal_name(reference, f"{sensor}.{name}.{end}") for end in ("supply", "ground", "signal")}
    for end, terminal in names.items():
        yield row(f"Track {name}: the papers name {terminal} as its {end}")
    current = job.part_described(track.supply_current, reference, "tracks", name, "supply_current")
    yield row(f"Track {name}: current from its supply", current, unit_of("current"))
    points = track.output.points
    for at in ("rest", "full"):
        path: tuple[str | int, ...] = ("tracks", name, "output", at)
        level: Quantity | None = getattr(track.output, at)
        if points:
            index = 0 if at == "rest" else len(points) - 1
            path, level = ("tracks", name, "output", "points", index, "output"), points[index].output
        dimension = level.dimension if level else "voltage"
        how = "as a share of the supply" if dimension == "ratio" else "volts"
        what = f"Track {name}: {names['signal']} against {names['ground']} at {at}, {how}"
        yield row(what, job.part_described(level, reference, *path), unit_of(dimension))


def swing_rows(job: Job) -> Iterator[Row]:
    """The lever's swing, and where its contacts change."""
    if job.module is None:
        yield row("Swing between the module's own stops", "cannot be said: no pedal module is described")
        return
    reference, part = job.module
    swing = job.part_described(part.lever.swing, reference, "lever", "swing")
    yield row("Swing between the module's own stops", swing, unit_of("angle"))
    for word, contact in (("idle", part.idle_contact), ("kickdown", part.kickdown_contact)):
        if contact is not None:
            ends = [job.terminal_name(reference, f"pedal.{word}.{end}") for end in ("signal", "ground")]
            what = f"Contact {word}, {' to '.join(ends)}: closed {contact.closes} this lever angle"
            at = job.part_described(contact.at, reference, f"{word}_contact", "at")
            yield row(what, at, unit_of("angle"))


def plate_rows(job: Job) -> Iterator[Row]:
    """Where the plate rests by itself, and what its tracks read at both ends."""

    yield row("Opening at which the plate rests", lambda: of(unpowered_opening(job)), unit_of("ratio"))
    if job.body is None:
        return
    if job.body[1].unpowered is not None:
        yield row("Springs that bring it there, one from each side or more", str(job.body[1].unpowered.springs))
    for name, track in job.body[1].tracks.items():
        if track.principle == "potentiometer":
            yield _ohm_row(job, "throttle", name, ("signal", "ground"), "rest", "plate held closed", "closed")
            yield _ohm_row(job, "throttle", name, ("signal", "ground"), "full", "plate held open", "open")


def motor_rows(job: Job) -> Iterator[Row]:
    """Resistance of the motor, and which way it turns."""
    reference = job.body[0] if job.body else None
    plus, minus = (job.terminal_name(reference, f"throttle.motor.{end}") for end in ("plus", "minus"))

    def resistance() -> str:
        name, part = job.must_have_body()
        return job.part_described(part.motor.resistance, name, "motor", "resistance")()

    yield row(f"Motor, {plus} to {minus}", resistance, _OHM, ("resistance", "motor", "winding"))
    key = ("resistance", "motor", "body")
    yield row(f"Motor, {plus} and {minus} each to the body of the part", APART, _OHM, key)
    yield row(f"Plus on {plus}, minus on {minus}", "the plate opens")
    yield row(f"Minus on {plus}, plus on {minus}", "the plate closes")
