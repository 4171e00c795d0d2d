"""A log as the judges need it: read once, looked over twice, in memory that does not grow with its length."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from conversion.bench.log.events import Array, BucketLook, Buckets, Runs, Snaps, columns_of, sound_percent, spikes
from conversion.bench.log.format import LogFormat, read_format
from conversion.bench.log.levels import Clock, LevelLook
from conversion.bench.log.releases import Release, find_release
from conversion.bench.log.rows import LineNumbers, LogReader
from conversion.bench.log.store import BLOCK_ROWS, LogStore
from conversion.bench.log.wanted import Wanted
from conversion.description.complaints import Complaint, DescriptionError, Place

MOST_BUCKETS = 8192
LEAST_ROWS = 10
MOST_BACK = 0.2
"""Where more of its steps run back, the column of times is not one."""
MOST_V = 40.0
"""No sensor of a car reads so much; whoever wrote it meant millivolts."""
_MARGIN = 2


@dataclass(frozen=True)
class TrackRecord:
    """One track over the whole log.

    Attributes:
        rest_v: Volts at the end at which the log begins. [V]
        full_v: Volts at the other end. [V]
        noise_v: Standard deviation from row to row. [V]
        scale_v: Volts that count as 0 % and as 100 %. [V]
        outside: Stretches outside what the control unit takes as valid, with how far outside. [V]
        spikes: Jumps away and back within two rows, with their height. [V]
    """

    rest_v: float
    full_v: float
    noise_v: float
    scale_v: tuple[float, float]
    outside: Runs
    spikes: Runs


@dataclass(frozen=True)
class LogRecord:
    """A whole log.

    Attributes:
        form: How it is written.
        rows: How many rows of figures it has.
        lines: The line of each row.
        clock: How its times run on.
        tracks: By name.
        begins_at_an_end: Whether it begins with every track at one end of its sweep.
        apart: Stretches in which the tracks differ by more than the control unit lets pass, of each pair; with the
            greatest difference, in per cent or in volts as the control unit compares.
        worst_apart: Greatest difference of each pair over all rows; nan where it cannot be said.
        buckets: The log in at most :data:`MOST_BUCKETS` stretches; its columns are time, the tracks, pad, per cent,
            one supply for each track.
        releases: Where the pedal was let go.
        gaps: Cells without a figure, by column.
        first_gap: Place of the first of them.
        cut_off: Place of a last line that is cut off.
    """

    form: LogFormat
    rows: int
    lines: LineNumbers
    clock: Clock
    tracks: dict[str, TrackRecord]
    begins_at_an_end: bool
    apart: dict[tuple[str, str], Runs]
    worst_apart: dict[tuple[str, str], float]
    buckets: Buckets
    releases: tuple[Release, ...]
    gaps: dict[str, int]
    first_gap: dict[str, Place]
    cut_off: Place | None

    @property
    def lasts_s(self) -> float:
        """From its first to its last time. [s]"""
        return self.clock.last_s - self.clock.first_s

    def place(self, row: int, column: str | None = None) -> Place:
        """Line of a row."""
        return Place(self.form.name, self.lines.line_of(row), 1)

    def of(self, which: Array, name: str) -> Array:
        """One column of the buckets: a track, ``pad``, ``percent`` or ``supply TRACK``; (buckets,)."""
        order = ("time", *self.tracks, "pad", "percent", *(f"supply {track}" for track in self.tracks))
        column: Array = which[:, order.index(name)]
        return column

    def percent(self, track: str, volts: Array) -> Array:
        """Per cent that the control unit makes of volts of a track."""
        rest, full = self.tracks[track].scale_v
        return 100.0 * (volts - rest) / (full - rest)


def read_log(
    path: Path, name: str, wanted: Wanted, chosen: Mapping[str, str], step: Callable[[str], None] = lambda words: None
) -> LogRecord:
    """Read a log.

    Args:
        path: The file.
        name: As messages call it.
        wanted: What the plan expects of it.
        chosen: Heading of a column by its name.
        step: Told what is done, for those who wait.

    Raises:
        DescriptionError: Something in it is no figure, or it is no log of a sweep; every reason at once.
        OSError: It cannot be read.
    """
    form = read_format(path, name, list(wanted.tracks), chosen)
    reader, clock, levels = LogReader(form), Clock(), LevelLook(list(wanted.tracks))
    first = 1
    last = first + len(wanted.tracks)
    with LogStore(len(form.columns)) as store:
        for block in reader.blocks():
            clock.take(block[:, 0], store.rows)
            levels.take(block[:, first:last], block[:, 0])
            store.append(block)
            step(f"reading: {store.rows} rows")
        _refuse_what_is_no_sweep(form, store, reader, clock, levels)
        step(f"looking over {store.rows} rows")
        return _look_over(form, store, reader, clock, levels, wanted)


def _refuse_what_is_no_sweep(
    form: LogFormat, store: LogStore, reader: LogReader, clock: Clock, levels: LevelLook
) -> None:
    place = Place(form.name, form.first_line, 1)
    complaints = []
    if store.rows < LEAST_ROWS:
        text = f"there are {store.rows} rows of figures below the header; a sweep needs at least {LEAST_ROWS}."
        complaints.append(Complaint(place, "", text))
    elif not clock.step_s > 0.0 or clock.back > MOST_BACK * clock.steps:
        at = Place(form.name, reader.line_numbers.line_of(max(clock.first_back, 0)), form.columns[0].index + 1)
        text = (
            f"the column '{form.columns[0].title}' is no time: it runs back or stands still in {clock.back} of "
            f"{clock.steps} steps; are the columns swapped? Say which is the time: --column time=HEADING."
        )
        complaints.append(Complaint(at, "", text))
    for track, middle in zip(levels.tracks, levels.middle_v.tolist(), strict=True):
        column = next(column for column in form.columns if column.name == track)
        if np.isnan(middle):
            complaints.append(
                Complaint(place, "", f"the column '{column.title}' of track {track} has no figure at all.")
            )
        elif middle > MOST_V or middle >= MOST_V - 10.0:
            text = (
                f"the column '{column.title}' of track {track} reads {MOST_V - 10.0:.0f} V or more; if these are "
                "millivolts, write [mV] behind the heading; if they are no volts, say which column is: "
                f"--column {track}=HEADING."
            )
            complaints.append(Complaint(place, "", text))
    if complaints:
        raise DescriptionError(complaints)


def _look_over(
    form: LogFormat, store: LogStore, reader: LogReader, clock: Clock, levels: LevelLook, wanted: Wanted
) -> LogRecord:
    names = list(wanted.tracks)
    count = len(names)
    rests, fulls, at_end = _ends(levels, wanted)
    noise = levels.noise_v
    scales = np.array(
        [wanted.tracks[name].scale_v or (rests[at], fulls[at]) for at, name in enumerate(names)], dtype=np.float64
    )
    # A track that stands still has no per cent.
    scales[scales[:, 0] == scales[:, 1]] = np.nan
    span = scales[:, 1] - scales[:, 0]
    valid = [wanted.tracks[name].valid_v or (-np.inf, np.inf) for name in names]
    low, high = (np.array([edges[side] for edges in valid]) for side in (0, 1))
    outside, jumps = [Runs() for _ in names], [Runs() for _ in names]
    pairs = [(one, other) for at, one in enumerate(names) for other in names[at + 1 :]]
    apart, worst_apart = {pair: Runs() for pair in pairs}, dict.fromkeys(pairs, float("nan"))
    snaps = Snaps()
    size = max(1, -(-store.rows // MOST_BUCKETS))
    buckets = BucketLook(size)
    places = [0, *range(1, count + 1), form.index_of("pad"), form.index_of("percent")]
    places += [form.index_of(f"supply {name}") or form.index_of("supply") for name in names]
    block_rows = size * max(1, BLOCK_ROWS // size)
    for first in range(0, store.rows, block_rows):
        start = max(0, first - _MARGIN)
        wide = store.part(start, first + block_rows + _MARGIN)
        jumped = spikes(wide[:, 1 : count + 1], noise, span)[first - start :][:block_rows]
        rows = wide[first - start :][:block_rows]
        times, volts = rows[:, 0], rows[:, 1 : count + 1]
        with np.errstate(divide="ignore", invalid="ignore"):
            percent = 100.0 * (volts - scales[:, 0]) / span
        beyond = np.fmax(low - volts, volts - high)
        outer = beyond > 0.0
        for at in range(count):
            outside[at].take(outer[:, at], first, times, beyond[:, at])
            jumps[at].take(jumped[:, at], first, times, _height(wide, at + 1, first - start, len(rows)))
        sound = np.isfinite(volts) & np.isfinite(percent) & ~outer & ~jumped
        for one, other in pairs:
            a, b = names.index(one), names.index(other)
            difference = wanted.apart(volts[:, a], volts[:, b], percent[:, a], percent[:, b])
            known = np.isfinite(difference)
            if known.any():
                worst_apart[one, other] = float(np.fmax(worst_apart[one, other], difference[known].max()))
            if wanted.at_most is not None:
                apart[one, other].take(known & (difference > wanted.at_most), first, times, difference)
        snaps.take(sound_percent(percent, sound), times, first)
        table = columns_of(rows, places)
        believed = np.isfinite(table)
        believed[:, 1 : count + 1] = sound
        buckets.take(table, believed)
    for runs in (*outside, *jumps, *apart.values()):
        runs.finished()
    releases = [find_release(store, row, clock.step_s, scales, low, high, noise) for row in snaps.rows]
    return LogRecord(
        form=form, rows=store.rows, lines=reader.line_numbers, clock=clock,
        tracks={
            name: TrackRecord(
                float(rests[at]), float(fulls[at]), float(noise[at]), (float(scales[at, 0]), float(scales[at, 1])),
                outside[at], jumps[at],
            )
            for at, name in enumerate(names)
        },
        begins_at_an_end=at_end, apart=apart, worst_apart=worst_apart, buckets=buckets.finished(),
        releases=tuple(each for each in releases if each is not None), gaps=reader.gaps, first_gap=reader.first_gap,
        cut_off=reader.cut_off,
    )  # fmt: skip


def _ends(levels: LevelLook, wanted: Wanted) -> tuple[Array, Array, bool]:
    """Rest and full of each track: rest is the end at which the log begins, or else the one nearer to the plan's."""
    rests, fulls, at_end = [], [], True
    for at, track in enumerate(wanted.tracks.values()):
        low, high = levels.ends_v(at, track.valid_v)
        start = float(levels.start_v[at])
        near = min(abs(start - low), abs(start - high)) <= 0.15 * (high - low) + 0.01
        at_end = at_end and bool(near)
        compared = start if near else track.rest_v[0]
        rest, full = (low, high) if abs(compared - low) <= abs(compared - high) else (high, low)
        rests.append(rest)
        fulls.append(full)
    return np.array(rests), np.array(fulls), at_end


def _height(wide: Array, column: int, before: int, rows: int) -> Array:
    """How far each row stands from the middle of the rows two before and two after it. [V]"""
    volts = wide[:, column]
    padded = np.pad(volts, _MARGIN, mode="edge")
    height = np.abs(volts - 0.5 * (padded[: len(volts)] + padded[2 * _MARGIN :]))
    return height[before : before + rows]
