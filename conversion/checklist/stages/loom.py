"""Crimp, cut, label, twist, splice, cover and end: the loom as it is computed, by what its wires are for."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.holding import holds_from
from conversion.checklist.job import Job, wire_words
from conversion.checklist.model import Row, Stage
from conversion.checklist.saying import CannotSay, figure
from conversion.checklist.stages.loom_as_wired import as_wired
from conversion.checklist.writer import StageWriter, row
from conversion.description.parts import Fuse
from conversion.loom.bundles import Bundle
from conversion.plan.loom.ends import MAKER, crimp_height_words, terminations
from conversion.plan.loom.tables.build_order import build_order, bundle_words, splice_sides
from conversion.plan.loom.tables.buying import SAMPLES
from conversion.plan.loom.tables.labels import CLEAR_TUBE, label_places, labels_of_paper
from conversion.plan.loom.tables.splices import SpliceRow, splice_rows
from conversion.quantities import show, unit_of
from conversion.wiring import Wire

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
        f"Crimp {SAMPLES} samples of each contact with each size of wire that it gets. Measure the height of the crimp "
        "over the conductor, then pull with a spring balance until it lets go.",
        rows=_crimp_rows(job),
        tools=("crimp tool", "caliper with points", "spring balance"),
        cautions=(words.CRIMP, words.STRIP),
    )
    if job.plan.wiring.wires:
        work.step(
            "Lay out the board: two nails at each station, a clamp at each housing. Measure each run before a wire is "
            "cut.",
            rows=_run_rows(job),
            tools=("board", "tape", "nails"),
        )
    if job.plan.wiring.wires and labels_of_paper(job.plan):
        work.step(f"Clear tube: {CLEAR_TUBE}.", unit="")
    for group, wires in job.wires_by_group.items():
        work.step(
            f"{_GROUPS[group]}: cut, and label both ends {label_places(wires)}.",
            rows=[_wire_row(job, wire) for wire in wires],
            tools=("tape", "cutter", "labels"),
        )
    if not job.plan.wiring.wires:
        work.step("No wire follows from the description. Describe the terminals first.")
    _left_over(job, work)
    twists = list(_twist_rows(job))
    if twists:
        work.step(
            "Twist these wires together, each line by itself, one turn in the length given. Keep the sensors' apart "
            "from the motor's wires, from ignition and from starter wires.",
            rows=twists,
            tools=("hand drill", "tape"),
        )
    if job.plan.wiring.wires:
        work.step(
            "Lay the wires on the board in the build order, those with the longest ways first, each from its station "
            "to its housing without pull. Leave the slack as a small bow in the tail.",
            unit="",
        )
    _splices(job, work)
    _cover(job, work)
    work.step(
        "End every wire by the termination list. Slide closed tubes and single-wire seals on before the contact is "
        "crimped; they do not go over one. Strip, crimp, pull, push in until it clicks. Close each place without a "
        "wire as the list says.",
        rows=_housing_rows(job),
        tools=("stripper", "crimp tool"),
    )
    work.step(
        "Fit each fuse holder empty. Check that the rating is the one planned.",
        rows=_fuse_rows(job),
        cautions=("No fuse goes in before the first-power stage.",),
    )
    as_wired(job, work)
    return work.finished()


def _wire_row(job: Job, wire: Wire) -> Row:
    def expected() -> str:
        if job.conversion.loom is None:
            raise CannotSay("loom is not known")
        length = job.plan.lengths.get(wire.tag)
        if length is not None:
            return figure(length.cut_mm, "cut")
        route = job.plan.routes[wire.tag]
        raise CannotSay(route.why_none or f"the length of a run along {', '.join(route.runs)} is not known")

    because = f" ({wire.reason})" if wire.reason else ""
    return row(wire_words(wire) + because, expected, unit_of("length"))


def _crimp_rows(job: Job) -> Iterator[Row]:
    """Crimp height and pull of each contact with each size that it gets, each pair once."""
    done = set()
    for end in terminations(job.plan):
        for wires in end.crimps:
            size_mm2 = end.crimped_mm2(wires[0])
            size = show(size_mm2, "area")
            contact = end.contact
            title = contact.title if contact else f"contact of {end.terminal.device}"
            if (title, size) in done:
                continue
            done.add((title, size))
            height = crimp_height_words(contact, size_mm2)
            if contact is None or contact.height_on(size_mm2) is None:
                height = f"height {height}"
            pull = f"at least {contact.pull.text}" if contact and contact.pull else f"pull {MAKER}"
            yield row(f"{title} on {size}: height, and least of {SAMPLES} pulls", f"{height}; {pull}")


def _run_rows(job: Job) -> Iterator[Row]:
    loom = job.conversion.loom
    for name, run in (loom.runs if loom else {}).items():
        one, other = run.between
        length = job.described(run.length, "loom", "runs", name, "length")
        yield row(f"Run {name}, {one} to {other}", length, unit_of("length"))


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


def _twist_rows(job: Job) -> Iterator[Row]:
    for twist in job.plan.twists:
        name = twist.name[0].upper() + twist.name[1:]
        yield row(f"{name}: {' + '.join(twist.tags)}", f"one turn in {show(twist.pitch_mm, 'cut')}", unit_of("length"))


def _splices(job: Job, work: StageWriter) -> None:
    rows = [
        row(f"{each.name} at {each.station or 'no station that will do'}: {splice_sides(each)}", _tube(each))
        for each in splice_rows(job.plan)
    ]
    if rows:
        work.step(
            "Make the splices. Slide the closed tube onto a wire before the barrel is crimped; it does not go over "
            "a finished splice. Strip, crimp, pull, then shrink. Keep them out of bends and clips.",
            rows=rows,
            tools=("crimp tool", "heat gun"),
            cautions=(words.HEAT_GUN,),
        )


def _tube(each: SpliceRow) -> str:
    strip = f"strip {show(each.strip_mm, 'cut')}"
    return strip if each.tube is None else f"{strip}; tube {each.tube.bore_mm:g} mm x {each.tube.length_mm:g} mm"


def _cover(job: Job, work: StageWriter) -> None:
    bundles, passages = job.plan.bundles, job.plan.passages
    if not bundles:
        work.step("No run is described that a wire takes; find out what covers and holds the loom yourself.", unit="")
        return
    if passages:
        work.step(
            "Slip the grommets on before the housings are. A grommet goes into each hole where the loom comes nearer "
            f"to the metal than {show(CLEAR_OF_EDGE_MM, 'length')} (FAA AC 43.13-1B, 11-115).",
            rows=[row(f"Hole at {name}", f"at least {show(each.least_hole_mm, 'length')}", unit_of("length"))
                  for name, each in passages.items()],
        )  # fmt: skip
    work.step(
        "Cover each run and mark its clips on the covering. Nowhere may two supports be farther apart than "
        f"{show(SUPPORT_EVERY_MM, 'cut')} (FAA AC 43.13-1B, 11-96).",
        rows=[row(f"Run {each.run}: {bundle_words(job.plan, each)}", _clips(each), unit_of("length"))
              for each in bundles.values()],
        tools=("tape", "marker"),
    )  # fmt: skip


def _clips(bundle: Bundle) -> str:
    return f"clips at most {show(min(bundle.clip_every_mm, SUPPORT_EVERY_MM), 'cut')} apart"


def _housing_rows(job: Job) -> Iterator[Row]:
    for step in build_order(job.plan):
        if step.phase == "end":
            yield row(step.what, f"{len(step.tags)} wire{'' if len(step.tags) == 1 else 's'}")


def _fuse_rows(job: Job) -> Iterator[Row]:
    for reference, fuse in job.description.devices_of(Fuse).items():
        rating = job.part_described(fuse.rating, reference, "rating")
        yield row(f"{reference}, {job.conversion.devices[reference].place}: rating", rating, unit_of("current"))
