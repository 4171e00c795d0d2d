"""Whether the pedal's tracks are apart: nothing that they share may take both along."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import numpy as np

from conversion.description import Missing, Place, Terminal
from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import (
    Reading,
    end_place,
    end_words,
    percent,
    reading,
    solved_travel,
    wire_words,
    wires_words,
)
from conversion.sensing.poor_contact import AGED_CONTACT_OHM
from conversion.wiring import SplicePoint
from conversion.wiring.sharing import Meeting, meeting

_SEPARATE = "Formula SAE Rules 2026 v1.0, T.4.2.2: two or more electrically separate sensors"
_NOT_SHARED = "Formula SAE Rules 2014, EV2.3.3: sensors share neither supply nor signal lines"


@rule("redundancy/one-track", severity="HOLD", sources=(_SEPARATE,))
def one_track(plan: Plan) -> Iterator[Found]:
    """Fewer than two tracks of the pedal module reach the control unit.

    Why: with one track there is nothing to compare. Whatever that track reads is obeyed, also when it is a fault.
    Found in:
        K1: accepts.pedal.tracks.b removed
    Put right:
        K1: accepts.pedal.tracks.b = {valid: 0.22 V..2.50 V, rest: 0.33 V..0.65 V, full: 1.70 V..2.20 V,
          pull: {to: ground, resistance: 220 kohm ± 5 %}}
    Not seen: a control unit that has the second input and does not compare it.
    """
    description = plan.description
    module, unit = description.pedal_module, description.control_unit
    if module is None or unit is None:
        return
    accepts = unit[1].accepts.pedal
    good, lost = [], []
    for name in module[1].tracks:
        if accepts is None or name not in accepts.tracks:
            lost.append(f"track {name} has no input at {unit[0]}")
        elif not _wired(plan, f"pedal.{name}.signal", unit[0]):
            lost.append(f"the signal of track {name} has no wire to {unit[0]}")
        else:
            good.append(str(name))
    if len(good) >= 2:
        return
    have = f"only track {good[0]}" if good else "no track"
    others = f": {listed(lost, 'and')}" if lost else "; it has no other track"
    yield Found(
        module[0],
        description.part_place(unit[0], "accepts", "pedal") if lost else description.part_place(module[0], "tracks"),
        f"Of {module[0]} {have} is read by {unit[0]}{others}. There should be two.",
        "Use a module with two tracks, wire both, and describe both inputs under 'accepts' of the control unit.",
    )


def _wired(plan: Plan, role: str, unit: str) -> bool:
    """Whether a role joins the control unit to the module and its wire is not left out."""
    devices = {terminal.device for terminal in plan.wiring.nets.get(role, ())}
    return unit in devices and len(devices) > 1 and bool(plan.wiring.of_role(role))


@rule("redundancy/shared-supply", severity="HOLD", sources=(_SEPARATE, _NOT_SHARED))
def shared_supply(plan: Plan) -> Iterator[Found | Missing]:
    """Two tracks of the pedal module are fed by one supply, terminal, wire or splice.

    Why: a supply that sags or drifts moves both tracks together and in proportion, so that they go on agreeing.
    One short takes both away, and with them the way home.
    Found in:
        K1: supplies.two removed
        K1: supplies.one.roles = [pedal.a.supply, pedal.b.supply]
    Put right:
        K1: supplies.one.roles = [pedal.a.supply]
        K1: supplies.two = {voltage: 5.00 V ± 0.05 V, limit: 30 mA, roles: [pedal.b.supply]}
    Not seen: two supplies that come from one regulator inside the control unit; ask for its papers.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    unknown = {}
    for one, other in combinations(read.part.tracks, 2):
        yield from _met(plan, read, (one, other), "supply", "are both fed through", "")
        groups = []
        for name in (one, other):
            group = next((g for g, s in read.unit_part.supplies.items() if f"pedal.{name}.supply" in s.roles), None)
            if group is None:
                unknown[name] = f"no supply of {read.unit} is said to feed 'pedal.{name}.supply'"
            groups.append(group)
        if groups[0] is not None and groups[0] == groups[1]:
            yield Found(
                read.device,
                plan.description.part_place(read.unit, "supplies", groups[0]),
                f"Tracks {one} and {other} of {read.device} are both fed by the supply '{groups[0]}' of {read.unit}; "
                "each should have its own.",
                f"Feed track {other} from a second regulated supply; if {read.unit} has none, use another one.",
            )
    for why in unknown.values():
        place = plan.description.part_place(read.unit, "supplies")
        yield Missing(f"{read.unit}: supplies", place, why, "are not whole")


@rule("redundancy/shared-ground", severity="HOLD", sources=(_SEPARATE,))
def shared_ground(plan: Plan) -> Iterator[Found]:
    """Two tracks of the pedal module return through one terminal, wire or splice.

    Why: one joint with resistance lifts both tracks together, and a check that compares them sees two tracks that
    agree. The control unit reads a pedal that is pressed further than it is.
    Found in:
        B1: housings.A.cavities.2 = {roles: [pedal.a.ground, pedal.b.ground], holds: 2}
        B1: housings.A.cavities.5 = empty
    Put right:
        B1: housings.A.cavities.2 = pedal.a.ground
        B1: housings.A.cavities.5 = pedal.b.ground
    Not seen: grounds that meet again inside the control unit or inside the module.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    for pair in combinations(read.part.tracks, 2):
        yield from _met(plan, read, pair, "ground", "both return through", _lifted(plan, read, pair))


@rule("redundancy/shared-signal", severity="HOLD", sources=(_NOT_SHARED,))
def shared_signal(plan: Plan) -> Iterator[Found]:
    """The outputs of two tracks of the pedal module meet at one terminal, wire or splice.

    Why: joined outputs give one reading on both inputs. The second track is then not a second opinion.
    Found in:
        B1: housings.A.cavities.3 = {roles: [pedal.a.signal, pedal.b.signal], holds: 2}
        B1: housings.A.cavities.6 = empty
    Put right:
        B1: housings.A.cavities.3 = pedal.a.signal
        B1: housings.A.cavities.6 = pedal.b.signal
    Not seen: outputs that are joined inside the module.
    """
    read = reading(plan, "pedal")
    if read is None:
        return
    for pair in combinations(read.part.tracks, 2):
        yield from _met(plan, read, pair, "signal", "are both read through", "")


@rule("redundancy/shared-splice", severity="HOLD", sources=(_SEPARATE, COMMON_PRACTICE))
def shared_splice(plan: Plan) -> Iterator[Found]:
    """Wires of two tracks of the pedal module meet at one splice.

    Why: a splice is where moisture and vibration begin their work. One that serves both tracks is one place that
    can fail for both.
    Found in:
        conversion: loom.splices.Z2 = {station: pedal, joins: [pedal.a.ground, pedal.b.ground]}
    Put right:
        conversion: loom.splices.Z2 = {station: pedal, joins: [pedal.a.ground]}
    Not seen: two splices under one sleeve.
    """
    read = reading(plan, "pedal")
    loom = plan.description.conversion.loom
    for name, splice in (loom.splices if loom else {}).items():
        by_track: dict[str, list[str]] = {}
        for wire in plan.wiring.at(SplicePoint(name, splice.station or "")):
            for track in {role.split(".")[1] for role in wire.roles if role.startswith("pedal.")}:
                if read and track in read.part.tracks:
                    by_track.setdefault(track, []).append(wire.tag)
        if read and len(by_track) > 1:
            tracks = listed([f"track {track} ({', '.join(tags)})" for track, tags in sorted(by_track.items())], "and")
            yield Found(
                f"splice {name}",
                plan.description.place("loom", "splices", name),
                f"Wires of {tracks} of {read.device} meet at splice {name}; each track should have wires of its own.",
                f"Take one track out of {name} and give it unbroken wires from {read.unit} to {read.device}.",
            )


@rule("redundancy/motor-ground", severity="HOLD", sources=(COMMON_PRACTICE,))
def motor_ground(plan: Plan) -> Iterator[Found | Missing]:
    """A sensor returns through a conductor that carries the current of the motor, or of the car.

    Why: a sensor's ground carries milliamperes, a motor's amperes. What the motor current drops over the shared
    conductor is added to every track that returns there, and comes and goes with the motor.
    Found in:
        K1: motor_ground = shared with sensors
    Put right:
        K1: motor_ground = separate
    Not seen: what is joined inside the control unit, beyond what 'motor_ground' says of it.
    """
    unit = plan.description.control_unit
    if unit is None:
        return
    reference, part = unit
    sensor_roles = [r for r in _ground_roles(plan) if r in plan.wiring.nets]
    for role in sensor_roles:
        met = meeting(plan.description, plan.wiring, [role], ["ground.31", "ground.point", "throttle.motor.minus"])
        if met is not None:
            yield Found(
                role,
                _met_place(plan, met),
                f"The conductor of '{role}' is joined to the returns of motor and car at {_met_words(plan, met)}; "
                f"it should run to {reference} alone.",
                f"Run '{role}' to its own terminal of {reference} and nowhere else.",
            )
    if not plan.description.throttle_body or not sensor_roles:
        return
    place = plan.description.part_place(reference, "motor_ground")
    if part.motor_ground is None:
        yield Missing(f"{reference}: motor_ground", place, "the motor's current may be in the sensors' return")
    elif part.motor_ground != "separate":
        yield Found(
            reference,
            place,
            f"In {reference} the motor driver returns through the ground of the sensors{_motor_current(plan)}; "
            "it should have a ground of its own.",
            "Use a control unit, or a terminal of it, whose motor driver returns apart from the sensors.",
        )


def _ground_roles(plan: Plan) -> list[str]:
    return [f"{sensor}.{track}.ground" for sensor in ("pedal", "throttle") for track in ("a", "b", "c")]


def _motor_current(plan: Plan) -> str:
    body = plan.description.throttle_body
    current = body[1].motor.current if body else None
    return f", with up to {show(current.high, 'current')} of it" if current else ""


def _met(plan: Plan, read: Reading, pair: tuple[str, str], which: str, verb: str, consequence: str) -> Iterator[Found]:
    """A finding if the conductors of two tracks meet outside the parts."""
    one, other = pair
    met = meeting(plan.description, plan.wiring, [f"pedal.{one}.{which}"], [f"pedal.{other}.{which}"])
    if met is None:
        return
    yield Found(
        read.device,
        _met_place(plan, met),
        f"Tracks {one} and {other} of {read.device} {verb} {_met_words(plan, met)}; nothing should be shared."
        f"{consequence}",
        f"Wire the {which} of track {other} to its own terminals, from {read.device} to {read.unit}.",
    )


def _met_words(plan: Plan, met: Meeting) -> str:
    if not met.ends:
        return f"one another, joined by {wires_words(plan, met.wires)}"
    if met.wires:
        return f"the same wire {wire_words(plan, met.wires[0])}"
    touching = [wire for end in met.ends for wire in plan.wiring.at(end)]
    ends = listed([end_words(end) for end in met.ends], "and")
    return f"{ends} ({wires_words(plan, tuple(dict.fromkeys(touching)))})" if touching else ends


def _met_place(plan: Plan, met: Meeting) -> Place:
    if not met.ends:
        return met.wires[0].place
    splice_first = sorted(met.ends, key=lambda end: isinstance(end, Terminal))
    return end_place(plan, splice_first[0])


def _lifted(plan: Plan, read: Reading, pair: tuple[str, str]) -> str:
    """What a bad joint in the shared return does, as a sentence; empty where a figure for it is not known."""
    if not set(pair) <= set(read.tracks):
        return ""
    try:
        solved_travel(plan)
        lifted = plan.pedal_with_shared_return(pair, AGED_CONTACT_OHM)
    except Missing:
        return ""
    unseen = np.flatnonzero(~lifted.noticed)
    rises = [lifted.rise_percent[name] for name in pair]
    if not unseen.size or not np.all(np.isfinite(rises)):
        return ""
    at = unseen[int(np.argmax(np.abs(rises).min(axis=0)[unseen]))]
    one, other = (f"{percent(abs(r[at]))} of the travel too {'high' if r[at] >= 0.0 else 'low'}" for r in rises)
    return (
        f" With {show(AGED_CONTACT_OHM, 'resistance')} in that joint, track {pair[0]} reads {one} and track {pair[1]} "
        f"{other}; they differ by {percent(lifted.apart_percent[at])}, and no described check notices."
    )
