"""Cut, crimp, twist and label: every wire of the plan, by what it is for."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.holding import holds_from
from conversion.checklist.job import SENSORS, Job, wire_words
from conversion.checklist.model import Row, Stage
from conversion.checklist.saying import CannotSay, figure
from conversion.checklist.stages.loom_as_wired import as_wired
from conversion.checklist.writer import StageWriter, row
from conversion.description.parts import Fuse
from conversion.quantities import show, unit_of
from conversion.wiring import SplicePoint, Wire

SUPPORT_EVERY_MM = 610.0
"""Greatest distance between supports: 24 in, FAA AC 43.13-1B, paragraph 11-96."""
CLEAR_OF_EDGE_MM = 9.5
"""Clearance under which a hole needs a grommet: 3/8 in, FAA AC 43.13-1B, paragraph 11-115."""

_GROUPS = {
    "sensor supply": "Supplies of the sensors",
    "sensor ground": "Grounds of the sensors. They go to the control unit, never to the body",
    "sensor signal": "Signals of the sensors",
    "screen": "Screens, drained at one end only",
    "contact": "Contacts of the pedal module",
    "motor": "The throttle's motor",
    "switch": "Switches",
    "lamp": "The warning lamp",
    "relay": "The relay's coil",
    "feed": "Feeds",
    "ground": "Grounds to the body",
    "other": "Other wires",
}


def loom(job: Job) -> Stage:
    """Make the loom, group by group."""
    work = StageWriter("loom")
    work.caution(words.SOLDER)
    blocking = holds_from(job.findings, "loom")
    if blocking:
        work.hold(
            "before-loom",
            "Before the loom is cut",
            "Clear these first: they change which wires there are.",
            findings=blocking,
            second_person=False,
        )
    work.step(
        "Crimp three samples of each wire size with the terminals it gets. Pull each with a spring balance until it "
        "lets go. It must hold at least what the terminal's maker states for that size.",
        rows=_size_rows(job),
        tools=("crimp tool", "spring balance"),
        cautions=(words.CRIMP,),
    )
    for group, wires in job.wires_by_group.items():
        work.step(
            f"{_GROUPS[group]}: cut, and label both ends with the tag. The length is that of the runs alone: add for "
            "branching out, for terminals and for two re-terminations.",
            rows=[_wire_row(job, wire) for wire in wires],
            tools=("tape", "cutter", "labels"),
        )
    if not job.plan.wiring.wires:
        work.step("No wire follows from the description. Describe the terminals first.")
    _left_over(job, work)
    work.step(
        "Twist these wires together, each line by itself. Keep them apart from the motor's wires, from ignition and "
        "from starter wires.",
        rows=_track_rows(job),
    )
    _splices(job, work)
    work.step(
        "Fit each fuse holder empty. Check that the rating is the one planned.",
        rows=_fuse_rows(job),
        cautions=("No fuse goes in before the first-power stage.",),
    )
    work.step(
        "Plan the supports: at most this far apart. Put a grommet in each hole where the loom comes nearer to the "
        f"metal than {show(CLEAR_OF_EDGE_MM, 'length')}. (FAA AC 43.13-1B, 11-96 and 11-115.)",
        f"at most {show(SUPPORT_EVERY_MM, 'length')}",
        unit_of("length"),
        tools=("tape",),
    )
    as_wired(job, work)
    return work.finished()


def _wire_row(job: Job, wire: Wire) -> Row:
    def expected() -> str:
        if job.conversion.loom is None:
            raise CannotSay("loom is not known")
        route = job.plan.routes[wire.tag]
        if route.why_none is not None:
            raise CannotSay(route.why_none)
        if route.length_mm is None:
            raise CannotSay(f"the length of a run along {', '.join(route.runs)} is not known")
        return f"{figure(route.length_mm, 'length')} of runs"

    because = f" ({wire.reason})" if wire.reason else ""
    return row(wire_words(wire) + because, expected, unit_of("length"))


def _size_rows(job: Job) -> Iterator[Row]:
    for size in sorted({wire.size_mm2 for wire in job.plan.wiring.wires}):
        yield row(f"Least of three pulls, {show(size, 'area')}", "as the terminal's maker states", unit_of("force"))


def _left_over(job: Job, work: StageWriter) -> None:
    wiring = job.plan.wiring
    if wiring.left_out:
        work.step(
            "These wires are left out, as described. Agree with each reason, or mend the description.",
            rows=[row(f"{role}: {reason}") for role, reason in wiring.left_out],
        )
    if wiring.loose:
        work.step(
            "These terminals have no wire although they should. Mend the description before you go on.",
            rows=[row(f"{loose.terminal.name}, {loose.role}: {loose.why}") for loose in wiring.loose],
        )


def _track_rows(job: Job) -> Iterator[Row]:
    """The wires of each track; tracks that share a supply or a ground are twisted together."""
    for sensor in SENSORS:
        together: list[set[str]] = [{name} for name in job.tracks(sensor)]
        for group in (*job.sharing(sensor, "supply"), *job.sharing(sensor, "ground")):
            touched = [each for each in together if each & set(group)]
            together = [each for each in together if each not in touched] + [set().union(*touched)]
        for names in sorted(sorted(each) for each in together):
            roles = [f"{sensor}.{name}.{end}" for name in names for end in ("supply", "ground", "signal")]
            tags = dict.fromkeys(wire.tag for role in roles for wire in job.plan.wiring.of_role(role))
            several = "s" if len(names) > 1 else ""
            words = f"{sensor.capitalize()} track{several} {' and '.join(names)}"
            yield row(words, " + ".join(tags) or "no wire follows for it")


def _splices(job: Job, work: StageWriter) -> None:
    meeting: dict[SplicePoint, list[str]] = {}
    for wire in job.plan.wiring.wires:
        for end in (wire.start, wire.end):
            if isinstance(end, SplicePoint):
                meeting.setdefault(end, []).append(wire.tag)
    if meeting:
        work.step(
            "Make the splices. Crimp, then seal with lined heat-shrink. Keep them out of bends and clips.",
            rows=[row(f"{point.name} at {point.station}", " + ".join(tags)) for point, tags in meeting.items()],
            tools=("crimp tool", "heat gun"),
        )


def _fuse_rows(job: Job) -> Iterator[Row]:
    for reference, fuse in job.description.devices_of(Fuse).items():
        rating = job.part_described(fuse.rating, reference, "rating")
        yield row(f"{reference}, {job.conversion.devices[reference].place}: rating", rating, unit_of("current"))
