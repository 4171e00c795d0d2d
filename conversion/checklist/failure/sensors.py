"""Broken and shorted conductors of the pedal's and the throttle's tracks."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import combinations

from conversion.checklist.failure import mode as words
from conversion.checklist.failure.judging import Fault, Judgement, judge_shorted, judge_tracks
from conversion.checklist.failure.mode import FailureMode, Verdict
from conversion.checklist.job import Job
from conversion.checklist.saying import CannotSay, figure, reason, span
from conversion.checklist.volts import signal_terminal
from conversion.description import Missing
from conversion.sensing import Sensor

_DRIVER: dict[Verdict, tuple[str, str]] = {
    "noticed": (words.LAMP_AND_LIMP, words.STOP_AND_FIND),
    "not noticed, harmless side": (words.WEAKER, words.AT_SERVICE),
    "not noticed, dangerous side": (words.RUNS_UP, words.RUNAWAY),
    "unsaid": (words.RUNS_UP, words.RUNAWAY),
}


def sensor_faults(job: Job, sensor: Sensor) -> Iterator[FailureMode]:
    """Each track's signal, then supplies and grounds, shared ones together, then signals shorted together."""
    names = list(job.tracks(sensor))
    for name in names:
        at = signal_terminal(job, sensor, name)
        yield _of_tracks(job, sensor, (name,), "open", f"signal wire broken or unplugged at {at}")
        yield _of_tracks(job, sensor, (name,), "to-ground", "signal shorted to ground or to the body")
        yield _of_tracks(job, sensor, (name,), "to-supply", "signal shorted to its supply")
    for together in job.sharing(sensor, "supply"):
        yield _of_tracks(job, sensor, together, "supply-lost", "supply wire broken or unplugged")
    for together in job.sharing(sensor, "ground"):
        yield _of_tracks(job, sensor, together, "ground-lost", "ground wire broken or unplugged")
    for one, other in combinations(names, 2):
        yield _shorted(job, sensor, one, other)


def _of_tracks(job: Job, sensor: Sensor, tracks: tuple[str, ...], fault: Fault, what: str) -> FailureMode:
    several = "s" if len(tracks) > 1 else ""
    title = f"{sensor.capitalize()} track{several} {' and '.join(tracks)}: {what}"
    key = "-".join((sensor, *tracks, fault))
    track = (sensor, tracks[0]) if fault == "open" else None
    return _worded(sensor, key, title, lambda: judge_tracks(job, sensor, tracks, fault), track)


def _shorted(job: Job, sensor: Sensor, one: str, other: str) -> FailureMode:
    title = f"{sensor.capitalize()} tracks {one} and {other}: signals shorted together"
    return _worded(sensor, f"{sensor}-{one}-{other}-shorted", title, lambda: judge_shorted(job, sensor, one, other))


def _worded(
    sensor: Sensor, key: str, title: str, judge: Callable[[], Judgement], track: tuple[Sensor, str] | None = None
) -> FailureMode:
    verdict: Verdict = "unsaid"
    try:
        judged = judge()
        happens, (notices, verdict) = _reads(judged), _notices(sensor, judged)
    except (Missing, CannotSay) as missing:
        happens = notices = reason(missing)
    return FailureMode(key, title, happens, notices, *_DRIVER[verdict], verdict, track is not None, track)


def _reads(judged: Judgement) -> str:
    sentences = []
    for name, band in judged.reads_v.items():
        if band is None:
            sentences.append(f"What input {name} reads is undetermined; the worst is taken.")
        else:
            sentences.append(f"Input {name} reads {span(*band, 'voltage')}.")
    return " ".join(sentences)


def _notices(sensor: Sensor, judged: Judgement) -> tuple[str, Verdict]:
    way = "the travel" if sensor == "pedal" else "the way from closed to open"
    if judged.verdict == "noticed":
        return f"The described checks notice it at every place of {way}.", "noticed"
    worst_case = "" if judged.determined else "At the worst, over all that may be read: "
    where = f"{worst_case}the described checks do not notice it over {figure(judged.unnoticed, 'ratio')} of {way}."
    where = where[0].upper() + where[1:]
    if judged.verdict == "harmless":
        less = "it asks no more than the foot does" if sensor == "pedal" else "the plate opens no further than asked"
        return f"{where} There {less}.", "not noticed, harmless side"
    worst = figure(judged.worst_percent / 100.0, "ratio")
    more = f"it asks up to {worst} more than the foot does"
    if sensor == "throttle":
        more = f"the plate opens up to {worst} further than asked"
    return f"{where} There {more}.", "not noticed, dangerous side"
