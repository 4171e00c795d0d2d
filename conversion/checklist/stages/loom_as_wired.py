"""The finished loom against the plan: what the list of what was really wired says, or how to write one."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.bench.wired.compare import Difference
from conversion.bench.wired.words import wired_in_words
from conversion.checklist.holding import holds_from
from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.writer import StageWriter, row

_MOST_WIRES = 6
"""More wires than this are counted, not named."""


def as_wired(job: Job, work: StageWriter) -> None:
    """The last steps of the loom: list it, compare it, and stop where a difference is grave."""
    if job.description.as_wired is None:
        work.step(
            "Go through the finished loom from terminal to terminal, without looking at this plan, and write each wire "
            "under 'as_wired' in the description. The check then names what is missing, extra, crossed or joined.",
            unit="",
        )
        return
    rows = list(_difference_rows(job))
    if not rows:
        work.step(
            "The list of what was wired joins what the plan joins. Nothing was changed in the loom since.", unit=""
        )
        return
    work.step(
        "The list of what was wired differs from the plan. Put each right in the loom, or in the list where that is "
        "wrong, and read every wire that was touched from end to end.",
        rows=rows,
        tools=("multimeter",),
    )
    blocking = holds_from(job.findings, "bench-test")
    if blocking:
        work.hold(
            "before-plugging",
            "Before anything is plugged into the loom",
            "Clear these first, plan again and print again.",
            findings=blocking,
            second_person=False,
        )


def _difference_rows(job: Job) -> Iterator[Row]:
    for said in wired_in_words(job.plan):
        yield row(said.message, _expected(said.difference))


def _expected(difference: Difference) -> str:
    if difference.kind == "again":
        return "one way"
    if difference.kind == "extra":
        return "no wire"
    if difference.kind == "joined":
        return "apart"
    wires = [f"{wire.tag}: {wire.start.name} to {wire.end.name}" for wire in difference.wires]
    more = [f"{len(wires) - _MOST_WIRES} more"] if len(wires) > _MOST_WIRES else []
    return "; ".join([*wires[:_MOST_WIRES], *more])
