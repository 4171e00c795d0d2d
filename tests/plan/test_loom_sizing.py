"""Currents, sizes and fuses of a whole loom, by hand and by their laws."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from conversion import resources
from conversion.circuit import solve
from conversion.description import read_description
from conversion.loom.conductors import conductor_ohm
from conversion.plan import Plan
from conversion.plan.loom.loads import SWITCH_INPUT_A
from conversion.sensing import Sensor, gather_tracks
from conversion.wiring import SplicePoint, Wire
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")
RUNS = ("controller-board", "board-panel", "board-bulkhead", "bulkhead-engine", "bulkhead-battery")
SENSORS: tuple[Sensor, ...] = ("pedal", "throttle")


@cache
def demo(name: str = "market-van") -> Plan:
    return Plan(read_description(resources.harnesses_dir() / name))


def wire_between(plan: Plan, start: str, end: str) -> Wire:
    return next(wire for wire in plan.wiring.wires if {wire.start.name, wire.end.name} == {start, end})


def current_a(plan: Plan, start: str, end: str) -> float | None:
    return plan.sizes.loads.wires[wire_between(plan, start, end).tag].current_a


LOADS = [
    "K1: draws = {feed.87: 12 A, feed.15: 0.3 A, feed.30: 0.05 A}",
    "P1: draws = {feed.15: 0.2 A}",
    "K2: coil_resistance = 100 ohm ± 0 %",
    "conversion: vehicle.supply = 11 V..15 V",
]
"""Round figures: the coil takes 0.15 A."""


class TestCurrents:
    def test_each_wire_by_hand(self, tmp_path: Path) -> None:
        plan = patched_plan(tmp_path, LOADS)
        assert current_a(plan, "K2.87", "K1.5") == pytest.approx(12.0)
        assert current_a(plan, "G1.plus", "F3.1") == pytest.approx(12.0)
        assert current_a(plan, "Z1", "P1.1") == pytest.approx(0.2)
        assert current_a(plan, "K1.9", "P1.2") == pytest.approx(0.2)
        assert current_a(plan, "K1.8", "K2.85") == pytest.approx(0.15)
        # Terminal 30: the control unit, the coil, and one of the brake switch's contacts.
        assert current_a(plan, "Z2", "F1.2") == pytest.approx(0.05 + 0.15 + SWITCH_INPUT_A)
        # Terminal 15: the control unit, the lamp, the other brake contact and the clutch.
        assert current_a(plan, "Z1", "F2.2") == pytest.approx(0.3 + 0.2 + 2 * SWITCH_INPUT_A)
        # All of it returns through the control unit's grounds, of which either may have to carry it alone.
        whole = 12.0 + 0.3 + 0.05 + 0.2 + 0.15 + 3 * SWITCH_INPUT_A
        assert current_a(plan, "X1.1", "K1.3") == current_a(plan, "X1.1", "K1.4") == pytest.approx(whole)
        assert current_a(plan, "X1.1", "G1.minus") == pytest.approx(whole)

    @pytest.mark.parametrize("name", DEMOS)
    def test_what_flows_into_a_splice_flows_out(self, name: str) -> None:
        plan = demo(name)
        splices = {end for wire in plan.wiring.wires for end in (wire.start, wire.end) if isinstance(end, SplicePoint)}
        for splice in splices:
            flows = sorted(plan.sizes.loads.wires[wire.tag].greatest_a for wire in plan.wiring.at(splice))
            if plan.wiring.at(splice)[0].group in ("feed", "source", "ground"):
                assert flows[-1] == pytest.approx(sum(flows[:-1])), splice.name

    def test_a_draw_that_is_not_described_leaves_its_way_unknown_and_nothing_else(self, tmp_path: Path) -> None:
        plan = patched_plan(tmp_path, ["K1: draws.'feed.15' removed"])
        unknown = {tag for tag, load in plan.sizes.loads.wires.items() if load.unknown}
        ends = {
            (plan_wire.start.name, plan_wire.end.name) for plan_wire in plan.wiring.wires if plan_wire.tag in unknown
        }
        assert ("Z1", "K1.7") in ends and ("Z1", "F2.2") in ends and ("X1.1", "K1.3") in ends
        assert ("Z1", "P1.1") not in ends and ("K2.87", "K1.5") not in ends

    def test_the_motor_is_in_its_own_wires_only(self, tmp_path: Path) -> None:
        plan = patched_plan(tmp_path, ["M1: motor.current = 9 A"])
        assert current_a(plan, "K1.16", "M1.1") == current_a(plan, "K1.17", "M1.6") == 9.0
        assert current_a(plan, "K2.87", "K1.5") == current_a(demo(), "K2.87", "K1.5")

    def test_two_tracks_on_one_ground_lift_it_together(self, tmp_path: Path) -> None:
        shared = patched_plan(
            tmp_path,
            [
                "M1: housings.A.cavities.4 = throttle.a.ground + throttle.b.ground",
                "M1: housings.A.cavities.9 = empty",
                "K1: housings.A.cavities.25 = throttle.a.ground + throttle.b.ground",
                "K1: housings.A.cavities.28 = empty",
            ],
        )
        losses = shared.line_losses("throttle", ["a", "b"])
        alone = demo().line_losses("throttle", ["a", "b"])
        assert losses["a"].ground == losses["b"].ground
        assert losses["a"].ground_rise_v == pytest.approx(2.0 * alone["a"].ground_rise_v, rel=1e-6)
        assert losses["a"].supply_drop_v == pytest.approx(alone["a"].supply_drop_v)


class TestSizes:
    @pytest.mark.parametrize("name", DEMOS)
    def test_every_wire_has_the_size_that_was_chosen_and_says_why(self, name: str) -> None:
        plan = demo(name)
        for wire in plan.wiring.wires:
            choice = plan.sizes.choices[wire.tag]
            assert wire.size_mm2 == choice.size_mm2
            assert choice.words.endswith(".") and choice.limits
            if choice.decided_by != "said":
                assert choice.enough
                assert choice.size_mm2 == max(limit.size_mm2 for limit in choice.limits)
                assert any(limit.name == choice.decided_by for limit in choice.limits)

    def test_a_size_that_is_described_stays(self, tmp_path: Path) -> None:
        plan = patched_plan(tmp_path, ["conversion: loom.wires.3 = {role: feed.87, size: 0.5 mm²}"])
        wire = wire_between(plan, "K2.87", "K1.5")
        choice = plan.sizes.choices[wire.tag]
        assert wire.size_mm2 == 0.5 and choice.decided_by == "said" and not choice.enough

    @pytest.mark.parametrize(
        "run", ["controller-board", "board-panel", "board-bulkhead", "bulkhead-engine", "bulkhead-battery"]
    )
    def test_a_longer_run_never_needs_a_thinner_wire(self, run: str, tmp_path: Path) -> None:
        longer = patched_plan(tmp_path, [f"conversion: loom.runs.{run}.length = 3.5 m"])
        before, after = demo().sizes.choices, longer.sizes.choices
        assert all(before[tag].needed_mm2 <= after[tag].needed_mm2 for tag in before)
        assert any(before[tag].needed_mm2 < after[tag].needed_mm2 for tag in before)

    def test_drop_by_hand(self, tmp_path: Path) -> None:
        """The lamp's 0.2 A out and back, by the resistance of each wire at the temperature that it is said to have."""
        plan = demo()
        drop = next(drop for drop in plan.sizes.drops if drop.load == "P1 through feed.15")
        by_hand = 0.0
        for tag in drop.by_wire_v:
            choice, load = plan.sizes.choices[tag], plan.sizes.loads.wires[tag]
            assert choice.conductor_degc is not None
            length_mm = 1000.0 * plan.sizes.lengths_m[tag]
            by_hand += load.steady_share_a * conductor_ohm(choice.size_mm2, length_mm, choice.conductor_degc)
        assert drop.drop_v == pytest.approx(by_hand)
        names = {end.name for wire in plan.wiring.wires if wire.tag in drop.by_wire_v for end in (wire.start, wire.end)}
        assert {"G1.plus", "F4.1", "S3.30", "F2.2", "P1.1", "P1.2", "K1.9", "X1.1", "G1.minus"} <= names

    @pytest.mark.parametrize("name", DEMOS)
    def test_what_drops_is_what_is_laid(self, name: str) -> None:
        """All of a finished wire counts but what twisting adds: slack in a tail carries the current too."""
        plan = demo(name)
        for tag, length in plan.lengths.items():
            laid_mm = length.finished_mm - length.twist_mm
            assert 1000.0 * plan.sizes.lengths_m[tag] == pytest.approx(laid_mm), tag

    @pytest.mark.parametrize("name", DEMOS)
    def test_chosen_sizes_keep_every_drop(self, name: str) -> None:
        assert all(drop.enough for drop in demo(name).sizes.drops)

    def test_a_hot_zone_is_told_where_the_insulation_does_not_stand_it(self, tmp_path: Path) -> None:
        plan = patched_plan(tmp_path, ["conversion: loom.runs.bulkhead-battery.zone = hot"])
        assert not plan.sizes.choices[wire_between(plan, "X1.1", "G1.minus").tag].enough
        better = patched_plan(
            tmp_path / "better",
            ["conversion: loom.runs.bulkhead-battery.zone = hot", "conversion: loom.insulation = 150 °C"],
        )
        assert better.sizes.choices[wire_between(better, "X1.1", "G1.minus").tag].enough

    def test_without_a_loom_everything_is_habit(self, tmp_path: Path) -> None:
        devices = [device for device, form in demo().description.conversion.devices.items() if form.station]
        away = [f"conversion: devices.{device}.station removed" for device in devices]
        plan = patched_plan(tmp_path, ["conversion: loom removed", *away])
        assert {choice.decided_by for choice in plan.sizes.choices.values()} <= {"habit", "least"}


class TestFuses:
    def test_each_feed_is_behind_its_nearest_fuse(self) -> None:
        plan = demo()
        behind = {
            fuse: {frozenset(end.name for end in (w.start, w.end)) for w in plan.wiring.wires if w.tag in each.protects}
            for fuse, each in plan.sizes.fuses.items()
        }
        assert {"K2.87", "K1.5"} in behind["F3"] and {"F3.2", "K2.30"} in behind["F3"]
        assert {"S4.2", "F2.1"} in behind["F4"], "the fuse before the switches, as far as the next fuse"
        assert {"F2.2", "Z1"} in behind["F2"] and {"Z1", "P1.1"} in behind["F2"]
        assert {"K1.10", "S1.2"} in behind["F1"], "a switch's contact is fed by what feeds the switch"
        assert not any({"G1.plus", f"{fuse}.1"} in behind[fuse] for fuse in behind), "nothing is before the first fuse"

    def test_a_larger_fuse_asks_for_thicker_wires_behind_and_before_it(self, tmp_path: Path) -> None:
        larger = patched_plan(tmp_path, ["F3: rating = 30 A"])
        for start, end in (("K2.87", "K1.5"), ("F3.2", "K2.30"), ("G1.plus", "F3.1")):
            assert wire_between(larger, start, end).size_mm2 > wire_between(demo(), start, end).size_mm2

    def test_a_rating_that_is_not_known_is_chosen(self, tmp_path: Path) -> None:
        fuse = patched_plan(tmp_path, ["F3: rating = unknown"]).sizes.fuses["F3"]
        assert (fuse.decided_by, fuse.chosen_a) == ("load", fuse.smallest_a)
        assert fuse.need.least_a is not None and fuse.chosen_a is not None and fuse.chosen_a >= fuse.need.least_a

    def test_no_load_is_known_and_no_rating(self, tmp_path: Path) -> None:
        fuse = patched_plan(tmp_path, ["F3: rating = unknown", "K1: draws removed"]).sizes.fuses["F3"]
        assert fuse.chosen_a is None and fuse.need.load_a is None and "K1" in fuse.words

    def test_a_short_circuit_by_hand(self) -> None:
        """Battery and body 20 mohm each, and the wires from the battery to the control unit at 105 °C."""
        plan = demo()
        tags = [wire_between(plan, *ends).tag for ends in (("G1.plus", "F3.1"), ("F3.2", "K2.30"), ("K2.87", "K1.5"))]
        ohm = sum(
            conductor_ohm(plan.sizes.choices[tag].size_mm2, 1000.0 * plan.sizes.lengths_m[tag], 105.0) for tag in tags
        )
        fuse = plan.sizes.fuses["F3"]
        supply = plan.description.conversion.vehicle.supply
        assert supply is not None
        assert fuse.short_at == "K1" and fuse.short_a == pytest.approx(supply.low / (0.04 + ohm))

    @pytest.mark.parametrize("name", DEMOS)
    def test_every_feeding_wire_is_behind_a_fuse_or_before_the_first(self, name: str) -> None:
        plan = demo(name)
        behind = {tag for fuse in plan.sizes.fuses.values() for tag in fuse.protects}
        feeds = {wire.tag for wire in plan.wiring.wires if wire.group == "feed"}
        assert feeds <= behind | set(plan.sizes.ways.unfused)

    def test_its_wires_survive_it(self) -> None:
        for fuse in demo().sizes.fuses.values():
            assert fuse.most_a is not None and fuse.chosen_a is not None and fuse.chosen_a <= fuse.most_a


class TestSensors:
    @pytest.mark.parametrize("sensor", SENSORS)
    def test_the_sweep_reads_what_the_circuit_reads(self, sensor: Sensor, tmp_path: Path) -> None:
        """Contacts of 2 ohm: what the sweep takes off and adds is what the solved circuit has, within a twentieth."""
        plan = patched_plan(
            tmp_path,
            [
                "conversion: loom.contact_resistance = 2 ohm",
                "conversion: vehicle.supply = 14.0 V..14.0 V",
                *(f"K1: supplies.{name}.source_resistance = 0.1 mohm" for name in ("one", "two", "three", "four")),
            ],
        )
        circuit, sweep = plan.circuit(sensor), plan.sensor(sensor)
        solved = solve(circuit.network)
        for track, swept in sweep.tracks.items():
            without = gather_tracks(plan.description, sensor)[track].model.volts(sweep.position)
            lost = np.abs(without - solved.at(circuit.inputs[track]))
            off = np.abs(swept.volts - solved.at(circuit.inputs[track]))
            assert np.max(lost) > 5e-3
            assert np.max(off) < 0.3 * np.max(lost), "the currents counted are the greatest over the tolerances"
            assert np.max(np.abs(swept.volts - without)) > np.max(lost), "and so never on the light side"

    def test_cost_by_hand(self, tmp_path: Path) -> None:
        """Contacts of 1 ohm at both ends: 2 ohm and the copper in each line; per cent of the span at rest."""
        plan = patched_plan(tmp_path, ["conversion: loom.contact_resistance = 1 ohm"])
        loss, track = plan.line_losses("pedal", ["a"])["a"], plan.pedal_tracks["a"]
        tag = loss.ground[0]
        choice = plan.sizes.choices[tag]
        assert choice.conductor_degc is not None
        copper = conductor_ohm(choice.size_mm2, 1000.0 * plan.sizes.lengths_m[tag], choice.conductor_degc)
        amps = plan.sizes.loads.wires[tag].greatest_a
        assert loss.ground_rise_v == pytest.approx(amps * (2.0 + copper))
        (cost,) = plan.agreement_costs("pedal")
        ratio = track.model.output_ratio(plan.pedal.position[:1])[0]
        own = loss.ground_rise_v * (1.0 - ratio) - loss.supply_drop_v * ratio
        assert cost.index == 0 and cost.own[0] == pytest.approx(own, rel=0.02), "the pull resistor takes a little"

    def test_no_limit_no_cost(self, tmp_path: Path) -> None:
        assert patched_plan(tmp_path, ["K1: accepts.pedal.agreement removed"]).agreement_costs("pedal") == ()
