"""True-scale sheets and the pages that they are printed on."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import box as rectangle
from shapely import union_all
from shapely.geometry import LineString, Polygon

from conversion.fit import (
    BoxSize,
    Circle,
    Corner,
    Kind,
    Line,
    Paper,
    Purpose,
    Sheet,
    TemplateSheet,
    Text,
    bracket_face,
    capsule,
    clipped,
    flat_pattern,
    flat_pattern_sheet,
    lever_template,
    mock_up_sheet,
    opening_sheet,
    swept_envelope,
    tile_count,
    tiles,
)
from conversion.fit.shapes import reach_mm
from conversion.fit.tiles import BAR_MM, SIZE_MM
from tests.fit.cases import pedal_poses

FLAT = flat_pattern(BoxSize(120, 80, 30, 20, Sheet(1.0, 2.0, 0.5), Corner.FOLDED))
ENVELOPE = swept_envelope([capsule("arm", Kind.PEDAL, [0, 0, 0], [0, 0, -250], 8, "pedal")], pedal_poses())
SHEETS = {
    "lever": lever_template("lever", "Lever", [30, 40.5, 55], 6.2, 8, 16),
    "bracket": bracket_face(
        "face", "Face", [[0, 0], [80, 0], [80, 50], [30, 50], [0, 20]], [([20, 10], 6), ([60, 35], 8)]
    ),
    "recess": flat_pattern_sheet("recess", "Recess", FLAT),
    "opening": opening_sheet("opening", "Opening", FLAT, (124, 86)),
    "mock-up": mock_up_sheet("mock-up", "Mock-up", ENVELOPE, [("pedal axis", [0, 0])]),
}


def circles(sheet: TemplateSheet) -> list[Circle]:
    return [shape for shape in sheet.shapes if isinstance(shape, Circle)]


def outline(sheet: TemplateSheet) -> Polygon:
    (line,) = [shape for shape in sheet.shapes if isinstance(shape, Line) and shape.purpose is Purpose.CUT]
    return Polygon(line.points_mm)


@pytest.mark.parametrize("name", SHEETS)
def test_all_shapes_lie_on_the_sheet(name: str) -> None:
    sheet = SHEETS[name]
    low, high = reach_mm(sheet.shapes)
    border = 3.5 if name == "mock-up" else 5.0
    np.testing.assert_allclose(low, border)
    np.testing.assert_allclose(high, [sheet.width_mm - border, sheet.height_mm - border])


def test_holes_of_a_lever_are_where_they_were_asked_for() -> None:
    bore, *holes = circles(SHEETS["lever"])
    assert [float(hole.centre_mm[0] - bore.centre_mm[0]) for hole in holes] == pytest.approx([30, 40.5, 55])
    assert {hole.radius_mm for hole in holes} == {3.1}
    assert outline(SHEETS["lever"]).area == pytest.approx(55 * 16 + np.pi * 64, rel=0.002)
    *radii, sizes = [shape.text for shape in SHEETS["lever"].shapes if isinstance(shape, Text)]
    assert radii == ["30 mm", "40.5 mm", "55 mm"]
    assert sizes == "71.0 × 16.0 mm over all, 3 holes of 6.2 mm, 1 bore of 8.0 mm"


def test_a_lever_ends_where_it_was_told_to_past_the_pin() -> None:
    sheet = lever_template("lever", "Lever", [40], 6, 8, 16, 11.0)
    bore, hole = circles(sheet)
    low, _, high, _ = outline(sheet).bounds
    assert (bore.centre_mm[0] - low, high - hole.centre_mm[0]) == pytest.approx((8.0, 11.0))


def test_a_flat_pattern_keeps_its_size_on_the_sheet() -> None:
    face = outline(SHEETS["recess"])
    assert face.area == pytest.approx(FLAT.area_mm2)
    assert (face.bounds[2] - face.bounds[0], face.bounds[3] - face.bounds[1]) == pytest.approx(FLAT.size_mm)
    bends = [shape for shape in SHEETS["recess"].shapes if getattr(shape, "purpose", None) is Purpose.BEND]
    assert len(bends) == 12
    assert len(circles(SHEETS["recess"])) == len(FLAT.holes) + 4


def test_the_way_of_each_bend_is_written_beside_it_and_not_across_it() -> None:
    words = [shape for shape in SHEETS["recess"].shapes if isinstance(shape, Text)]
    lines = [shape for shape in SHEETS["recess"].shapes if getattr(shape, "purpose", None) is Purpose.BEND]
    *ways, sizes = words
    assert sorted(word.text for word in ways) == ["down 90°"] * 4 + ["up 90°"] * 8
    width, height = FLAT.size_mm
    assert sizes.text.startswith(
        f"{width:.1f} × {height:.1f} mm over all, {len(FLAT.holes)} holes of 5.5 mm, 4 reliefs"
    )
    for word in ways:
        low, high = word.reach_mm()
        place = rectangle(*low, *high)
        for line in lines:
            assert isinstance(line, Line)
            assert not place.crosses(LineString(line.points_mm))


def test_the_opening_is_drilled_as_the_flange_is() -> None:
    face = outline(SHEETS["opening"])
    assert face.area == pytest.approx(124 * 86)
    middle = np.array(face.centroid.coords[0])
    found = [hole.centre_mm - middle for hole in circles(SHEETS["opening"])]
    np.testing.assert_allclose(found, [hole.centre_mm for hole in FLAT.holes_fitted], atol=1e-9)


def test_the_mock_up_has_the_area_of_the_outline() -> None:
    assert outline(SHEETS["mock-up"]).area == pytest.approx(ENVELOPE.whole.area)
    assert "pedal axis" in [shape.text for shape in SHEETS["mock-up"].shapes if isinstance(shape, Text)]


def test_no_line_runs_through_a_name_on_the_mock_up() -> None:
    """The arm is 16 mm wide and the name 17 mm long, so that it has to stand along the arm or outside."""
    sheet = SHEETS["mock-up"]
    (name,) = [shape for shape in sheet.shapes if isinstance(shape, Text) and shape.text == "pedal axis"]
    assert not rectangle(*np.ravel(name.reach_mm())).intersects(outline(sheet).exterior)


def test_the_size_of_the_mock_up_takes_no_paper_where_a_corner_is_free() -> None:
    sheet = SHEETS["mock-up"]
    x0, y0, x1, y1 = outline(sheet).bounds
    (size,) = [shape for shape in sheet.shapes if isinstance(shape, Text) and "over all" in shape.text]
    assert size.text == f"{x1 - x0:.1f} × {y1 - y0:.1f} mm over all"
    place = rectangle(*np.ravel(size.reach_mm()))
    assert not place.intersects(outline(sheet)) and rectangle(x0, y0, x1, y1).buffer(1e-6).covers(place)


def blank(width: float, height: float) -> TemplateSheet:
    edge = np.array([[0, 0], [width, 0], [width, height], [0, height]])
    zigzag = np.array([[0, 0], [width, height / 3], [0, height / 2], [width, height]])
    return TemplateSheet("s", "S", (Line(edge, closed=True), Line(zigzag)), width, height)


sizes = st.floats(20, 1400)
papers = st.sampled_from(list(Paper))


@given(sizes, sizes, papers, st.floats(3, 20), st.floats(8, 30))
def test_the_pages_together_are_the_sheet(
    width: float, height: float, paper: Paper, margin: float, overlap: float
) -> None:
    sheet = blank(width, height)
    pages = tiles(sheet, paper, margin, overlap)
    whole = union_all([rectangle(*page.window_mm.ravel()) for page in pages])
    assert whole.symmetric_difference(rectangle(0, 0, width, height)).area == pytest.approx(0.0, abs=1e-6)
    assert tile_count(sheet, paper, margin, overlap) == len(pages)
    for page in pages:
        low, high = page.frame_mm
        np.testing.assert_allclose(high - low, page.window_mm[1] - page.window_mm[0])
        assert np.all(low >= margin) and np.all(high <= np.array(page.page_mm) - margin + 1e-9)
        assert sorted(page.page_mm) == sorted(SIZE_MM[paper])
    for left in pages:
        for right in pages:
            if (right.column, right.row) == (left.column + 1, left.row):
                assert left.window_mm[1][0] - right.window_mm[0][0] == pytest.approx(overlap, abs=1e-6)


@settings(max_examples=40)
@given(sizes, sizes, papers)
def test_every_line_is_on_some_page_at_its_place(width: float, height: float, paper: Paper) -> None:
    sheet = blank(width, height)
    found: list[list[LineString]] = [[], []]
    for page in tiles(sheet, paper):
        back = page.window_mm[0] - page.frame_mm[0]
        for shape in page.shapes:
            assert isinstance(shape, Line)
            found[0 if shape.closed else 1] += [LineString(part + back) for part in clipped(shape, *page.frame_mm)]
    for parts, shape in zip(found, sheet.shapes, strict=True):
        assert isinstance(shape, Line)
        points = [*shape.points_mm, shape.points_mm[0]] if shape.closed else shape.points_mm
        missing = LineString(points).difference(union_all(parts).buffer(1e-4))
        assert missing.length == pytest.approx(0.0, abs=1e-3)


@settings(max_examples=40)
@given(sizes, sizes, papers)
def test_marks_are_shared_by_the_pages_that_they_join(width: float, height: float, paper: Paper) -> None:
    pages = tiles(blank(width, height), paper)
    seen: dict[tuple[float, ...], set[int]] = {}
    for page in pages:
        for mark in page.marks:
            on_sheet = mark.points_mm - page.frame_mm[0] + page.window_mm[0]
            seen.setdefault(tuple(np.round(on_sheet.ravel(), 3)), set()).add(page.number)
            assert np.all(mark.points_mm >= page.frame_mm[0] - 1e-6)
            assert np.all(mark.points_mm <= page.frame_mm[1] + 1e-6)
    assert all(len(numbers) >= 2 for numbers in seen.values())
    joined = {pair for numbers in seen.values() for pair in pairwise(sorted(numbers))}
    if len(pages) > 1:
        # From any page one comes to any other along marks.
        reached = {1}
        for _ in pages:
            reached |= {b for a, b in joined if a in reached} | {a for a, b in joined if b in reached}
        assert reached == {page.number for page in pages}
    else:
        assert not seen


@settings(max_examples=40)
@given(sizes, sizes, papers)
def test_every_page_has_a_bar_both_ways_outside_the_drawing(width: float, height: float, paper: Paper) -> None:
    for page in tiles(blank(width, height), paper):
        for axis, bar in enumerate(page.bars):
            low, high = bar.reach_mm()
            assert high[axis] - low[axis] == pytest.approx(BAR_MM)
            assert high[1 - axis] < page.frame_mm[0][1 - axis]
            assert np.all(low >= 10.0) and np.all(high <= np.array(page.page_mm) - 10.0)


def test_the_pages_of_a_sheet_as_long_as_a_road_are_counted_and_not_cut() -> None:
    assert tile_count(blank(1e6, 1e6), Paper.A3) > 5_000_000


def test_one_page_where_one_will_do_and_the_fewer_way_round() -> None:
    assert len(tiles(blank(170, 260))) == 1
    (page,) = tiles(blank(260, 170))
    assert page.page_mm == (297.0, 210.0)
    assert len(tiles(blank(170, 260), "Letter")) == 2


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: tiles(blank(10, 10), "A0"), "not a paper"),
        (lambda: tiles(blank(10, 10), "A4", 60), "too little"),
        (lambda: tiles(blank(10, 10), "A4", 10, 2), "overlap of 8 mm"),
        (lambda: lever_template("l", "L", [], 6, 8, 16), "at least one hole"),
        (lambda: lever_template("l", "L", [30, 34], 6, 8, 16), "run into each other"),
        (lambda: lever_template("l", "L", [30], 6, 8, 8), "no wider"),
        (lambda: lever_template("l", "L", [30], 6, 8, 16, 3), "breaks through the lever's end"),
        (lambda: bracket_face("b", "B", [[0, 0], [50, 0], [0, 50]], [([30, 30], 6)]), "breaks through"),
        (lambda: bracket_face("b", "B", [[0, 0], [50, 0], [0, 50]], [([2, 10], 6)]), "breaks through"),
        (lambda: bracket_face("b", "B", [[0, 0], [50, 50], [50, 0], [0, 50]], []), "cross or touch"),
    ],
)
def test_what_cannot_be(make: object, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make()  # type: ignore[operator]
