"""Wires follow from roles; splices and changes bend them; what finds no partner is told."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError
from conversion.plan import Plan
from conversion.wiring import Wire, feed_chain
from tests.rules.arrangements import OPPOSITE_SHARED
from tests.rules.patching import patched_plan


def ends(wires: tuple[Wire, ...]) -> list[set[str]]:
    return [{wire.start.name, wire.end.name} for wire in wires]


@pytest.fixture
def plan(tmp_path: Path) -> Plan:
    return patched_plan(tmp_path, [])


def test_a_signal_runs_from_the_control_unit_to_the_one_terminal_with_its_role(plan: Plan) -> None:
    assert ends(plan.wiring.of_role("pedal.a.signal")) == [{"K1.20", "B1.3"}]


def test_one_wire_serves_all_roles_that_join_the_same_two_terminals(tmp_path: Path) -> None:
    [wire] = patched_plan(tmp_path, OPPOSITE_SHARED).wiring.of_role("throttle.a.supply")
    assert wire.roles == ("throttle.a.supply", "throttle.b.supply")


def test_every_terminal_with_a_role_has_a_wire(plan: Plan) -> None:
    for device in plan.description.parts:
        for terminal, form in plan.description.terminals(device):
            if form.roles:
                assert plan.wiring.at(terminal), terminal.name
    assert plan.wiring.loose == ()


def test_tags_are_unique_and_in_building_order(plan: Plan) -> None:
    tags = [wire.tag for wire in plan.wiring.wires]
    assert tags == [f"W{number}" for number in range(1, len(tags) + 1)]
    groups = [wire.group for wire in plan.wiring.wires]
    assert groups.index("sensor supply") < groups.index("motor") < groups.index("feed") < groups.index("ground")


def test_the_two_tracks_never_look_alike(plan: Plan) -> None:
    for what in ("supply", "ground", "signal"):
        [one] = plan.wiring.of_role(f"pedal.a.{what}")
        [other] = plan.wiring.of_role(f"pedal.b.{what}")
        assert one.colour != other.colour


def test_a_feed_comes_from_the_device_that_is_named(plan: Plan) -> None:
    assert ends(plan.wiring.of_role("feed.87")) == [{"K2.87", "K1.5"}]
    assert feed_chain(plan.description, "K1", "feed.87") == ("K2", "F3", "G1")
    assert feed_chain(plan.description, "K1", "feed.15") == ("F2", "S4", "S3", "F4", "G1")


def test_a_splice_is_the_hub_of_its_role(plan: Plan) -> None:
    wires = plan.wiring.of_role("feed.15")
    assert all(wire.start.name == "Z1" for wire in wires)
    assert {wire.end.name for wire in wires} == {"F2.2", "K1.7", "S1.3", "S2.1", "P1.1"}


def test_a_splice_joins_two_roles(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path, ["conversion: loom.splices.Z2 = {station: pedal, joins: [pedal.a.ground, pedal.b.ground]}"]
    )
    wires = [*plan.wiring.of_role("pedal.a.ground"), *plan.wiring.of_role("pedal.b.ground")]
    assert {wire.end.name for wire in wires} == {"K1.19", "K1.22", "B1.2", "B1.5"}
    assert {wire.start.name for wire in wires} == {"Z2"}


def test_a_splice_for_some_devices_leaves_the_others_alone(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.splices.Z1.devices = [S1, S2]"])
    at_splice = {wire.end.name for wire in plan.wiring.wires if wire.start.name == "Z1"}
    assert at_splice == {"F2.2", "S1.3", "S2.1"}
    assert {"K1.7", "F2.2"} in ends(plan.wiring.of_role("feed.15"))


def test_two_feeds_are_never_joined_by_a_splice(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError, match="would join F1 and F2"):
        patched_plan(tmp_path, ["conversion: devices.P1.fed_from = F1"])


def test_changes_set_colour_size_and_terminal(tmp_path: Path) -> None:
    change = "{role: pedal.a.signal, colour: gnbk, size: AWG 20, from: K1.20, reason: spare reel}"
    plan = patched_plan(tmp_path, [f"conversion: loom.wires.3 = {change}"])
    [wire] = plan.wiring.of_role("pedal.a.signal")
    assert (wire.colour, wire.size_said, wire.reason) == ("GNBK", True, "spare reel")
    assert wire.size_mm2 == pytest.approx(0.518, abs=0.001)


def test_a_wire_can_be_left_out_with_its_reason(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.wires.3 = {role: clutch.signal, left_out: no clutch pedal}"])
    assert plan.wiring.of_role("clutch.signal") == ()
    assert plan.wiring.left_out == (("clutch.signal", "no clutch pedal"),)


def test_an_additional_wire_needs_a_terminal_that_is_free(tmp_path: Path) -> None:
    with pytest.raises(DescriptionError, match=r"K1\.20 is used twice"):
        patched_plan(tmp_path, ["conversion: loom.wires.3 = {from: K1.20, to: X1.1}"])


def test_what_finds_no_partner_is_loose(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: devices.P1 removed", "conversion: devices.S2.fed_from removed"])
    assert {(item.terminal.name, item.role) for item in plan.wiring.loose} == {
        ("K1.9", "lamp.drive"), ("S2.1", "feed.15"),
    }  # fmt: skip


def test_two_ground_points_have_to_be_told_apart(tmp_path: Path) -> None:
    second = "{part: treadle:ground-stud, place: engine block, station: engine}"
    plan = patched_plan(tmp_path, [f"conversion: devices.X2 = {second}", "conversion: devices.K1.grounded_at removed"])
    assert {item.terminal.name for item in plan.wiring.loose} == {"K1.3", "K1.4"}
    assert "X1 or X2" in plan.wiring.loose[0].why


def test_the_order_of_devices_does_not_change_what_is_joined(tmp_path: Path, plan: Plan) -> None:
    moved = patched_plan(
        tmp_path / "other",
        [
            "conversion: devices.B1 removed",
            "conversion: devices.B1 = {part: parts/pedal-module.yaml, place: bracket, station: pedal}",
        ],
    )
    joined = {(frozenset({w.start.name, w.end.name}), w.roles) for w in plan.wiring.wires}
    assert joined == {(frozenset({w.start.name, w.end.name}), w.roles) for w in moved.wiring.wires}
