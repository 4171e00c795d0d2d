"""What was measured on the finished conversion, as far as a description names records of it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from conversion.bench.log.judge import LogVerdict, judge_log
from conversion.bench.log.record import read_log
from conversion.bench.log.wanted import wanted_of
from conversion.bench.log.words import column_names
from conversion.checklist import BenchRecord, Stage, judge_bench
from conversion.description import Missing
from conversion.description.complaints import Complaint, DescriptionError, listed, nearest, quoted
from conversion.description.record_forms import Records
from conversion.plan import Plan


@dataclass(frozen=True)
class Recorded:
    """The records of a plan, judged.

    Attributes:
        sweep: The logged sweep; None where none is named; why it could not be judged.
        bench: The values of the bench test; None where none are named.
    """

    sweep: LogVerdict | Missing | None = None
    bench: BenchRecord | None = None

    @property
    def failed(self) -> tuple[str, ...]:
        """The records that fail, in words."""
        sweep = isinstance(self.sweep, LogVerdict) and not self.sweep.passes
        bench = self.bench is not None and not self.bench.passes
        return tuple(words for fails, words in ((sweep, "the logged sweep"), (bench, "the bench test")) if fails)


def gather_records(plan: Plan, stages: Sequence[Stage], step: Callable[[str], None]) -> Recorded | None:
    """The records that a description names; None where it names none.

    Args:
        plan: What was computed.
        stages: The checklist.
        step: Told what is done next, for those who wait.

    Raises:
        DescriptionError: A record cannot be used; every reason in it at once.
    """
    records = plan.description.records
    if records is None:
        return None
    complaints: list[Complaint] = []
    sweep, bench = None, None
    try:
        sweep = _sweep(plan, records, step)
    except DescriptionError as error:
        complaints += error.complaints
    try:
        bench = _bench(stages, records)
    except DescriptionError as error:
        complaints += error.complaints
    if complaints:
        raise DescriptionError(complaints)
    return Recorded(sweep, bench)


def _sweep(plan: Plan, records: Records, step: Callable[[str], None]) -> LogVerdict | Missing | None:
    if records.sweep is None:
        return None
    try:
        wanted = wanted_of(plan)
    except Missing as missing:
        return missing
    known = column_names(list(wanted.tracks))
    strange = [name for name in records.columns if name not in known]
    if strange:
        raise DescriptionError([_strange(plan, name, known) for name in strange])
    try:
        record = read_log(records.sweep, records.sweep_name, wanted, records.columns, step)
    except OSError as error:
        text = f"{quoted(records.sweep_name)} cannot be read ({error.strerror}); check its name and permissions."
        raise DescriptionError([Complaint(records.place, "records.sweep", text)]) from None
    return judge_log(plan, record, wanted)


def _bench(stages: Sequence[Stage], records: Records) -> BenchRecord | None:
    if records.bench is None:
        return None
    return judge_bench(stages, records.bench, records.bench_name, strict=False)


def _strange(plan: Plan, name: str, known: Sequence[str]) -> Complaint:
    near = nearest(name, known)
    hint = f"did you mean '{near}'?" if near else f"there are {listed(known, 'and')}."
    place = plan.description.place("records", "sweep", "columns", name)
    return Complaint(place, "records.sweep.columns", f"{quoted(name)} is no column of a log; {hint}")
