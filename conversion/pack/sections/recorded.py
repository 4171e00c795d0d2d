"""Commissioning: what was measured on the finished conversion, beside what the plan expects."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from conversion.bench.log.judge import LogVerdict
from conversion.bench.log.judge_motion import HYSTERESIS_PERCENT, NOISE_PERCENT, PEAK_TO_PEAK, ways_apart
from conversion.bench.log.releases import BACK_PERCENT
from conversion.bench.log.reported import Reported
from conversion.checklist import BenchRecord, BenchValue
from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.pack.blocks import (
    Block,
    Cell,
    Column,
    FindingLine,
    FindingList,
    Group,
    Heading,
    Paragraph,
    Points,
    Table,
)
from conversion.pack.document import DataTable, Section
from conversion.pack.records import Recorded
from conversion.pack.sections.figures import gap_of
from conversion.pack.sections.pictures import pictures
from conversion.quantities import show

_VERDICTS = {"pass": "pass", "fail": "FAIL", "not judged": "not judged"}


def commissioning_section(recorded: Recorded, drawn: Drawings) -> Section:
    """The section."""
    lead = (
        "What was measured on the finished conversion, held against this plan. It holds for the day on which it was "
        "measured: wear, water and heat come later."
    )
    blocks: list[Block] = []
    if isinstance(recorded.sweep, Missing):
        blocks.append(gap_of("The logged sweep", recorded.sweep))
    elif recorded.sweep is not None:
        blocks += _sweep(recorded.sweep, drawn)
    if recorded.bench is not None:
        blocks += _bench(recorded.bench)
    return Section("commissioning", "Commissioning records", lead, tuple(blocks))


def bench_data(record: BenchRecord) -> DataTable:
    """Every recorded reading of the bench test with its verdict."""
    head = ("reading", "step", "what", "expected", "read", "verdict")
    rows = tuple((" ".join(v.key), v.step, v.what, v.expected, v.said, v.verdict) for v in record.values)
    return DataTable("bench-test", head, rows)


def _sweep(verdict: LogVerdict, drawn: Drawings) -> Iterator[Block]:
    record = verdict.record
    yield Heading(f"Logged sweep: {'pass' if verdict.passes else 'FAIL'}")
    yield Paragraph(
        f"{record.rows} rows of {record.form.name} in {show(record.lasts_s, 'time')}, one each "
        f"{1e3 * record.clock.step_s:.1f} ms.",
        leads=True,
    )
    columns = (Column("What", 3.4), Column("Logged", 1.4), Column("By this plan", 3.0), Column("Verdict", 1.2))
    # What a track that stands still or in another's place shows besides is nobody's.
    known = not any(found.name in _NOBODYS for found in verdict.findings)
    rows = tuple(
        tuple(
            (
                Cell(what),
                Cell(read, strong=True),
                Cell(planned),
                Cell(_said(decides if known or _EVERY in decides else (), verdict.findings), strong=True),
            )
        )
        for what, read, planned, decides in _rows(verdict)
    )
    yield Table(columns, (Group("", rows),))
    if verdict.findings:
        yield FindingList(tuple(_line(found) for found in verdict.findings))
    yield from pictures(drawn, "record-")


def _said(decides: tuple[tuple[str, str], ...], findings: tuple[Reported, ...]) -> str:
    """``FAIL`` where one of the findings that decide about a row was made about its subject; no verdict without any."""
    fails = any(
        found.name == f"readings/{name}" and found.severity != "NOTE" and subject in found.subject
        for found in findings
        for name, subject in decides
    )
    return "FAIL" if fails else "pass" if decides else "not judged"


def _rows(verdict: LogVerdict) -> Iterator[tuple[str, str, str, tuple[tuple[str, str], ...]]]:
    """What, as logged, as planned, and which findings decide about it."""
    record, wanted = verdict.record, verdict.wanted
    for name, track in record.tracks.items():
        planned, subject = wanted.tracks[name], f"track {name}"
        whole = [_EVERY, *((one, subject) for one in _WHOLE)]
        for word, value, limits in (("rest", track.rest_v, planned.rest_v), ("full", track.full_v, planned.full_v)):
            band = f"{show(limits[0], 'voltage')} ({show(limits[1], 'voltage')} to {show(limits[2], 'voltage')})"
            judged = ((f"{word}-outside-window", subject), (f"{word}-off-plan", subject), *whole)
            if word == "full":
                judged = (*judged, ("slope", subject))
            yield f"Track {name}, pedal at {word}", show(value, "voltage"), band, judged
        noise = f"{1e3 * PEAK_TO_PEAK * track.noise_v:.0f} mV"
        yield (
            f"Track {name}, noise from peak to peak",
            noise,
            f"below {NOISE_PERCENT:.0f} % of its sweep",
            (("noise", subject),),
        )
        losses = track.outside.count + track.spikes.count
        judged = (("outside-valid", subject), ("drop-out", subject))
        yield f"Track {name}, drop-outs", str(losses), "0", judged
        dead = sum(found.name == "readings/dead-spot" and found.subject == subject for found in verdict.findings)
        yield f"Track {name}, dead spots", str(dead), "0", (("dead-spot", subject),)
    for subject, apart in ways_apart(record, verdict.curve).items():
        read = f"{np.nanmax(apart):.1f} %" if np.isfinite(apart).any() else "not logged both ways"
        most = f"at most {HYSTERESIS_PERCENT:.0f} %"
        judged = (("hysteresis", subject),) if np.isfinite(apart).any() else ()
        yield f"{subject.capitalize()}, down against back", read, most, judged
    for pair, worst in record.worst_apart.items():
        dimension, factor = ("voltage", 1.0) if wanted.compares == "volts" else ("ratio", 0.01)
        read = show(factor * worst, dimension) if math.isfinite(worst) else "cannot be said"
        limit = f"at most {show(factor * wanted.at_most, dimension)}" if wanted.at_most is not None else "not described"
        judged = (("disagree", "tracks"), ("disagree-shortly", "tracks")) if wanted.at_most is not None else ()
        yield f"Difference of tracks {pair[0]} and {pair[1]}", read, limit, judged
    for release in record.releases:
        back = show(release.returned_s, "time") if math.isfinite(release.returned_s) else "not back"
        judged = (("slow-return", "return"), ("does-not-return", "return"))
        what = f"Return from {release.from_percent:.0f} % to within {BACK_PERCENT:.0f} %, at {release.start_s:.1f} s"
        yield what, back, f"within {show(verdict.limit_s, 'time')}", judged


_EVERY = ("tracks-swapped", "track")
_NOBODYS = ("readings/tracks-swapped", "readings/stands-still")
_WHOLE = ("track-reversed", "stands-still", "supply")


def _line(found: Reported) -> FindingLine:
    return FindingLine(found.severity, found.name, found.subject, str(found.place), found.message, found.remedy)


def _bench(record: BenchRecord) -> Iterator[Block]:
    failed = record.count("fail")
    yield Heading(f"Bench test: {'pass' if record.passes else 'FAIL'}")
    when = " ".join(text for text in (record.date, f"by {record.by}" if record.by else "") if text)
    yield Paragraph(
        f"{len(record.values)} readings{f', {when}' if when else ''}: {record.count('pass')} pass, {failed} fail, "
        f"{record.count('not judged')} not judged; {len(record.unread)} of the checklist are not recorded.",
        leads=True,
    )
    shares = {"Step": 0.6, "What": 4.4, "By this plan": 2.6, "Read": 1.2, "Verdict": 1.0}
    columns = tuple(Column(title, share) for title, share in shares.items())
    first = [value for value in record.values if value.verdict == "fail"]
    rest = [value for value in record.values if value.verdict != "fail"]
    groups = (
        Group("Failed", _values(first)),
        Group("Figures" if first else "", _values([value for value in rest if value.key[0] not in _ONE_BOUND])),
        Group("", tuple(_counted(word, rest) for word in _ONE_BOUND if any(v.key[0] == word for v in rest))),
    )
    yield Table(columns, tuple(group for group in groups if group.rows), dense=True)
    if record.strangers:
        yield Paragraph("Recorded, but no reading of this plan; was it changed since?", leads=True)
        yield Points(record.strangers)
    yield Paragraph("Each reading stands in its box of the checklist, and in tables/bench-test.csv.", small=True)


_ONE_BOUND = {
    "continuity": "Wires from end to end",
    "isolation": "Wires against their neighbours",
    "body": "Wires against the body",
}
"""Readings that are many and have one bound: they are counted."""


def _counted(word: str, values: list[BenchValue]) -> tuple[Cell, ...]:
    of_it = [value for value in values if value.key[0] == word]
    passed = sum(value.verdict == "pass" for value in of_it)
    said = f"{passed} readings" if passed == len(of_it) else f"{passed} of {len(of_it)}"
    expected = " or ".join(dict.fromkeys(value.expected for value in of_it))
    return (
        Cell(of_it[0].step),
        Cell(_ONE_BOUND[word]),
        Cell(expected),
        Cell(said, strong=True),
        Cell("pass", strong=True),
    )


def _values(values: list[BenchValue]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(
        (
            Cell(v.step),
            Cell(v.what),
            Cell(v.expected),
            Cell(v.said, strong=True),
            Cell(_VERDICTS[v.verdict], strong=True),
        )
        for v in values
    )
