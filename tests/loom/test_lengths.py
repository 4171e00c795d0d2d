"""Cut and finished lengths: what they are made of, worked out by hand, and laws over all worked conversions."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import Terminal, read_description
from conversion.loom.lengths import Length, contact_at
from conversion.plan import Plan
from conversion.wiring import SplicePoint
from tests.rules.patching import patched_plan

BARE = (
    "conversion: loom.tail = 100 mm",
    "conversion: loom.retermination = 20 mm",
    "conversion: loom.drip_loop = 40 mm",
    "conversion: devices.K1.tail removed",
    "conversion: devices.B1.tail = 180 mm ± 5 mm",
    "conversion: devices.B1.drip_loop = 30 mm",
)


def length_of(plan: Plan, role: str) -> Length:
    [wire] = plan.wiring.of_role(role)
    return plan.lengths[wire.tag]


def test_worked_out_by_hand(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, BARE)
    found = length_of(plan, "pedal.a.signal")
    [twist] = [twist for twist in plan.twists if twist.name == "pedal track a"]
    assert found.route_mm == pytest.approx(620.0 + 540.0)
    assert found.margin_mm == 0.0
    assert found.tails_mm == pytest.approx(100.0 + 185.0)
    assert found.drip_mm == pytest.approx(30.0)
    assert found.slack_mm == pytest.approx(2 * 2 * 20.0)
    assert found.twist_mm == pytest.approx((twist.takeup - 1.0) * (1160.0 + 285.0))
    assert found.finished_mm == pytest.approx(1160.0 + 285.0 + 30.0 + 80.0 + found.twist_mm)
    assert found.cut_mm == math.ceil(found.finished_mm + found.strip_mm)


def test_what_a_run_may_be_longer_is_cut_as_well(tmp_path: Path) -> None:
    exact = patched_plan(tmp_path / "exact", ["conversion: loom.runs.board-pedal.length = 540 mm"])
    rough = patched_plan(tmp_path / "rough", ["conversion: loom.runs.board-pedal.length = 540 mm ± 15 mm"])
    one, other = length_of(exact, "pedal.a.signal"), length_of(rough, "pedal.a.signal")
    assert other.route_mm == one.route_mm
    assert other.margin_mm == pytest.approx(15.0)
    assert other.cut_mm == one.cut_mm + 15.0


def test_a_splice_has_no_tail_and_no_slack(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, BARE)
    wire = next(wire for wire in plan.wiring.wires if isinstance(wire.start, SplicePoint))
    assert isinstance(wire.end, Terminal)
    found = plan.lengths[wire.tag]
    device = plan.description.conversion.devices[wire.end.device]
    assert found.tails_mm == pytest.approx(device.tail.high if device.tail else 100.0)
    assert found.slack_mm == pytest.approx(40.0)


def test_the_strip_is_that_of_the_contact(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path / "as-is", [])
    [wire] = plan.wiring.of_role("pedal.a.signal")
    assert isinstance(wire.end, Terminal) and wire.end.device == "B1"
    described = contact_at(plan.description, wire.end)
    assert described is not None and described.strip is not None
    line = f"B1: housings.{wire.end.housing}.contact = {{title: socket contact, strip: 7.5 mm}}"
    changed = patched_plan(tmp_path / "changed", [line])
    before, after = length_of(plan, "pedal.a.signal"), length_of(changed, "pedal.a.signal")
    assert after.strip_mm - before.strip_mm == pytest.approx(7.5 - described.strip.nominal)
    assert after.finished_mm == before.finished_mm


@pytest.mark.parametrize("name", ["market-van", "trials-buggy", "first-attempt"])
def test_no_wire_is_cut_shorter_than_its_runs(name: str) -> None:
    plan = Plan(read_description(resources.harnesses_dir() / name))
    known = {tag for tag, route in plan.routes.items() if route.length_mm is not None}
    assert set(plan.lengths) == known and known
    for tag, length in plan.lengths.items():
        route_mm = plan.routes[tag].length_mm
        assert route_mm is not None
        assert length.cut_mm >= length.finished_mm >= route_mm
        parts = length.route_mm, length.margin_mm, length.twist_mm, length.tails_mm, length.drip_mm, length.slack_mm
        assert min(parts) >= 0.0
        assert length.finished_mm == pytest.approx(sum(parts))
        assert length.cut_mm == int(length.cut_mm)
        assert length.cut_mm - 1.0 < length.finished_mm + length.strip_mm <= length.cut_mm + 1e-6


def test_totals_are_the_sum_of_what_is_cut(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.drum_allowance = 25 %"])
    assert sum(total.cut_mm for total in plan.wire_totals) == pytest.approx(
        sum(length.cut_mm for length in plan.lengths.values())
    )
    assert sum(total.wires for total in plan.wire_totals) == len(plan.wiring.wires)
    for total in plan.wire_totals:
        assert total.drum_m == math.ceil(total.cut_mm * 1.25 / 1000.0)


def test_a_wire_without_a_known_length_is_told_and_not_counted(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.runs.board-pedal.length = unknown"])
    [wire] = plan.wiring.of_role("pedal.a.signal")
    assert wire.tag not in plan.lengths
    [total] = [total for total in plan.wire_totals if wire.tag in total.unknown]
    assert (total.size_mm2, total.colour) == (wire.size_mm2, wire.colour)


def test_without_a_described_loom_nothing_is_known_and_nothing_breaks(tmp_path: Path) -> None:
    devices = patched_plan(tmp_path / "before", []).description.conversion.devices
    stations = [f"conversion: devices.{reference}.station removed" for reference in devices]
    plan = patched_plan(tmp_path / "after", ["conversion: loom removed", *stations])
    assert (plan.lengths, plan.bundles, plan.passages) == ({}, {}, {})
    assert {twist.name for twist in plan.twists} >= {"pedal track a", "throttle motor"}
    assert sum(len(total.unknown) for total in plan.wire_totals) == len(plan.wiring.wires)
    assert all(total.drum_m == 0 for total in plan.wire_totals)
