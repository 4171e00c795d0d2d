"""Before anything is cut: record the car as it was, and measure what the plan still takes on trust."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.evidence import evidence_table
from conversion.checklist.job import Job
from conversion.checklist.model import Row, Stage
from conversion.checklist.saying import of
from conversion.checklist.writer import StageWriter, row
from conversion.quantities import unit_of

_ORIGIN = {"existing": "in the car already", "made": "to be made"}


def strip_down(job: Job) -> Stage:
    """Record, make safe, take the cable out, and measure."""
    work = StageWriter("strip-down")
    work.caution(words.HEAT)
    work.step(
        "Compare the car with the description: identity plate, builder, revision and date.",
        job.conversion.vehicle.identity,
        tools=("description", "camera"),
    )
    work.step(
        "Photograph the pedal, the cable, its brackets and the bulkhead from both sides, before anything is moved. "
        "Put a tape or a rule in each picture.",
        unit="",
        tools=("camera", "tape"),
    )
    work.step(
        "Switch off, take the key out and chock the wheels. Wait as long as the car's handbook asks. Disconnect the "
        "battery, negative side first, and keep its clamp from falling back.",
        unit="",
        tools=("chocks", "spanner"),
        cautions=(words.AIRBAG, words.LINES),
    )
    work.step(
        "Find out what stops the old pedal at rest and at full, and what pulls it back. With the cable gone, its "
        "spring and its stops are gone too. Compare with the description.",
        rows=_pedal_rows(job),
        tools=("torch",),
    )
    work.step(
        "Unhook the cable at both ends. Label it and keep it until sign-off, so that the car can be put back. Cover "
        "the hole it leaves in the bulkhead until it is sealed for good.",
        unit="",
        tools=("pliers", "label"),
    )
    work.step(
        "Turn the bare pedal by hand. It must move freely over the whole way, without side play that could make a "
        "link bind. Mend a worn bush now.",
        unit="",
    )
    doubtful = [line for line in evidence_table(job.plan) if line.how]
    work.step(
        "Measure each figure that is only assumed or not known. Write it into the description with its tolerance, "
        "plan again, and print again."
        if doubtful
        else "No figure of the description is assumed or unknown. Check three of your choice against the car.",
        unit=None if doubtful else "",
        rows=[Row(f"{line.name}. {line.how}", line.value, line.unit) for line in doubtful],
        tools=("tape", "protractor", "spring balance", "multimeter"),
    )
    return work.finished()


def _pedal_rows(job: Job) -> Iterator[Row]:
    yield row("How the pedal hangs", lambda: job.must_have_linkage().pedal.mount)
    yield row("Rest stop", lambda: _ORIGIN[job.must_have_linkage().pedal.rest_stop.origin])
    yield row("Full stop", lambda: _ORIGIN[job.must_have_linkage().pedal.full_stop.origin])
    if job.linkage is not None and job.linkage.pedal.mass is not None:
        yield row("Mass of the moving pedal", of(job.linkage.pedal.mass), unit_of("mass"))
    yield row("Friction at the pedal's axis, springs off", lambda: _friction(job), unit_of("moment"))


def _friction(job: Job) -> str:
    return job.described(job.must_have_linkage().pedal.friction, "linkage", "pedal", "friction")()
