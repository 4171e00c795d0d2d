"""A judged log as a person reads it on a terminal, and as programs read it."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from typing import Any

from conversion.bench.log.judge import LogVerdict
from conversion.quantities import number, show

WIDTH = 100


def log_lines(verdict: LogVerdict) -> Iterator[str]:
    """What was read, beside what was planned; then the findings."""
    record, wanted = verdict.record, verdict.wanted
    yield f"{record.rows} rows in {show(record.lasts_s, 'time')}, one each {1e3 * record.clock.step_s:.1f} ms."
    read = ", ".join(f"{column.name} from '{column.title}'" for column in record.form.columns)
    yield f"Read: {read}."
    if record.form.unread:
        yield f"Not read: {', '.join(record.form.unread)}."
    yield ""
    yield f"{'track':6} {'at':5} {'read':>8}  {'planned':>8} (least..greatest)   {'noise, peak to peak':>20}"
    for name, track in record.tracks.items():
        planned = wanted.tracks[name]
        for word, value, limits in (("rest", track.rest_v, planned.rest_v), ("full", track.full_v, planned.full_v)):
            band = f"({number(limits[1], 'voltage')}..{number(limits[2], 'voltage')})"
            noise = f"{6e3 * track.noise_v:.0f} mV" if word == "rest" else ""
            read, meant = show(value, "voltage"), show(limits[0], "voltage")
            yield f"{name:6} {word:5} {read:>8}  {meant:>8} {band:17}   {noise:>20}".rstrip()
    for pair, worst in record.worst_apart.items():
        dimension, factor = ("voltage", 1.0) if wanted.compares == "volts" else ("ratio", 0.01)
        limit = f", {show(factor * wanted.at_most, dimension)} pass" if wanted.at_most is not None else ""
        if not math.isfinite(worst):
            yield f"Tracks {pair[0]} and {pair[1]} cannot be compared."
            continue
        yield f"Tracks {pair[0]} and {pair[1]} differ by at most {show(factor * worst, dimension)}{limit}."
    for release in record.releases:
        back = (
            f"back after {show(release.returned_s, 'time')}"
            if math.isfinite(release.returned_s)
            else "not back at rest"
        )
        yield (
            f"Let go at {release.start_s:.2f} s from {release.from_percent:.0f} %: {back}; "
            f"{show(verdict.limit_s, 'time')} are allowed."
        )
    yield ""
    for found in verdict.findings:
        yield f"{found.severity:4}  {found.name}   {found.place}   {found.subject}"
        for text in (found.message, f"Put right: {found.remedy}"):
            yield textwrap.fill(text, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6, break_on_hyphens=False)
    counts = ", ".join(
        f"{sum(found.severity == severity for found in verdict.findings)} {severity}"
        for severity in ("HOLD", "FIX", "NOTE")
    )
    yield f"{record.form.name}: {counts}."


def log_json(verdict: LogVerdict) -> dict[str, Any]:
    """The same as plain data: volts, seconds and per cent; None for what is not known."""
    record, wanted = verdict.record, verdict.wanted
    return {
        "rows": record.rows,
        "lasts_s": _known(record.lasts_s),
        "step_s": _known(record.clock.step_s),
        "columns": {column.name: column.title for column in record.form.columns},
        "tracks": {
            name: {
                "rest_v": _known(track.rest_v),
                "full_v": _known(track.full_v),
                "rest_planned_v": list(wanted.tracks[name].rest_v),
                "full_planned_v": list(wanted.tracks[name].full_v),
                "noise_v": _known(track.noise_v),
                "outside_valid": track.outside.count,
                "drop_outs": track.spikes.count,
            }
            for name, track in record.tracks.items()
        },
        "apart": [
            {"tracks": list(pair), "worst": _known(worst), "limit": wanted.at_most, "unit": _unit(wanted.compares)}
            for pair, worst in record.worst_apart.items()
        ],
        "releases": [
            {
                "at_s": _known(release.start_s),
                "from_percent": _known(release.from_percent),
                "returned_s": _known(release.returned_s),
                "left_percent": _known(release.left_percent),
            }
            for release in record.releases
        ],
        "findings": [
            {
                "finding": found.name,
                "severity": found.severity,
                "subject": found.subject,
                "file": found.place.file,
                "line": found.place.line,
                "column": found.place.column,
                "message": found.message,
                "remedy": found.remedy,
            }
            for found in verdict.findings
        ],
    }


def _unit(compares: str) -> str:
    return "V" if compares == "volts" else "%"


def _known(value: float) -> float | None:
    return round(value, 6) if math.isfinite(value) else None
