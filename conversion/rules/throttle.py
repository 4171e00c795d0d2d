"""The throttle body's tracks: two of them, told apart, compared, and sound on the lines that they share."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import Reading, percent, reading, solved_sweep, volts, where
from conversion.sensing.line_offset import Line, worst_unnoticed_offset
from conversion.sensing.slopes import compare_tracks
from conversion.wiring.sharing import meeting

_FSAE = "Formula SAE Rules 2026 v1.0, "
_LIMIT = 0.10
_TIME_S = 0.100


@rule("throttle/one-track", severity="HOLD", sources=(_FSAE + "IC.4.4.2",))
def one_track(plan: Plan) -> Iterator[Found]:
    """The control unit reads fewer than two tracks of the throttle body.

    Why: with one track the control unit believes whatever it reads. A track that reads low makes it open the
    plate further, and nothing contradicts it.
    Found in:
        K1: accepts.throttle.tracks.b removed
    Put right:
        K1: accepts.throttle.tracks.b = {valid: 0.14 V..2.60 V, rest: 0.17 V..0.36 V, full: 2.05 V..2.45 V}
    Not seen: two tracks that share one wiper or one resistive element inside the throttle body.
    """
    body, unit = plan.description.throttle_body, plan.description.control_unit
    if body is None or unit is None:
        return
    accepts = unit[1].accepts.throttle
    read = [name for name in body[1].tracks if accepts and name in accepts.tracks]
    if len(read) < 2:
        yield Found(
            body[0],
            plan.description.part_place(unit[0], "accepts", "throttle"),
            f"{unit[0]} reads {len(read)} track{'' if len(read) == 1 else 's'} of {body[0]}, which has "
            f"{len(body[1].tracks)}; it should read two.",
            f"Use a throttle body with two tracks and a control unit that reads both, and describe both in {unit[0]}.",
        )


@rule("throttle/tracks-alike", severity="HOLD", sources=(_FSAE + "IC.4.4.2", COMMON_PRACTICE))
def tracks_alike(plan: Plan) -> Iterator[Found]:
    """Two throttle tracks give the same volts everywhere.

    Why: joined by moisture or a stray strand they still agree, and an offset of a shared line moves both alike.
    Tracks of clearly different slope show both.
    Found in:
        M1: tracks.b.output = {rest: 11.0 % ± 1 %, full: 90.0 % ± 1 %}
    Put right:
        M1: tracks.b.output = {rest: 5.0 % ± 0.5 %, full: 45.0 % ± 0.5 %}
    Not seen: the crossing of opposite slopes, where both give the same; outputs that touch have a rule of their own.
    """
    read = reading(plan, "throttle")
    if read is None:
        return
    for one, other in combinations(read.tracks, 2):
        likeness = compare_tracks(plan.throttle_tracks[one].model, plan.throttle_tracks[other].model)
        if likeness.same:
            yield Found(
                f"{read.device} tracks {one} and {other}",
                plan.description.part_place(read.device, "tracks", other, "output"),
                f"Tracks {one} and {other} of {read.device} are nowhere more than {volts(likeness.most_apart_v)} "
                "apart; they should differ by more than their tolerance.",
                f"Use a throttle body whose second track has clearly another slope, or measure {read.device} again.",
            )


@rule("throttle/short-unnoticed", severity="FIX", sources=(COMMON_PRACTICE,))
def short_unnoticed(plan: Plan) -> Iterator[Found]:
    """The outputs of two throttle tracks may touch, no described check notices, and the plate opens too far.

    Why: two tracks that cross give the same volts at one opening. Joined there, both inputs agree on it whatever the
    plate does, and the control unit drives the plate against a reading that no longer moves.
    Found in:
        M1: tracks.b.output = {rest: 89.0 % ± 1 %, full: 10.0 % ± 1 %}
        K1: accepts.throttle.tracks.b = {valid: 0.25 V..4.75 V, rest: 4.20 V..4.65 V, full: 0.35 V..0.75 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Put right:
        M1: tracks.b.output = {rest: 5.0 % ± 0.5 %, full: 45.0 % ± 0.5 %}
        K1: accepts.throttle.tracks.b = {valid: 0.14 V..2.60 V, rest: 0.17 V..0.36 V, full: 2.05 V..2.45 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Not seen: a control unit that also compares the plate with what it asked for; a short with resistance in it.
    """
    read = reading(plan, "throttle")
    if read is None or len(read.tracks) < 2:
        return
    read.agreement()
    for track in read.tracks:
        read.window(track, "valid")
    solved_sweep(plan, read)
    for (one, other), shorted in plan.throttle_shorted.items():
        further = shorted.pedal_percent - shorted.percent
        passes = np.flatnonzero(~shorted.noticed & (further > 100.0 * _LIMIT))
        if passes.size:
            at = int(passes[np.argmax(further[passes])])
            yield Found(
                f"{read.device} tracks {one} and {other}",
                read.input_place("agreement"),
                f"With the outputs of tracks {one} and {other} of {read.device} touching, both inputs of {read.unit} "
                f"read {volts(shorted.volts[at])}. That is taken for {percent(shorted.percent[at])} while the plate "
                f"stands at {percent(shorted.pedal_percent[at])}, and no described check notices; a touch should be "
                "noticed before the plate is a tenth too far open.",
                "Use a throttle body whose second track rises at another slope, on a supply and ground of its own; or "
                "keep the two signals apart in every housing, and describe why they cannot touch.",
            )


@rule("throttle/shared-line-offset", severity="HOLD", sources=(_FSAE + "IC.4.4.2 and IC.4.4.3",))
def shared_line_offset(plan: Plan) -> Iterator[Found]:
    """Tracks share a supply or ground, and an offset of that line is not noticed before it matters.

    Why: throttle bodies commonly share both lines between their tracks. That is allowed if the control unit can
    detect an offset of them. A supply that sags makes each rising track read low, and the control unit opens the
    plate further to make up for it; a half-slope track sags in step with the first and contradicts nothing.
    Found in:
        M1: housings.A.cavities.3 = throttle.a.supply + throttle.b.supply
        M1: housings.A.cavities.8 = empty
        K1: housings.A.cavities.24 = throttle.a.supply + throttle.b.supply
        K1: housings.A.cavities.27 = empty
        K1: supplies.three.roles = [throttle.a.supply, throttle.b.supply]
        K1: supplies.four removed
    Put right:
        M1: housings.A.cavities.3 = throttle.a.supply
        M1: housings.A.cavities.8 = throttle.b.supply
        K1: housings.A.cavities.24 = throttle.a.supply
        K1: housings.A.cavities.27 = throttle.b.supply
        K1: supplies.three.roles = [throttle.a.supply]
        K1: supplies.four = {voltage: 5.00 V ± 0.05 V, limit: 30 mA, roles: [throttle.b.supply]}
    Not seen: lines that are joined inside the throttle body or the control unit; a control unit that measures its
    own sensor supply; how long the described check takes.
    """
    read = reading(plan, "throttle")
    if read is None or len(read.tracks) < 2:
        return
    for line in ("supply", "ground"):
        sharing = _sharing(plan, read, line)
        if len(sharing) < 2:
            continue
        for track in sharing:
            read.window(track, "valid")
        read.agreement()
        sweep = solved_sweep(plan, read)
        supply_v = {track: plan.throttle_tracks[track].model.supply_v.nominal for track in sharing}
        worst = worst_unnoticed_offset(sweep, read.accepts, supply_v, line)
        if abs(worst.error_percent) > 100.0 * _LIMIT:
            moved = f"moves the reading by {percent(worst.error_percent)} {where(plan, read, worst.index)}"
            yield Found(
                f"{read.device} {line}",
                read.input_place(),
                f"Tracks {' and '.join(sharing)} of {read.device} share their {line}. "
                f"{_line_moves(line, worst.offset_v)} {moved}, and no described check notices; unnoticed it may move "
                f"by at most {percent(100.0 * _LIMIT)}.",
                "Use a line for each track, tracks of opposite slope, or a tighter 'agreement' and 'valid' range.",
            )


def _line_moves(line: Line, offset_v: float) -> str:
    return f"A loss of {volts(offset_v)} in it" if line == "supply" else f"A rise of it by {volts(offset_v)}"


def _sharing(plan: Plan, read: Reading, line: Line) -> list[str]:
    """The tracks whose lines of a kind meet outside the parts."""
    found: dict[str, None] = {}
    for one, other in read.pairs:
        roles = ([f"throttle.{one}.{line}"], [f"throttle.{other}.{line}"])
        if meeting(plan.description, plan.wiring, *roles) is not None:
            found.update({one: None, other: None})
    return list(found)


@rule("throttle/no-agreement", severity="HOLD", sources=(_FSAE + "IC.4.4.3",))
def no_agreement(plan: Plan) -> Iterator[Found]:
    """No check that compares the throttle's tracks is described.

    Why: two tracks that nobody compares are one track and a spare wire.
    Found in:
        K1: accepts.throttle.agreement removed
    Put right:
        K1: accepts.throttle.agreement = {of: percent, at_most: 8 %, within: 90 ms}
    Not seen: a check that the control unit makes and the description does not tell of.
    """
    read = reading(plan, "throttle")
    if read is not None and read.accepts.agreement is None:
        yield Found(
            f"{read.unit} accepts.throttle",
            read.input_place(),
            f"{read.unit} is not said to compare the tracks of {read.device}; it should, with a limit of at most "
            f"{percent(100.0 * _LIMIT)}.",
            "Find the limit and the time in the control unit's papers or settings, and write both under 'agreement'.",
        )


@rule("throttle/agreement-wide", severity="FIX", sources=(_FSAE + "IC.4.4.3",))
def agreement_wide(plan: Plan) -> Iterator[Found]:
    """The throttle's tracks may differ by more than 10 % before it is acted on.

    Why: inside that limit a drifting track is believed; the plate stands off by as much as the limit lets it.
    Found in:
        K1: accepts.throttle.agreement.at_most = 15 %
    Put right:
        K1: accepts.throttle.agreement.at_most = 8 %
    Not seen: whether the control unit keeps to the limit that is described.
    """
    read = reading(plan, "throttle")
    checked = read.agreement() if read else None
    if read is None or checked is None:
        return
    agreement, limit = checked
    share, said = limit.nominal, percent(100.0 * limit.nominal)
    if agreement.of == "volts":
        sweep = solved_sweep(plan, read)
        spans = [abs(float(track.volts[-1] - track.volts[0])) for track in sweep.tracks.values()]
        if min(spans) == 0.0:
            return  # a track that does not move is told of as such
        # The factor brings the smaller track to the span of the larger one, in whose volts the limit is given.
        share = limit.nominal / max(spans)
        said = f"{volts(limit.nominal)}, which is {percent(100.0 * share)} of the larger span,"
    # Rounding of a written 10 % must not make it more.
    if share > _LIMIT + 1e-9:
        yield Found(
            f"{read.unit} accepts.throttle.agreement",
            read.input_place("agreement", "at_most"),
            f"{read.unit} lets the tracks of {read.device} differ by {said}; it should be at most "
            f"{percent(100.0 * _LIMIT)}.",
            f"Set the limit of {read.unit} to {percent(100.0 * _LIMIT)} or less, if it can be set, and write it there.",
        )


@rule("throttle/agreement-slow", severity="FIX", sources=(_FSAE + "IC.4.4.4",))
def agreement_slow(plan: Plan) -> Iterator[Found]:
    """The control unit acts on a disagreement of the throttle's tracks only after more than 100 ms.

    Why: for that long the plate follows a false reading. The time is that of a rule book; a control unit of a road
    car may take some tenths of a second, which wants to be known and agreed.
    Found in:
        K1: accepts.throttle.agreement.within = 240 ms
    Put right:
        K1: accepts.throttle.agreement.within = 90 ms
    Not seen: how long the motor and the plate take on top of it.
    """
    read = reading(plan, "throttle")
    if read is None or read.accepts.agreement is None:
        return
    why = "it cannot be said how long a false reading is believed"
    path = ("accepts", "throttle", "agreement", "within")
    within = plan.description.part_need(read.accepts.agreement.within, why, read.unit, *path)
    if within.high > _TIME_S + 1e-9:
        yield Found(
            f"{read.unit} accepts.throttle.agreement",
            read.input_place("agreement", "within"),
            f"{read.unit} acts on a disagreement after {show(within.high, 'time')}; it should within "
            f"{show(_TIME_S, 'time')}.",
            "Set a shorter time if it can be set; else have whoever signs off agree to it.",
        )
