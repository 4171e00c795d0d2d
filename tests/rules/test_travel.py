"""Laws of the rules on the travel: frames and mirrors change nothing, and each failure is told where it happens."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conversion.linkage import solve
from conversion.plan import Plan
from conversion.rules import Finding, all_rules
from conversion.rules.influences import largest_influence
from tests.rules.patching import patched_plan

TRAVEL = {rule.name: rule for rule in all_rules() if rule.name.startswith("travel/")}
FREE = ["conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}"]
SOME = settings(max_examples=20, suppress_health_check=[HealthCheck.function_scoped_fixture])

POINTS = {
    "pedal.pivot": (0.0, 0.0, 0.0),
    "pedal.pad": (-30.0, 0.0, -285.0),
    "pedal.rod_pin": (8.0, -12.0, -78.0),
    "module.pivot": (146.0, -48.0, -20.0),
    "module.lever_pin": (144.0, -40.0, -65.0),
}


def found(plan: Plan) -> list[Finding]:
    return [finding for rule in TRAVEL.values() for finding in rule.find(plan)]


def points(move: tuple[float, float, float] = (0.0, 0.0, 0.0), flip: int = 1) -> list[str]:
    lines = []
    for path, (x, y, z) in POINTS.items():
        at = np.array([x, flip * y, z]) + move
        lines.append(f"conversion: linkage.{path} = [{at[0]:.3f} mm, {at[1]:.3f} mm, {at[2]:.3f} mm]")
    return lines


def test_the_worked_conversion_is_clean(tmp_path: Path) -> None:
    assert found(patched_plan(tmp_path, [])) == []


@SOME
@given(move=st.tuples(*[st.floats(-2000.0, 2000.0)] * 3))
def test_the_origin_does_not_matter(move: tuple[float, float, float], tmp_path_factory: pytest.TempPathFactory) -> None:
    here = patched_plan(tmp_path_factory.mktemp("van"), [*points(), *FREE])
    there = patched_plan(tmp_path_factory.mktemp("van"), [*points(move), *FREE])
    assert np.allclose(there.travel.lever_rad, here.travel.lever_rad, atol=1e-4)
    assert [finding.rule for finding in found(there)] == [finding.rule for finding in found(here)]


def test_a_left_hand_car_is_the_mirror_of_a_right_hand_one(tmp_path: Path) -> None:
    """Mirrored left to right, a turn about an axis across the car keeps its sense in the side view."""
    mirrored = [*points(flip=-1), "conversion: linkage.module.axis = [-0.05, 1, 0]"]
    here = patched_plan(tmp_path / "here", points())
    there = patched_plan(tmp_path / "there", mirrored)
    assert np.allclose(there.travel.lever_rad, here.travel.lever_rad, atol=1e-6)
    assert found(there) == found(here) == []


@SOME
@given(set_at=st.floats(20.5, 27.0), tolerance=st.floats(0.0, 1.5))
def test_the_module_stop_is_told_as_planned_or_in_the_worst_case(
    set_at: float, tolerance: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Swing 24.0° ± 0.5°: as planned beyond 24.0°, in the worst case beyond 23.5°."""
    lines = [f"conversion: linkage.pedal.full_stop.set_at = {set_at:.4f}° ± {tolerance:.4f}°"]
    plan = patched_plan(tmp_path_factory.mktemp("van"), lines)
    said = {finding.rule for finding in found(plan)} & {"travel/module-stop-first", "travel/module-stop-in-tolerance"}
    set_at, tolerance = round(set_at, 4), round(tolerance, 4)
    if abs(set_at - 24.0) < 1e-3 or abs(set_at + tolerance - 23.5) < 1e-3:
        return
    if set_at > 24.0:
        assert said == {"travel/module-stop-first"}
    elif set_at + tolerance > 23.5:
        assert said == {"travel/module-stop-in-tolerance"}
    else:
        assert said == set()


def test_the_stop_is_met_where_the_solver_says(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: linkage.pedal.full_stop = {at: 75 mm, origin: made}"])
    message = TRAVEL["travel/module-stop-first"].find(plan)[0].message
    said_mm = float(message.split(" at ")[1].split(" mm")[0])
    geometry = plan.travel.geometry
    lever = solve(geometry.linkage, [said_mm / geometry.pad_radius_mm]).lever_angle_rad[0]
    assert np.degrees(lever) == pytest.approx(24.0, abs=0.05)


def test_a_dead_centre_is_told_where_the_lever_locks(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            "conversion: linkage.module.lever_pin = [144 mm, -44 mm, -35 mm]",
            "conversion: linkage.pedal.full_stop = {at: 100 mm, origin: made}",
        ],
    )
    message = TRAVEL["travel/dead-centre"].find(plan)[0].message
    said_mm = float(message.removeprefix("At ").split(" mm")[0])
    geometry = plan.travel.geometry
    near = solve(geometry.linkage, np.array([said_mm - 0.1, said_mm + 0.1]) / geometry.pad_radius_mm)
    assert near.exists.tolist() == [True, False]
    assert abs(near.lock_measure[0]) < 0.1


def test_over_centre_is_told_where_the_lever_turns_back(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            "conversion: linkage.pedal.rod_pin = [62 mm, -12 mm, -47 mm]",
            "conversion: linkage.rod = {length: 85 mm}",
            "conversion: linkage.pedal.full_stop = {at: 110 mm, origin: made}",
        ],
    )
    message = TRAVEL["travel/over-centre"].find(plan)[0].message
    said_mm = float(message.removeprefix("At ").split(" mm")[0])
    furthest_mm = plan.travel.pad_travel_mm[np.argmax(plan.travel.lever_rad)]
    assert furthest_mm == pytest.approx(said_mm, abs=110 / 40)


def test_a_lever_that_turns_back_leaves_other_rules_without_a_traceback(tmp_path: Path) -> None:
    for number, lines in enumerate(
        (
            ["conversion: linkage.module.opens = clockwise", *FREE],
            ["conversion: linkage.rod = {length: 80 mm}", *FREE],
            ["conversion: linkage.rod = {length: 500 mm}", *FREE],
            ["conversion: linkage.pedal.rod_pin = [146 mm, -48 mm, -20 mm]", *FREE],
            ["conversion: linkage.pedal.rod_pin = [0 mm, -12 mm, 0 mm]", *FREE],
            ["conversion: linkage.module.lever_pin = [146 mm, -48 mm, -20 mm]", *FREE],
            ["conversion: linkage.pedal.full_stop = {at: 1500 mm, origin: made}"],
            ["conversion: linkage.module.axis = forward", *FREE],
            ["conversion: linkage.pedal.axis = up"],
            ["conversion: linkage.pedal.pad = [0 mm, 20 mm, 0 mm]", "conversion: linkage.pedal.presses = clockwise"],
            ["conversion: linkage.pedal.full_stop.set_at = 170°"],
        )
    ):
        plan = patched_plan(tmp_path / str(number), lines)
        said = [finding for rule in all_rules() for finding in rule.find(plan)]
        assert any(finding.severity != "NOTE" for finding in said), lines
        for finding in said:
            assert "nan" not in finding.message.replace("than", "") and "inf" not in finding.message, finding


def test_the_figure_to_measure_is_the_one_that_was_made_worse(tmp_path: Path) -> None:
    axes = ("forward", "left", "up")
    for path, at in (("pedal.rod_pin", 2), ("module.lever_pin", 0), ("module.pivot", 2)):
        figures = [f"{value} mm" for value in POINTS[path]]
        figures[at] += " ± 8 mm"
        lines = [
            *points(),
            f"conversion: linkage.{path} = [{', '.join(figures)}]",
            "conversion: linkage.rod = {length: 140.2 mm}",
            *FREE,
        ]
        plan = patched_plan(tmp_path / path, lines)
        worst = largest_influence(plan.travel)
        assert worst is not None
        assert worst.name == f"linkage.{path}.{at + 1} ({axes[at]})"
        assert worst.share == pytest.approx(1.0)
