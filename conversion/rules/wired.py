"""What was really wired against what should be: each difference under the rule that says how grave it is."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.bench.wired.compare import Kind
from conversion.bench.wired.words import wired_in_words
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule


def _told(plan: Plan, kind: Kind, danger: str) -> Iterator[Found]:
    for said in wired_in_words(plan):
        if (said.difference.kind, said.difference.danger) == (kind, danger):
            yield Found(said.subject, said.place, said.message, said.remedy)


@rule("wired/battery-on-sensor", severity="HOLD", sources=(COMMON_PRACTICE,))
def battery_on_sensor(plan: Plan) -> Iterator[Found]:
    """As wired, a conductor of a position sensor is joined to a feed, a switch, a load or the motor.

    Why: twelve volts on a track, its supply or its ground destroys the module, the control unit's input, or both;
    what is left may read anything, also a pedal that is fully pressed.
    Found in:
        conversion: as_wired = [[K1.18, B1.1], [F1.2, K1.18]]
    Put right:
        conversion: as_wired = [[K1.18, B1.1]]
    Not seen: what is joined inside a part, and wires that chafe through later.
    """
    yield from _told(plan, "joined", "battery on sensor")


@rule("wired/motor-joined", severity="HOLD", sources=(COMMON_PRACTICE,))
def motor_joined(plan: Plan) -> Iterator[Found]:
    """As wired, a lead of the throttle's motor is joined to another conductor.

    Why: a lead that finds a feed or a ground of its own drives the plate without the control unit, and burns its
    output stage.
    Found in:
        conversion: as_wired = [[K1.16, M1.1], [G1.plus, M1.1]]
    Put right:
        conversion: as_wired = [[K1.16, M1.1]]
    Not seen: what is joined inside a part.
    """
    yield from _told(plan, "joined", "motor")


@rule("wired/short-circuit", severity="HOLD", sources=(COMMON_PRACTICE,))
def short_circuit(plan: Plan) -> Iterator[Found]:
    """As wired, a feed, a switched wire or a load's wire is joined to the battery's negative side.

    Why: a feed blows its fuse or, ahead of the fuse, burns the wire; a lamp or relay wire on ground keeps its load
    switched on.
    Found in:
        conversion: as_wired = [[K1.5, K2.87], [X1.1, K2.87]]
    Put right:
        conversion: as_wired = [[K1.5, K2.87]]
    Not seen: a short through the body of the car, which no list of pairs shows.
    """
    yield from _told(plan, "joined", "short circuit")


@rule(
    "wired/signals-joined",
    severity="HOLD",
    sources=("Formula SAE Rules 2026 v1.0, T.4.2.2", COMMON_PRACTICE),
)
def signals_joined(plan: Plan) -> Iterator[Found]:
    """As wired, two outputs of position sensors are joined.

    Why: both inputs get one reading. The second track is then no second opinion, and where the two tracks are alike
    nothing notices.
    Found in:
        conversion: as_wired = [[K1.20, B1.3], [K1.23, B1.6], [B1.3, B1.6]]
    Put right:
        conversion: as_wired = [[K1.20, B1.3], [K1.23, B1.6]]
    Not seen: outputs that the plan itself joins; redundancy/shared-signal tells of them.
    """
    yield from _told(plan, "joined", "signals")


@rule(
    "wired/sensor-conductors-joined",
    severity="HOLD",
    sources=("Formula SAE Rules 2026 v1.0, T.4.2.2", COMMON_PRACTICE),
)
def sensor_conductors_joined(plan: Plan) -> Iterator[Found]:
    """As wired, two conductors of position sensors are joined that the plan keeps apart.

    Why: a ground or a supply that two tracks share moves both together, and they go on agreeing; a supply on a
    ground, or an output on either, takes a track away or holds it at one end.
    Found in:
        conversion: as_wired = [[K1.19, B1.2], [K1.22, B1.5], [K1.19, K1.22]]
    Put right:
        conversion: as_wired = [[K1.19, B1.2], [K1.22, B1.5]]
    Not seen: conductors that the plan itself joins; redundancy/shared-ground and its kin tell of them.
    """
    yield from _told(plan, "joined", "sensor")


@rule("wired/sensor-on-body", severity="HOLD", sources=(COMMON_PRACTICE,))
def sensor_on_body(plan: Plan) -> Iterator[Found]:
    """As wired, a conductor of a position sensor is joined to the battery's negative side.

    Why: what starter, lamps and motor drop over the body is then added to what the sensor reads, and comes and goes
    with them; a supply or an output on ground is gone.
    Found in:
        conversion: as_wired = [[K1.19, B1.2], [X1.1, B1.2]]
    Put right:
        conversion: as_wired = [[K1.19, B1.2]]
    Not seen: a module whose case is its ground.
    """
    yield from _told(plan, "joined", "sensor on body")


@rule("wired/joined", severity="HOLD", sources=(COMMON_PRACTICE,))
def joined(plan: Plan) -> Iterator[Found]:
    """As wired, two other conductors are joined that the plan keeps apart.

    Why: two feeds that are one pass by a fuse, or by the switch that is to stop the engine; two switched wires that
    are one tell the control unit of what has not happened.
    Found in:
        conversion: as_wired = [[F1.2, S1.1], [F2.2, S2.1], [F1.2, F2.2]]
    Put right:
        conversion: as_wired = [[F1.2, S1.1], [F2.2, S2.1]]
    Not seen: what is joined inside a switch or a relay.
    """
    yield from _told(plan, "joined", "other")


@rule("wired/grounds-joined", severity="FIX", sources=(COMMON_PRACTICE,))
def grounds_joined(plan: Plan) -> Iterator[Found]:
    """As wired, two returns to the battery's negative side are joined that the plan keeps apart.

    Why: two ways to the body make a loop; which of them carries the current is decided by the worse contact.
    Found in:
        conversion: devices.X2 = {part: 'treadle:ground-stud', place: behind the glove box, station: controller}
        conversion: devices.S1.grounded_at = X2
        S1: housings.A.positions = 5
        S1: housings.A.rows = [["1", "2", "3", "4", "5"]]
        S1: housings.A.cavities.5 = ground.31
        conversion: as_wired = [[X1.1, K1.3], [X2.1, S1.5], [X1.1, X2.1]]
    Put right:
        conversion: as_wired = [[X1.1, K1.3], [X2.1, S1.5]]
    Not seen: the body, which joins all ground points.
    """
    yield from _told(plan, "joined", "grounds")


@rule("wired/vital-crossed", severity="HOLD", sources=(COMMON_PRACTICE,))
def vital_crossed(plan: Plan) -> Iterator[Found]:
    """As wired, conductors of a sensor, the motor, the brake, a feed or a return have changed places.

    Why: a track whose supply and ground are exchanged reads the other way round, and a Hall track dies; a motor with
    its leads exchanged shuts when it should open; two outputs exchanged are judged by each other's limits.
    Found in:
        conversion: as_wired = [[K1.20, B1.6], [K1.23, B1.3]]
    Put right:
        conversion: as_wired = [[K1.20, B1.3], [K1.23, B1.6]]
    Not seen: which end of the wires is the wrong one, since both ways read the same from end to end.
    """
    yield from _told(plan, "crossed", "vital")


@rule("wired/crossed", severity="FIX", sources=(COMMON_PRACTICE,))
def crossed(plan: Plan) -> Iterator[Found]:
    """As wired, conductors of lamp, relay, clutch switch or the builder's own have changed places.

    Why: each does the other's work: the relay follows the lamp, the lamp the relay.
    Found in:
        conversion: as_wired = [[K1.8, P1.2], [K1.9, K2.85]]
    Put right:
        conversion: as_wired = [[K1.8, K2.85], [K1.9, P1.2]]
    Not seen: which end of the wires is the wrong one, since both ways read the same from end to end.
    """
    yield from _told(plan, "crossed", "")


@rule("wired/vital-missing", severity="HOLD", sources=(COMMON_PRACTICE,))
def vital_missing(plan: Plan) -> Iterator[Found]:
    """As wired, a conductor of a sensor, the motor, the brake, a feed or a return is not there.

    Why: a track without its supply, ground or output is no track; a control unit without its return finds another
    one, through whatever else is plugged in.
    Found in:
        conversion: as_wired = [[K1.20, B1.3]]
    Put right:
        conversion: as_wired = [[K1.18, B1.1], [K1.21, B1.4], [K1.24, M1.3], [K1.27, M1.8], [K1.19, B1.2], [K1.22,
          B1.5], [K1.25, M1.4], [K1.28, M1.9], [K1.20, B1.3], [K1.23, B1.6], [K1.26, M1.5], [K1.29, M1.10], [K1.16,
          M1.1], [K1.17, M1.6], [K1.10, S1.2], [K1.11, S1.4], [K2.87, K1.5], [Z2, F1.2], [Z2, K1.6], [Z2, S1.1], [Z2,
          K2.86], [Z1, F2.2], [Z1, K1.7], [Z1, S1.3], [Z1, S2.1], [Z1, P1.1], [F4.2, S3.30], [S3.15, S4.1], [F3.2,
          K2.30], [G1.plus, F1.1], [G1.plus, F3.1], [G1.plus, F4.1], [S4.2, F2.1], [X1.1, K1.3], [X1.1, K1.4], [X1.1,
          G1.minus]]
    Not seen: a wire that is in the list and makes no contact. The bench test reads every one.
    """
    yield from _told(plan, "missing", "vital")


@rule("wired/missing", severity="FIX", sources=(COMMON_PRACTICE,))
def missing(plan: Plan) -> Iterator[Found]:
    """As wired, a conductor of lamp, relay, clutch switch or the builder's own is not there.

    Why: what it serves does nothing, and a control unit that misses it stores a fault or limits the throttle.
    Found in:
        conversion: as_wired = [[K1.8, K2.85], [K1.9, P1.2]]
    Put right:
        conversion: as_wired = [[K1.8, K2.85], [K1.9, P1.2], [K1.12, S2.2]]
    Not seen: a wire that is in the list and makes no contact. The bench test reads every one.
    """
    yield from _told(plan, "missing", "")


@rule("wired/vital-extra", severity="HOLD", sources=(COMMON_PRACTICE,))
def vital_extra(plan: Plan) -> Iterator[Found]:
    """As wired, a conductor of a sensor, the motor, the brake, a feed or a return goes to a place without a role.

    Why: what sits in that place is not known to the plan: it may feed, load or ground the conductor.
    Found in:
        conversion: as_wired = [[K1.20, B1.3], [K1.14, B1.3]]
    Put right:
        conversion: as_wired = [[K1.20, B1.3]]
    Not seen: wires to devices that are not described.
    """
    yield from _told(plan, "extra", "vital")


@rule("wired/extra", severity="FIX", sources=(COMMON_PRACTICE,))
def extra(plan: Plan) -> Iterator[Found]:
    """As wired, there is a wire that the plan does not have.

    Why: nobody can check a wire of which nobody knows what it is for.
    Found in:
        conversion: as_wired = [[K1.13, K1.14]]
    Put right:
        conversion: as_wired = [[K1.20, B1.3]]
    Not seen: wires to devices that are not described.
    """
    yield from _told(plan, "extra", "")


@rule("wired/joined-again", severity="NOTE", sources=(COMMON_PRACTICE,))
def joined_again(plan: Plan) -> Iterator[Found]:
    """As wired, two ends are joined by more ways than one.

    Why: a second way hides that the first one has failed, and of two ways to ground nobody knows which one carries
    the current.
    Found in:
        conversion: as_wired = [[F1.2, Z2], [Z2, K1.6], [F1.2, K1.6]]
    Put right:
        conversion: as_wired = [[F1.2, Z2], [Z2, K1.6]]
    Not seen: ways through the body of the car.
    """
    yield from _told(plan, "again", "")
