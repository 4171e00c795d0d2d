"""Parts and loom into the car: seals, supports, stops again, and the loom against the body."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist import words
from conversion.checklist.holding import holds
from conversion.checklist.job import Job
from conversion.checklist.loom_readings import body_rows
from conversion.checklist.model import Row, Stage
from conversion.checklist.movement import full_stop_expected, gap_rows, rest_lever_expected, return_rows
from conversion.checklist.room import pad_rows
from conversion.checklist.writer import StageWriter, row
from conversion.plan.link.words import link_words
from conversion.quantities import show, unit_of

CLEAR_OF_EXHAUST_MM = 50.0
"""Least distance of a throttle cable or rod from the exhaust: Formula SAE Rules 2026 v1.0, IC.3.3.1."""


def fitting(job: Job) -> Stage:
    """Fit, seal, support, and prove the movement once more where it will be used."""
    work = StageWriter("fitting")
    work.caution(words.AIRBAG)
    work.caution(words.LINES)
    blocking = holds(job.findings)
    if blocking:
        work.hold(
            "before-fitting",
            "Before anything is fitted",
            "Each of these says: do not fit, power or start. Clear them, plan again and print again.",
            findings=blocking,
        )
    work.step(
        "Battery still disconnected, all fuses still out. Fit each device where the description puts it, its "
        "housing unplugged.",
        rows=_device_rows(job),
        tools=("spanners",),
    )
    work.step(
        "Lead the loom along its runs and fasten it. Leave slack where a device moves. Across a hinge let it twist, "
        "not bend.",
        rows=_run_rows(job),
        tools=("clips", "grommets"),
        cautions=(words.EXHAUST,),
    )
    work.step(
        "Measure from loom, link and module to exhaust and manifold, and think of the engine rocking on its mounts. "
        "(Formula SAE Rules 2026 v1.0, IC.3.3.1, asks this distance of throttle cables and rods.)",
        f"at least {show(CLEAR_OF_EXHAUST_MM, 'length')}, or a heat shield",
        unit_of("length"),
        tools=("tape",),
    )
    work.step(
        "Seal the recess, the loom's grommet and the old cable's hole. Shine a torch from the other side: no light may "
        "come through.",
        unit="",
        tools=("sealant", "torch"),
        cautions=(words.SEAL,),
    )
    kind = job.linkage.kind if job.linkage is not None else "rod"
    work.step(_ONCE_MORE[kind], unit="", cautions=_LINK_CAUTIONS.get(kind, ()))
    _move(job, work)
    work.step(
        "Battery still disconnected, fuses out, all housings unplugged. Read every wire to the body.",
        rows=body_rows(job),
        tools=("multimeter",),
    )
    return work.finished()


def _move(job: Job, work: StageWriter) -> None:
    work.step(
        "Measure the pad's travel again, in the car.",
        lambda: full_stop_expected(job),
        unit_of("length"),
        tools=("tape",),
        cautions=(words.FULL_FOOT,),
    )
    work.step(
        "Read the lever's angle again with the pedal at rest.",
        lambda: rest_lever_expected(job),
        unit_of("angle"),
        tools=("protractor or digital level",),
    )
    work.step("At full, look again which stop ends the travel, and what is left.", rows=gap_rows(job))
    work.step(
        "With mat and carpet in, and with the widest shoe that will drive: the pedal moves from stop to stop without "
        "touching anything, the shoe does not catch a neighbour, and nothing can roll under the pedal.",
        rows=pad_rows(job),
        tools=("tape", "mat", "shoes"),
    )
    work.step(
        f"Prove the return again, in the car: each spring out in turn{_apart(job)}. Put everything back and look that "
        "it is locked.",
        rows=return_rows(job),
    )


_ONCE_MORE = {
    "rod": "Look at the rod once more: lock nuts tight and painted, captive washers on, nothing bent.",
    "bell-crank": "Look at both rods once more: lock nuts tight and painted, captive washers on, nothing bent.",
    "cable": "Look at the cable once more: ends of the outer fast, adjuster locked and painted, nipple secured, no "
    "strand broken.",
    "contact": "Look at the contact once more: roller turning, face clean and greased, setting locked and painted.",
    "direct": "Look at the module's pedal once more: fast, and its stops locked and painted.",
}
_LINK_CAUTIONS = {
    "rod": (words.THREADS, words.WASHER),
    "bell-crank": (words.THREADS, words.WASHER),
    "cable": (words.CABLE,),
    "contact": (words.CONTACT,),
}


def _apart(job: Job) -> str:
    parted = link_words(job.linkage).parted if job.linkage is not None else "rod off"
    return f", then the {parted}" if parted else ""


def _device_rows(job: Job) -> Iterator[Row]:
    for reference, device in job.conversion.devices.items():
        yield row(f"{reference}, {job.description.parts[reference].title}", device.place)


def _run_rows(job: Job) -> Iterator[Row]:
    loom = job.conversion.loom
    if loom is None:
        yield row("Runs of the loom", "cannot be said: loom is not known")
        return
    for name, run in loom.runs.items():
        one, other = (loom.stations[station].place if station in loom.stations else station for station in run.between)
        zone = "" if run.zone == "cabin" else f"; {run.zone}: {_ZONES[run.zone]}"
        yield row(f"Run {name}: {one} to {other}{zone}")


_ZONES = {
    "engine bay": "split sleeve or tube, clear of the exhaust",
    "hot": "heat sleeve and a shield",
    "wet": "sealed housings, lowest point drained",
    "moving": "slack, and no clip at the moving end",
}
