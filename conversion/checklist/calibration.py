"""The sheet from which a programmable control unit is set up: what to type in, and beside it what was typed in."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from conversion.checklist.calibration_limits import fitting_limit, planned_difference
from conversion.checklist.job import SENSORS, Job
from conversion.checklist.saying import CannotSay, figure, of, said
from conversion.checklist.volts import inputs_of, signal_terminal, track_volts
from conversion.description.parts import Agreement, SensorInput
from conversion.plan import Plan
from conversion.quantities import Quantity, show, unit_of
from conversion.sensing import Sensor

_VOLT = unit_of("voltage")
_STOPS = {"pedal": ("pedal at rest", "pedal at its full stop"), "throttle": ("plate closed", "plate open")}
_TAKES = {
    "smaller": "the smaller of the per cents",
    "larger": "the larger of the per cents",
    "mean": "the mean of the per cents",
    "a": "track a alone",
}
_SCALE = {
    "learned": "rest and full are learned at commissioning: let it learn with the pedal on its own stops",
    "fixed": "rest and full are fixed in the control unit",
}


@dataclass(frozen=True, slots=True)
class CalibrationRow:
    """One setting.

    Attributes:
        what: Its name in words, with the terminal.
        value: From the plan or from the description; says why where there is none.
        origin: ``computed`` or ``described``.
        unit: Unit of the box for what was typed in; empty for a word.
    """

    what: str
    value: str
    origin: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class CalibrationGroup:
    """The settings of one sensor.

    Attributes:
        title: Which sensor.
        rows: In the order in which they are typed in.
    """

    title: str
    rows: tuple[CalibrationRow, ...]


@dataclass(frozen=True, slots=True)
class CalibrationSheet:
    """All settings of the control unit that follow from the plan.

    Attributes:
        title: With the control unit's reference.
        text: How to use it.
        groups: One for each sensor that the control unit reads or that is described.
    """

    title: str
    text: str
    groups: tuple[CalibrationGroup, ...]


def calibration_sheet(plan: Plan) -> CalibrationSheet:
    """The sheet of a plan; a setting that cannot be said stays, with the reason."""
    job = Job(plan, ())
    groups = [
        CalibrationGroup(sensor.capitalize(), tuple(_rows(job, sensor)))
        for sensor in SENSORS
        if job.tracks(sensor) or inputs_of(job, sensor)
    ]
    return CalibrationSheet(
        f"Calibration of {job.unit_name}",
        "Computed volts are a start: type in what is measured on the finished car, if it lies within the limits. Never "
        "widen an error limit or the agreement to make a fault go away.",
        tuple(groups),
    )


def _rows(job: Job, sensor: Sensor) -> Iterator[CalibrationRow]:
    accepts = inputs_of(job, sensor)
    for name in dict.fromkeys([*job.tracks(sensor), *(accepts.tracks if accepts else ())]):
        yield from _track(job, sensor, name, accepts)
    if accepts is None:
        yield CalibrationRow(
            "Checks of the control unit", "cannot be said: it is not described to read this", "described"
        )
        return
    yield from _agreement(job, sensor, accepts.agreement)
    yield CalibrationRow("What is taken of the tracks", _TAKES[accepts.takes], "described")
    yield CalibrationRow("Scale", _SCALE[accepts.scale], "described")


def _track(job: Job, sensor: Sensor, name: str, accepts: SensorInput | None) -> Iterator[CalibrationRow]:
    start = f"Track {name} at {signal_terminal(job, sensor, name)}"
    for words, index in zip(_STOPS[sensor], (0, -1), strict=True):
        yield CalibrationRow(f"{start}: {words}", said(_volts(job, sensor, name, index)), "computed", _VOLT)
    for words, end in (("low", "low"), ("high", "high")):
        limit = said(_limit(job, sensor, name, end))
        yield CalibrationRow(f"{start}: {words} error limit", limit, "described", _VOLT)
        yield CalibrationRow(f"{start}: room to it", said(_room(job, sensor, name, end)), "computed", _VOLT)
        yield CalibrationRow(
            f"{start}: {words} error limit that would fit", said(_fitting(job, sensor, name, end)), "computed", _VOLT
        )
    for which in ("rest", "full"):
        yield CalibrationRow(f"{start}: window at {which}", said(_window(job, sensor, name, which)), "described", _VOLT)


def _volts(job: Job, sensor: Sensor, name: str, index: int) -> Callable[[], str]:
    def compute() -> str:
        if name not in job.tracks(sensor):
            raise CannotSay("the sensor has no such track")
        return track_volts(job, sensor, name, index)

    return compute


def _input_figure(job: Job, sensor: Sensor, name: str, key: str) -> Quantity:
    accepts = inputs_of(job, sensor)
    if accepts is None or job.unit is None or name not in accepts.tracks:
        raise CannotSay("the control unit is not described to read this track")
    path = ("accepts", sensor, "tracks", name, key)
    return job.description.part_need(getattr(accepts.tracks[name], key), "it is a setting", job.unit[0], *path)


def _limit(job: Job, sensor: Sensor, name: str, end: str) -> Callable[[], str]:
    return lambda: show(getattr(_input_figure(job, sensor, name, "valid"), end), "voltage")


def _fitting(job: Job, sensor: Sensor, name: str, end: str) -> Callable[[], str]:
    return lambda: fitting_limit(job, sensor, name, end)


def _window(job: Job, sensor: Sensor, name: str, which: str) -> Callable[[], str]:
    def compute() -> str:
        wanted = _input_figure(job, sensor, name, which)
        return f"{show(wanted.low, 'voltage')} to {show(wanted.high, 'voltage')}"

    return compute


def _room(job: Job, sensor: Sensor, name: str, end: str) -> Callable[[], str]:
    """How far the sound track stays from an error limit, all tolerances at their worst."""

    def compute() -> str:
        valid = _input_figure(job, sensor, name, "valid")
        if name not in job.tracks(sensor):
            raise CannotSay("the sensor has no such track")
        sweep = job.plan.sensor(sensor).tracks[name]
        room = float(sweep.volts_min.min()) - valid.low if end == "low" else valid.high - float(sweep.volts_max.max())
        return f"at least {figure(room, 'voltage')}" if room >= 0.0 else f"none: {figure(-room, 'voltage')} beyond it"

    return compute


def _agreement(job: Job, sensor: Sensor, agreement: Agreement | None) -> Iterator[CalibrationRow]:
    if agreement is None:
        yield CalibrationRow("Agreement of the tracks", "none is described", "described")
        return
    compared = "per cent" if agreement.of == "percent" else _factor_words(agreement)
    yield CalibrationRow("What is compared", compared, "described")
    yield CalibrationRow("Greatest difference, sound tracks", said(lambda: planned_difference(job, sensor)), "computed")
    for key, words in (
        ("at_most", "Greatest difference that passes"),
        ("at_least", "Least difference that passes"),
        ("within", "Time until it is acted on"),
    ):
        wanted: Quantity | None = getattr(agreement, key)
        if key in agreement.model_fields_set:
            unit = unit_of(wanted.dimension) if wanted else ""
            yield CalibrationRow(words, said(_agreement_figure(job, sensor, key, wanted)), "described", unit)


def _agreement_figure(job: Job, sensor: Sensor, key: str, wanted: Quantity | None) -> Callable[[], str]:
    unit = job.unit[0] if job.unit else ""
    path = ("accepts", sensor, "agreement", key)
    return lambda: of(job.description.part_need(wanted, "it is a setting", unit, *path))


def _factor_words(agreement: Agreement) -> str:
    return (
        "volts of a less those of b"
        if agreement.factor == 1
        else f"volts of a less {agreement.factor} times those of b"
    )
