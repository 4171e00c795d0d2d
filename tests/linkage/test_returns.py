"""What comes back, and what does not, with each spring out and with the link parted."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given

from conversion.linkage import (
    ModuleSpring,
    PointSpring,
    ReturnStudy,
    RodLinkage,
    TorsionSpring,
    Weight,
    module_springs,
    return_study,
    solve,
)
from conversion.linkage.springs import hinge_of
from tests.linkage.cases import four_bar, one_linkage, random_linkages

UP = np.pi / 2
# The lever turns half as far as the pedal while the arms are upright: 40 and 80 mm.
HALF = four_bar(40, np.hypot(200, 40), 80, 200, UP, UP)
EQUAL = four_bar(60, 200, 60, 200, UP, UP)
TRAVEL = np.linspace(0.0, 0.3, 7)
TWO_ON_PEDAL = [TorsionSpring("S1", 2.0, 1.0), TorsionSpring("S2", 1.5, 1.0)]


def study(linkage: RodLinkage = EQUAL, **changes: object) -> ReturnStudy:
    given_ = {"springs": TWO_ON_PEDAL, "pad_radius_mm": 250.0} | changes
    return return_study(linkage, TRAVEL, **given_)


def test_the_modules_moment_comes_through_the_ratio() -> None:
    done = study(HALF, springs=[ModuleSpring("inner", 0.4, 0.4, 0.5)])
    assert done.parts_nm["inner"][0] == pytest.approx(0.5 * 0.4)


def test_cases_are_all_in_each_spring_out_and_each_half_alone() -> None:
    done = study(springs=[*TWO_ON_PEDAL, *module_springs("inner", 0.4, 0.6, 0.5, count=2)])
    named = [(case.kind, case.spring_out, case.half) for case in done.cases]
    assert named == [
        ("all-in", "", "both"),
        ("spring-out", "S1", "both"),
        ("spring-out", "S2", "both"),
        ("spring-out", "inner 1 of 2", "both"),
        ("spring-out", "inner 2 of 2", "both"),
        ("link-parted", "", "pedal"),
        ("link-parted", "", "module"),
    ]
    margins = [case.margin_nm for case in done.cases]
    assert margins == pytest.approx([3.9, 1.9, 2.4, 3.7, 3.7, 3.5, 0.4])
    assert done.returns_by_function
    assert done.failing == ()


def test_friction_opposes_on_both_axes() -> None:
    done = study(
        HALF,
        springs=[*TWO_ON_PEDAL, ModuleSpring("inner", 0.4, 0.4, 0.5)],
        pedal_friction_nm=0.3,
        module_friction_nm=0.2,
    )
    both, *_, pedal, module = done.cases
    assert both.friction_nm[0] == pytest.approx(0.3 + 0.5 * 0.2)
    assert pedal.margin_nm == pytest.approx(3.5 - 0.3)
    assert module.margin_nm == pytest.approx(0.4 - 0.2)


def test_friction_opposes_also_where_the_lever_goes_the_wrong_way_round() -> None:
    wrong = four_bar(60, 200, 60, 200, UP, UP, lever_sense=-1)
    done = study(wrong, springs=[*TWO_ON_PEDAL, ModuleSpring("inner", 0.4, 0.4, 0.5)], module_friction_nm=0.2)
    assert done.cases[0].moment_nm[0] == pytest.approx(3.5 - 0.4)
    assert done.cases[0].friction_nm[0] == pytest.approx(0.2)


def test_a_lever_without_spring_stays_open_when_the_link_parts() -> None:
    done = study()
    assert not done.returns_by_function
    (failing,) = done.failing
    assert (failing.kind, failing.half, failing.margin_nm) == ("link-parted", "module", 0.0)


def test_a_pedal_whose_weight_hangs_forward_does_not_come_back_alone() -> None:
    """1.5 kg, 200 mm ahead of a level axis: about 2.9 N·m that press, against 1 N·m of spring."""
    level = RodLinkage(
        [0, 0, 0], [0, 1, 0], [0, 0, -60], [200, 0, 0], [0, 1, 0], [200, 0, -60], lever_sense=1, pedal_sense=1,
        rod_length_mm=200,
    )  # fmt: skip
    done = return_study(
        level,
        TRAVEL,
        springs=[TorsionSpring("S1", 1.0, 0.0), ModuleSpring("inner", 4.0, 4.0, 0.5)],
        weights=[Weight("pad", 1.5, [200, 0, 0])],
        pad_radius_mm=250.0,
    )
    failing = {(case.kind, case.spring_out, case.half) for case in done.failing}
    assert failing == {("spring-out", "inner", "both"), ("link-parted", "", "pedal")}


def test_the_margin_names_the_place_where_it_is_least() -> None:
    """A spring whose line comes nearer to the axis as the pedal goes down."""
    fading = PointSpring("S1", "extension", [0, -80, 0], [100, 0, 0], 60.0, 1.0)
    done = study(springs=[fading, ModuleSpring("inner", 0.1, 0.1, 0.5)])
    alone = next(case for case in done.cases if case.half == "pedal")
    moment = fading.moment_nm(hinge_of(EQUAL, "pedal"), TRAVEL)
    assert alone.margin_nm == pytest.approx(moment.min())
    assert alone.margin_at_rad == TRAVEL[np.argmin(moment)]


def test_springs_on_the_lever_act_on_the_lever() -> None:
    added = TorsionSpring("S3", 0.8, 0.0, half="module")
    coil = PointSpring("S4", "extension", [300, 60, 0], [200, 60, 0], 90.0, 1.0, half="module")
    done = study(HALF, springs=[added])
    assert done.parts_nm["S3"][0] == pytest.approx(0.4)
    assert done.cases[-1].moment_nm == pytest.approx(np.full(7, 0.8))
    assert done.cases[-2].margin_nm == 0.0
    # 10 N along +x at the top of an upright lever of 60 mm that opens toward −x.
    assert study(EQUAL, springs=[coil]).cases[-1].moment_nm[0] == pytest.approx(0.6)


def test_pad_force_shows_friction_as_hysteresis() -> None:
    done = study(springs=[TorsionSpring("S1", 2.0, 10.0)], pedal_friction_nm=0.5)
    assert done.pad_force_pressing_n[[0, -1]] == pytest.approx([2.5 / 0.25, 5.5 / 0.25])
    assert done.pad_force_releasing_n[[0, -1]] == pytest.approx([1.5 / 0.25, 4.5 / 0.25])


def test_what_cannot_be_computed_does_not_pass() -> None:
    locking = four_bar(60, 70, 50, 100, np.radians(40), np.radians(100))
    done = return_study(locking, [0.0, 0.5, 1.0], springs=TWO_ON_PEDAL, pad_radius_mm=250.0)
    both = done.cases[0]
    assert np.isnan(both.moment_nm).tolist() == [False, False, True]
    assert np.isnan(both.margin_nm)
    assert not both.returns
    pedal_alone = done.cases[-2]
    assert pedal_alone.returns


@given(one_linkage)
def test_work_on_the_pedal_is_work_on_the_lever(linkage: RodLinkage) -> None:
    """A moment at the lever, brought to the pedal, does the same work over the travel."""
    angle = np.linspace(0.0, 0.1, 2001)
    motion = solve(linkage, angle)
    assume(motion.exists.all() and motion.reach.min() > 0.05)
    spring = TorsionSpring("S3", 5.0, 1.0, half="module")
    done = return_study(linkage, angle, springs=[spring], pad_radius_mm=250.0)
    start, end = motion.lever_angle_rad[[0, -1]]
    stored = 5.0 * (end - start) + (end**2 - start**2) / 2
    assert np.trapezoid(done.parts_nm["S3"], angle) == pytest.approx(stored, abs=1e-5)


def test_bad_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="given twice: S1"):
        study(springs=[TorsionSpring("S1", 1, 1)], weights=[Weight("S1", 1.0, [0, 0, 0])])
    with pytest.raises(ValueError, match="one linkage"):
        return_study(random_linkages(2, seed=1), TRAVEL, springs=[], pad_radius_mm=250.0)
