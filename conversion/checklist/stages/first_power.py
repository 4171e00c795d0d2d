"""Ignition on, engine not started: feeds first, then sensors, then the throttle."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.holding import holds
from conversion.checklist.job import Job
from conversion.checklist.model import Row, Stage
from conversion.checklist.volts import (
    agreement_rows,
    brake_rows,
    clutch_rows,
    end_rows,
    feed_rows,
    forced_rows,
    smooth_rows,
    supply_rows,
    unpowered_rows,
)  # fmt: skip
from conversion.checklist.writer import StageWriter, row
from conversion.description.parts import Fuse
from conversion.plan import engine_stops
from conversion.quantities import show, unit_of

_PROBE = ("multimeter", "back-probe")


def first_power(job: Job) -> Stage:
    """Power in small portions, and prove every signal."""
    work = StageWriter("first-power")
    work.caution(words.PLATE)
    work.caution("The engine stays off in this whole stage: gearbox in neutral or park, starter relay or its fuse out.")
    work.hold(
        "before-first-power",
        "Before first power",
        "A second person reads the bench-test and fitting pages and looks at the car.",
        findings=holds(job.findings),
        rows=[
            row("Every reading of the bench test is in its limits"),
            row("Every reading to the body is in its limits"),
            row("Throttle plate clear of tools, rags and hands"),
            row("Extinguisher at hand, battery's clamp can be pulled off at once"),
        ],
    )
    _feeds(job, work)
    _pedal(job, work)
    _switches(job, work)
    _throttle(job, work)
    return work.finished()


def _feeds(job: Job, work: StageWriter) -> None:
    work.step(
        f"{job.unit_name} and all sensors unplugged. Connect the battery, positive side first. Put the fuses in one "
        "by one; none may blow, nothing may get warm.",
        rows=[row(f"{ref}, {job.conversion.devices[ref].place}") for ref in job.description.devices_of(Fuse)],
        tools=("fuses",),
        cautions=(words.BATTERY,),
    )
    work.step(
        f"Read in the loom's housing for {job.unit_name}, on the terminals that it will plug into.",
        rows=feed_rows(job),
        tools=_PROBE,
    )
    work.step(
        f"Ignition on. Operate each way to shut the engine off. Each time read the switched feed of {job.unit_name}.",
        rows=_stop_rows(job),
        tools=_PROBE,
    )
    work.step(
        f"Ignition off. Plug in {job.unit_name}, but no sensor. Ignition on: read each sensor supply.",
        rows=supply_rows(job),
        tools=_PROBE,
    )
    lamps = tuple(job.of_kind("warning-lamp"))
    work.step(
        f"Look at the warning lamp{' ' + ', '.join(lamps) if lamps else ''}: with the sensors unplugged it must be lit "
        "once the ignition is on.",
        "lit" if lamps else "cannot be said: no warning lamp is described",
    )


def _pedal(job: Job, work: StageWriter) -> None:
    cautions = (words.HALL,) if job.has_powered_tracks else ()
    work.step(
        f"Ignition off. Plug in {job.module_name}. Ignition on: back-probe its signals at {job.unit_name}.",
        rows=end_rows(job, "pedal", "pedal at rest", "pedal at its full stop"),
        tools=_PROBE,
        cautions=cautions,
    )
    work.step(
        "Press the pedal from rest to full in ten seconds, and let it back in ten. Use a meter with a bar, or an "
        "oscilloscope: a jump is a dirty track or a loose terminal.",
        rows=smooth_rows(job, "pedal"),
        tools=("meter with a bar or oscilloscope", "back-probe"),
    )
    work.step(
        "Pull the pedal back hard against its rest stop; then press it with a full foot against its full stop. A "
        "bracket or a stop that gives way shows here.",
        rows=forced_rows(job, "pedal"),
        tools=_PROBE,
        cautions=(words.FULL_FOOT,),
    )
    work.step(
        "Read both tracks at rest, at half and at full, or watch both in the control unit's live data.",
        rows=agreement_rows(job, "pedal"),
        tools=_PROBE,
    )


def _switches(job: Job, work: StageWriter) -> None:
    brake = list(brake_rows(job))
    work.step(
        "Brake switch: read each contact with the brake pedal released, and pressed just so far that the lamps light.",
        rows=brake or [row("Brake switch", "cannot be said: no contact of a brake switch is described")],
        tools=_PROBE,
    )
    clutch = list(clutch_rows(job))
    if clutch:
        work.step("Clutch switch: read it with the pedal released and pressed.", rows=clutch, tools=_PROBE)


def _throttle(job: Job, work: StageWriter) -> None:
    work.step(
        f"Ignition off. Plug in {job.body_name}. Ignition on, hands away: let the control unit move the plate closed "
        "and open, by its own test if it has one.",
        rows=end_rows(job, "throttle", "plate closed", "plate open"),
        tools=_PROBE,
        cautions=(words.PLATE,),
    )
    work.step(
        "Watch the plate while the pedal is pressed a little. It opens and follows. If it slams to one side or "
        "chatters, switch off: motor leads or tracks are swapped.",
        "opens as the pedal is pressed, closes as it is released",
    )
    work.step(
        "Hold the pedal half down. Take the power from the throttle: pull the fuse or the relay that feeds it. The "
        "plate must fall by its springs alone to where it rests without power, and stay there.",
        rows=[*_relay_rows(job), *unpowered_rows(job)],
        tools=_PROBE,
        cautions=(words.PLATE,),
    )


def _stop_rows(job: Job) -> Iterator[Row]:
    stops = engine_stops(job.description, job.unit[0]) if job.unit else ()
    for reference in stops:
        what = f"{reference}, {job.conversion.devices[reference].place}: operated or switched off"
        yield row(what, f"the switched feed falls below {show(0.5, 'voltage')}", unit_of("voltage"))
    if not stops:
        yield row("A way to shut the engine off", "cannot be said: no switch takes away the feed of the control unit")


def _relay_rows(job: Job) -> Iterator[Row]:
    for reference in job.of_kind("relay"):
        yield row(f"{reference}, {job.conversion.devices[reference].place}: pulled out, or its fuse")
