"""Judges what a log shows between the ends: agreement, dead spots, hysteresis, noise, return, and per cent."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

import numpy as np

from conversion.bench.log.curve import Curve
from conversion.bench.log.events import Array
from conversion.bench.log.record import LogRecord
from conversion.bench.log.releases import BACK_PERCENT
from conversion.bench.log.reported import Reported
from conversion.bench.log.wanted import Wanted
from conversion.quantities import show

HYSTERESIS_PERCENT = 2.0
NOISE_PERCENT = 2.0
"""Greatest difference between the ways down and back, and greatest noise from peak to peak, of a sound track; common
practice, no source. [% of the sweep]"""
PEAK_TO_PEAK = 6.0
DEAD_PERCENT = 2.0
DEAD_SHARE = 0.25
DEAD_LEAST = 0.3
DEAD_NOISES = 5.0
"""A track that moves a quarter of its way or less over so many per cent of the pedal's is dead there; a little more is
left to noise. Common practice, no source. [%]"""
TAKEN_PERCENT = 3.0
"""How far the logged per cent may be from what follows from the volts; common practice, no source."""


def judge_motion(record: LogRecord, wanted: Wanted, curve: Curve) -> Iterator[Reported]:
    """What the sweep itself shows; nothing where a track does not move."""
    yield from _agreement(record, wanted)
    yield from _dead_spots(record, curve)
    yield from _hysteresis(record, curve)
    yield from _noise(record)
    yield from _taken(record, wanted)


def _agreement(record: LogRecord, wanted: Wanted) -> Iterator[Reported]:
    if wanted.at_most is None:
        return
    dimension, factor = ("ratio", 0.01) if wanted.compares == "percent" else ("voltage", 1.0)
    limit = show(factor * wanted.at_most, dimension)
    for pair, runs in record.apart.items():
        if runs.longest is None or runs.worst is None:
            continue
        run = runs.longest
        lasting = run.lasts_s >= wanted.within_s
        worst = show(factor * runs.worst.worst, dimension)
        yield Reported(
            "readings/disagree" if lasting else "readings/disagree-shortly",
            "HOLD" if lasting else "FIX",
            f"tracks {pair[0]} and {pair[1]}",
            record.place(run.first_row),
            f"The tracks differ by up to {worst}, {_times(runs.count)}, for at most {show(run.lasts_s, 'time')} at "
            f"{run.start_s:.2f} s; {wanted.unit} lets {limit} pass, for {show(wanted.within_s, 'time')}.",
            "See first whether one track has drop-outs or a dead spot; if the difference grows evenly over the sweep, "
            "its scale or its supply is off. Never widen the limit.",
            "difference",
        )


def _times(count: int) -> str:
    return "once" if count == 1 else f"{count} times"


def _dead_spots(record: LogRecord, curve: Curve) -> Iterator[Reported]:
    spans = {name: abs(track.full_v - track.rest_v) for name, track in record.tracks.items()}
    noise = [100.0 * track.noise_v / spans[name] if spans[name] else 0.0 for name, track in record.tracks.items()]
    # What trembles, or is written in coarse steps, seems to stand still over a short way.
    least = DEAD_PERCENT + DEAD_NOISES * math.hypot(*noise)
    for name, ways in curve.against.items():
        # A spot that is dead on both ways is told once.
        told: list[tuple[float, float]] = []
        for percent, word in zip(ways, ("pressed", "let back"), strict=True):
            for first, last in dead_stretches(curve.way, percent, least):
                if any(first <= end and start <= last for start, end in told):
                    continue
                told.append((first, last))
                row = _row_at(record, name, curve, percent, 0.5 * (first + last))
                way = "of the pad's travel" if curve.by_pad else "of the other track"
                yield Reported(
                    "readings/dead-spot", "HOLD", f"track {name}", record.place(row),
                    f"Track {name} hardly moves between {first:.0f} % and {last:.0f} % {way}, while "
                    f"the pedal is {word}.",
                    "Sweep slowly through that place again. If it stays, the track is worn or soiled: replace the "
                    "module; if it wanders, look for a rod end or a lever that slips.", "sweep",
                )  # fmt: skip


def dead_stretches(way: Array, percent: Array, least: float = DEAD_PERCENT) -> list[tuple[float, float]]:
    """Where a track stands still over a part of the way; within the way that was logged.

    Args:
        way: Rising; (bins,). [%]
        percent: nan where nothing is known; (bins,).
        least: Shortest part that counts. [%]

    Example:
        >>> way = np.arange(0.5, 20.0)
        >>> dead_stretches(way, np.where((way > 5) & (way < 12), 5.0, way))
        [(4.5, 11.5)]
    """
    known = np.flatnonzero(np.isfinite(percent))
    if known.size < 3:
        return []
    x, y = way[known], percent[known]
    found: list[tuple[float, float]] = []
    start = 0
    while start < len(x) - 1:
        end = start
        while end + 1 < len(x) and abs(y[end + 1] - y[start]) <= DEAD_LEAST + DEAD_SHARE * (x[end + 1] - x[start]):
            end += 1
        # A stretch that only bridges what was not logged, or ends where the log does, says nothing.
        if x[end] - x[start] >= least and end - start >= 2 and start > 0 and end < len(x) - 1:
            found.append((float(x[start]), float(x[end])))
        start = max(end, start + 1)
    return found


def _row_at(record: LogRecord, name: str, curve: Curve, percent: Array, way: float) -> int:
    """A row in which the pedal passes a place: the bucket whose per cent is nearest to the curve's there."""
    known = np.isfinite(percent)
    at = float(np.interp(way, curve.way[known], percent[known]))
    logged = record.percent(name, record.of(record.buckets.mean, name))
    near = int(np.nanargmin(np.abs(logged - at)))
    return min(record.rows - 1, near * -(-record.rows // len(record.buckets.time_s)))


def _hysteresis(record: LogRecord, curve: Curve) -> Iterator[Reported]:
    for subject, apart in ways_apart(record, curve).items():
        if not np.isfinite(apart).any():
            continue
        at = int(np.nanargmax(apart))
        if apart[at] > HYSTERESIS_PERCENT:
            where = "the same pad travel" if curve.by_pad else "the same place of the sweep"
            yield Reported(
                "readings/hysteresis", "FIX", subject, record.place(0),
                f"On the way down and on the way back {subject} differs by {apart[at]:.1f} % at {where} "
                f"({curve.way[at]:.0f} %); more than {HYSTERESIS_PERCENT:.0f} % is play.",
                "Look for play in rod ends, lever clamp and bracket; hold the lever and move the pedal.", "sweep",
            )  # fmt: skip


def ways_apart(record: LogRecord, curve: Curve) -> dict[str, Array]:
    """How far the ways down and back are apart: of each track by the pad's travel, else of each track against another.

    Returns:
        By what it is about; (bins,) each, nan where the log has not both ways. [%]
    """
    names = list(record.tracks)
    if curve.by_pad:
        return {f"track {name}": _smoothed(np.abs(curve.down[name] - curve.up[name])) for name in names}
    return {
        f"track {other} against {one}": _smoothed(
            np.abs((curve.down[other] - curve.down[one]) - (curve.up[other] - curve.up[one]))
        )
        for at, one in enumerate(names)
        for other in names[at + 1 :]
    }


def _smoothed(row: Array) -> Array:
    """Least of three neighbours, so that one odd bin says nothing; (bins,)."""
    padded = np.pad(row, 1, constant_values=np.nan)
    three = np.stack([padded[:-2], padded[1:-1], padded[2:]])
    return np.asarray(np.where(np.isfinite(three).all(axis=0), three.min(axis=0), np.nan))


def _noise(record: LogRecord) -> Iterator[Reported]:
    for name, track in record.tracks.items():
        span = abs(track.full_v - track.rest_v)
        peak = PEAK_TO_PEAK * track.noise_v
        if span > 0.0 and 100.0 * peak > NOISE_PERCENT * span:
            yield Reported(
                "readings/noise", "FIX", f"track {name}", record.place(0),
                f"Track {name} trembles by {show(1e3 * peak, 'plain')} mV from peak to peak, "
                f"{show(peak / span, 'ratio')} of its sweep; a sound track stays below {NOISE_PERCENT:.0f} %.",
                "See first how fine the logger's own steps are. Read again with its ground at the sensor's own ground "
                "and the engine off. If it stays, see where the pair runs beside motor, ignition or starter wires.",
                "volts",
            )  # fmt: skip


_OF_ALL: dict[str, Callable[[Array], Array]] = {
    "smaller": lambda rows: np.asarray(rows.min(axis=0)),
    "larger": lambda rows: np.asarray(rows.max(axis=0)),
    "mean": lambda rows: np.asarray(rows.mean(axis=0)),
}


def _taken(record: LogRecord, wanted: Wanted) -> Iterator[Reported]:
    logged = record.of(record.buckets.mean, "percent")
    if not wanted.takes or not np.isfinite(logged).any():
        return
    mean = record.buckets.mean
    rows = np.stack([record.percent(name, record.of(mean, name)) for name in record.tracks])
    taken = rows[list(record.tracks).index("a")] if wanted.takes == "a" else _OF_ALL[wanted.takes](rows)
    # A control unit filters: compare only where the pedal hardly moves.
    still = np.abs(np.gradient(taken)) < 0.5
    apart = np.where(still, np.abs(logged - taken), np.nan)
    if np.isfinite(apart).any() and np.nanmax(apart) > TAKEN_PERCENT:
        at = int(np.nanargmax(apart))
        yield Reported(
            "readings/other-percent", "FIX", "per cent", record.place(0),
            f"At {record.buckets.time_s[at]:.2f} s {wanted.unit} says {logged[at]:.1f} %, and the volts with its "
            f"described scale make {taken[at]:.1f} %.",
            "Let the control unit learn rest and full anew, or compare its settings with the calibration sheet; if it "
            "works otherwise, describe it as it is.", "sweep",
        )  # fmt: skip


def judge_returns(record: LogRecord, limit_s: float, planned_s: float) -> Iterator[Reported]:
    """What the releases show.

    Args:
        record: The log.
        limit_s: What the accelerator standard allows. [s]
        planned_s: As estimated; nan where that is not known. [s]
    """
    estimated = f", and estimated are {show(planned_s, 'time')}" if np.isfinite(planned_s) else ""
    for release in record.releases:
        place = record.place(release.row)
        where = f"Let go at {release.start_s:.2f} s from {release.from_percent:.0f} %, the pedal"
        if not np.isfinite(release.returned_s):
            yield Reported(
                "readings/does-not-return", "HOLD", "return", place,
                f"{where} does not come back to rest: {release.left_percent:.1f} % are left, and it counts as back "
                f"within {BACK_PERCENT:.0f} %.",
                "Do not drive. Find what holds it: friction, a spring that is too weak, the mat, a rod end that "
                "binds; see the returning moment in the build pack.", "release",
            )  # fmt: skip
        elif release.returned_s > limit_s:
            yield Reported(
                "readings/slow-return", "HOLD", "return", place,
                f"{where} takes {show(release.returned_s, 'time')} to come back; allowed are "
                f"{show(limit_s, 'time')}{estimated}.",
                "Do not drive. Find what holds it back, as friction in a cable or an axle, and log again.", "release",
            )  # fmt: skip
