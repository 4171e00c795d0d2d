"""All that is said of the travel beside its table: as data, and as text for a terminal."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from conversion.plan import POSITIONS, Plan
from conversion.plan.link.travel_json import travel_json
from conversion.plan.link.travel_text import fact_lines
from tests.kinds import KINDS
from tests.rules.patching import patched_plan

NO_FIT = "conversion: fit removed"
EVERY: dict[str, list[str]] = {"rod": [], **{kind: [*lines, NO_FIT] for kind, lines in KINDS.items()}}
OWN = {
    "rod": {"side_load_n", "side_load_limit_n", "sideways_share_lever"},
    "cable": {"wrap_deg", "slack_mm", "straight_at_pedal_mm", "straight_at_module_mm", "swing_at_outer_deg",
              "out_of_groove_deg", "over_travel_mm", "over_travel_force_n", "quadrant_arm_mm"},
    "contact": {"slid_mm", "slid_across_mm", "gap_mm", "edge_margin_mm", "along_face_mm"},
    "bell-crank": {"crank_angle_deg", "side_load_n", "transmission_crank_in_deg", "first_rod_force_share"},
    "direct": set(),
}  # fmt: skip
TEXT = {
    "rod": ("Rod, thread", "Rod, lean at the pedal", "Rod, lean at the lever", "Pushed along the lever's axis"),
    "cable": ("Wrapped on the quadrant", "Slack at rest", "Straight piece, outer to pedal", "Over-travel spring"),
    "contact": ("Slides along the face", "Least to an edge", "Gap between roller and face"),
    "bell-crank": ("First rod, ball to ball", "Second rod, ball to ball", "Pushed along the lever's axis"),
    "direct": (),
}  # fmt: skip


def data(plan: Plan) -> dict[str, Any]:
    found, lacking = travel_json(plan)
    assert not lacking
    json.dumps(found, allow_nan=False)
    return found


@pytest.mark.parametrize("kind", EVERY)
def test_every_kind_says_what_is_its_own(kind: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, EVERY[kind])
    found = data(plan)
    assert found["kind"] == kind and len(found["positions"]) == POSITIONS
    assert OWN[kind] <= set(found["link"])
    for name, values in found["link"].items():
        if isinstance(values, list):
            assert len(values) == POSITIONS, name
    said = "\n".join(fact_lines(plan))
    for words in (*TEXT[kind], "Pad force at rest", "Pad force at full", "hysteresis", "Time from full to rest"):
        assert words in said, said


@pytest.mark.parametrize("kind", EVERY)
def test_the_return_is_told_case_by_case(kind: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, EVERY[kind])
    returns = data(plan)["returns"]
    out = {case["spring_out"] for case in returns["cases"] if case["kind"] == "spring-out"}
    assert out == {"main", "second", "in the module 1 of 2", "in the module 2 of 2"}
    alone = {case["half"] for case in returns["cases"] if case["kind"] == "link-parted"}
    assert alone == ({"pedal", "module"} if kind != "direct" else set())
    pressing, releasing = np.array(returns["pad_force_pressing_n"]), np.array(returns["pad_force_releasing_n"])
    np.testing.assert_allclose(returns["hysteresis_n"], pressing - releasing, atol=1e-8)
    assert np.all(np.array(returns["hysteresis_n"]) > 0.0)
    assert 0.0 < returns["time_s"] < returns["time_worst_s"] < returns["time_limit_s"]


def test_the_straight_pieces_of_a_cable_run_from_the_outer_to_its_ends(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, EVERY["cable"])
    link, motion = data(plan)["link"], plan.travel.solution
    outer, end = motion.linkage.pedal_outer_end, motion.linkage.module_outer_end  # type: ignore[attr-defined]
    np.testing.assert_allclose(link["straight_at_pedal_mm"], np.linalg.norm(motion.pedal_pin_mm - outer, axis=-1))
    np.testing.assert_allclose(link["straight_at_module_mm"], np.linalg.norm(motion.lever_pin_mm - end, axis=-1))
    drawn = np.diff(link["straight_at_pedal_mm"]).sum()
    assert link["drawn_from_pedal_mm"][-1] == pytest.approx(drawn)


def test_the_tape_says_which_reading_to_take_again(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: linkage.module.pivot.from.B = 210.0 mm"])
    (point,) = [each for each in data(plan)["tape"] if each["point"] == "linkage.module.pivot"]
    assert not point["agrees"] and "Take 210.0 mm from B again" in point["advice"]
    again = [reading["read"] for reading in point["readings"] if reading["again"]]
    assert again == ["210.0 mm from B"]
    assert [reading["agrees"] for reading in point["readings"]].count(False) >= 1
    said = "\n".join(fact_lines(plan))
    assert "does not fit, take it again" in said


def test_measured_points_come_in_the_order_of_the_format(tmp_path: Path) -> None:
    """Whatever order a set of keys happens to have."""
    mark = "conversion: marks.D = {from: {A: 347 mm, B: 498.5 mm, C: 260.5 mm, E: 317 mm}, side: back}"
    later = "conversion: marks.E removed"
    lines = [later, "conversion: marks.D removed", "conversion: marks.E = [164 mm, 60 mm, -180 mm]", mark]
    names = [point["point"] for point in data(patched_plan(tmp_path, lines))["tape"]]
    assert names == ["marks.D", "linkage.module.pivot", "linkage.module.lever_pin"]


def test_a_protractors_residual_is_given_in_degrees(tmp_path: Path) -> None:
    pivot = "{from: {A: 182.5 mm, B: 202.0 mm, C: 111.0 mm}, angles: {D: {between: up, reads: 48° ± 3°}}, side: down}"
    plan = patched_plan(tmp_path, [f"conversion: linkage.module.pivot = {pivot}"])
    (point,) = [each for each in data(plan)["tape"] if each["point"] == "linkage.module.pivot"]
    reading = point["readings"][-1]
    assert reading["allowed_deg"] == pytest.approx(3.0) and abs(reading["off_deg"]) < 10.0


def test_stops_and_their_loads_are_told(tmp_path: Path) -> None:
    stops = data(patched_plan(tmp_path, []))["stops"]
    assert stops["full"] == {"origin": "made", "lockable": True, "load_n": 900.0}
    assert stops["rest"]["load_n"] == 300.0


def test_the_pad_position_of_what_goes_wrong_is_told_in_millimetres(tmp_path: Path) -> None:
    lines = [
        "conversion: linkage.pedal.rod_pin = [62 mm, -12 mm, -47 mm]",
        "conversion: linkage.rod = {length: 85 mm}",
        "conversion: linkage.pedal.full_stop = {at: 110 mm, origin: made}",
    ]
    events = data(patched_plan(tmp_path, lines))["events"]
    assert [each["kind"] for each in events] == ["reversal"]
    assert 20.0 < events[0]["from_mm"] < 110.0


def test_what_cannot_be_computed_is_told_and_the_rest_is_there(tmp_path: Path) -> None:
    found, lacking = travel_json(patched_plan(tmp_path, ["conversion: springs.main.rate = unknown"]))
    assert "returns" not in found and found["rods"][0]["ends"]
    assert any("springs.main.rate" in missing.path for missing in lacking)
