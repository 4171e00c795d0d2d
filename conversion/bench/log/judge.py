"""Judges a whole log against the plan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from conversion.bench.log.curve import Curve, curve_of
from conversion.bench.log.events import Runs
from conversion.bench.log.judge_levels import are_swapped, judge_levels
from conversion.bench.log.judge_motion import judge_motion, judge_returns
from conversion.bench.log.record import LogRecord
from conversion.bench.log.reported import Reported, in_order
from conversion.bench.log.wanted import Wanted
from conversion.description import Missing
from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.quantities import show

NO_RELEASE_NOTE = "readings/no-release"


@dataclass(frozen=True)
class LogVerdict:
    """A log with all that it shows.

    Attributes:
        record: The log.
        wanted: What the plan expects of it.
        curve: The sweep over the pedal's way.
        findings: HOLD first.
        limit_s: What the accelerator standard allows for the return. [s]
        planned_s: The estimated return time; nan where it is not known. [s]
    """

    record: LogRecord
    wanted: Wanted
    curve: Curve
    findings: tuple[Reported, ...]
    limit_s: float
    planned_s: float

    @property
    def passes(self) -> bool:
        """Whether nothing above NOTE was found."""
        return all(found.severity == "NOTE" for found in self.findings)


def judge_log(plan: Plan, record: LogRecord, wanted: Wanted) -> LogVerdict:
    """Everything that a log shows."""
    curve = curve_of(record, wanted)
    limit_s, planned_s = _return_times(plan)
    found = [*_clock(record), *_gaps(record), *judge_levels(record, wanted)]
    if not are_swapped(found):
        found += [*_drop_outs(record, wanted), *judge_motion(record, wanted, curve)]
    found += judge_returns(record, limit_s, planned_s)
    if not record.releases:
        found.append(
            Reported(
                NO_RELEASE_NOTE,
                "NOTE",
                "return",
                record.place(record.rows - 1),
                "The log holds no release of the pedal, so its return time is not judged.",
                "Log once more: press fully, hold for a second, and take the foot off sideways at once.",
            )
        )
    return LogVerdict(record, wanted, curve, in_order(found), limit_s, planned_s)


def _return_times(plan: Plan) -> tuple[float, float]:
    try:
        time = plan.return_time
    except Missing:
        return 1.0, float("nan")
    return time.limit_s, time.all_in_s


def _clock(record: LogRecord) -> Iterator[Reported]:
    clock = record.clock
    if clock.back:
        yield Reported(
            "readings/time-runs-back", "FIX", "time", record.place(clock.first_back),
            f"The time runs back {_often(clock.back)}, first here; the rows were taken in the order written.",
            "Do not join or sort logs; log again in one piece.", "volts",
        )  # fmt: skip
    if clock.gaps:
        yield Reported(
            "readings/time-gap", "NOTE", "time", record.place(clock.gap_row),
            f"The log stops {_often(clock.gaps)}, for up to {show(clock.longest_gap_s, 'time')}; a row usually follows "
            f"after {1e3 * clock.step_s:.1f} ms. What happened meanwhile is not known.",
            "Log again with fewer columns or a slower rate, if the logger cannot follow.", "volts",
        )  # fmt: skip


def _often(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _gaps(record: LogRecord) -> Iterator[Reported]:
    for name, count in record.gaps.items():
        words = f"track {name}" if name in record.tracks else name
        yield Reported(
            "readings/no-figure", "FIX" if name in record.tracks or name == "time" else "NOTE", words,
            record.first_gap[name],
            f"{count} of {record.rows} rows have no figure for {words}, first here; they count as not read.",
            "If the logger leaves cells empty where nothing changed, have it write every row; if it lost the signal, "
            "find the loose contact.", "volts",
        )  # fmt: skip
    if record.cut_off is not None:
        yield Reported(
            "readings/cut-off", "NOTE", "the log", record.cut_off, "The last line is cut off, and was left out.",
            "Stop the logger before it is switched off.",
        )  # fmt: skip


def _drop_outs(record: LogRecord, wanted: Wanted) -> Iterator[Reported]:
    for name, track in record.tracks.items():
        outside, spikes = track.outside, track.spikes
        if outside.longest is not None:
            edges = wanted.tracks[name].valid_v
            valid = f"{show(edges[0], 'voltage')} to {show(edges[1], 'voltage')}" if edges else ""
            yield Reported(
                "readings/outside-valid", "HOLD", f"track {name}", record.place(outside.longest.first_row),
                f"Track {name} leaves what {wanted.unit} takes as valid ({valid}) {_often(outside.count)}, for up to "
                f"{show(outside.longest.lasts_s, 'time')} and by up to {_worst(outside)}; {_when(outside)}.",
                _LOOSE, "volts",
            )  # fmt: skip
        inside = _not_in(spikes, outside)
        if inside.count:
            yield Reported(
                "readings/drop-out", "HOLD", f"track {name}", record.place(inside.first_row),
                f"Track {name} jumps away and back within two rows {_often(inside.count)}, by up to "
                f"{_worst(spikes)}; {_when(spikes)}.",
                _LOOSE, "volts",
            )  # fmt: skip


_LOOSE = (
    "Wriggle each contact of the track while it is logged. Renew the terminal that answers; if none does, the wiper "
    "lifts off its track: replace the module."
)


@dataclass(frozen=True, slots=True)
class _Inside:
    count: int
    first_row: int


def _not_in(spikes: Runs, outside: Runs) -> _Inside:
    """The jumps that stay within what is valid: the others are told already."""
    taken = [(run.first_row, run.last_row) for run in outside.finished()]
    kept = [run for run in spikes.finished() if not any(a <= run.last_row and run.first_row <= b for a, b in taken)]
    # What is counted beyond those that are kept lies where nothing more can be told apart.
    more = max(0, spikes.count - len(spikes.finished())) if kept else 0
    return _Inside(len(kept) + more, kept[0].first_row if kept else -1)


def _worst(runs: Runs) -> str:
    return show(runs.worst.worst if runs.worst else float("nan"), "voltage")


def _when(runs: Runs) -> str:
    times = [f"{run.start_s:.2f} s" for run in runs.finished()[:4]]
    more = runs.count - len(times)
    return f"at {listed(times, 'and')}" + (f", and {more} times more" if more > 0 else "")
