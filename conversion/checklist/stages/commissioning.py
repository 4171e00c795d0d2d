"""Teach the control unit, prove that it notices what it should, and start the engine for the first time."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.failure import FailureMode, failure_modes
from conversion.checklist.holding import holds
from conversion.checklist.job import Job
from conversion.checklist.model import Row, Stage
from conversion.checklist.volts import end_rows, signal_terminal
from conversion.checklist.writer import StageWriter, row
from conversion.plan import engine_stops
from conversion.quantities import show, unit_of

TIME_TO_IDLE_S = 1.0
"""From power removed to the throttle closed: Formula Student rules (edition not stated), CV1.6.5."""


def commissioning(job: Job) -> Stage:
    """Calibrate, unplug each thing in turn, then run."""
    work = StageWriter("commissioning")
    work.caution(words.PLATE)
    work.step(
        "Ignition on, engine off. Let the control unit learn the pedal and the throttle, or type in the calibration "
        "sheet. Write down what it took.",
        rows=[
            *end_rows(job, "pedal", "pedal at rest", "pedal at its full stop", "learned"),
            *end_rows(job, "throttle", "plate closed", "plate open", "learned"),
        ],
        tools=("calibration sheet",),
    )
    work.step(
        "Clear stored faults. Switch off and on. No fault may come back, and the warning lamp must go out as the "
        "papers of the control unit say.",
        unit="",
    )
    _unplug(job, work)
    _start(job, work)
    _run(work)
    return work.finished()


def _unplug(job: Job, work: StageWriter) -> None:
    to_try = [mode for mode in failure_modes(job.plan) if mode.try_it]
    work.step(
        "Engine off, ignition on, pedal a quarter down. Unplug one track at a time, by its connector or a breakout "
        "lead; then plug it in again and clear the fault. Each time the lamp must light and the throttle must lose "
        "its power. (Formula SAE Rules 2026 v1.0, T.4.2.7, asks that each sensor can be unplugged for this.)",
        rows=_unplug_rows(job, to_try),
        tools=("breakout lead",),
        cautions=(words.REDUNDANCY, words.PLATE),
    )
    others = [mode for mode in to_try if mode.track is None]
    work.step(
        "Engine off, ignition on. Unplug each of these in turn. Write down what the control unit says, and compare it "
        "with the page of failure modes.",
        rows=[row(mode.title, mode.unit_notices) for mode in others],
    )


def _unplug_rows(job: Job, to_try: list[FailureMode]) -> Iterator[Row]:
    for mode in to_try:
        if mode.track is not None:
            sensor, name = mode.track
            at = signal_terminal(job, sensor, name)
            asked = "the lamp lights and the throttle loses its power"
            if mode.verdict != "noticed":
                asked += f"; without that do not go on. {mode.unit_notices}"
            yield row(f"{sensor.capitalize()} track {name} at {at}. {mode.happens}", asked, unit_of("voltage"))
    if all(mode.track is None for mode in to_try):
        yield row("Tracks", "cannot be said: no sensor is described")


def _start(job: Job, work: StageWriter) -> None:
    stops = engine_stops(job.description, job.unit[0]) if job.unit else ()
    names = ", ".join(f"{ref} ({job.conversion.devices[ref].place})" for ref in stops)
    work.hold(
        "before-first-start",
        "Before first start",
        "Nobody turns the key before the second person has signed.",
        findings=holds(job.findings),
        rows=[
            row("Wheels chocked, hand brake on, gearbox in neutral or park"),
            row("Second person at the stop switch, has tried it with the ignition on", names or "no stop is described"),
            row("Pedal and throttle returned in every trial of these pages"),
            row("No fault stored, warning lamp out"),
            row("Exhaust led outside, extinguisher at hand, nobody before or behind the car"),
        ],
        cautions=(words.FIRST_START, words.FUMES),
    )
    work.step(
        "Start. Touch nothing for ten seconds. If the engine runs up by itself, stop it at once.",
        "settles at idle",
        cautions=(words.HOT,),
    )
    rows = [row(f"{ref}, {job.conversion.devices[ref].place}", "the engine stops at once") for ref in stops]
    work.step(
        "Stop the engine with each stop in turn, at idle.",
        rows=rows or [row("A way to shut the engine off", "cannot be said: none is described")],
    )


def _run(work: StageWriter) -> None:
    work.step(
        "In neutral, press the pedal slowly to a fast idle and let go. Then snap it a little and let go. The engine "
        "must fall back to idle each time. (Formula Student rules, CV1.6.5, allow this time from power removed to "
        "closed throttle.)",
        f"back at idle, the plate closed within {show(TIME_TO_IDLE_S, 'time')}",
        "s",
        tools=("stop watch",),
    )
    work.step(
        "In neutral, hold a fast idle and press the brake firmly. See whether the control unit takes the throttle "
        "back. Not every control unit does; write down what yours does.",
        unit="",
    )
    work.step(
        "Let the engine get hot. Feel loom, module and link: none may be too hot to hold. Then read the tracks at rest "
        "again, hot, and compare with the first page of this stage.",
        unit="V",
        tools=("multimeter", "back-probe"),
        cautions=(words.HOT,),
    )
