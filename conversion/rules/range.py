"""Whether the volts of each track lie where the control unit expects them: valid, at rest and at full."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Literal

from conversion.description import Missing
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import Reading, each_pair, each_track, solved_sweep, span, volts, where
from conversion.sensing import SensorSweep

_OUTSIDE = "Formula SAE Rules 2026 v1.0, T.4.2.10: only a fault reads outside the normal range"
End = Literal["rest", "full"]
_AT: dict[End, int] = {"rest": 0, "full": -1}


@rule("range/outside-valid", severity="HOLD", sources=(_OUTSIDE,))
def outside_valid(plan: Plan) -> Iterator[Found | Missing]:
    """A sound track leaves the range that the control unit takes as valid, tolerances included.

    Why: the control unit then takes a sound sensor for a broken one, and closes the throttle or stops the engine
    while the car is driven.
    Found in:
        K1: accepts.pedal.tracks.a.valid = 0.45 V..3.50 V
    Put right:
        K1: accepts.pedal.tracks.a.valid = 0.45 V..4.65 V
    Not seen: noise, and what temperature and age add to the described tolerances.
    """
    return each_track(plan, _outside_valid)


def _outside_valid(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    values, valid = solved_sweep(plan, read).tracks[track], read.window(track, "valid")
    below, above = valid.low - values.volts_min, values.volts_max - valid.high
    if max(below.max(), above.max()) <= 0.0:
        return
    low = below.max() >= above.max()
    at = int((below if low else above).argmax())
    reached = (values.volts_min if low else values.volts_max)[at]
    yield Found(
        f"{read.device} track {track}",
        read.input_place("tracks", track, "valid"),
        f"Track {track} of {read.device} may read {volts(reached)} {where(plan, read, at)} "
        f"({volts(values.volts[at])} as planned); {read.unit} takes {span(valid)} as valid.",
        "Widen the valid range as far as a broken wire still lies outside it, or use less of the track.",
    )


@rule("range/polarity-reversed", severity="HOLD", sources=(COMMON_PRACTICE,))
def polarity_reversed(plan: Plan) -> Iterator[Found | Missing]:
    """A track falls where the control unit expects it to rise, or the other way about.

    Why: rest looks like full and full like rest. Supply and ground of the track are exchanged, or the windows are
    those of another sensor.
    Found in:
        B1: tracks.a.output = {rest: 82 % ± 0.5 %, full: 18 % ± 0.5 %}
    Put right:
        B1: tracks.a.output = {rest: 18 % ± 0.5 %, full: 82 % ± 0.5 %}
    Not seen: supply and ground exchanged in the loom only; read the volts before the control unit is plugged in.
    """
    return each_track(plan, _polarity_reversed)


def _polarity_reversed(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    sweep, rest, full = solved_sweep(plan, read), read.window(track, "rest"), read.window(track, "full")
    if _reversed(sweep, read, track):
        first, last = _ends(sweep, track)
        yield Found(
            f"{read.device} track {track}",
            read.input_place("tracks", track),
            f"Track {track} of {read.device} goes from {volts(first)} at rest to {volts(last)} at full; "
            f"{read.unit} expects {span(rest)} at rest and {span(full)} at full.",
            f"Exchange supply and ground of track {track} if its papers allow it, or correct the windows.",
        )


@rule("range/tracks-swapped", severity="HOLD", sources=(COMMON_PRACTICE,))
def tracks_swapped(plan: Plan) -> Iterator[Found | Missing]:
    """One track fits the windows of the other and not its own.

    Why: with the tracks exchanged both leave their windows at once. The control unit takes it for a double fault,
    or learns a pedal that it cannot judge.
    Found in:
        B1: tracks.a.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}
        B1: tracks.b.output = {rest: 18 % ± 0.5 %, full: 82 % ± 0.5 %}
    Put right:
        B1: tracks.a.output = {rest: 18 % ± 0.5 %, full: 82 % ± 0.5 %}
        B1: tracks.b.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}
    Not seen: tracks that are exchanged and have the same windows.
    """
    return each_pair(plan, _tracks_swapped)


def _tracks_swapped(plan: Plan, read: Reading, one: str, other: str) -> Iterator[Found]:
    sweep = solved_sweep(plan, read)
    if not _swapped(read, sweep, one, other):
        return
    fits, windows_of = (one, other) if _fits(read, sweep, one, other) else (other, one)
    first, last = _ends(sweep, fits)
    yield Found(
        f"{read.device} tracks {one} and {other}",
        read.input_place("tracks"),
        f"Track {fits} of {read.device}, {volts(first)} at rest and {volts(last)} at full, fits the windows of track "
        f"{windows_of} at {read.unit} and not its own.",
        f"Exchange the roles of tracks {one} and {other} in the part of {read.device}, with all three wires of each.",
    )


@rule("range/rest-window", severity="HOLD", sources=(COMMON_PRACTICE,))
def rest_window(plan: Plan) -> Iterator[Found | Missing]:
    """A track does not read what the control unit expects of it at rest.

    Why: the control unit takes the released pedal for a pressed one or for a fault, or will not learn it.
    Found in:
        K1: accepts.pedal.tracks.a.rest = 0.50 V..0.60 V
    Put right:
        K1: accepts.pedal.tracks.a.rest = 0.50 V..1.30 V
    Not seen: a rest that the control unit learns anew each time; a lever that does not come back is a rule of the
    travel.
    """
    return each_track(plan, partial(_missed, "rest"))


@rule("range/full-window", severity="FIX", sources=(COMMON_PRACTICE,))
def full_window(plan: Plan) -> Iterator[Found | Missing]:
    """A track does not read what the control unit expects of it at full.

    Why: the engine never gets its full throttle, or the control unit reports a fault just when it is asked for it.
    It errs toward less, so it is a thing to put right and no reason not to start.
    Found in:
        K1: accepts.pedal.tracks.b.full = 2.30 V..2.45 V
    Put right:
        K1: accepts.pedal.tracks.b.full = 1.70 V..2.45 V
    Not seen: a full that the control unit learns anew; a lever that is not turned far enough is a rule of the travel.
    """
    return each_track(plan, partial(_missed, "full"))


def _missed(end: End, plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    """A window missed with the sensor at its own end too; what the linkage fails to bring is told elsewhere."""
    sweep, window = solved_sweep(plan, read), read.window(track, end)
    in_the_wrong_place = any(_swapped(read, sweep, *pair) for pair in read.pairs if track in pair)
    if in_the_wrong_place or _reversed(sweep, read, track):
        return
    reads = float(sweep.tracks[track].volts[_AT[end]])
    if not window.contains(reads) and not window.contains(own_end_volts(plan, read, track, end)):
        yield Found(
            f"{read.device} track {track}",
            read.input_place("tracks", track, end),
            f"Track {track} of {read.device} reads {volts(reads)} at {end}; {read.unit} expects {span(window)}.",
            "Correct the window from the control unit's papers, or use a module whose output fits it.",
        )


@rule("range/window-margin", severity="FIX", sources=(COMMON_PRACTICE,))
def window_margin(plan: Plan) -> Iterator[Found | Missing]:
    """A track meets its window at rest or at full as planned, and misses it in the worst case of the tolerances.

    Why: one car in many is then built that will not learn its pedal, or that reads pressed at rest when it is cold.
    Found in:
        K1: accepts.pedal.tracks.a.rest = 0.95 V..1.30 V
    Put right:
        K1: accepts.pedal.tracks.a.rest = 0.50 V..1.30 V
    Not seen: how likely the worst case is; all tolerances are taken at their ends at once.
    """
    return each_track(plan, _window_margin)


def _window_margin(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    values = solved_sweep(plan, read).tracks[track]
    for end, at in _AT.items():
        window = read.window(track, end)
        low, high, planned = (float(v[at]) for v in (values.volts_min, values.volts_max, values.volts))
        if window.contains(planned) and not (window.contains(low) and window.contains(high)):
            yield Found(
                f"{read.device} track {track}",
                read.input_place("tracks", track, end),
                f"Track {track} of {read.device} reads {volts(low)} to {volts(high)} at {end} over all tolerances "
                f"({volts(planned)} as planned); {read.unit} expects {span(window)}.",
                "Measure the figures with the widest tolerances better, set the linkage by the lever at fitting, or "
                "widen the window if the control unit allows it.",
            )


def own_end_volts(plan: Plan, read: Reading, track: str, end: End) -> float:
    """Volts of a track with the sensor at its own rest stop, or where its output ends. [V]"""
    model = plan.tracks(read.sensor)[track].model
    return float(model.volts(model.position[_AT[end]]))


def _ends(sweep: SensorSweep, track: str) -> tuple[float, float]:
    values = sweep.tracks[track].volts
    return float(values[0]), float(values[-1])


def _reversed(sweep: SensorSweep, read: Reading, track: str) -> bool:
    """Whether a track falls where its windows rise, or rises where they fall."""
    first, last = _ends(sweep, track)
    return (last - first) * (read.window(track, "full").nominal - read.window(track, "rest").nominal) < 0.0


def _fits(read: Reading, sweep: SensorSweep, track: str, windows_of: str) -> bool:
    first, last = _ends(sweep, track)
    return read.window(windows_of, "rest").contains(first) and read.window(windows_of, "full").contains(last)


def _swapped(read: Reading, sweep: SensorSweep, one: str, other: str) -> bool:
    """Whether one of two tracks fits the other's windows, and neither fits its own."""
    own = _fits(read, sweep, one, one) or _fits(read, sweep, other, other)
    return not own and (_fits(read, sweep, one, other) or _fits(read, sweep, other, one))
