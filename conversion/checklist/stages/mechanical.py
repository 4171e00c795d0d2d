"""Bracket, stops, rod and springs: everything that can be made and proven without a wire."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.holding import holds_from
from conversion.checklist.job import Job
from conversion.checklist.model import Row, Stage
from conversion.checklist.movement import (
    full_stop_expected,
    gap_rows,
    has_transmission,
    lever_rows,
    pad_force_rows,
    return_rows,
    return_time_row,
    transmission_expected,
)  # fmt: skip
from conversion.checklist.points import linkage_points, point_rows, tape_rows
from conversion.checklist.room import bracket_rows, clearance_rows, drilled_rows, recess_steps
from conversion.checklist.stages.link import link_steps
from conversion.checklist.stages.springs import spring_rows
from conversion.checklist.stages.strength import strength_hold
from conversion.checklist.writer import StageWriter, row
from conversion.description.linkage_forms import ModulePlace
from conversion.quantities import show, unit_of


def mechanical(job: Job) -> Stage:
    """Place the module, make what carries and stops it, link it, and prove that it moves and returns."""
    work = StageWriter("mechanical")
    blocking = holds_from(job.findings, "mechanical")
    if blocking:
        work.hold(
            "before-metal",
            "Before metal is cut",
            "Clear these first. A bracket made to a plan that does not work is scrap.",
            findings=blocking,
            second_person=False,
        )
    _place(job, work)
    _weld(job, work)
    _stops(job, work)
    link_steps(job, work)
    _prove(job, work)
    return work.finished()


def _place(job: Job, work: StageWriter) -> None:
    work.step(
        f"Mark where {job.module_name} sits. Forward, left and up count from the origin of the description.",
        rows=_place_rows(job),
        tools=("tape", "square", "plumb line"),
    )
    taped = list(tape_rows(job))
    if taped:
        work.step(
            f"Find the marks {', '.join(job.conversion.marks)} on the car. Pull the tape from each and read; a place "
            "that fits its coordinates fits these distances too.",
            rows=taped,
            tools=("tape",),
        )
    clear = list(clearance_rows(job))
    work.step(
        ("Cut the mock-up of the pack's templates from card. " if clear else "Make a dummy of card. ")
        + "Move pedal and lever over their whole way by hand. Look for the column, the bulkhead, the mat, the heater, "
        "the other pedals and the driver's shoe. " + (_HELD_AGAINST if clear else "The plan did not check clearances."),
        unit=None if clear else "",
        rows=clear,
        tools=("card", "clamps"),
    )
    work.step(
        "Look at both sides of the bulkhead. Drill or cut only where nothing lies behind.",
        unit="",
        tools=("mirror", "torch", "depth stop"),
        cautions=(words.LINES, words.AIRBAG, words.SEAL),
    )
    recess_steps(job, work)


_HELD_AGAINST = "At the pad travel given, the card should come as near as expected and no nearer than is wanted."


def _weld(job: Job, work: StageWriter) -> None:
    work.hold(
        "before-welding",
        "Before welding",
        "Stop here if anything is to be welded on the car. A second person looks at each line.",
        rows=[
            row("Battery disconnected, both clamps, and covered"),
            row("Every control unit unplugged, the car's own and the new one"),
            row("Fuel and brake lines found on both sides, moved or shielded"),
            row("Airbags and column known and kept away from heat and current"),
            row("Extinguisher at hand, carpet and sealant taken away"),
        ],
        cautions=(words.WELDING, words.WELDING_FIRE),
    )
    work.step(
        "Make the bracket and fasten the module. Push hard at the lever's pin with the lever on its stop, and watch: "
        "nothing may give that can be seen.",
        unit="",
        rows=(*bracket_rows(job), *drilled_rows(job)),
        tools=("welder or drill", "spanners"),
        cautions=(words.BRACKET,),
    )


def _stops(job: Job, work: StageWriter) -> None:
    work.step(
        "Make or check the rest stop and the full stop on the pedal. Press each with the load that it is made to "
        "carry, through scales. It must not move or bend.",
        rows=_stop_rows(job),
        tools=("scales", "spanners"),
        cautions=(words.FULL_FOOT,),
    )
    work.step(
        "Set the full stop, lock it, and mark it with paint. Measure the pad's travel along its arc, from the rest "
        "stop to the full stop.",
        lambda: full_stop_expected(job),
        unit_of("length"),
        tools=("tape", "paint"),
    )


_LINK = {"rod": "rod", "bell-crank": "rod", "cable": "cable", "contact": "the line of contact", "direct": ""}
_FREE = {
    "rod": "Move the pedal slowly to full and back. At every place, twist the rod by hand: it must stay loose on both "
    "balls, and rub on nothing.",
    "bell-crank": "Move the pedal slowly to full and back. At every place, twist both rods by hand: they must stay "
    "loose on their balls, and rub on nothing.",
    "cable": "Move the pedal slowly to full and back. At every place the cable must lie in its groove, leave both "
    "ends of its outer straight, and rub on nothing.",
    "contact": "Move the pedal slowly to full and back. The roller must turn, touch over its whole width, and rub "
    "on nothing.",
    "direct": "Move the pedal slowly to full and back. It must rub on nothing.",
}
_ON = {
    "rod": "Press to the full stop. Then part the rod from the pedal and turn the lever on, to the module's own stop.",
    "bell-crank": "Press to the full stop. Then part the second rod from the lever and turn the lever on, to the "
    "module's own stop.",
    "cable": "Press to the full stop. Then turn the lever on by hand, to the module's own stop; the cable goes slack.",
    "contact": "Press to the full stop. Then turn the lever on by hand, to the module's own stop; the roller lifts.",
    "direct": "Press to the full stop. Then take the stop away and press on, gently, to the module's own.",
}
_PART = {
    "rod": "; then, all springs in, take the rod off",
    "bell-crank": "; then, all springs in, take one rod off after the other",
    "cable": "; then, all springs in, unhook the cable",
    "contact": "; then, all springs in, hold pedal and lever apart, so that the roller is clear",
    "direct": "",
}


def _prove(job: Job, work: StageWriter) -> None:
    kind = job.linkage.kind if job.linkage is not None else "rod"
    work.step(_FREE[kind], unit="")
    work.step(
        "Press the pedal in steps and read the lever's angle at each.",
        rows=lever_rows(job),
        tools=("tape", "protractor or digital level"),
    )
    if has_transmission(job):
        work.step(
            f"Read the angle between {_LINK[kind]} and lever arm, and between {_LINK[kind]} and pedal arm, where each "
            "is farthest from square."
            if kind != "cable"
            else "Read the angle between cable and pedal arm where it is farthest from square.",
            lambda: transmission_expected(job),
            unit_of("angle"),
            tools=("protractor",),
        )
    work.step(
        _ON[kind],
        rows=gap_rows(job),
        tools=("protractor or digital level",),
    )
    work.step(
        "Fit the springs, each to anchors of its own.",
        rows=spring_rows(job),
        tools=("caliper", "spring balance"),
    )
    strength_hold(job, work)
    work.step(
        "Read the force at the centre of the pad, square to its arm, slowly pressing and slowly letting go.",
        rows=pad_force_rows(job),
        tools=("spring balance",),
    )
    work.step(
        f"Prove the return. Take one spring out at a time{_PART[kind]}. Each time let go slowly from full, from half "
        "and from just off the rest stop. Pedal and lever must reach their rest stops. Then, all in, let go at once.",
        rows=[*return_rows(job), return_time_row(job)],
        cautions=("Springs under load fly. Wear eye protection, and keep fingers out of the pedal box.",),
    )


def _place_rows(job: Job) -> Iterator[Row]:
    if job.linkage is None:
        yield row("Pivots and pins", lambda: str(job.must_have_linkage()))
        return
    for what, point, path in linkage_points(job.linkage):
        yield from point_rows(job, what, point, *path)
    module = job.linkage.module
    if isinstance(module, ModulePlace):
        yield row("Lever's axis (forward, left, up)", ", ".join(show(part, "plain") for part in module.axis))
        yield row("The lever opens, seen along that axis", module.opens)


def _stop_rows(job: Job) -> Iterator[Row]:
    if job.linkage is None:
        yield row("Rest stop and full stop", lambda: str(job.must_have_linkage()))
        return
    pedal = job.linkage.pedal
    for name, key, stop in (("Rest stop", "rest_stop", pedal.rest_stop), ("Full stop", "full_stop", pedal.full_stop)):
        load = job.described(stop.load, "linkage", "pedal", key, "load")
        yield row(f"{name}: holds at the pad", load, unit_of("force"))
        if stop.lockable:
            yield row(f"{name}: locked once it is set")
