"""Laws that hold for every rod linkage in space."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from conversion.linkage import RodLinkage, RodSolution, adjusted_at_rest, lever_band, rest_position, solve, swapped
from conversion.linkage.geometry import VECTORS
from tests.linkage.cases import one_linkage, seeds, unit

TRAVEL = np.linspace(0.0, 0.5, 41)
POINTS = ("pedal_pivot", "pedal_pin_at_rest", "module_pivot", "lever_pin_at_rest_stop")
AXES = ("pedal_axis", "module_axis")


def well_inside(motion: RodSolution) -> np.ndarray:
    """Positions that exist, away from dead centres, where rounding is not blown up."""
    return motion.exists & (motion.reach > 1e-3)


def compare(left: np.ndarray, right: np.ndarray, where: np.ndarray, within: float = 1e-9) -> None:
    np.testing.assert_allclose(left[where], right[where], rtol=0, atol=within)


@given(one_linkage)
def test_the_rod_keeps_its_length_on_both_branches(linkage: RodLinkage) -> None:
    motion = solve(linkage, TRAVEL)
    other = replace(motion, lever_angle_rad=motion.other_branch_rad)
    for branch in (motion, other):
        length = np.linalg.norm(branch.pedal_pin_mm - branch.lever_pin_mm, axis=-1)
        compare(length, np.full(41, linkage.rod_length_mm), motion.exists)


@given(one_linkage)
def test_the_pins_keep_their_radius(linkage: RodLinkage) -> None:
    motion = solve(linkage, TRAVEL)
    for pins, pivot, at_rest in (
        (motion.pedal_pin_mm, linkage.pedal_pivot, linkage.pedal_pin_at_rest),
        (motion.lever_pin_mm, linkage.module_pivot, linkage.lever_pin_at_rest_stop),
    ):
        radius = np.linalg.norm(pins - pivot, axis=-1)
        compare(radius, np.full(41, np.linalg.norm(at_rest - pivot)), motion.exists)


@given(one_linkage)
def test_the_side_never_changes(linkage: RodLinkage) -> None:
    motion = solve(linkage, TRAVEL)
    rod = linkage.pedal_pin_at_rest - linkage.lever_pin_at_rest_stop
    path = np.cross(linkage.opening_axis, linkage.lever_pin_at_rest_stop - linkage.module_pivot)
    measured = rod @ path
    assume(abs(measured) > 1.0)
    assert np.all(np.sign(motion.lock_measure[well_inside(motion)]) == np.sign(measured))


@given(one_linkage)
def test_the_ratio_is_the_slope(linkage: RodLinkage) -> None:
    step = 1e-5
    before, motion, after = (solve(linkage, TRAVEL + shift) for shift in (-step, 0.0, step))
    slope = (after.lever_angle_rad - before.lever_angle_rad) / (2 * step)
    inside = before.exists & after.exists & (motion.reach > 0.01)
    np.testing.assert_allclose(motion.ratio[inside], slope[inside], rtol=1e-5, atol=1e-6)


@given(one_linkage)
def test_the_transmission_angle_says_what_force_becomes_moment(linkage: RodLinkage) -> None:
    """A unit force in the rod turns the lever by the sine of the angle times the arm."""
    motion = solve(linkage, TRAVEL)
    force = (motion.pedal_pin_mm - motion.lever_pin_mm) / linkage.rod_length_mm
    moment = np.cross(motion.lever_pin_mm - linkage.module_pivot, force) @ linkage.opening_axis
    compare(np.abs(moment), np.sin(motion.transmission_lever_rad) * linkage.lever_radius_mm, motion.exists)


@given(one_linkage)
def test_a_mirrored_linkage_moves_alike(linkage: RodLinkage) -> None:
    """Mirrored in y. An axis is mirrored as a turn is: the part along the mirror's normal stays."""
    mirrored = replace(
        linkage,
        **{name: getattr(linkage, name) * [1.0, -1.0, 1.0] for name in POINTS},
        **{name: getattr(linkage, name) * [-1.0, 1.0, -1.0] for name in AXES},
    )
    motion, image = solve(linkage, TRAVEL), solve(mirrored, TRAVEL)
    compare(image.lever_angle_rad, motion.lever_angle_rad, well_inside(motion))
    compare(image.transmission_lever_rad, motion.transmission_lever_rad, well_inside(motion), 1e-6)


@given(one_linkage, st.floats(0.01, 100.0))
def test_size_does_not_matter(linkage: RodLinkage, factor: float) -> None:
    scaled = replace(linkage, **{name: getattr(linkage, name) * factor for name in (*POINTS, "rod_length_mm")})
    motion, image = solve(linkage, TRAVEL), solve(scaled, TRAVEL)
    compare(image.lever_angle_rad, motion.lever_angle_rad, well_inside(motion))
    compare(image.reach, motion.reach, motion.exists)


@given(one_linkage, seeds)
def test_the_frame_does_not_matter(linkage: RodLinkage, seed: int) -> None:
    rng = np.random.default_rng(seed)
    frame = np.linalg.qr(rng.normal(size=(3, 3)))[0]
    frame *= np.linalg.det(frame)
    shift = rng.uniform(-2000, 2000, 3)
    moved = replace(
        linkage,
        **{name: getattr(linkage, name) @ frame.T + shift for name in POINTS},
        **{name: unit(getattr(linkage, name) @ frame.T) for name in AXES},
    )
    motion, image = solve(linkage, TRAVEL), solve(moved, TRAVEL)
    compare(image.lever_angle_rad, motion.lever_angle_rad, well_inside(motion))
    compare(image.ratio, motion.ratio, motion.reach > 0.01, 1e-6)


@given(one_linkage)
def test_a_point_of_the_axis_is_as_good_as_another(linkage: RodLinkage) -> None:
    moved = replace(
        linkage,
        pedal_pivot=linkage.pedal_pivot + 70.0 * linkage.pedal_axis,
        module_pivot=linkage.module_pivot - 40.0 * linkage.module_axis,
    )
    motion, image = solve(linkage, TRAVEL), solve(moved, TRAVEL)
    compare(image.lever_angle_rad, motion.lever_angle_rad, well_inside(motion))
    compare(image.transmission_lever_rad, motion.transmission_lever_rad, well_inside(motion), 1e-6)


@given(one_linkage)
def test_swapping_the_roles_inverts_the_map(linkage: RodLinkage) -> None:
    motion = solve(linkage, TRAVEL)
    back = solve(swapped(linkage), motion.lever_angle_rad - rest_position(linkage))
    over_centre = np.cumsum(np.abs(np.diff(np.sign(motion.reversal_measure), prepend=np.nan)) > 0) > 0
    inside = well_inside(motion) & ~over_centre & (np.abs(motion.reversal_measure) > 0.03)
    inside &= np.cumsum(~motion.exists) == 0
    inside &= np.abs(motion.reversal_measure[0]) > 0.03
    compare(back.lever_angle_rad, np.broadcast_to(TRAVEL, (41,)), inside, 1e-7)
    np.testing.assert_allclose(back.ratio[inside], 1 / motion.ratio[inside], rtol=1e-6)


@given(one_linkage, st.floats(-0.1, 0.1))
def test_a_rod_adjusted_at_rest_puts_the_lever_there(linkage: RodLinkage, wanted_rad: float) -> None:
    motion = solve(adjusted_at_rest(linkage, wanted_rad), [0.0])
    # Adjusted through the dead centre, the lever would have to be measured on the other side.
    assume(np.sign(motion.lock_measure[0]) == np.sign(solve(linkage, [0.0]).lock_measure[0]))
    either = [motion.lever_angle_rad[0], motion.other_branch_rad[0]]
    assert min(abs(angle - wanted_rad) for angle in either) < 1e-7
    if motion.reach[0] > 0.05:
        assert motion.lever_angle_rad[0] == pytest.approx(wanted_rad, abs=1e-9)


@given(one_linkage)
def test_no_tolerance_no_band(linkage: RodLinkage) -> None:
    figures = {f"{name}.{axis}": (0.0, 0.0) for name in VECTORS for axis in "xyz"}
    band = lever_band(linkage, figures | {"rod_length_mm": (0.0, 0.0)}, TRAVEL)
    np.testing.assert_array_equal(np.isnan(band.lever_min_rad), np.isnan(band.lever_rad))
    inside = well_inside(solve(linkage, TRAVEL))
    compare(band.lever_min_rad, band.lever_rad, inside)
    compare(band.lever_max_rad, band.lever_rad, inside)


@given(one_linkage, st.floats(0.0, 1.0))
def test_a_wider_tolerance_never_narrows_the_band(linkage: RodLinkage, tolerance_mm: float) -> None:
    narrow = lever_band(linkage, {"rod_length_mm": (tolerance_mm, tolerance_mm / 2)}, TRAVEL)
    wide = lever_band(linkage, {"rod_length_mm": (tolerance_mm + 0.5, tolerance_mm + 0.5)}, TRAVEL)
    known = np.isfinite(wide.lever_max_rad) & np.isfinite(narrow.lever_max_rad)
    assert np.all(wide.lever_min_rad[known] <= narrow.lever_min_rad[known])
    assert np.all(wide.lever_max_rad[known] >= narrow.lever_max_rad[known])
    assert np.all(narrow.lever_min_rad[known] <= narrow.lever_rad[known])
