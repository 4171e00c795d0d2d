"""Judges the ends of a logged sweep: rest, full, slope, supply, and whether the tracks are the right ones."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from conversion.bench.log.record import LogRecord, TrackRecord
from conversion.bench.log.reported import Reported
from conversion.bench.log.wanted import Wanted, WantedTrack
from conversion.quantities import show

LOGGER_V = 0.01
"""What a logger of a workshop may be off by, of itself; common practice, no source. [V]"""
LEAST_MOVE = 0.2
"""A track that moves by less than so much of its planned volts has not moved."""
_ALIKE = 0.5


def judge_levels(record: LogRecord, wanted: Wanted) -> Iterator[Reported]:
    """What the ends of the sweep show; where tracks are swapped, only that, as :func:`are_swapped` tells."""
    start = record.place(0)
    if not record.begins_at_an_end:
        yield Reported(
            "readings/begins-under-way", "FIX", "the log", start,
            "The log does not begin with the pedal at one end of its travel, so that rest was taken to be the end "
            "nearer to the plan; tracks that are reversed cannot be told.",
            "Log again: foot off for a second, then down slowly, hold, and back.", "volts",
        )  # fmt: skip
    still = [name for name, track in record.tracks.items() if _stands_still(track, wanted.tracks[name])]
    for name in still:
        yield Reported(
            "readings/stands-still", "HOLD", f"track {name}", start,
            f"Track {name} stays at {show(record.tracks[name].rest_v, 'voltage')} over the whole log.",
            "See whether the pedal was moved and the right terminal was logged; then follow the signal from the "
            "module to the logger.", "volts",
        )  # fmt: skip
    if still:
        return
    swapped = list(_swapped(record, wanted))
    yield from swapped
    if swapped:
        return
    for name, track in record.tracks.items():
        planned = wanted.tracks[name]
        if (track.full_v - track.rest_v) * (planned.full_v[0] - planned.rest_v[0]) < 0.0:
            yield _reversed(record, name, track, planned)
            continue
        supply = list(_supply(record, wanted, name, track, planned))
        yield from supply
        yield from _ends(record, wanted, name, track, planned)
        if not supply:
            yield from _slope(record, name, track, planned)


def are_swapped(found: Iterable[Reported]) -> bool:
    """Whether the tracks have changed places, so that each would be judged as the other."""
    return any(each.name == "readings/tracks-swapped" for each in found)


def _stands_still(track: TrackRecord, planned: WantedTrack) -> bool:
    moved, meant = track.full_v - track.rest_v, planned.full_v[0] - planned.rest_v[0]
    return not abs(moved) > LEAST_MOVE * abs(meant)


def _off(track: TrackRecord, planned: WantedTrack) -> float:
    return abs(track.rest_v - planned.rest_v[0]) + abs(track.full_v - planned.full_v[0])


def _swapped(record: LogRecord, wanted: Wanted) -> Iterator[Reported]:
    names = list(record.tracks)
    for at, one in enumerate(names):
        for other in names[at + 1 :]:
            as_is = _off(record.tracks[one], wanted.tracks[one]) + _off(record.tracks[other], wanted.tracks[other])
            crossed = _off(record.tracks[one], wanted.tracks[other]) + _off(record.tracks[other], wanted.tracks[one])
            apart = sum(abs(a - b) for a, b in zip(_ends_of(wanted, one), _ends_of(wanted, other), strict=True))
            if apart > 4.0 * LOGGER_V and crossed < _ALIKE * as_is and as_is > _ALIKE * apart:
                yield Reported(
                    "readings/tracks-swapped", "HOLD", f"tracks {one} and {other}", record.place(0),
                    f"Track {one} reads {_moves(record.tracks[one])}, as planned for track {other}; and track {other} "
                    f"reads {_moves(record.tracks[other])}, as planned for track {one}. What else they "
                    "show is judged once that is put right.",
                    "See first whether the logger's leads or the columns are swapped; if not, the two signals are "
                    "crossed between module and control unit.", "sweep",
                )  # fmt: skip


def _ends_of(wanted: Wanted, name: str) -> tuple[float, float]:
    return wanted.tracks[name].rest_v[0], wanted.tracks[name].full_v[0]


def _moves(track: TrackRecord) -> str:
    return f"{show(track.rest_v, 'voltage')} to {show(track.full_v, 'voltage')}"


def _reversed(record: LogRecord, name: str, track: TrackRecord, planned: WantedTrack) -> Reported:
    way = "falls" if track.full_v < track.rest_v else "rises"
    return Reported(
        "readings/track-reversed", "HOLD", f"track {name}", record.place(0),
        f"Track {name} {way} from {_moves(track)} while the pedal is pressed; planned is "
        f"{show(planned.rest_v[0], 'voltage')} to {show(planned.full_v[0], 'voltage')}.",
        f"Supply and ground of track {name} are crossed, or the module turns the other way than planned. (Where the "
        "log began with the pedal down, log again from rest.)", "sweep",
    )  # fmt: skip


def _ends(record: LogRecord, wanted: Wanted, name: str, track: TrackRecord, planned: WantedTrack) -> Iterator[Reported]:
    for word, read, plan, window in (
        ("rest", track.rest_v, planned.rest_v, planned.rest_window_v),
        ("full", track.full_v, planned.full_v, planned.full_window_v),
    ):
        nominal, low, high = plan
        band = f"planned is {show(nominal, 'voltage')} ({show(low, 'voltage')} to {show(high, 'voltage')})"
        if window is not None and not window[0] <= read <= window[1]:
            accepts = f"{show(window[0], 'voltage')} to {show(window[1], 'voltage')}"
            yield Reported(
                f"readings/{word}-outside-window", "HOLD", f"track {name}", record.place(0),
                f"At {word} track {name} reads {show(read, 'voltage')}; {wanted.unit} "
                f"accepts {accepts} there, and {band}.",
                _END_REMEDY[word], "sweep",
            )  # fmt: skip
        elif not low - LOGGER_V <= read <= high + LOGGER_V:
            yield Reported(
                f"readings/{word}-off-plan", "FIX", f"track {name}", record.place(0),
                f"At {word} track {name} reads {show(read, 'voltage')}; {band}.",
                f"{_END_REMEDY[word]} If the pedal is right, the description is not: measure again and correct it.",
                "sweep",
            )  # fmt: skip


_END_REMEDY = {
    "rest": "Set the lever at the pedal's rest stop as the checklist says, and log again.",
    "full": "Set the pedal's full stop as the checklist says; see that mat and shoe let the pedal reach it, and log "
    "again.",
}


def _slope(record: LogRecord, name: str, track: TrackRecord, planned: WantedTrack) -> Iterator[Reported]:
    moved = track.full_v - track.rest_v
    meant = planned.full_v[0] - planned.rest_v[0]
    ends = [
        planned.full_v[at] - planned.rest_v[other] for at, other in ((1, 2), (2, 1))
    ]  # the lever's own tolerance at either end
    least, most = min(*ends, meant), max(*ends, meant)
    if not least - LOGGER_V <= moved <= most + LOGGER_V:
        share = show(moved / meant, "ratio")
        yield Reported(
            "readings/slope", "FIX", f"track {name}", record.place(0),
            f"Track {name} moves by {show(moved, 'voltage')} over the sweep, {share} of the planned "
            f"{show(meant, 'voltage')} ({show(least, 'voltage')} to {show(most, 'voltage')}).",
            "See whether both stops were reached. If they were, compare ratio and radii of the linkage with the plan, "
            "and the track's volts on the bench.", "sweep",
        )  # fmt: skip


def _supply(
    record: LogRecord, wanted: Wanted, name: str, track: TrackRecord, planned: WantedTrack
) -> Iterator[Reported]:
    """From a logged supply; else from both ends being off by one factor, as a lever's angle never makes them."""
    nominal, low, high = planned.supply_v
    logged = record.of(record.buckets.mean, f"supply {name}")
    logged = logged[np.isfinite(logged)]
    limits = f"{show(low, 'voltage')} to {show(high, 'voltage')}"
    remedy = (
        f"Measure the supply of track {name} at the module and at {wanted.unit}; what is lost between them is a poor "
        "contact, and what lacks at the control unit is its load or its own fault."
    )
    if logged.size:
        read = float(np.median(logged))
        if not low - LOGGER_V <= read <= high + LOGGER_V:
            text = f"The supply of track {name} reads {show(read, 'voltage')}; planned is {limits}."
            yield Reported("readings/supply", "FIX", f"track {name}", record.place(0), text, remedy, "volts")
        return
    rest, full = planned.rest_v[0], planned.full_v[0]
    factor = (track.rest_v * rest + track.full_v * full) / (rest**2 + full**2)
    left = max(abs(track.rest_v - factor * rest), abs(track.full_v - factor * full))
    beyond = not low / nominal - 0.01 <= factor <= high / nominal + 0.01
    if beyond and left <= LOGGER_V + 3.0 * track.noise_v:
        yield Reported(
            "readings/supply", "FIX", f"track {name}", record.place(0),
            f"Track {name} reads {show(factor, 'ratio')} of the plan at rest and at full alike, as if its supply were "
            f"{show(factor * nominal, 'voltage')} and not {limits}.", remedy, "volts",
        )  # fmt: skip
