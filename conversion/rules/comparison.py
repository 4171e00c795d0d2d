"""Whether the pedal's tracks differ in such a way that the control unit's checks notice when one of them is wrong."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import percent, reading, solved_sweep, solved_travel, volts, where

_TRANSFER = "Formula SAE Rules 2026 v1.0, T.4.2.3: different transfer functions; 10 % apart above 10 % pedal"
_PRESSED_SHARE = 0.10
_APART_SHARE = 0.10
_LIMIT_SHARE = 0.10
_LIMIT_S = 0.100


@rule("redundancy/same-transfer-function", severity="HOLD", sources=(_TRANSFER,))
def same_transfer_function(plan: Plan) -> Iterator[Found]:
    """Two tracks of the pedal module give the same volts everywhere.

    Why: tracks with one slope and one offset agree when they touch each other, when both ride on the same fault,
    and when one is wired to both inputs. Comparing them then proves nothing.
    Found in:
        B1: tracks.b.output = {rest: 18 % ± 1 %, full: 82 % ± 1 %}
    Put right:
        B1: tracks.b.output = {rest: 9 % ± 1 %, full: 41 % ± 1 %}
    Not seen: tracks that are told apart by something else than their volts.
    """
    module = plan.description.pedal_module
    if module is None or plan.description.control_unit is None:
        return
    for (one, other), alike in plan.pedal_likeness.items():
        if alike.same:
            yield Found(
                module[0],
                plan.description.part_place(module[0], "tracks", other, "output"),
                f"Tracks {one} and {other} of {module[0]} differ by at most {volts(alike.most_apart_v)} over the whole "
                "swing, which their tolerances cover; slope or offset should differ.",
                "Use a module whose tracks have different slopes, such as one at half the slope of the other.",
            )


@rule(
    "redundancy/short-unnoticed",
    severity="HOLD",
    sources=(
        "Formula Student Rules, T11.8.6, edition not known: a short between the signal lines is always implausible",
        "NASA NESC report for NHTSA, 2011: a short between the two outputs of a potentiometer pedal",
    ),
)
def short_unnoticed(plan: Plan) -> Iterator[Found]:
    """The outputs of two pedal tracks may touch each other and no described check notices.

    Why: a splinter of metal or water between two neighbouring terminals is a likely fault. If both inputs then
    read something that agrees, the pedal looks sound, and a second fault finds nothing left to contradict it.
    Found in:
        B1: tracks.b.output = {rest: 90 % ± 0.5 %, full: 10 % ± 0.5 %}
        K1: accepts.pedal.tracks.b = {valid: 0.45 V..4.65 V, rest: 3.90 V..4.60 V, full: 0.45 V..0.95 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Put right:
        B1: tracks.b.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}
        K1: accepts.pedal.tracks.b = {valid: 0.22 V..2.50 V, rest: 0.33 V..0.65 V, full: 1.70 V..2.20 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Not seen: a short with resistance in it, which may pass where a dead one does not.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    read.agreement()
    for track in read.tracks:
        read.window(track, "valid")
    solved_sweep(plan, read)
    pressed = plan.travel.pad_travel_mm / plan.travel.pad_travel_mm[-1] > _PRESSED_SHARE
    for (one, other), shorted in plan.pedal_shorted.items():
        above_pedal = shorted.percent - shorted.pedal_percent > 100.0 * _PRESSED_SHARE
        passes = np.flatnonzero(~shorted.noticed & (pressed | above_pedal))
        if passes.size:
            at = int(passes[np.argmax((shorted.percent - shorted.pedal_percent)[passes])])
            yield Found(
                read.device,
                read.input_place("agreement"),
                f"With the outputs of tracks {one} and {other} of {read.device} touching, both inputs of {read.unit} "
                f"read {volts(shorted.volts[at])} {where(plan, read, at)}. That is taken for "
                f"{percent(shorted.percent[at])} while the pedal stands at {percent(shorted.pedal_percent[at])}, and "
                "no described check notices; a touch should be noticed wherever the pedal is pressed.",
                "Use tracks that never give the same per cent at the same volts, such as one at half the slope of "
                "the other, and let the control unit compare them by per cent.",
            )


@rule("redundancy/offset-only", severity="HOLD", sources=(_TRANSFER, COMMON_PRACTICE))
def offset_only(plan: Plan) -> Iterator[Found]:
    """Two pedal tracks differ by an offset, and the control unit checks only that they are not too far apart.

    Why: the offset is what tells such tracks apart. When their outputs touch, the difference becomes zero, and zero
    passes a check that knows only a greatest difference.
    Found in:
        B1: tracks.b.output = {rest: 10 %, full: 74 %}
        K1: accepts.pedal.agreement = {of: volts, at_most: 0.60 V, within: 90 ms}
    Put right:
        K1: accepts.pedal.agreement = {of: volts, at_most: 0.60 V, at_least: 0.20 V, within: 90 ms}
    Not seen: a check that the papers of the control unit do not mention.
    """
    read = reading(plan, "pedal")
    if read is None or read.accepts.agreement is None:
        return
    agreement = read.accepts.agreement
    if agreement.of != "volts" or agreement.factor != 1:
        return
    if "at_least" in agreement.model_fields_set and agreement.at_least is None:
        path = ("accepts", "pedal", "agreement", "at_least")
        plan.description.part_need(None, "a difference of zero may pass", read.unit, *path)
    if agreement.at_least is not None and agreement.at_least.low > 0.0:
        return
    for one, other in read.pairs:
        alike = plan.pedal_likeness[one, other]
        if alike.parallel and not alike.same:
            yield Found(
                read.unit,
                read.input_place("agreement"),
                f"Tracks {one} and {other} of {read.device} run in parallel, at least "
                f"{volts(alike.least_apart_v)} apart; {read.unit} checks a greatest difference and no least one, so "
                "outputs that touch, 0.00 V apart, pass.",
                "Give the agreement check an 'at_least' that lies below the sound offset, or compare by per cent.",
            )


@rule("redundancy/no-agreement", severity="HOLD", sources=("Formula SAE Rules 2026 v1.0, T.4.2.4",))
def no_agreement(plan: Plan) -> Iterator[Found]:
    """The control unit is not described to compare the pedal's tracks.

    Why: two tracks are redundant only if something compares them. Without that the second one is ballast.
    Found in:
        K1: accepts.pedal.agreement removed
    Put right:
        K1: accepts.pedal.agreement = {of: percent, at_most: 8 %, within: 90 ms}
    Not seen: whether the control unit really does what its papers say.
    """
    read = reading(plan, "pedal")
    if read is not None and len(read.tracks) > 1 and read.accepts.agreement is None:
        yield Found(
            read.unit,
            read.input_place(),
            f"{read.unit} reads tracks {', '.join(read.tracks)} of {read.device} and is not said to compare them; "
            "it should act when they differ by more than 10 % for more than 100 ms.",
            "Describe its 'agreement' check from its papers or settings; if it has none, use another control unit.",
        )


@rule(
    "redundancy/agreement-wide", severity="FIX", sources=("Formula SAE Rules 2026 v1.0, T.4.2.4: 10 % of pedal travel",)
)
def agreement_wide(plan: Plan) -> Iterator[Found]:
    """The control unit lets the pedal's tracks differ by more than 10 % of the travel.

    Why: whatever passes the check is obeyed. A limit of 10 % is what competition rules allow; published figures of
    production modules lie at 7 % to 10 % of the span of a track.
    Found in:
        K1: accepts.pedal.agreement.at_most = 15 %
    Put right:
        K1: accepts.pedal.agreement.at_most = 10 %
    Not seen: a limit that the control unit widens while it learns or after a fault.
    """
    read = reading(plan, "pedal")
    checked = read.agreement() if read else None
    if read is None or checked is None:
        return
    agreement, limit = checked
    place = read.input_place("agreement", "at_most")
    remedy = "Set the limit to 10 % of the travel or less, as far as the sound tracks allow."
    if agreement.of == "percent":
        if limit.high > _LIMIT_SHARE:
            message = (
                f"{read.unit} lets the pedal's tracks differ by {show(limit.high, 'ratio')}; at most 10 % should pass."
            )
            yield Found(read.unit, place, message, remedy)
        return
    sweep = solved_sweep(plan, read)
    for one, other in read.pairs:
        for name, factor in ((one, 1), (other, agreement.factor)):
            scale = sweep.tracks[name].scale_v
            reach = abs(scale[1] - scale[0]) * factor if scale else 0.0
            if limit.high > _LIMIT_SHARE * reach:
                yield Found(
                    read.unit,
                    place,
                    f"{read.unit} lets tracks {one} and {other} differ by {volts(limit.high)}, which is "
                    f"{_share(limit.high, reach)} of what track {name} moves; at most 10 % should pass, "
                    f"{volts(_LIMIT_SHARE * reach)}.",
                    remedy,
                )


def _share(limit_v: float, reach_v: float) -> str:
    return percent(100.0 * limit_v / reach_v) if reach_v else "all"


@rule("redundancy/agreement-slow", severity="FIX", sources=("Formula SAE Rules 2026 v1.0, T.4.2.5: 100 ms",))
def agreement_slow(plan: Plan) -> Iterator[Found]:
    """The control unit acts on a disagreement of the pedal's tracks only after more than 100 ms.

    Why: until then the engine follows the false track. Published figures of production modules are 140 ms and
    240 ms, so a longer time is not unheard of; it wants to be known and agreed, not overlooked.
    Found in:
        K1: accepts.pedal.agreement.within = 250 ms
    Put right:
        K1: accepts.pedal.agreement.within = 100 ms
    Not seen: how long the throttle takes to close after that.
    """
    read = reading(plan, "pedal")
    if read is None or read.accepts.agreement is None:
        return
    path = ("accepts", "pedal", "agreement", "within")
    within = plan.description.part_need(
        read.accepts.agreement.within, "a disagreement may stand for any time", read.unit, *path
    )
    if within.high > _LIMIT_S * (1 + 1e-9):
        yield Found(
            read.unit,
            read.input_place("agreement", "within"),
            f"{read.unit} acts on a disagreement after {show(within.high, 'time')}; it should within 100 ms.",
            "Set 100 ms or less where it can be set; else have whoever signs off agree to the time.",
        )


@rule("redundancy/outputs-close", severity="NOTE", sources=(_TRANSFER,))
def outputs_close(plan: Plan) -> Iterator[Found]:
    """Above 10 % of the pedal travel two tracks come nearer to each other than a tenth of their supply.

    Why: a rule of competition, read here as a tenth of the supply voltage. It forbids tracks of opposite slope that
    cross, which the 2023 edition still allowed in one maker's module. What makes crossing tracks dangerous, a touch
    that nobody notices, is a HOLD of its own, so this is a note.
    Found in:
        B1: tracks.b.output = {rest: 25 % ± 0.5 %, full: 75 % ± 0.5 %}
    Put right:
        B1: tracks.b.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}
    Not seen: tolerances; the tracks as planned are compared.
    """
    module = plan.description.pedal_module
    if module is None or plan.description.control_unit is None:
        return
    travel, sweep = solved_travel(plan), plan.pedal
    pressed = np.flatnonzero(travel.pad_travel_mm >= _PRESSED_SHARE * travel.pad_travel_mm[-1])
    for one, other in combinations(sweep.tracks, 2):
        apart = np.abs(sweep.tracks[one].volts - sweep.tracks[other].volts)
        asked = _APART_SHARE * max(plan.pedal_tracks[name].model.supply_v.nominal for name in (one, other))
        at = int(pressed[np.argmin(apart[pressed])])
        if apart[at] < asked:
            yield Found(
                module[0],
                plan.description.part_place(module[0], "tracks", other, "output"),
                f"Tracks {one} and {other} of {module[0]} are {volts(apart[at])} apart at "
                f"{show(float(travel.pad_travel_mm[at]), 'length')} of pad travel; the rule book asks for "
                f"{volts(asked)}.",
                "Outside competition, know it. For competition, use tracks that stay apart.",
            )
