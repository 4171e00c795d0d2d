"""The single faults of the described loom: counted by hand, none twice, each at nodes that are there."""

from __future__ import annotations

from collections import Counter
from functools import cache
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.faults.fault import KIND_WORDS, Fault, Held, Joined, Moved, Resupplied, Weakened
from conversion.plan import Plan
from conversion.plan.faults.gathered import list_faults
from conversion.sensing import Sensor
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")
SENSORS: tuple[Sensor, ...] = ("pedal", "throttle")

SHARED = [
    "K1: housings.A.cavities.18 = pedal.a.supply + pedal.b.supply",
    "K1: housings.A.cavities.19 = pedal.a.ground + pedal.b.ground",
    "K1: housings.A.cavities.21 = empty",
    "K1: housings.A.cavities.22 = empty",
    "K1: supplies = {one: {voltage: 5.00 V, limit: 30 mA, roles: [pedal.a.supply, pedal.b.supply]},"
    " three: {voltage: 5.00 V, limit: 30 mA, roles: [throttle.a.supply]},"
    " four: {voltage: 5.00 V, limit: 30 mA, roles: [throttle.b.supply]}}",
    "conversion: loom.splices.Z9 = {station: pedal, joins: [pedal.a.ground, pedal.b.ground]}",
]
"""Both tracks of the pedal on one supply terminal (two wires), their grounds spliced (three wires)."""


def faults_of(plan: Plan, sensor: Sensor) -> tuple[Fault, ...]:
    return list_faults(plan, sensor, plan.circuit(sensor))


@cache
def plan_of(demo: str) -> Plan:
    return Plan(read_description(resources.harnesses_dir() / demo))


def counted(faults: tuple[Fault, ...]) -> dict[str, int]:
    return dict(Counter(fault.kind for fault in faults))


def test_a_shared_supply_and_a_splice_counted_by_hand(tmp_path: Path) -> None:
    faults = faults_of(patched_plan(tmp_path, SHARED), "pedal")
    # Wires: 2 supplies, 3 grounds, 2 signals. Contacts: 4 at K1, 6 at B1. Ends in the splice: 3. Wipers: 2.
    # Conductors S, G, A, B; with those of the throttle (6) all in the run controller-board.
    assert counted(faults) == {
        "open": 7 + 10 + 3 + 2,
        "contact": 10 + 3 + 2,
        "bridge": 3 + 4 * 6,  # G-A, G-B, A-B; each of four with each of six. S is the supply of the other three.
        "to-supply": 3,
        "to-chassis": 4,
        "to-battery": 4,
        "supply-low": 1,
        "supply-missing": 1,
        "track-stuck": 2,
        "link-parted": 1,
        "spring-broken": 4,  # two outside, two in the module
    }


def test_the_buggy_counted_by_hand() -> None:
    """Six wires of the pedal run alone; its tracks are no potentiometers, so no wiper ages."""
    assert counted(faults_of(plan_of("trials-buggy"), "pedal")) == {
        "open": 6 * 3 + 2, "contact": 12, "bridge": 15 - 4, "to-supply": 4, "to-chassis": 6, "to-battery": 6,
        "supply-low": 2, "supply-missing": 2, "track-stuck": 2, "link-parted": 1, "spring-broken": 4,
    }  # fmt: skip


@pytest.mark.parametrize("sensor", SENSORS)
@pytest.mark.parametrize("demo", DEMOS)
def test_no_fault_is_there_twice_and_each_is_where_it_says(demo: str, sensor: Sensor) -> None:
    plan = plan_of(demo)
    circuit, faults = plan.circuit(sensor), faults_of(plan, sensor)
    names = Counter(fault.name for fault in faults)
    assert max(names.values()) == 1, names.most_common(1)
    seen: set[object] = set()
    for fault in faults:
        assert fault.kind in KIND_WORDS and fault.sensor == sensor and fault.place and fault.places
        match fault.change:
            case Joined(a, b):
                key: object = frozenset((a, b))
                assert a != b and {a, b} <= set(circuit.network.nodes), fault
                low, high = fault.change.siemens
                assert 0.0 < low < high
            case Weakened(element, a, b):
                resistor = circuit.network.element(element)
                assert {resistor.a, resistor.b} == {a, b} and fault.change.element_ohm == resistor.ohm  # type: ignore[union-attr]
                key = (element, fault.change.is_open)
                low, high = fault.change.siemens
                assert low <= high <= 0.0
            case Resupplied(source, volts):
                assert circuit.network.element(source).name == source
                key = (source, volts)
            case Held(tracks):
                assert fault.needs_history
                key = tracks
            case Moved():
                key = fault.name
        assert key not in seen, fault
        seen.add(key)


def test_neighbours_follow_the_rows_of_the_housing(tmp_path: Path) -> None:
    """In the van W9 (20) lies between 19 and 21 and under 3; what a gap parts is no neighbour in the housing."""
    faults = faults_of(plan_of("market-van"), "pedal")
    in_unit = {fault.name for fault in faults if fault.place == "housing A of K1" and "W9" in fault.name.split(",")[0]}
    assert "W5 and W9 bridged where they lie beside each other in housing A of K1, places 19 and 20" in in_unit
    assert "W2 and W9 bridged where they lie beside each other in housing A of K1, places 20 and 21" in in_unit
    assert any(name.startswith("W9 on the body, from") and name.endswith("places 3 and 20") for name in in_unit)
    assert not any("W6" in name for name in in_unit)
    moved = patched_plan(
        tmp_path,
        ["K1: housings.A.cavities.20 = empty", "K1: housings.A.cavities.30 = pedal.a.signal"],
    )
    apart = [fault for fault in faults_of(moved, "pedal") if fault.kind == "bridge" and "W9" in fault.name]
    assert {fault.place for fault in apart} == {"run controller-board", "housing A of B1", "housing A of K1"}
    assert [fault.name for fault in apart if fault.place == "housing A of K1"] == [
        "W9 and W12 bridged where they lie beside each other in housing A of K1, places 29 and 30"
    ]


def test_splices_at_one_station_are_neighbours(tmp_path: Path) -> None:
    loom = "conversion: loom.splices"
    plan = patched_plan(
        tmp_path,
        [
            f"{loom}.Z8 = {{station: panel, joins: [pedal.a.signal]}}",
            f"{loom}.Z9 = {{station: panel, joins: [pedal.b.signal]}}",
        ],
    )
    bridged = [f for f in faults_of(plan, "pedal") if any("splices Z8 and Z9" in place for place in f.places)]
    assert len(bridged) == 1 and bridged[0].kind == "bridge"


def test_another_load_drags_a_shared_supply_down() -> None:
    faults = faults_of(plan_of("first-attempt"), "pedal")
    dragged = [fault for fault in faults if fault.kind == "supply-dragged"]
    assert [fault.name for fault in dragged] == [
        "supply 'five-volts' of K1 dragged down by what else it feeds, through W3"
    ]
    assert not [fault for fault in faults_of(plan_of("market-van"), "pedal") if fault.kind == "supply-dragged"]


def test_the_motor_lifts_a_ground_only_where_it_is_shared(tmp_path: Path) -> None:
    assert not [f for f in faults_of(plan_of("market-van"), "pedal") if f.kind == "ground-lifted"]
    inside = [f for f in faults_of(plan_of("first-attempt"), "pedal") if f.kind == "ground-lifted"]
    assert [fault.place for fault in inside] == ["inside K1"]
    at_body = patched_plan(tmp_path, ["conversion: loom.wires = [{role: pedal.a.ground, from: X1.1}]"])
    lifted = [f for f in faults_of(at_body, "pedal") if f.kind == "ground-lifted"]
    # The control unit's two ground wires with their contacts, and what else the stud's conductor returns through.
    assert {"W37", "W38"} <= {tag for fault in lifted for tag in fault.conductors}
    assert all("with the motor's current through it" in fault.name for fault in lifted)


@pytest.mark.parametrize(
    ("kind", "names"),
    [
        ("rod", ["rod off, or one of its ball joints parted"]),
        ("direct", []),
    ],
)
def test_what_can_part_follows_the_linkage(kind: str, names: list[str], tmp_path: Path) -> None:
    from tests.kinds import DIRECT

    plan = patched_plan(tmp_path, ["conversion: fit removed", *DIRECT] if kind == "direct" else [])
    assert [f.name for f in faults_of(plan, "pedal") if f.kind == "link-parted"] == names


def test_a_spring_that_nothing_stands_in_for_does_not_come_back() -> None:
    broken = {f.name: f.change for f in faults_of(plan_of("first-attempt"), "pedal") if f.kind == "spring-broken"}
    assert broken["spring shop broken, or off its anchor"] == Moved(None, False)
    assert all(
        isinstance(f.change, Moved) and f.change.follows
        for f in faults_of(plan_of("market-van"), "pedal")
        if f.kind == "spring-broken"
    )
