"""Moments of springs and weights: in the head, then by energy."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.linkage import ModuleSpring, PointSpring, TorsionSpring, Weight, module_springs
from conversion.linkage.springs import GRAVITY_M_PER_S2, Hinge
from tests.linkage.cases import seeds, unit

UPRIGHT = Hinge(np.zeros(3), np.array([0.0, 0.0, 1.0]))
LEVEL = Hinge(np.zeros(3), np.array([0.0, -1.0, 0.0]))


def test_ten_newton_at_right_angles_to_a_hundred_millimetres() -> None:
    pulls_back = PointSpring("S1", "extension", [100, -60, 0], [100, 0, 0], 50.0, 1.0)
    assert pulls_back.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(1.0)
    pulls_on = PointSpring("S1", "extension", [100, 60, 0], [100, 0, 0], 50.0, 1.0)
    assert pulls_on.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(-1.0)
    pushes_back = PointSpring("S1", "compression", [100, 60, 0], [100, 0, 0], 70.0, 1.0)
    assert pushes_back.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(1.0)


def test_a_spring_through_the_axis_or_along_it_does_nothing() -> None:
    through = PointSpring("S1", "extension", [-50, 0, 0], [100, 0, 0], 50.0, 1.0)
    along = PointSpring("S1", "extension", [100, 0, 200], [100, 0, 0], 50.0, 1.0)
    assert through.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(0.0, abs=1e-12)
    assert along.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(0.0, abs=1e-12)


def test_only_the_part_across_the_arm_counts() -> None:
    """Pulled at 30° to the arm: 20 N · 0.1 m · ½."""
    slanted = PointSpring("S1", "extension", [100 - 60 * np.cos(np.pi / 6), -30, 0], [100, 0, 0], 40.0, 1.0)
    assert slanted.moment_nm(UPRIGHT, [0.0])[0] == pytest.approx(1.0)


def test_a_slack_spring_pulls_nothing_and_wound_tension_starts_at_once() -> None:
    spring = PointSpring("S1", "extension", [0, 0, 0], [1, 0, 0], 80.0, 0.5, initial_tension_n=4.0)
    assert spring.force_n([79.0, 80.0, 80.001, 90.0]) == pytest.approx([0.0, 0.0, 4.0005, 9.0])
    pushed = PointSpring("S1", "compression", [0, 0, 0], [1, 0, 0], 80.0, 0.5)
    assert pushed.force_n([70.0, 80.0, 90.0]) == pytest.approx([5.0, 0.0, 0.0])


def test_points_that_meet_give_no_direction_and_no_moment() -> None:
    spring = PointSpring("S1", "compression", [100, 0, 0], [100, 0, 0], 10.0, 1.0)
    assert spring.moment_nm(UPRIGHT, [0.0])[0] == 0.0


def test_weights() -> None:
    assert Weight("arm", 2.0, [100, 0, 0]).moment_nm(LEVEL, [0.0])[0] == pytest.approx(0.2 * GRAVITY_M_PER_S2)
    assert Weight("arm", 2.0, [-100, 0, 0]).moment_nm(LEVEL, [0.0])[0] == pytest.approx(-0.2 * GRAVITY_M_PER_S2)
    # Turned a quarter, it hangs above or below the axis; about an upright axis it never counts.
    assert Weight("arm", 2.0, [100, 0, 0]).moment_nm(LEVEL, [np.pi / 2])[0] == pytest.approx(0.0, abs=1e-12)
    assert Weight("arm", 2.0, [100, 0, 0]).moment_nm(UPRIGHT, [0.3])[0] == pytest.approx(0.0, abs=1e-12)


def test_a_torsion_spring_does_not_pull() -> None:
    assert TorsionSpring("S2", -0.5, 2.0).moment_nm(UPRIGHT, [0.0, 0.25, 0.5]).tolist() == [0.0, 0.0, 0.5]


def test_a_modules_springs_share_equally() -> None:
    shares = module_springs("inner", 0.3, 0.6, 0.5, count=3)
    angle = np.linspace(0, 0.5, 5)
    together = sum(spring.moment_nm(UPRIGHT, angle) for spring in shares)
    assert together == pytest.approx(ModuleSpring("inner", 0.3, 0.6, 0.5).moment_nm(UPRIGHT, angle))
    assert len({spring.name for spring in shares}) == 3


@given(seeds, st.sampled_from(["extension", "compression"]), st.floats(0.0, 8.0))
def test_work_is_the_change_of_stored_energy(seed: int, kind: str, initial_n: float) -> None:
    """What the pedal gives up on its way is what the spring takes in: ∫ M dθ = ΔE, E = F₀ x + k x² / 2."""
    rng = np.random.default_rng(seed)
    hinge = Hinge(rng.uniform(-100, 100, 3), unit(rng.normal(size=3)))
    moving = hinge.pivot_mm + unit(rng.normal(size=3)) * rng.uniform(40, 150)
    fixed = moving + unit(rng.normal(size=3)) * rng.uniform(60, 120)
    free, rate = rng.uniform(40, 140), rng.uniform(0.2, 3.0)
    tension = initial_n if kind == "extension" else 0.0
    spring = PointSpring("S1", kind, fixed, moving, free, rate, tension)
    angle = np.linspace(0.0, 0.5, 4001)

    def energy_j(at: float) -> float:
        turn = np.cross(hinge.axis, moving - hinge.pivot_mm)
        arm = moving - hinge.pivot_mm
        place = hinge.pivot_mm + arm + turn * np.sin(at) + np.cross(hinge.axis, turn) * (1 - np.cos(at))
        stretch = np.linalg.norm(place - fixed) - free
        change = max(stretch if kind == "extension" else -stretch, 0.0)
        return (tension * change + rate * change**2 / 2) / 1000.0

    moment = spring.moment_nm(hinge, angle)
    work = np.trapezoid(moment, angle)
    # Where a wound spring goes slack its force steps, and the sum over steps sees that step to half a step.
    step = np.abs(np.diff(moment)).max() * (angle[1] - angle[0])
    assert work == pytest.approx(energy_j(0.5) - energy_j(0.0), abs=1e-6 + step)
    if np.abs(np.diff(moment)).max() < 0.01:
        slope = (energy_j(0.25 + 1e-5) - energy_j(0.25 - 1e-5)) / 2e-5
        assert moment[2000] == pytest.approx(slope, abs=1e-4)


@given(seeds)
def test_weight_is_the_slope_of_its_height(seed: int) -> None:
    rng = np.random.default_rng(seed)
    hinge = Hinge(rng.uniform(-100, 100, 3), unit(rng.normal(size=3)))
    weight = Weight("arm", 0.8, rng.uniform(-200, 200, 3))
    angle = np.linspace(0.0, 0.6, 2001)
    arm = weight.centre_mm - hinge.pivot_mm
    turn = np.cross(hinge.axis, arm)
    height_m = (arm + np.sin(angle)[:, None] * turn + (1 - np.cos(angle))[:, None] * np.cross(hinge.axis, turn))[:, 2]
    lifted_j = 0.8 * GRAVITY_M_PER_S2 * (height_m[-1] - height_m[0]) / 1000.0
    assert np.trapezoid(weight.moment_nm(hinge, angle), angle) == pytest.approx(lifted_j, abs=1e-6)


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"free_length_mm": 0.0}, "free length and rate"),
        ({"rate_n_per_mm": -1.0}, "free length and rate"),
        ({"initial_tension_n": -1.0}, "must not be negative"),
        ({"kind": "compression", "initial_tension_n": 1.0}, "no initial tension"),
    ],
)
def test_springs_that_are_none_are_refused(changes: dict[str, object], says: str) -> None:
    fields = {"kind": "extension", "free_length_mm": 50.0, "rate_n_per_mm": 1.0} | changes
    with pytest.raises(ValueError, match=says):
        PointSpring("S1", fixed_mm=[0, 0, 0], moving_mm=[60, 0, 0], **fields)


def test_a_module_without_swing_or_springs_is_refused() -> None:
    with pytest.raises(ValueError, match="swing must be positive"):
        ModuleSpring("inner", 0.1, 0.2, 0.0)
    with pytest.raises(ValueError, match="count is 0"):
        module_springs("inner", 0.1, 0.2, 0.5, count=0)
