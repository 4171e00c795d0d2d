"""Two rods about a crank, and a module's own pedal, on cases that can be seen on paper."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import BellCrankMotion, adjusted_at_rest, find_events, pedal_angle_for_lever, solve
from tests.linkage.kind_cases import BELL_CRANK, DIRECT, changed

PEDAL = np.linspace(0.0, 0.3, 31)


def test_the_ratio_is_that_of_the_arms_in_a_row() -> None:
    """60 to 60 mm, then 40 to 40 mm by a rod that leans: at rest both ends turn alike only with equal leans."""
    motion = solve(BELL_CRANK, PEDAL)
    assert isinstance(motion, BellCrankMotion)
    np.testing.assert_allclose(motion.quantities()["crank_angle_rad"], PEDAL, atol=1e-12)
    assert motion.ratio[0] == pytest.approx(1.0)
    np.testing.assert_allclose(motion.ratio, motion.first.ratio * motion.second.ratio)


def test_lines_go_from_pedal_over_the_crank_to_the_lever() -> None:
    first, crank, second = solve(BELL_CRANK, [0.0]).link_lines_mm()
    np.testing.assert_allclose(first[0], [[0, 60, 0], [200, 60, 0]], atol=1e-9)
    np.testing.assert_allclose(crank[0], [[200, 60, 0], [200, 0, 0], [240, 0, 0]], atol=1e-9)
    np.testing.assert_allclose(second[0, 0], [240, 0, 0], atol=1e-9)


def test_a_crank_that_turns_the_pull_round_a_corner() -> None:
    """In at the top of the crank, out at its side: a push along x becomes one along y."""
    motion = solve(BELL_CRANK, [0.0])
    first, _, second = (line[0, 1] - line[0, 0] for line in motion.link_lines_mm())
    assert abs(first[0]) > 20 * abs(first[1])
    assert abs(second[1]) > 2 * abs(second[0])
    assert motion.quantities()["first_rod_force_share"][0] == pytest.approx(40 * 150 / np.hypot(40, 150) / 60)


@pytest.mark.parametrize(
    ("figures", "where", "rod"),
    [
        ({"first_rod_length_mm": 100.0}, "first rod", "short"),
        ({"second_rod_length_mm": 20.0}, "second rod", "short"),
        ({"second_rod_length_mm": 400.0}, "second rod", "long"),
    ],
)
def test_which_rod_does_not_fit_is_told(figures: dict[str, float], where: str, rod: str) -> None:
    gaps = [event for event in find_events(changed(BELL_CRANK, **figures), 0.3) if event.kind == "no-solution"]
    assert {(event.where, event.rod, event.pedal_angle_rad, event.until_rad) for event in gaps} >= {
        (where, rod, 0.0, 0.3)
    }


def test_a_dead_centre_of_either_rod_is_told_with_its_rod() -> None:
    """Pressed on, the second rod comes into one line with the lever."""
    kinds = {(event.kind, event.where) for event in find_events(BELL_CRANK, 1.6)}
    assert ("lock", "second rod") in kinds or ("reversal", "second rod") in kinds
    assert all(event.where in ("first rod", "second rod") for event in find_events(BELL_CRANK, 1.6))


def test_the_second_rod_is_the_one_that_is_adjusted() -> None:
    set_ = adjusted_at_rest(changed(BELL_CRANK, first_rod_length_mm=202.0), 0.03)
    assert solve(set_, [0.0]).lever_angle_rad[0] == pytest.approx(0.03)
    assert float(set_.first_rod_length_mm) == 202.0
    assert pedal_angle_for_lever(set_, solve(set_, [0.2]).lever_angle_rad)[0] == pytest.approx(0.2)


def test_a_modules_own_pedal_is_its_lever() -> None:
    motion = solve(changed(DIRECT, lever_at_rest_rad=0.02), PEDAL)
    np.testing.assert_allclose(motion.lever_angle_rad, PEDAL + 0.02)
    assert np.all(motion.ratio == 1.0)
    assert motion.link_lines_mm() == ()
    assert find_events(DIRECT, 0.4) == []
    assert pedal_angle_for_lever(DIRECT, [0.3]) == pytest.approx([0.3])
    np.testing.assert_array_equal(DIRECT.pressing_axis, DIRECT.opening_axis)
    assert motion.pedal_pin_mm.shape == (31, 3)


def test_lengths_that_are_none_are_refused() -> None:
    with pytest.raises(ValueError, match="second_rod_length_mm must be positive"):
        changed(BELL_CRANK, second_rod_length_mm=0.0)
    with pytest.raises(ValueError, match="crank_axis must be a unit vector"):
        changed(BELL_CRANK, crank_axis=[0, 0, 3])
