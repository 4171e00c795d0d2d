"""What joins pedal and lever, kind by kind: what to make, how to adjust it, and how it is locked."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.checklist import words
from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.movement import adjuster_expected, rest_lever_expected
from conversion.checklist.saying import CannotSay, between, figure, with_limits
from conversion.checklist.writer import StageWriter, row
from conversion.description.linkage_forms import Cable
from conversion.description.rod_forms import RodMade
from conversion.plan.link.rod_loads import WHERE, described_rods, end_keys, rod_words
from conversion.plan.link.rod_threads import THREAD_DIAMETERS, ThreadHold, thread_holds
from conversion.plan.link.words import link_words
from conversion.quantities import show, unit_of

_LEVEL = ("protractor or digital level",)


def link_steps(job: Job, work: StageWriter) -> None:
    """The steps for the described kind; those of a rod where none is described."""
    kind = job.linkage.kind if job.linkage is not None else "rod"
    if kind == "direct":
        _direct(job, work)
        return
    work.step(_FIX[kind], unit="", cautions=(words.PLASTIC_LEVER,), tools=("spanners",))
    {"rod": _rod, "bell-crank": _bell_crank, "cable": _cable, "contact": _contact}[kind](job, work)
    form = job.linkage
    adjust = link_words(form).adjust if form is not None else "Adjust the rod"
    parted = (link_words(form).parted if form is not None else "rod off").replace("rod off", "the rod off")
    parted = parted.replace("cable off", "the cable off").replace("roller taken", "the roller taken")
    work.step(
        f"With the pedal on its rest stop: {adjust[0].lower()}{adjust[1:]}. Read the lever's angle from the module's "
        f"own rest stop, where the lever lies with {parted}.",
        lambda: rest_lever_expected(job),
        unit_of("angle"),
        tools=_LEVEL,
    )
    work.step(_LOCK[kind], unit="", tools=("spanners", "paint"))


_FIX = {
    "rod": "Fit the rod's pin to the lever as its maker does.",
    "bell-crank": "Fit the second rod's pin to the lever as its maker does.",
    "cable": "Fit the quadrant to the lever as its maker does. Its groove must lie in one plane with the outer's end.",
    "contact": "Fit roller or face to the lever as its maker does.",
}
_LOCK = {
    "rod": "Tighten all lock nuts. Mark nut and rod with one line of paint.",
    "bell-crank": "Tighten all lock nuts of both rods. Mark nuts and rods with one line of paint.",
    "cable": "Tighten the adjuster's lock nut and mark it with paint. Secure the nipple against falling out.",
    "contact": "Lock the packing or the screw, and mark it with paint. Oil the roller's bearing, and grease the face.",
}


def _rod(job: Job, work: StageWriter) -> None:
    work.step(
        "Make the rod and fit it. Measure it between the centres of its ball joints.",
        lambda: adjuster_expected(job),
        unit_of("length"),
        tools=("caliper", "spanners"),
        cautions=(words.THREADS, words.WASHER, words.BUCKLING),
    )
    _ends(job, work)


def _bell_crank(job: Job, work: StageWriter) -> None:
    work.step(
        "Make the bell-crank's bearing and fasten it. It must turn freely and stand without play.",
        unit="",
        tools=("welder or drill", "spanners"),
        cautions=(words.BRACKET,),
    )
    work.step(
        "Make both rods and fit them. Measure each between the centres of its ball joints.",
        rows=_two_rods(job),
        tools=("caliper", "spanners"),
        cautions=(words.THREADS, words.WASHER, words.BUCKLING),
    )
    _ends(job, work)


def _two_rods(job: Job) -> Iterator[Row]:
    def first() -> str:
        linkage = job.plan.travel.geometry.linkage
        return figure(float(linkage.first_rod_length_mm), "length")  # type: ignore[attr-defined]

    yield row("First rod, from the pedal to the bell-crank", first, unit_of("length"))
    yield row(
        "Second rod, from the bell-crank to the lever",
        lambda: adjuster_expected(job),
        unit_of("length"),
    )


def _ends(job: Job, work: StageWriter) -> None:
    """Thread and ball joints of each rod, as far as they are described."""
    rows = [
        line
        for name, rod in described_rods(job.plan.description).items()
        for line in (*_thread_rows(job, name, rod), *_lean_rows(job, name, rod))
    ]
    if rows:
        work.step("Prove thread and ball joints of the rod, at both ends.", rows=rows, tools=("caliper", "protractor"))


def _thread_rows(job: Job, name: str, rod: RodMade) -> Iterator[Row]:
    if rod.thread is None:
        return
    words_of = rod_words(job.plan.description, name)
    of = f"Thread of the {words_of}"

    def hold() -> ThreadHold:
        return next(each for each in thread_holds(job.plan.description, job.plan.travel) if each.rod == name)

    def adjusts() -> str:
        return between(hold().shortest_mm, hold().longest_mm, "length")

    engaged = job.described(rod.thread.engaged, "linkage", name, "thread", "engaged")
    yield row(f"{of} screwed in at each end at the described length", engaged, unit_of("length"))
    if rod.thread.diameter is not None:
        least = THREAD_DIAMETERS * rod.thread.diameter.nominal
        yield row(f"{of} that must stay in at each end", f"at least {show(least, 'length')}", unit_of("length"))
    if rod.thread.adjust is not None:
        yield row(f"The {words_of} can be adjusted", adjusts, unit_of("length"))


def _lean_rows(job: Job, name: str, rod: RodMade) -> Iterator[Row]:
    for key in end_keys(job.plan.description, name):
        if getattr(rod, key) is None:
            continue

        def leans(key: str = key) -> str:
            end = next(each for each in job.plan.rod_ends if (each.rod, each.key) == (name, key))
            if not np.any(np.isfinite(end.lean_rad)):
                raise CannotSay("the rod does not reach")
            limit = "" if end.limit is None else f"; its limit is {show(end.limit.low, 'angle')}"
            return f"up to {figure(float(np.nanmax(end.lean_rad)), 'angle')} from square to the bolt{limit}"

        yield row(f"Lean of the {rod_words(job.plan.description, name)} at the {WHERE[key]}", leans, unit_of("angle"))


def _cable(job: Job, work: StageWriter) -> None:
    form = job.linkage
    cable: Cable | None = getattr(form, "cable", None)
    work.step(
        "Fasten both ends of the outer so that neither can give. Lead it in wide bends, clear of heat and of the "
        "steering, and hang the inner on the pedal and in the quadrant.",
        rows=_cable_rows(job),
        tools=("tape", "spanners"),
        cautions=(words.CABLE,),
    )
    if cable is not None and cable.over_travel is not None:
        path = ("linkage", "cable", "over_travel")
        work.step(
            "Hold the lever on its stop and pull the cable on with a spring balance: read where the over-travel "
            "spring begins to give way.",
            job.described(cable.over_travel.preload, *path, "preload"),
            unit_of("force"),
            tools=("spring balance",),
        )


def _cable_rows(job: Job) -> Iterator[Row]:
    def said(name: str, index: int, dimension: str) -> str:
        figures = job.plan.travel.solution.quantities()
        if name not in figures:
            raise CannotSay("the linkage is no cable")
        return figure(float(figures[name][index]), dimension)

    yield row("Inner drawn from rest to full", lambda: said("drawn_from_pedal_mm", -1, "length"), unit_of("length"))
    yield row("Slack at rest, pedal and lever on their stops", lambda: adjuster_expected(job), unit_of("length"))
    yield row("Wrapped on the quadrant at rest", lambda: said("wrap_rad", 0, "angle"), unit_of("angle"))
    yield row(
        "Wrapped on the quadrant at full: the inner still lies in the groove",
        lambda: said("wrap_rad", -1, "angle"),
        unit_of("angle"),
    )
    for at, index in (("at rest", 0), ("at full", -1)):
        yield row(
            f"Straight piece of the inner at the pedal, {at}: in line with the end of the outer",
            lambda index=index: said("straight_at_pedal_mm", index, "length"),  # type: ignore[misc]
            unit_of("length"),
        )


def _contact(job: Job, work: StageWriter) -> None:
    def runs() -> str:
        along = job.plan.travel.solution.quantities()["along_face_mm"]
        if not np.any(np.isfinite(along)):
            raise CannotSay("roller and face cannot touch")
        return between(float(np.nanmin(along)), float(np.nanmax(along)), "length")

    work.step(
        "Ink the face and move the pedal from stop to stop. The roller's track must end well before both edges of the "
        "face, and lie in the middle of its width.",
        lambda: f"{runs()} from the middle of the face",
        unit_of("length"),
        tools=("ink", "caliper"),
        cautions=(words.CONTACT,),
    )


def _direct(job: Job, work: StageWriter) -> None:
    def rest() -> str:
        return with_limits(*job.plan.travel.lever_at_rest_rad, "angle")

    work.step(
        "Fit the module with its own pedal. Set the added rest stop, if there is one, and read how far it holds the "
        "pedal off the module's own stop.",
        rest,
        unit_of("angle"),
        tools=_LEVEL,
        cautions=(words.PLASTIC_LEVER,),
    )
    work.step("Lock what was set, and mark it with paint.", unit="", tools=("spanners", "paint"))
