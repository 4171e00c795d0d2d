"""Laws that hold for every kind of linkage in space."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from conversion.linkage import (
    BellCrankMotion,
    CableMotion,
    ContactMotion,
    Linkage,
    Motion,
    TorsionSpring,
    adjusted_at_rest,
    find_events,
    lever_band,
    pedal_angle_for_lever,
    return_study,
    solve,
)
from conversion.linkage.kinds import arrays_of, stacked, with_figures
from conversion.linkage.turning import length
from tests.linkage.kind_cases import KINDS, TRAVEL, any_bell_crank, any_cable, any_contact, any_linkage, one_of

MIRROR = np.array([1.0, -1.0, 1.0])


def smooth(motion: Motion) -> np.ndarray:
    """Positions where the link holds, away from dead centres, where rounding is not blown up."""
    with np.errstate(invalid="ignore"):
        return motion.holds & (np.abs(motion.ratio) < 20.0) & np.isfinite(motion.ratio)


@given(any_cable)
def test_the_inner_keeps_its_length(cable: Linkage) -> None:
    """What goes from the pedal's side comes out at the quadrant's, measured along the drawn lines."""
    motion = solve(cable, TRAVEL)
    assert isinstance(motion, CableMotion)
    at_pedal = length(motion.pedal_pin_mm - cable.pedal_outer_end)
    wrap = np.maximum(motion.lay.wrap_rad, 0.0)
    flat = np.hypot(motion.quadrant.outer_mm - motion.lay.leaves_x_mm, motion.lay.leaves_y_mm)
    total = at_pedal + flat + wrap * cable.groove_radius_mm
    held = motion.holds & (motion.drawn_mm > 0.0)
    np.testing.assert_allclose(total[held], np.resize(total[held][:1], held.sum()), atol=1e-8)
    nipple = motion.link_lines_mm()[1][..., -1, :]
    arm = length(nipple - cable.module_pivot)
    np.testing.assert_allclose(arm[motion.exists], np.resize(arm[motion.exists][:1], motion.exists.sum()), atol=1e-8)


@given(any_contact)
def test_roller_and_face_touch(contact: Linkage) -> None:
    motion = solve(contact, TRAVEL)
    assert isinstance(motion, ContactMotion)
    touching = motion.touches & (motion.touching_rad > 0.0)
    np.testing.assert_allclose(motion._gap()[touching], 0.0, atol=1e-8)
    clear = motion.exists & motion.clear
    assert np.all(motion.quantities()["gap_mm"][clear] >= 0.0)
    # A contact that opens the lever pushes it.
    assert np.all(motion.lever_arm_mm[smooth(motion)] > 0.0)


@given(any_bell_crank)
def test_both_rods_keep_their_length(bell_crank: Linkage) -> None:
    motion = solve(bell_crank, TRAVEL)
    assert isinstance(motion, BellCrankMotion)
    first, crank, second = motion.link_lines_mm()
    for line, rod in ((first, bell_crank.first_rod_length_mm), (second, bell_crank.second_rod_length_mm)):
        ends = length(line[:, 0] - line[:, 1])
        np.testing.assert_allclose(ends[motion.exists], np.full(motion.exists.sum(), rod), atol=1e-8)
    between = length(crank[:, 0] - crank[:, 2])[motion.exists]
    at_rest = np.linalg.norm(bell_crank.crank_pin_in_at_rest - bell_crank.crank_pin_out_at_rest)
    np.testing.assert_allclose(between, np.full(between.size, at_rest), atol=1e-8)


@given(any_linkage)
def test_the_ratio_is_the_slope(linkage: Linkage) -> None:
    step = 1e-5
    before, motion, after = (solve(linkage, TRAVEL + shift) for shift in (-step, 0.0, step))
    slope = (after.lever_angle_rad - before.lever_angle_rad) / (2 * step)
    inside = before.holds & smooth(motion) & after.holds
    np.testing.assert_allclose(motion.ratio[inside], slope[inside], rtol=1e-3, atol=1e-5)
    usual = inside & (np.abs(motion.ratio) < 3.0)
    np.testing.assert_allclose(motion.ratio[usual], slope[usual], rtol=1e-5, atol=1e-5)


@given(any_linkage)
def test_arms_at_both_ends_make_the_ratio(linkage: Linkage) -> None:
    """Power in is power out: the same force at both arms (the crank of a bell-crank passes on its share)."""
    motion = solve(linkage, TRAVEL)
    share = motion.quantities().get("first_rod_force_share", 1.0)
    inside = smooth(motion) & np.isfinite(motion.lever_arm_mm)
    found = np.abs(motion.pedal_arm_mm / motion.lever_arm_mm * share)
    np.testing.assert_allclose(found[inside], np.abs(motion.ratio[inside]), rtol=1e-9)


@given(any_linkage)
def test_a_mirrored_linkage_moves_alike(linkage: Linkage) -> None:
    """Mirrored in y. An axis is mirrored as a turn is: the part along the mirror's normal stays."""
    figures = {
        name: getattr(linkage, name) * (-MIRROR if name.endswith("_axis") else MIRROR) for name in linkage.VECTORS
    }
    if "face_from_mm" in linkage.NUMBERS:
        figures |= {"face_from_mm": linkage.face_from_mm, "face_to_mm": linkage.face_to_mm}
    motion, image = solve(linkage, TRAVEL), solve(with_figures(linkage, figures), TRAVEL)
    inside = smooth(motion) & smooth(image)
    np.testing.assert_array_equal(motion.exists, image.exists)
    np.testing.assert_allclose(image.lever_angle_rad[inside], motion.lever_angle_rad[inside], atol=1e-9)
    for name, value in motion.quantities().items():
        # Along its axis a mirrored body slides the other way.
        sign = -1.0 if name == "slid_across_mm" else 1.0
        np.testing.assert_allclose(image.quantities()[name][inside], sign * value[inside], atol=1e-6, err_msg=name)


@given(any_linkage, st.floats(0.0, 0.1))
def test_a_linkage_adjusted_at_rest_puts_the_lever_there(linkage: Linkage, wanted_rad: float) -> None:
    before, after = solve(linkage, [0.0]), solve(adjusted_at_rest(linkage, wanted_rad), [0.0])
    if "rod" in linkage.ADJUSTED:
        # Adjusted through its dead centre a rod would have to be measured on the other side.
        assume(np.sign(before.lever_arm_mm[0]) == np.sign(after.lever_arm_mm[0]) and abs(after.lever_arm_mm[0]) > 5.0)
    assert after.lever_angle_rad[0] == pytest.approx(wanted_rad, abs=1e-8)


@given(any_linkage)
@settings(max_examples=60)
def test_the_pedal_angle_for_a_lever_angle_gives_it(linkage: Linkage) -> None:
    motion = solve(linkage, TRAVEL)
    inside = smooth(motion) & (np.abs(motion.ratio) > 0.05)
    assume(inside.any())
    lever = motion.lever_angle_rad[inside]
    pedal = pedal_angle_for_lever(linkage, lever)
    known = np.isfinite(pedal)
    # Past a dead centre of either end the way back is not unique; the angle before it is given, or none.
    assert known.any() or not motion.exists.all()
    np.testing.assert_allclose(solve(linkage, pedal[known]).lever_angle_rad, lever[known], atol=1e-6)


@given(any_linkage)
@settings(max_examples=60)
def test_no_tolerance_no_band(linkage: Linkage) -> None:
    figures = {f"{name}.{axis}": (0.0, 0.0) for name in linkage.VECTORS for axis in "xyz"}
    figures |= {name: (0.0, 0.0) for name in linkage.NUMBERS}
    inside = smooth(solve(linkage, TRAVEL))
    for setting in (None, (0.02, 0.02)):
        at = adjusted_at_rest(linkage, 0.02) if setting else linkage
        inside = smooth(solve(at, TRAVEL))
        band = lever_band(at, figures, TRAVEL, setting)
        np.testing.assert_allclose(band.lever_min_rad[inside], band.lever_rad[inside], atol=1e-7)
        np.testing.assert_allclose(band.lever_max_rad[inside], band.lever_rad[inside], atol=1e-7)


@pytest.mark.parametrize("kind", KINDS)
def test_many_at_once_agree_with_one_by_one(kind: str) -> None:
    many = KINDS[kind](12, 5)
    together = solve(many, TRAVEL)
    assert together.lever_angle_rad.shape == (12, 41)
    for sample in range(12):
        alone = solve(one_of(many, sample), TRAVEL)
        np.testing.assert_allclose(together.lever_angle_rad[sample], alone.lever_angle_rad, atol=1e-8)
        np.testing.assert_array_equal(together.holds[sample], alone.holds)
        for name, value in alone.quantities().items():
            np.testing.assert_allclose(together.quantities()[name][sample], value, atol=1e-6, err_msg=name)
        for line, single in zip(together.link_lines_mm(), alone.link_lines_mm(), strict=True):
            np.testing.assert_allclose(line[sample], single, atol=1e-6)
    copies = stacked(one_of(many, 0), 3)
    assert all(getattr(copies, name).shape[0] == 3 for name in arrays_of(copies))
    np.testing.assert_allclose(solve(copies, TRAVEL).lever_angle_rad[2], solve(one_of(many, 0), TRAVEL).lever_angle_rad)


@given(any_linkage)
@settings(max_examples=40, deadline=None)
def test_stretches_are_where_a_fine_sweep_shows_them(linkage: Linkage) -> None:
    end = 0.4
    events = find_events(linkage, end)
    sweep = solve(linkage, np.linspace(0.0, end, 801))
    shown = {
        "no-solution": ~sweep.exists,
        "slack": sweep.exists & ~sweep.holds if isinstance(sweep, CableMotion) else None,
        "lift-off": sweep.exists & ~sweep.holds if isinstance(sweep, ContactMotion) else None,
    }
    near = 1.5 * end / 800
    for kind, inside in shown.items():
        if inside is None:
            continue
        expected = np.zeros(801, bool)
        certain = np.ones(801, bool)
        for event in events:
            if event.kind == kind:
                expected |= (sweep.pedal_angle_rad > event.pedal_angle_rad) & (sweep.pedal_angle_rad < event.until_rad)
                for edge in (event.pedal_angle_rad, event.until_rad):
                    certain &= np.abs(sweep.pedal_angle_rad - edge) > near
        np.testing.assert_array_equal(inside[certain], expected[certain], err_msg=kind)


@given(any_linkage)
@settings(max_examples=60)
def test_work_at_the_pad_is_energy_of_the_springs_and_of_friction(linkage: Linkage) -> None:
    """Pressed from rest to the end: force along the pad's arc, against what two springs store and friction eats."""
    angle = np.linspace(0.0, 0.3, 3001)
    motion = solve(linkage, angle)
    inside = smooth(motion) | (motion.exists & ~motion.holds)
    with np.errstate(invalid="ignore"):
        assume(inside.all() and np.nanmax(np.abs(motion.ratio)) < 4.0)
    rates = {"pedal": (2.0, 3.0), "module": (1.0, 0.5)}
    springs = [TorsionSpring(half, *figures, half=half) for half, figures in rates.items()]
    study = return_study(
        linkage, angle, springs=springs, pad_radius_mm=250.0, pedal_friction_nm=0.2, module_friction_nm=0.1
    )
    lever = motion.lever_angle_rad
    assume(np.nanmin(1.0 + 0.5 * lever) > 0.2)
    stored = sum(
        preload * (turn[-1] - turn[0]) + rate * (turn[-1] ** 2 - turn[0] ** 2) / 2
        for (preload, rate), turn in zip(rates.values(), (angle, lever), strict=True)
    )
    eaten = 0.2 * angle[-1] + 0.1 * np.abs(np.diff(lever)).sum()
    work = np.trapezoid(study.pad_force_pressing_n, angle * 0.25)
    assert work == pytest.approx(stored + eaten, abs=3e-4)
    returned = np.trapezoid(study.pad_force_releasing_n, angle * 0.25)
    assert returned == pytest.approx(stored - eaten, abs=3e-4)
    assert np.all(study.hysteresis_n > 0.0)
