"""A logged sweep as curves over the pedal's way: every track's per cent on the way down and on the way back."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.bench.log.events import Array, Flags, sound_percent
from conversion.bench.log.record import LogRecord
from conversion.bench.log.wanted import Wanted

BINS = 100
TURN_PERCENT = 3.0
"""A pedal that has come back by so much has turned."""


@dataclass(frozen=True)
class Curve:
    """Means over the way, in bins of one per cent of it; nan where the log has nothing.

    Attributes:
        by_pad: Whether the way is the logged pad travel; else it is the mean per cent of the tracks.
        way: Middle of each bin; (bins,). [%]
        down: Per cent of each track while the pedal is pressed; (bins,) each.
        up: While it comes back; (bins,) each.
        both: In either direction; (bins,) each.
        against: Per cent of each track over the pad's travel, or without it over the mean per cent of the other
            tracks, on the way down and on the way back; (bins,) each.
    """

    by_pad: bool
    way: Array
    down: dict[str, Array]
    up: dict[str, Array]
    both: dict[str, Array]
    against: dict[str, tuple[Array, Array]]


def curve_of(record: LogRecord, wanted: Wanted) -> Curve:
    """The curves of a log."""
    mean = record.buckets.mean
    percent = {name: record.percent(name, record.of(mean, name)) for name in record.tracks}
    stack = np.stack(list(percent.values()), axis=1)
    moved = sound_percent(stack, np.isfinite(stack))
    pad = record.of(mean, "pad")
    by_pad = bool(np.isfinite(pad).sum() > len(pad) / 2)
    way = 100.0 * pad / float(wanted.pad_mm[-1]) if by_pad else moved
    pressing = directions(way)
    down, up = pressing == 1, pressing == -1
    middle = (np.arange(BINS) + 0.5) * 100.0 / BINS
    against = {}
    for at, (name, values) in enumerate(percent.items()):
        others = np.delete(stack, at, axis=1)
        along = way if by_pad else sound_percent(others, np.isfinite(others))
        against[name] = (_means(along, values, down), _means(along, values, up))

    def along_way(taken: Flags) -> dict[str, Array]:
        return {name: _means(way, values, taken) for name, values in percent.items()}

    always = np.ones(len(way), dtype=bool)
    return Curve(by_pad, middle, along_way(down), along_way(up), along_way(always), against)


def _means(way: Array, values: Array, taken: Flags) -> Array:
    """Mean of some values in each bin of the way; nan where there is none; (bins,)."""
    place = np.floor(np.where(np.isfinite(way), way, -1.0) * BINS / 100.0)
    take = taken & np.isfinite(values) & (place >= 0) & (place < BINS)
    bins = place[take].astype(int)
    count = np.bincount(bins, minlength=BINS)
    total = np.bincount(bins, values[take], minlength=BINS)
    return np.divide(total, count, out=np.full(BINS, np.nan), where=count > 0)


def directions(way: Array) -> Array:
    """1 where the pedal is being pressed, -1 where it comes back, 0 before it first moves; (buckets,).

    A turn counts from the place at which the pedal turned, once it has gone :data:`TURN_PERCENT` from there.

    Example:
        >>> directions(np.array([0.0, 1.0, 5.0, 4.0, 9.0, 5.0, 0.0])).tolist()
        [1.0, 1.0, 1.0, 1.0, 1.0, -1.0, -1.0]
    """
    found = np.zeros(len(way))
    heading, extreme, at = 0, float("nan"), 0
    low, high, low_at, high_at = np.inf, -np.inf, 0, 0
    for index, value in enumerate(way.tolist()):
        if not np.isfinite(value):
            continue
        if heading == 0:
            low, low_at = min((low, low_at), (value, index))
            high, high_at = max((high, high_at), (value, index))
            if high - low > TURN_PERCENT:
                heading = 1 if high_at > low_at else -1
                extreme, at = (high, high_at) if heading > 0 else (low, low_at)
                found[min(low_at, high_at) : index + 1] = heading
            continue
        if heading * (value - extreme) >= 0.0:
            extreme, at = value, index
        elif heading * (extreme - value) > TURN_PERCENT:
            heading = -heading
            found[at + 1 : index + 1] = heading
            extreme, at = value, index
        found[index] = heading
    return found


def planned_volts(curve: Curve, wanted: Wanted) -> dict[str, tuple[Array, Array, Array]]:
    """Volts of each track over the same way as planned, least and greatest; (bins,) each."""
    if curve.by_pad:
        way = 100.0 * wanted.pad_mm / float(wanted.pad_mm[-1])
    else:
        scaled = [
            (track.volts - track.rest_v[0]) / (track.full_v[0] - track.rest_v[0]) for track in wanted.tracks.values()
        ]
        way = 100.0 * np.mean(scaled, axis=0)
    return {
        name: tuple(np.interp(curve.way, way, row) for row in (track.volts, track.low, track.high))  # type: ignore[misc]
        for name, track in wanted.tracks.items()
    }
