"""Geometry that no linkage can have is told as a figure to put right, never as a fault of the program."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest

from conversion.description import Missing
from conversion.plan import Plan, travel_positions
from conversion.plan.link.rod_loads import FULL_FOOT_N
from conversion.plan.link.rod_threads import thread_holds
from conversion.rules import find_all
from tests.kinds import KINDS
from tests.rules.patching import patched_plan

NO_FIT = "conversion: fit removed"
BY_TRAVEL = "conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}"

IMPOSSIBLE = {
    "groove beside the axis": (
        "cable", "linkage.quadrant.groove_centre = [400 mm, -40 mm, 60 mm]", "linkage.quadrant",
    ),
    "nipple on the axis": ("cable", "linkage.quadrant.nipple = [400 mm, -40 mm, 0 mm]", "linkage.quadrant.nipple"),
    "face square to its axis": ("contact", "linkage.contact.face_normal = left", "linkage.contact.face_normal"),
    "cable pin on its axis": ("cable", "linkage.pedal.cable_pin = [0 mm, 9 mm, 0 mm]", "linkage.pedal.cable_pin"),
    "outer at pin": (
        "cable", "linkage.cable.pedal_outer_end = [0 mm, 0 mm, 60 mm]", "linkage.cable.pedal_outer_end",
    ),
    "outer in the groove": ("cable", "linkage.quadrant.groove_radius = 300 mm", "linkage.cable.module_outer_end"),
    "roller on its axis": (
        "contact", "linkage.contact.roller_centre = [30 mm, 7 mm, -20 mm]", "linkage.contact.roller_centre",
    ),
    "first pin on its axis": ("bell-crank", "linkage.crank.pin_in = [90 mm, 0 mm, -40 mm]", "linkage.crank.pin_in"),
    "second pin on the crank's axis": (
        "bell-crank", "linkage.crank.pin_out = [90 mm, 0 mm, -40 mm]", "linkage.crank.pin_out",
    ),
    "first rod of no length": ("bell-crank", "linkage.crank.pin_in = [8 mm, -12 mm, -78 mm]", "linkage.crank.pin_in"),
    "rod's pin on its axis": ("bell-crank", "linkage.pedal.rod_pin = [0 mm, 9 mm, 0 mm]", "linkage.pedal.rod_pin"),
    "lever of no length": (
        "bell-crank", "linkage.module.lever_pin = [176 mm, 0 mm, -40 mm]", "linkage.module.lever_pin",
    ),
    "second rod too long": ("bell-crank", "linkage.rod = {length: 900 mm}", "linkage.rod"),
    "full stop before rest": ("direct", "linkage.module.set_at_rest = 30°", "linkage.pedal.full_stop.set_at"),
    "full stop out of reach": (
        "cable", "linkage.pedal.cable_pin = [0 mm, 0 mm, 3 mm]", "linkage.pedal.full_stop.set_at",
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", IMPOSSIBLE)
def test_an_impossible_geometry_is_placed(case: str, tmp_path: Path) -> None:
    kind, change, path = IMPOSSIBLE[case]
    plan = patched_plan(tmp_path, [*KINDS[kind], NO_FIT, f"conversion: {change}"])
    with pytest.raises(Missing) as missing:
        _ = plan.travel
    assert missing.value.path == path
    assert missing.value.place == plan.description.place(*path.split("."))
    assert any(not finding.decided for finding in find_all(plan))


DEGENERATE = {
    "cable": (
        "linkage.cable.pedal_outer_end = [0 mm, 0 mm, 60 mm]",
        "linkage.cable.module_outer_end = [400 mm, -40 mm, 0 mm]",
        "linkage.pedal.cable_pin = [0 mm, 0 mm, 0 mm]",
        "linkage.module.axis = forward",
        "linkage.quadrant.groove_radius = 400 mm",
    ),
    "contact": (
        "linkage.contact.roller_centre = [30 mm, 0 mm, -20 mm]",
        "linkage.contact.face_point = [0 mm, 0 mm, 0 mm]",
        "linkage.module.axis = forward",
        "linkage.contact.face_normal = back",
    ),
    "bell-crank": (
        "linkage.crank.pivot = [92 mm, -26 mm, -85 mm]",
        "linkage.crank.pin_in = [8 mm, -12 mm, -78 mm]",
        "linkage.rod = {length: 900 mm}",
        "linkage.crank.axis = forward",
    ),
    "direct": ("linkage.module.set_at_rest = 50°", "linkage.pedal.axis = forward"),
}


@pytest.mark.parametrize(("kind", "change"), [(kind, change) for kind in DEGENERATE for change in DEGENERATE[kind]])
def test_a_degenerate_geometry_is_judged_and_not_sound(kind: str, change: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [*KINDS[kind], NO_FIT, BY_TRAVEL, f"conversion: {change}"])
    found = [finding for finding in find_all(plan) if not finding.rule.startswith("fit/")]
    assert any(finding.severity == "HOLD" for finding in found)
    assert not any("nan" in finding.message.replace("than", "") for finding in found)


@pytest.mark.parametrize("kind", KINDS)
def test_the_travel_has_the_same_keys_for_every_kind(kind: str, tmp_path: Path) -> None:
    rod, _ = travel_positions(patched_plan(tmp_path / "rod", []))
    entries, lacking = travel_positions(patched_plan(tmp_path / kind, [*KINDS[kind], NO_FIT]))
    assert not lacking and len(entries) == len(rod)
    assert all(list(entry) == list(rod[0]) for entry in entries)
    without = {"cable": {"transmission_lever_deg"}, "direct": {"transmission_deg", "transmission_lever_deg",
               "transmission_pedal_deg"}}.get(kind, set())  # fmt: skip
    for entry in entries:
        assert {key for key, value in entry.items() if value is None} == without
    worse = [entry["transmission_deg"] for entry in entries]
    if kind == "cable":
        assert worse == [entry["transmission_pedal_deg"] for entry in entries]


def test_the_jammed_rod_takes_the_foot_times_the_arms(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: linkage.rod.diameter = 6 mm"])
    (jam,), travel = plan.jam_loads, plan.travel
    assert jam.pad_force_n == 900.0 and jam.pushed
    arm = np.abs(travel.solution.pedal_arm_mm)
    assert jam.rod_n == pytest.approx(900.0 * travel.geometry.pad_radius_mm / float(arm.min()))
    bare = patched_plan(tmp_path / "bare", ["conversion: linkage.pedal.full_stop.load removed"])
    assert bare.jam_loads[0].pad_force_n == FULL_FOOT_N


def test_both_rods_of_a_bell_crank_carry_their_share(tmp_path: Path) -> None:
    """Virtual work: what the foot does at the pad, the second rod does at the lever."""
    plan = patched_plan(tmp_path, [*KINDS["bell-crank"], NO_FIT, "conversion: linkage.rod.diameter = 6 mm"])
    (first, jam), travel = plan.jam_loads, plan.travel
    assert (first.rod, jam.rod) == ("first_rod", "rod")
    arm = np.abs(travel.solution.pedal_arm_mm)
    assert first.rod_n == pytest.approx(900.0 * travel.geometry.pad_radius_mm / float(arm.min()))
    at = int(np.argmin(np.abs(travel.pad_travel_mm - jam.pad_travel_mm)))
    at_lever = jam.rod_n * abs(float(travel.solution.lever_arm_mm[at])) * float(travel.ratio[at])
    assert at_lever == pytest.approx(jam.pad_force_n * travel.geometry.pad_radius_mm, rel=1e-9)


def test_the_adjuster_takes_up_what_the_points_are_off(tmp_path: Path) -> None:
    plan: Plan = patched_plan(tmp_path, [])
    needed = plan.needed_length_mm
    assert needed is not None
    nominal, least, greatest = needed
    assert least < nominal < greatest
    exact = patched_plan(
        tmp_path / "exact",
        [
            "conversion: linkage.module.pivot = [146 mm, -48 mm, -20 mm]",
            "conversion: linkage.module.lever_pin = [144 mm, -40 mm, -65 mm]",
            "conversion: linkage.pedal.rod_pin = [8 mm, -12 mm, -78 mm]",
            "conversion: linkage.rod.set_at_rest = 1.0°",
        ],
    )
    assert exact.needed_length_mm == pytest.approx([float(exact.travel.geometry.linkage.rod_length_mm)] * 3)  # type: ignore[attr-defined]


def test_a_heavier_pedal_takes_longer_and_a_heavy_car_has_more_time(tmp_path: Path) -> None:
    light = patched_plan(tmp_path / "light", []).return_time
    heavy = patched_plan(
        tmp_path / "heavy", ["conversion: linkage.pedal.mass = 2.2 kg", "conversion: vehicle.mass = 5000 kg",
                             "conversion: linkage.pedal.centre_of_mass = [0 mm, 0 mm, 0 mm]"]
    ).return_time  # fmt: skip
    assert light.worst_s >= light.all_in_s > 0.0
    # Four times the mass about the same axis: twice the time, but for the weight that no longer helps.
    assert heavy.all_in_s == pytest.approx(2.0 * light.all_in_s, rel=0.1)
    assert (light.limit_s, heavy.limit_s) == (1.0, 2.0)


def test_both_ends_of_both_rods_of_a_bell_crank_lean(tmp_path: Path) -> None:
    """Each against the angle between its rod and its bolt, the bolt turned with what it sits in by hand."""
    lines = [
        "conversion: linkage.first_rod = {pedal_end: {bolt: left, limit: 20°}, crank_end: {bolt: [0.2, 1, 0]}}",
        "conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°, crank_end: {bolt: [0, 1, 0.3]}, lever_end: {bolt: left}}",
    ]
    plan = patched_plan(tmp_path, [*KINDS["bell-crank"], NO_FIT, *lines])
    motion = plan.travel.solution
    ends = {(end.rod, end.key): end.lean_rad[-1] for end in plan.rod_ends}
    assert list(ends) == [
        ("first_rod", "pedal_end"), ("first_rod", "crank_end"), ("rod", "crank_end"), ("rod", "lever_end"),
    ]  # fmt: skip

    def lean(rod: Any, bolt: list[float], turn_rad: float) -> float:
        """Every axis of this linkage points left, so bolts turn about y."""
        x, y, z = np.array(bolt) / np.linalg.norm(bolt)
        cos, sin = np.cos(turn_rad), np.sin(turn_rad)
        along = (rod.pedal_pin_mm - rod.lever_pin_mm)[-1]
        now = np.array([x * cos + z * sin, y, z * cos - x * sin])
        return float(np.arcsin(abs(along @ now) / np.linalg.norm(along)))

    crank = float(motion.quantities()["crank_angle_rad"][-1])
    assert abs(crank) > 0.1
    assert ends["first_rod", "pedal_end"] == pytest.approx(lean(motion.first, [0, 1, 0], 0.0))
    assert ends["first_rod", "crank_end"] == pytest.approx(lean(motion.first, [0.2, 1, 0], crank))
    assert ends["rod", "crank_end"] == pytest.approx(lean(motion.second, [0, 1, 0.3], crank))
    assert ends["rod", "lever_end"] == pytest.approx(lean(motion.second, [0, 1, 0], 0.0))


def test_what_a_bracket_gives_the_lever_does_not_turn(tmp_path: Path) -> None:
    """One millimetre over the arm of the link, and the force of the link over the stiffness."""
    plan = patched_plan(tmp_path, ["conversion: linkage.module.bracket_stiffness = 10 N/mm"])
    give = plan.bracket_give
    assert give is not None
    assert give.for_each_mm_rad == pytest.approx(1.0 / abs(float(plan.travel.solution.lever_arm_mm[-1])))
    assert give.lost_rad == pytest.approx(give.for_each_mm_rad * float(plan.returns.link_force_n[-1]) / 10.0)
    assert patched_plan(tmp_path / "direct", [*KINDS["direct"], NO_FIT]).bracket_give is None


def test_how_far_a_thread_can_be_adjusted(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    (thread,) = thread_holds(plan.description, plan.travel)
    assert (thread.engaged_mm, thread.left_mm, thread.wanted_mm) == (16.0, 11.0, 9.0)
    assert (thread.shortest_mm, thread.longest_mm) == (135.0, 145.0)
    assert thread.shortest_mm < thread.length_mm < thread.longest_mm


def test_why_the_full_stop_is_out_of_reach_is_said(tmp_path: Path) -> None:
    def state(kind: str, change: str) -> str:
        plan = patched_plan(tmp_path / kind, [*KINDS[kind], NO_FIT, f"conversion: {change}"])
        with pytest.raises(Missing) as missing:
            _ = plan.travel
        return missing.value.state

    assert "with the pedal at rest, 30.0°" in state("direct", "linkage.module.set_at_rest = 30°")
    assert "the second rod is too long" in state("bell-crank", "linkage.rod = {length: 900 mm}")
    # The pin's circle of 3 mm lies so far off the end of the outer; what is drawn at most turns a groove of 40 mm.
    said = state("cable", "linkage.pedal.cable_pin = [0 mm, 0 mm, 3 mm]")
    drawn = np.hypot(150.0, 60.0) + 3.0 - np.hypot(150.0, 57.0)
    most = float(said.split("turns the lever to ")[1].split("°")[0])
    assert most == pytest.approx(1.0 + np.degrees(drawn / 40.0), abs=0.3)
