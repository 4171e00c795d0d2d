"""Time of return against motions that are known in closed form, and the one-way link that does not pull back."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import ModuleSpring, TorsionSpring, return_study, return_time_s, solve, uniform_arm_inertia_kgm2
from tests.linkage.cases import four_bar
from tests.linkage.kind_cases import CABLE, CONTACT, DIRECT, changed

TRAVEL = np.linspace(0.0, 0.3, 31)
EQUAL = four_bar(60, 200, 60, 200, np.pi / 2, np.pi / 2)


def test_a_constant_moment_takes_the_root_of_twice_the_way() -> None:
    study = return_study(
        EQUAL, TRAVEL, springs=[TorsionSpring("S1", 2.5, 0.0)], pad_radius_mm=250, pedal_friction_nm=0.5
    )
    assert return_time_s(study, 0.0125) == pytest.approx(np.sqrt(2 * 0.3 * 0.0125 / 2.0), rel=1e-9)


def test_a_spring_that_begins_at_nothing_takes_a_quarter_of_its_swing() -> None:
    study = return_study(EQUAL, TRAVEL, springs=[TorsionSpring("S1", 0.0, 8.0)], pad_radius_mm=250)
    assert return_time_s(study, 0.02) == pytest.approx(np.pi / 2 * np.sqrt(0.02 / 8.0), rel=1e-3)


def test_a_preloaded_spring_takes_the_arc_cosine() -> None:
    study = return_study(EQUAL, TRAVEL, springs=[TorsionSpring("S1", 1.0, 4.0)], pad_radius_mm=250)
    start, end = 1.0 / 4.0 + 0.3, 1.0 / 4.0
    assert return_time_s(study, 0.02) == pytest.approx(np.sqrt(0.02 / 4.0) * np.arccos(end / start), rel=1e-5)


def test_the_levers_inertia_counts_with_the_square_of_the_ratio() -> None:
    half = four_bar(40, np.hypot(200, 40), 80, 200, np.pi / 2, np.pi / 2)
    little = np.linspace(0.0, 0.01, 5)
    study = return_study(half, little, springs=[TorsionSpring("S1", 2.0, 0.0)], pad_radius_mm=250)
    ratio = study.solution.ratio.mean()
    assert return_time_s(study, 0.01, 0.004) == pytest.approx(
        np.sqrt(2 * 0.01 * (0.01 + ratio**2 * 0.004) / 2.0), rel=1e-3
    )


def test_each_case_has_its_own_time() -> None:
    springs = [TorsionSpring("S1", 2.0, 0.0), ModuleSpring("inner", 0.5, 0.5, 0.5)]
    study = return_study(EQUAL, TRAVEL, springs=springs, pad_radius_mm=250)
    times = {(case.kind, case.spring_out, case.half): return_time_s(study, 0.01, 0.001, case) for case in study.cases}
    assert times["all-in", "", "both"] == pytest.approx(np.sqrt(2 * 0.3 * 0.011 / 2.5), rel=1e-6)
    assert times["spring-out", "S1", "both"] == pytest.approx(np.sqrt(2 * 0.3 * 0.011 / 0.5), rel=1e-6)
    assert times["link-parted", "", "pedal"] == pytest.approx(np.sqrt(2 * 0.3 * 0.01 / 2.0), rel=1e-6)
    assert times["link-parted", "", "module"] == pytest.approx(np.sqrt(2 * 0.3 * 0.001 / 0.5), rel=1e-6)


def test_what_does_not_come_back_has_no_time() -> None:
    study = return_study(
        EQUAL, TRAVEL, springs=[TorsionSpring("S1", 1.0, 0.0)], pad_radius_mm=250, pedal_friction_nm=1.5
    )
    assert np.isnan(return_time_s(study, 0.01))
    with pytest.raises(ValueError, match="must be positive"):
        return_time_s(study, 0.0)


def test_a_uniform_arm() -> None:
    assert uniform_arm_inertia_kgm2(0.9, 200.0) == pytest.approx(0.9 * 0.04 / 3)
    with pytest.raises(ValueError, match="positive"):
        uniform_arm_inertia_kgm2(0.0, 200.0)


@pytest.mark.parametrize("linkage", [CABLE, CONTACT], ids=["cable", "contact"])
def test_a_one_way_link_does_not_bring_the_lever_back(linkage: object) -> None:
    """The lever's own springs must: with its only one out it stays open, however strong the pedal's are."""
    springs = [TorsionSpring("S1", 9.0, 0.0), TorsionSpring("S2", 9.0, 0.0), ModuleSpring("inner", 0.4, 0.4, 0.5)]
    study = return_study(linkage, TRAVEL, springs=springs, pad_radius_mm=250, module_friction_nm=0.1)
    failing = {(case.kind, case.spring_out, case.half) for case in study.failing}
    assert failing == {("spring-out", "inner", "module")}
    rod = return_study(EQUAL, TRAVEL, springs=springs, pad_radius_mm=250, module_friction_nm=0.1)
    assert not rod.failing


def test_a_lever_that_does_not_close_leaves_the_cable_slack_and_the_pedal_alone() -> None:
    """Friction over its spring: the pedal comes back without it, and the lever's own case fails."""
    springs = [TorsionSpring("S1", 2.0, 0.0), ModuleSpring("inner", 0.4, 0.4, 0.5)]
    study = return_study(CABLE, TRAVEL, springs=springs, pad_radius_mm=250, module_friction_nm=0.6)
    both = study.cases[0]
    np.testing.assert_allclose(both.moment_nm - both.friction_nm, 2.0)
    assert not study.cases[-1].returns
    # Pressing still turns the lever against both.
    assert study.pad_force_pressing_n[0] == pytest.approx((2.0 + 1.5 * 1.0) / 0.25)


def test_slack_is_pressed_against_the_pedals_own_springs_alone() -> None:
    slack = changed(CABLE, slack_at_rest_mm=6.0)
    springs = [TorsionSpring("S1", 2.0, 0.0), ModuleSpring("inner", 0.4, 0.4, 0.5)]
    study = return_study(slack, TRAVEL, springs=springs, pad_radius_mm=250)
    loose = ~solve(slack, TRAVEL).holds
    assert loose.any() and not loose.all()
    np.testing.assert_allclose(study.pad_force_pressing_n[loose], 8.0)
    assert np.all(study.pad_force_pressing_n[~loose] > 8.5)
    assert np.all(study.link_force_n[loose] == 0.0)


def test_the_force_in_the_link_turns_the_lever() -> None:
    springs = [TorsionSpring("S1", 2.0, 0.0), ModuleSpring("inner", 0.4, 0.4, 0.5)]
    study = return_study(EQUAL, TRAVEL, springs=springs, pad_radius_mm=250, module_friction_nm=0.1)
    np.testing.assert_allclose(study.link_force_n * study.solution.lever_arm_mm / 1000.0, 0.5)
    kept = return_study(DIRECT, TRAVEL, springs=springs, pad_radius_mm=250)
    assert np.isnan(kept.link_force_n).all()
    assert kept.pad_force_pressing_n[0] == pytest.approx(2.4 / 0.25)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("inertia", [0.0, -0.01])
def test_what_has_no_inertia_is_told_and_never_divided_by(inertia: float) -> None:
    study = return_study(EQUAL, TRAVEL, springs=[TorsionSpring("S1", 2.5, 0.0)], pad_radius_mm=250)
    with pytest.raises(ValueError, match="the inertia of what returns must be positive"):
        return_time_s(study, inertia)
    (alone,) = [case for case in study.cases if case.half == "module"]
    with pytest.raises(ValueError, match="the inertia of what returns must be positive"):
        return_time_s(study, 0.0125, case=alone)


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("moment", [0.0, 0.5])
def test_what_only_just_does_not_move_takes_no_time_that_could_be_told(moment: float) -> None:
    study = return_study(
        EQUAL, TRAVEL, springs=[TorsionSpring("S1", moment, 0.0)], pad_radius_mm=250, pedal_friction_nm=0.5
    )
    assert np.isnan(return_time_s(study, 0.0125))
