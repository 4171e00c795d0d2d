"""Misalignment, thread, load and buckling of a rod; rate of a coil spring."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from conversion.linkage import (
    RodLinkage,
    bolt_bends_n,
    coil_spring_rate_n_per_mm,
    euler_buckling_n,
    link_force_for_pad_n,
    misalignment_rad,
    solve,
)
from tests.linkage.cases import four_bar, one_linkage

TRAVEL = np.linspace(0.0, 0.3, 13)


def test_a_rod_that_leans_sideways_loads_the_lever_along_its_axis() -> None:
    """30 mm aside over a rod of 50 mm: 3/5 of its load goes along the lever's axis."""
    aside = RodLinkage([0, 0, 0], [0, 0, 1], [0, 60, 0], [40, 0, 0], [0, 0, 1], [40, 60, 30], 1, 1, 50.0)
    shares = solve(aside, [0.0]).quantities()
    assert shares["sideways_share_lever"][0] == pytest.approx(0.6)
    assert shares["sideways_share_pedal"][0] == pytest.approx(0.6)
    lean, _ = misalignment_rad(solve(aside, [0.0]), [0, 0, 1])
    assert lean[0] == pytest.approx(np.arcsin(0.6))


def test_a_planar_linkage_with_bolts_along_its_axes_never_leans() -> None:
    motion = solve(four_bar(60, 190, 50, 200, 1.4, 1.5), TRAVEL)
    for lean in misalignment_rad(motion, [0, 0, 1], [0, 0, 1]):
        np.testing.assert_allclose(lean, 0.0, atol=1e-7)
    assert misalignment_rad(motion) == (None, None)


def test_a_bolt_turns_with_its_lever() -> None:
    """A bolt in the plane leans by how far the rod is from square to it, which changes as the lever turns."""
    motion = solve(four_bar(60, 200, 60, 200, np.pi / 2, np.pi / 2), TRAVEL)
    pedal, lever = misalignment_rad(motion, [0, 1, 0], [0, 1, 0])
    np.testing.assert_allclose(pedal, TRAVEL, atol=1e-9)
    np.testing.assert_allclose(lever, TRAVEL, atol=1e-9)


@given(one_linkage)
def test_a_unit_load_splits_into_sideways_and_the_rest(linkage: RodLinkage) -> None:
    motion = solve(linkage, TRAVEL)
    lean, _ = misalignment_rad(motion, linkage.pedal_axis)
    share = motion.quantities()["sideways_share_pedal"]
    np.testing.assert_allclose(np.sin(lean)[motion.exists], share[motion.exists], atol=1e-9)
    # What turns the arm and what goes sideways are square to each other.
    turning = np.abs(motion.lock_measure)
    sideways = motion.quantities()["sideways_share_lever"]
    assert np.all((turning**2 + sideways**2)[motion.exists] <= 1.0 + 1e-9)


def test_the_rod_takes_the_pads_force_by_the_arms() -> None:
    motion = solve(four_bar(50, 200, 50, 200, np.pi / 2, np.pi / 2), [0.0, 0.2])
    force = link_force_for_pad_n(motion, 300.0, 250.0)
    np.testing.assert_allclose(force, [1500.0, 1500.0 / np.cos(0.2)])


def test_buckling_scales_as_the_text_book_says() -> None:
    load = euler_buckling_n(5.0, 200.0)
    assert load == pytest.approx(np.pi**2 * 200e3 * (np.pi * 5.0**4 / 64) / 200.0**2)
    assert euler_buckling_n(10.0, 200.0) == pytest.approx(16 * load)
    assert euler_buckling_n(5.0, 400.0) == pytest.approx(load / 4)
    with pytest.raises(ValueError, match="positive"):
        euler_buckling_n(0.0, 200.0)


def test_a_bolt_on_one_side_bends_as_a_cantilever() -> None:
    """10 mm thick, W = π 10³ / 32 = 98.17 mm³; 640 N/mm² over 20 mm of overhang: 3141.6 N."""
    load = bolt_bends_n(10.0, 20.0)
    assert load == pytest.approx(98.1748 * 640.0 / 20.0, rel=1e-5)
    assert bolt_bends_n(5.0, 20.0) == pytest.approx(load / 8)
    assert bolt_bends_n(10.0, 10.0) == pytest.approx(2 * load)
    with pytest.raises(ValueError, match="positive"):
        bolt_bends_n(10.0, 0.0)


def test_a_coil_spring_from_a_caliper() -> None:
    rate = coil_spring_rate_n_per_mm(2.0, 16.0, 10.0)
    assert rate == pytest.approx(16 * 79.3e3 / (8 * 4096 * 10))
    assert coil_spring_rate_n_per_mm(2.0, 16.0, 20.0) == pytest.approx(rate / 2)
    with pytest.raises(ValueError, match="as thick as"):
        coil_spring_rate_n_per_mm(16.0, 16.0, 10.0)
    with pytest.raises(ValueError, match="positive"):
        coil_spring_rate_n_per_mm(2.0, 16.0, 0.0)


def test_a_bolt_axis_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match="unit vector"):
        misalignment_rad(solve(four_bar(50, 200, 50, 200, 1.5, 1.5), [0.0]), [0, 0, 2])
