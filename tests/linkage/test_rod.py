"""The rod solver on cases that can be seen on paper."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from conversion.linkage import RodLinkage, pedal_angle_for_lever, rest_position, solve
from conversion.linkage.geometry import stacked
from conversion.linkage.rod import BLOCK
from tests.linkage.cases import four_bar, picked, random_linkages

UP = np.pi / 2
TRAVEL = np.linspace(0.0, 0.4, 9)


def test_equal_arms_side_by_side_turn_alike() -> None:
    motion = solve(four_bar(60, 200, 60, 200, UP, UP), TRAVEL)
    assert motion.lever_angle_rad == pytest.approx(TRAVEL, abs=1e-12)
    assert motion.ratio == pytest.approx(np.ones(9), abs=1e-12)
    assert np.degrees(motion.transmission_lever_rad) == pytest.approx(90.0 + np.degrees(TRAVEL))
    assert np.degrees(motion.transmission_pedal_rad) == pytest.approx(90.0 - np.degrees(TRAVEL))


def test_ratio_at_rest_is_that_of_the_arms() -> None:
    """Both arms upright on a level line, 90 and 60 mm: the slope of the rod between them drops out."""
    motion = solve(four_bar(90, np.hypot(200.0, 30.0), 60, 200, UP, UP), [0.0])
    assert motion.ratio[0] == pytest.approx(1.5)


def test_senses_only_turn_signs() -> None:
    plain = solve(four_bar(60, 190, 50, 200, 1.4, 1.5), TRAVEL)
    for pedal_sense in (1, -1):
        for lever_sense in (1, -1):
            linkage = four_bar(60, 190, 50, 200, 1.4, 1.5, pedal_sense=pedal_sense, lever_sense=lever_sense)
            other = solve(linkage, TRAVEL * pedal_sense)
            assert other.lever_angle_rad == pytest.approx(plain.lever_angle_rad * lever_sense, abs=1e-12)
            assert other.ratio == pytest.approx(plain.ratio * lever_sense * pedal_sense)


def test_the_lever_rests_off_its_stop_by_what_the_rod_is_longer() -> None:
    longer = four_bar(60, 203, 60, 200, UP, UP)
    assert float(rest_position(longer)) == pytest.approx(-3 / 60, rel=0.01)
    assert float(rest_position(four_bar(60, 203, 60, 200, UP, UP, lever_sense=-1))) == pytest.approx(3 / 60, rel=0.01)


def test_the_side_is_the_measured_one_and_the_other_branch_is_its_mirror() -> None:
    """With the crank along the ground link the two branches mirror each other in it."""
    for lever_rad, sign in ((1.0, 1), (-1.0, -1)):
        motion = solve(four_bar(40, 90, 80, 100, 0.0, lever_rad), [0.0])
        from_ground = motion.lever_angle_rad[0] + lever_rad
        assert np.sign(from_ground) == sign
        assert motion.other_branch_rad[0] + lever_rad == pytest.approx(-from_ground)


def test_a_side_too_close_to_call_takes_the_root_nearer_the_stop() -> None:
    """Measured with rod and lever in one line; a rod 1 mm longer than that closes on either side of it."""
    linkage = four_bar(
        40, 61, 80, 180, 0.2, np.pi + 0.2, pedal_pin_at_rest=[40, 0, 0], lever_pin_at_rest_stop=[100, 0, 0]
    )
    motion = solve(linkage, [0.0])
    roots = motion.lever_angle_rad[0], motion.other_branch_rad[0]
    assert roots[0] == pytest.approx(-roots[1])
    # Nearer decides once the lever's stop lies to one side of the line, if ever so little.
    for tilt in (1e-8, -1e-8):
        tilted = replace(linkage, lever_pin_at_rest_stop=np.array([100.0, -80.0 * tilt, 0.0]))
        assert np.sign(solve(tilted, [0.0]).lever_angle_rad[0]) == np.sign(tilt)


def test_no_angle_where_the_rod_does_not_reach() -> None:
    motion = solve(four_bar(60, 70, 50, 100, np.radians(40), np.radians(100)), np.radians([0.0, 50.0, 60.0]))
    assert motion.exists.tolist() == [True, True, False]
    assert np.isnan(motion.lever_angle_rad).tolist() == [False, False, True]
    assert np.isnan(motion.other_branch_rad).tolist() == [False, False, True]
    assert motion.reach[2] < 0.0 < motion.reach[1]


def test_a_pin_on_the_levers_axis_is_no_solution_whatever_the_rod() -> None:
    for rod in (80.0, 81.0):
        motion = solve(four_bar(100, rod, 80, 100, 0.0, 1.0), [0.0, 0.01])
        assert not motion.exists[0]
        assert np.isnan(motion.lever_angle_rad[0])
        assert np.isnan(motion.lock_measure[0])


def test_a_lever_that_turns_full_circles_is_counted_on() -> None:
    """A shortest ground link lets both arms turn round: the lever gains a whole turn with each turn of the pedal."""
    linkage = four_bar(80, 70, 90, 30, 0.5, 1.2)
    turns = np.linspace(0.0, 4 * np.pi, 801)
    lever = solve(linkage, turns).lever_angle_rad
    assert np.all(np.abs(np.diff(lever)) < 0.3)
    assert lever[800] - lever[400] == pytest.approx(2 * np.pi)
    assert lever[400] - lever[0] == pytest.approx(2 * np.pi)


def test_single_positions_agree_with_a_sweep() -> None:
    linkage = four_bar(60, 190, 50, 200, 1.4, 1.5)
    sweep = solve(linkage, TRAVEL).lever_angle_rad
    assert [solve(linkage, angle).lever_angle_rad[0] for angle in TRAVEL] == pytest.approx(sweep, abs=1e-13)


def test_many_at_once_agree_with_one_by_one() -> None:
    many = random_linkages(20, seed=4)
    together = solve(many, TRAVEL)
    assert together.lever_angle_rad.shape == (20, 9)
    assert together.lever_pin_mm.shape == (20, 9, 3)
    for sample in range(20):
        alone = solve(picked(many, sample), TRAVEL)
        for name in (
            "lever_angle_rad",
            "other_branch_rad",
            "ratio",
            "transmission_lever_rad",
            "transmission_pedal_rad",
        ):
            np.testing.assert_allclose(getattr(together, name)[sample], getattr(alone, name), rtol=1e-9, atol=1e-9)


def test_more_than_is_computed_together() -> None:
    many, travel = random_linkages(50, seed=5), np.linspace(0.0, 0.4, 601)
    assert many.rod_length_mm.size * travel.size > 2 * BLOCK
    together = solve(many, travel)
    for sample in (0, 19, 20, 21, 49):
        alone = solve(picked(many, sample), travel)
        np.testing.assert_allclose(together.lever_angle_rad[sample], alone.lever_angle_rad, atol=1e-9)
        np.testing.assert_array_equal(together.exists[sample], alone.exists)


def test_many_linkages_along_two_axes() -> None:
    rods = np.array([[199.0, 200.0], [201.0, 202.0], [203.0, 204.0]])
    lever = solve(four_bar(60, rods, 60, 200, UP, UP), TRAVEL).lever_angle_rad
    assert lever.shape == (3, 2, 9)
    assert lever[2, 1] == pytest.approx(solve(four_bar(60, 204.0, 60, 200, UP, UP), TRAVEL).lever_angle_rad)


def test_an_angle_for_each_sample() -> None:
    linkage = stacked(four_bar(60, 200, 60, 200, UP, UP), 2)
    lever = solve(linkage, [[0.1, 0.2], [0.3, 0.4]]).lever_angle_rad
    np.testing.assert_allclose(lever, [[0.1, 0.2], [0.3, 0.4]], atol=1e-12)


def test_one_field_alone_may_be_many() -> None:
    linkage = four_bar(60, np.array([199.0, 200.0, 201.0]), 60, 200, UP, UP)
    lever = solve(linkage, [0.0]).lever_angle_rad
    assert lever.shape == (3, 1)
    assert lever[0, 0] > lever[1, 0] > lever[2, 0]


def test_pedal_angle_of_the_modules_stop() -> None:
    linkage = four_bar(60, 190, 50, 200, 1.4, 1.5)
    assert pedal_angle_for_lever(linkage, solve(linkage, TRAVEL).lever_angle_rad) == pytest.approx(TRAVEL, abs=1e-9)


def test_a_lever_angle_that_the_pedal_never_gives_has_no_pedal_angle() -> None:
    """The lever of a crank and rocker swings between two ends; beyond them there is nothing."""
    linkage = four_bar(40, 120, 80, 100, np.radians(40), np.radians(57.3))
    assert np.isnan(pedal_angle_for_lever(linkage, [np.radians(90.0)])).all()


def test_a_lever_angle_past_its_dead_centre_has_no_pedal_angle() -> None:
    """The lever could be put there by hand, on the other side of its dead centre; the pedal cannot bring it."""
    linkage = four_bar(60, 70, 50, 100, np.radians(40), np.radians(100))
    dead_centre = 0.873949
    pedal = pedal_angle_for_lever(linkage, [dead_centre - 0.1, dead_centre + 0.1])
    assert solve(linkage, pedal).lever_angle_rad[0] == pytest.approx(dead_centre - 0.1)
    assert np.isnan(pedal[1])


def test_before_the_pedal_goes_over_centre_is_what_is_given() -> None:
    linkage = four_bar(40, 120, 80, 100, np.radians(40), np.radians(57.3))
    over = 3.339125746649928
    lever = solve(linkage, [over - 0.3, over + 0.3]).lever_angle_rad
    assert pedal_angle_for_lever(linkage, lever)[0] == pytest.approx(over - 0.3)
    assert pedal_angle_for_lever(linkage, lever)[1] < over


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [
        ("pedal_axis", [0, 0, 2], "pedal_axis must be a unit vector"),
        ("module_axis", [0, 0, 0], "module_axis must be a unit vector"),
        ("lever_sense", 0, "lever_sense must be"),
        ("pedal_sense", 2, "pedal_sense must be"),
        ("rod_length_mm", 0, "rod_length_mm must be positive"),
        ("module_pivot", [1, 2], "module_pivot has shape"),
    ],
)
def test_a_linkage_that_is_none_is_refused(field: str, value: object, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        four_bar(60, 200, 60, 200, UP, UP, **{field: value})


def test_fields_become_arrays() -> None:
    linkage = RodLinkage([0, 0, 0], [0, 0, 1], [0, 60, 0], [200, 0, 0], [0, 0, 1], [200, 60, 0], 1, 1, 200)
    assert linkage.pedal_radius_mm == pytest.approx(60.0)
    assert linkage.lever_radius_mm == pytest.approx(60.0)
