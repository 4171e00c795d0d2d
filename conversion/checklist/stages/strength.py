"""The hold point before anybody presses hard: what bears the foot, and what must not."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import isfinite

from conversion.checklist import words
from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.saying import CannotSay, figure
from conversion.checklist.writer import StageWriter, row
from conversion.description.linkage_forms import ModulePlace
from conversion.plan.link.rod_loads import WHERE, bolt_holds_n, described_rods, end_keys, foot_n, rod_words
from conversion.quantities import show, unit_of


def strength_hold(job: Job, work: StageWriter) -> None:
    """What carries a full foot is looked at before the springs go in."""
    work.hold(
        "before-pressing-hard",
        "Before the pedal is pressed hard",
        "Stop here. A second person looks at each line: what carries a full foot, and what must not be asked to.",
        rows=list(_rows(job)),
        cautions=(words.FULL_FOOT,),
    )


def _rows(job: Job) -> Iterator[Row]:
    yield row(
        "Full stop: stand on the pad; stop, bracket and pedal arm do not move or bend",
        lambda: f"holds {show(foot_n(job.plan.description), 'force')} at the pad",
        unit_of("force"),
    )
    for name, rod in described_rods(job.plan.description).items():
        called = rod_words(job.plan.description, name).capitalize()
        yield row(f"{called}, a full foot on a lever that does not give", _jam(job, name), unit_of("force"))
        yield row(f"{called}: lock nuts tight at both ends, marked with paint")
        for key in end_keys(job.plan.description, name):
            end = getattr(rod, key)
            if end is None or end.held is None:
                yield row(f"Bolt at the {WHERE[key]}: held on both sides, or short, thick and with a captive washer")
            elif end.held == "one side":
                bends = bolt_holds_n(end)
                yield row(
                    f"Bolt at the {WHERE[key]}: held on one side, with a captive washer larger than the housing",
                    f"bends from {show(bends, 'force')} on" if isfinite(bends) else None,
                )
            else:
                yield row(f"Bolt at the {WHERE[key]}: held on both sides")
    module = job.linkage.module if job.linkage is not None else None
    if module is None or isinstance(module, ModulePlace):
        yield row("The lever was not drilled, heated, bent or glued", _material(module))
        yield row("Bracket: what it gives at the lever's pin, the lever pushed hard on its stop", _gives(job), "mm")
    yield row("Every spring hangs on anchors of its own and cannot unhook")


def _material(module: ModulePlace | None) -> str | None:
    if module is None or module.lever_material is None:
        return "taken for plastic unless it is known to be metal"
    return f"{module.lever_material}; the link is fixed {module.lever_fixing or 'in a way that is not described'}"


def _jam(job: Job, name: str) -> Callable[[], str]:
    def said() -> str:
        jam = next((each for each in job.plan.jam_loads if each.rod == name), None)
        if jam is None:
            raise CannotSay("the rod takes no load from the pad")
        how = "pushed" if jam.pushed else "pulled"
        bears = f"; buckles at {show(jam.buckling_n, 'force')}" if jam.pushed and isfinite(jam.buckling_n) else ""
        return f"{how} with {figure(jam.rod_n, 'force')}{bears}"

    return said


def _gives(job: Job) -> Callable[[], str]:
    def said() -> str:
        give = job.plan.bracket_give
        if give is None:
            raise CannotSay("the lever takes no load from the link")
        swing = job.plan.travel.geometry.swing_rad[0]
        share = show(give.for_each_mm_rad / swing, "ratio")
        known = f"about {figure(give.gives_mm, 'length')} in use; " if isfinite(give.gives_mm) else ""
        return f"{known}each millimetre takes {figure(give.for_each_mm_rad, 'angle')}, {share} of the swing"

    return said
