"""What the inputs and supplies of the control unit bear, and what they still tell from a fault."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description import Missing
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import Reading, each_pair, each_track, solved_sweep, span, volts, where

_OUTSIDE = "Formula SAE Rules 2026 v1.0, T.4.2.10: an open or a short reads outside the normal range"
_ASIDE_V = 0.10
"""What a valid range keeps from a fault's reading: offsets between grounds and the converter's own error."""
_SMALL_SPAN = 0.15
"""Of the supply: below this, 1 % of the pedal is less than two steps of a 10-bit converter (0.1 % of the supply)."""


@rule("range/supply-overloaded", severity="HOLD", sources=(COMMON_PRACTICE,))
def supply_overloaded(plan: Plan) -> Iterator[Found | Missing]:
    """The tracks on one sensor supply draw more than it can give.

    Why: an overloaded supply sags or shuts down, and every track on it goes along, whatever the pedal does.
    Found in:
        K1: supplies.one.limit = 3 mA
    Put right:
        K1: supplies.one.limit = 30 mA
    Not seen: other sensors that the builder puts on the same supply and does not describe.
    """
    unit = plan.description.control_unit
    for load in plan.supply_loads:
        yield from load.missing
        if unit is None or not (load.draws_a or load.missing):
            continue
        path = ("supplies", load.name, "limit")
        place = plan.description.part_place(unit[0], *path)
        if load.limit_a is None:
            path_text = f"{unit[0]}: {'.'.join(path)}"
            yield Missing(path_text, place, f"the tracks draw {show(load.total_a, 'current')} from it")
        elif load.total_a > load.limit_a:
            drawn = [f"{device} track {track} {show(a, 'current')}" for (device, track), a in load.draws_a.items()]
            yield Found(
                unit[0],
                place,
                f"The supply '{load.name}' of {unit[0]} has to give up to {show(load.total_a, 'current')} "
                f"({', '.join(drawn)}); its limit is {show(load.limit_a, 'current')}.",
                "Use tracks of a higher resistance, or feed some of them from another supply.",
            )


@rule("range/valid-too-wide", severity="HOLD", sources=(_OUTSIDE, COMMON_PRACTICE))
def valid_too_wide(plan: Plan) -> Iterator[Found | Missing]:
    """A broken or shorted wire still reads a value that counts as valid.

    Why: the valid range is what catches the commonest faults of a loom: a broken wire, a wire on ground, a wire on
    the supply. A rule book gives 0.5 V and 4.5 V of 5 V as an example; here the fault has to read 0.1 V outside.
    Found in:
        K1: accepts.throttle.tracks.a.valid = 0.25 V..5.00 V
    Put right:
        K1: accepts.throttle.tracks.a.valid = 0.25 V..4.75 V
    Not seen: faults with a resistance in them, and Hall tracks that have lost their supply or their ground.
    """
    return each_track(plan, _valid_too_wide)


def _valid_too_wide(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    valid = read.window(track, "valid")
    ends_told: set[bool] = set()
    for fault in plan.fault_readings(read.sensor, track):
        low_end = fault.most_v < valid.nominal
        if fault.most_v <= valid.low - _ASIDE_V or fault.least_v >= valid.high + _ASIDE_V or low_end in ends_told:
            continue
        ends_told.add(low_end)
        upper = f" to {volts(fault.most_v)}" if fault.most_v > fault.least_v else ""
        yield Found(
            f"{read.device} track {track}",
            read.input_place("tracks", track, "valid"),
            f"Where track {track} of {read.device} is at fault ({fault.fault}), {read.unit} reads "
            f"{volts(fault.least_v)}{upper}; it takes {span(valid)} as valid, and a fault should lie at least "
            f"{volts(_ASIDE_V)} outside.",
            "Narrow the valid range to what the sound track needs; where a strong pull resistor is the cause, use a "
            "weaker one.",
        )


@rule("range/near-valid-limit", severity="NOTE", sources=(COMMON_PRACTICE,))
def near_valid_limit(plan: Plan) -> Iterator[Found | Missing]:
    """A sound track comes so close to the end of its valid range that an aged contact would carry it over.

    Why: a contact that has begun to corrode has some ohms, 10 ohm are taken here. In the supply or ground of a
    track it moves the volts, and a sound sensor begins to look broken now and then.
    Found in:
        K1: accepts.pedal.tracks.a.valid = 0.89 V..4.65 V
    Put right:
        K1: accepts.pedal.tracks.a.valid = 0.45 V..4.65 V
    Not seen: the currents of other tracks in a conductor that is shared.
    """
    return each_track(plan, _near_valid_limit)


def _near_valid_limit(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    values, valid = solved_sweep(plan, read).tracks[track], read.window(track, "valid")
    loss = plan.contact_losses(read.sensor)[track]
    if isinstance(loss, Missing):
        raise loss
    room = min(float((values.volts_min - valid.low).min()), float((valid.high - values.volts_max).min()))
    if 0.0 <= room < loss.volts:
        yield Found(
            f"{read.device} track {track}",
            read.input_place("tracks", track, "valid"),
            f"Track {track} of {read.device} comes within {volts(room)} of an end of its valid range, {span(valid)}; "
            f"{show(loss.ohm, 'resistance')} of wire and aged contact at {show(loss.current_a, 'current')} make "
            f"{volts(loss.volts)}.",
            "Leave more room at that end of the valid range, as far as faults stay outside it.",
        )


@rule("range/false-alarm", severity="FIX", sources=(COMMON_PRACTICE,))
def false_alarm(plan: Plan) -> Iterator[Found | Missing]:
    """Two sound tracks may differ, over their tolerances, by more than the control unit allows.

    Why: a sound pedal is then taken for a broken one, and the car loses power where nothing is wrong. Somebody will
    widen the limit on the road, and the check is gone.
    Found in:
        K1: accepts.throttle.agreement = {of: percent, at_most: 0.1 %, within: 90 ms}
    Put right:
        K1: accepts.throttle.agreement = {of: percent, at_most: 8 %, within: 90 ms}
    Not seen: noise, and tracks that a shared supply moves together; each is taken at its own worst.
    """
    return each_pair(plan, _false_alarm)


def _false_alarm(plan: Plan, read: Reading, one: str, other: str) -> Iterator[Found]:
    checked = read.agreement()
    if checked is None:
        return
    agreement, limit = checked
    dimension, scale = ("ratio", 0.01) if agreement.of == "percent" else ("voltage", 1.0)
    difference = next(d for d in solved_sweep(plan, read).differences if d.tracks == (one, other))
    most, least = scale * difference.most, scale * difference.least
    subject, place = f"{read.device} tracks {one} and {other}", read.input_place("agreement")
    at = int(np.argmax(most))
    if most[at] > limit.low:
        yield Found(
            subject,
            place,
            f"Sound tracks {one} and {other} of {read.device} may differ by {show(most[at], dimension)} "
            f"{where(plan, read, at)}; {read.unit} lets {show(limit.low, dimension)} pass.",
            "Measure the tracks better, or choose tracks that follow each other more closely; widen the limit last, "
            "and not beyond 10 % of the travel.",
        )
    at = int(np.argmin(least))
    if agreement.at_least is not None and least[at] < agreement.at_least.high:
        asked = show(agreement.at_least.high, dimension)
        yield Found(
            subject,
            place,
            f"Sound tracks {one} and {other} of {read.device} may come within {show(least[at], dimension)} "
            f"{where(plan, read, at)}; {read.unit} asks for {asked} at least.",
            "Lower 'at_least' below what sound tracks keep, or choose tracks with a larger offset.",
        )


@rule("range/small-span", severity="FIX", sources=(COMMON_PRACTICE,))
def small_span(plan: Plan) -> Iterator[Found | Missing]:
    """A track moves so few volts that the control unit reads its position coarsely.

    Why: rest and full are learned, whatever they are. A track that moves less than 15 % of its supply gives less
    than two steps of a 10-bit converter for 1 % of the travel; noise and ground offsets then look like a foot.
    Found in:
        B1: tracks.b.output = {rest: 9 % ± 0.5 %, full: 20 % ± 0.5 %}
    Put right:
        B1: tracks.b.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}
    Not seen: how fine the converter of the control unit is.
    """
    return each_track(plan, _small_span)


def _small_span(plan: Plan, read: Reading, track: str) -> Iterator[Found]:
    if read.accepts.scale != "learned":
        return
    values, supply = solved_sweep(plan, read).tracks[track].volts, plan.tracks(read.sensor)[track].model.supply_v
    moved, asked = abs(float(values[-1] - values[0])), _SMALL_SPAN * supply.nominal
    if moved < asked:
        yield Found(
            f"{read.device} track {track}",
            plan.description.part_place(read.device, "tracks", track, "output"),
            f"Track {track} of {read.device} moves {volts(moved)} from rest to full; it should move at least "
            f"{volts(asked)}.",
            "Use more of the lever's swing, or a module whose track moves more.",
        )
