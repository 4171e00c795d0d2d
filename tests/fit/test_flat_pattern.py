"""Bends and flat patterns that can be added up by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon

from conversion.fit import BoxSize, Corner, Sheet, Way, bend_allowance_mm, bend_deduction_mm, flat_pattern

# π/2 · (2 + 0.5 · 1) with these, so the arithmetic is plain.
SHEET = Sheet(1.0, 2.0, 0.5)
ALLOWANCE = np.pi / 2 * 2.5
BOX = BoxSize(width_mm=100, height_mm=60, depth_mm=30, flange_mm=20, sheet=SHEET)

sheets = st.builds(Sheet, st.floats(0.6, 3.0), st.floats(0.5, 4.0), st.floats(0.3, 0.5))


def test_allowance_and_deduction_by_hand() -> None:
    assert bend_allowance_mm(SHEET) == pytest.approx(ALLOWANCE)
    assert bend_deduction_mm(SHEET) == pytest.approx(6 - ALLOWANCE)
    assert bend_allowance_mm(SHEET, np.pi) == pytest.approx(2 * ALLOWANCE)


@given(sheets, st.floats(0.1, 3.0), st.floats(20, 90), st.floats(20, 90))
def test_both_ways_to_the_flat_length_agree(sheet: Sheet, angle: float, one: float, two: float) -> None:
    """Flats and allowance, or outside lengths less the deduction."""
    set_back = (sheet.inside_radius_mm + sheet.thickness_mm) * np.tan(angle / 2)
    by_flats = (one - set_back) + (two - set_back) + bend_allowance_mm(sheet, angle)
    assert by_flats == pytest.approx(one + two - bend_deduction_mm(sheet, angle))


def test_size_and_area_of_a_blank_by_hand() -> None:
    flat = flat_pattern(BOX)
    # Half across: 50 − 2, bend, 30 − 4, bend, 20 − 2.
    across, up = 48 + 26 + 18 + 2 * ALLOWANCE, 28 + 26 + 18 + 2 * ALLOWANCE
    assert flat.size_mm == pytest.approx((2 * across, 2 * up))
    cross = 2 * across * 60 + 2 * up * 100 - 100 * 60
    ears = 4 * (20 + 1) * 18
    side_flanges = 4 * (1 + 2) * 18
    assert flat.area_mm2 == pytest.approx(cross + ears + side_flanges)
    assert Polygon(flat.outline_mm).area == pytest.approx(flat.area_mm2)
    assert len(flat.bend_lines) == 8


def test_outside_sizes_less_deductions_give_the_same_blank() -> None:
    """Section through the width: flange, wall, bottom, wall, flange by outside lengths, four deductions off."""
    flat = flat_pattern(BOX)
    # Each flange ends 20 off the wall's outside; measured to the mould line of its bend, a sheet more.
    lengths = 2 * (20 + 1) + 2 * (30 + 2 * 1) + (100 + 2 * 1)
    assert flat.size_mm[0] == pytest.approx(lengths - 4 * bend_deduction_mm(SHEET))


def test_folded_corners_add_four_tabs() -> None:
    plain, folded = flat_pattern(BOX), flat_pattern(replace(BOX, corner=Corner.FOLDED, tab_mm=12))
    # Tabs: wall of 26 less a sheet at both ends, out to the bend by 1 − 2, bend, 12 − 2.
    assert folded.area_mm2 - plain.area_mm2 == pytest.approx(4 * 24 * (1 - 2 + ALLOWANCE + 10))
    assert len(folded.bend_lines) == 12
    assert replace(BOX, corner=Corner.FOLDED).outside_mm == (102, 64)


@pytest.mark.parametrize("corner", list(Corner))
def test_holes_fold_onto_the_bulkhead_where_it_is_drilled(corner: Corner) -> None:
    flat = flat_pattern(replace(BOX, corner=corner))
    outline = Polygon(flat.outline_mm)
    # What folding takes away between the middle and the flange, on the way along one axis.
    lost = np.array([48, 28]) + 26 + 2 * ALLOWANCE - (np.array([50, 30]) + 1 + 2)
    for lying, fitted in zip(flat.holes, flat.holes_fitted, strict=True):
        moved = np.abs(lying.centre_mm) - np.abs(fitted.centre_mm)
        assert np.allclose(moved, [lost[0], 0]) or np.allclose(moved, [0, lost[1]])
        assert outline.contains(Point(*lying.centre_mm).buffer(lying.diameter_mm))
        off = np.abs(fitted.centre_mm) - [51, 31]
        assert max(off) == pytest.approx(11)
    places = np.array([hole.centre_mm for hole in flat.holes_fitted])
    apart = np.linalg.norm(places[:, None] - places, axis=-1) + 1e9 * np.eye(len(places))
    assert np.all(apart.min(axis=0) <= BOX.pitch_mm)
    assert apart.min() > 2 * BOX.hole_mm


@given(
    sheets,
    st.floats(40, 300),
    st.floats(40, 300),
    st.floats(15, 120),
    st.floats(20, 40),
    st.sampled_from(list(Corner)),
)
def test_every_box_lies_flat_in_one_piece(
    sheet: Sheet, width: float, height: float, depth: float, flange: float, corner: Corner
) -> None:
    box = BoxSize(width, height, depth, flange, sheet, corner, tab_mm=sheet.inside_radius_mm + 3)
    flat = flat_pattern(box)
    outline = Polygon(flat.outline_mm)
    assert outline.is_valid
    low, high = flat.outline_mm.min(axis=0), flat.outline_mm.max(axis=0)
    np.testing.assert_allclose(high - low, flat.size_mm)
    np.testing.assert_allclose(low, -high, atol=1e-9)
    for bend in flat.bend_lines:
        assert outline.buffer(1e-6).covers(LineString([bend.start_mm, bend.end_mm]))
        assert bend.allowance_mm == pytest.approx(bend_allowance_mm(sheet))
    # A relief takes in the whole corner where two bends run into each other.
    half = np.array([width, height]) / 2 - sheet.inside_radius_mm
    for relief in flat.reliefs:
        corners = [np.abs(relief.centre_mm) - half, half + bend_allowance_mm(sheet) - np.abs(relief.centre_mm)]
        assert np.max(np.linalg.norm(corners, axis=-1)) <= relief.diameter_mm / 2 + 1e-9
    assert sum(bend.way is Way.DOWN for bend in flat.bend_lines) == 4


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"flange_mm": 1.5}, "shorter than its bend"),
        ({"flange_mm": 10.0}, "holes of 5.5 mm want 13 mm of flange"),
        ({"depth_mm": 4.0}, "no wall between two bends"),
        ({"width_mm": 3.0}, "no room for two bends"),
        ({"pitch_mm": 20.0}, "too close"),
        ({"corner": Corner.FOLDED, "tab_mm": 60.0}, "cannot be folded"),
        ({"corner": Corner.FOLDED, "tab_mm": 1.0}, "cannot be folded"),
    ],
)
def test_what_cannot_be_folded(change: dict[str, object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        replace(BOX, **change)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("figures", "said"),
    [((0.0, 2.0, 0.4), "thickness"), ((1.0, -1.0, 0.4), "inside radius of -1"), ((1.0, 1.0, 1.5), "K factor")],
)
def test_what_is_no_sheet(figures: tuple[float, float, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        Sheet(*figures)
    with pytest.raises(ValueError, match="180"):
        bend_allowance_mm(SHEET, 4.0)
    with pytest.raises(ValueError, match="outside corner"):
        bend_deduction_mm(SHEET, np.pi)
