"""Templates read back and measured: the DXF by a library of its own, the PDF by the path operators of its pages."""

from __future__ import annotations

import datetime
import io
import math
import re
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import numpy as np
import pypdf
import pytest
from ezdxf.document import Drawing
from ezdxf.lldxf.encoding import decode_dxf_unicode
from pypdf.generic import ContentStream
from shapely import MultiLineString, union_all
from shapely.geometry import LineString

from conversion.drawings.templates import plan_templates, template_sheets
from conversion.fit import (
    Circle,
    Line,
    Paper,
    Purpose,
    TemplateSheet,
    Text,
    bend_allowance_mm,
    clipped,
    lever_template,
    tiles,
)
from conversion.fit.tiles import BAR_MM
from conversion.pack.dxf import dxf_bytes
from conversion.pack.true_scale import CHECK, drawn_files, set_pages, sheet_pdf, sheet_svg
from conversion.plan import Plan
from tests.drawings.picture import SVG
from tests.drawings.varied import varied
from tests.pack.made import POINTS_PER_MM, demo_plan

DATE = datetime.date(2026, 3, 14)
HOLES = {"hole": "6.2 mm", "bore": "8 mm"}
FACE = {
    "corners": [["-20 mm", "-40 mm"], ["20 mm", "-40 mm"], ["20 mm", "30 mm"], ["-20 mm", "30 mm"]],
    "holes": [
        {"at": ["0 mm", "0 mm"], "diameter": "18 mm"},
        {"at": ["-12 mm", "-30 mm"], "diameter": "6.5 mm"},
        {"at": ["12 mm", "20 mm"], "diameter": "6.5 mm"},
    ],
}


def described(folder: Path) -> Plan:
    """The worked conversion with the holes of its lever and the bracket's face described."""

    def change(data: dict[str, Any]) -> None:
        data["fit"]["bodies"]["lever"].update(HOLES)
        data["fit"]["face"] = FACE

    return varied(folder, change)


def undrilled(folder: Path) -> Plan:
    """The worked conversion with nothing said of the lever's holes and of the bracket's face."""

    def change(data: dict[str, Any]) -> None:
        for key in HOLES:
            del data["fit"]["bodies"]["lever"][key]
        del data["fit"]["face"]

    return varied(folder, change)


@cache
def demo_sheets() -> dict[str, TemplateSheet]:
    return {sheet.name: sheet for sheet in template_sheets(demo_plan())}


def read(content: bytes) -> Drawing:
    return ezdxf.read(io.StringIO(content.decode("ascii")))


def circles(dxf: Drawing, layer: str = "CUT") -> list[tuple[float, float, float]]:
    """Centre and diameter of each."""
    return [
        (each.dxf.center.x, each.dxf.center.y, 2 * each.dxf.radius)
        for each in dxf.modelspace().query(f'CIRCLE[layer=="{layer}"]')
    ]


def lines(dxf: Drawing, layer: str) -> list[np.ndarray]:
    return [np.array(each.get_points("xy")) for each in dxf.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')]


def test_a_reader_has_nothing_to_mend_in_a_file() -> None:
    for sheet in demo_sheets().values():
        dxf = read(dxf_bytes(sheet))
        audit = dxf.audit()
        assert not audit.errors
        assert not audit.fixes
        assert dxf.units == 4
        assert {"CUT", "BEND", "MARK"} <= {layer.dxf.name for layer in dxf.layers}
        assert len(dxf.modelspace()) == len(sheet.shapes)


def group_codes(content: bytes) -> list[tuple[int, str]]:
    """Every pair of a file as it stands, read without any library."""
    rows = content.decode("ascii").splitlines()
    return [(int(code), value.strip()) for code, value in zip(rows[::2], rows[1::2], strict=True)]


def entities(content: bytes, kind: str) -> list[list[tuple[int, float]]]:
    """The numbers of each entity of a kind, by their group codes: 10 and 20 are x and y, 40 a radius."""
    tags, found = group_codes(content), []
    start = tags.index((2, "ENTITIES"))
    begins = [i for i, (code, _) in enumerate(tags) if code == 0 and i > start]
    for here, there in pairwise(begins):
        if tags[here][1] == kind:
            found.append([(code, float(value)) for code, value in tags[here:there] if code in (10, 20, 40)])
    return found


@pytest.mark.parametrize("name", ["lever", "bracket-face", "recess", "recess-opening", "mock-up"])
def test_the_bare_numbers_of_a_file_are_the_millimetres_of_the_sheet(name: str) -> None:
    """Group codes of the published DXF reference, release AC1015; from memory."""
    sheet = demo_sheets()[name]
    content = dxf_bytes(sheet)
    tags = group_codes(content)
    assert tags[tags.index((9, "$INSUNITS")) + 1] == (70, "4")
    circles_found = [dict(each) for each in entities(content, "CIRCLE")]
    wanted = [(*shape.centre_mm, shape.radius_mm) for shape in sheet.shapes if isinstance(shape, Circle)]
    found = [(each[10], each[20], each[40]) for each in circles_found]
    np.testing.assert_allclose(np.reshape(found, (-1, 3)), np.reshape(wanted, (-1, 3)), atol=1e-6)
    outlines = [[value for code, value in each if code in (10, 20)] for each in entities(content, "LWPOLYLINE")]
    drawn = [shape.points_mm for shape in sheet.shapes if isinstance(shape, Line)]
    assert len(outlines) == len(drawn)
    for numbers, points in zip(outlines, drawn, strict=True):
        np.testing.assert_allclose(np.reshape(numbers, (-1, 2)), points, atol=1e-6)


def test_the_lever_is_drilled_where_the_plan_has_its_pin(tmp_path: Path) -> None:
    plan = described(tmp_path)
    sheet = {each.name: each for each in template_sheets(plan)}["lever"]
    bore, hole = circles(read(dxf_bytes(sheet)))
    radius = float(plan.travel.geometry.linkage.lever_radius_mm)  # type: ignore[attr-defined]
    assert math.dist(bore[:2], hole[:2]) == pytest.approx(radius, abs=0.006)
    assert (bore[2], hole[2]) == (8.0, 6.2)


def test_a_lever_without_holes_described_gets_its_centres(tmp_path: Path) -> None:
    sheet = {each.name: each for each in template_sheets(undrilled(tmp_path))}["lever-centres"]
    dxf = read(dxf_bytes(sheet))
    axis, pin = circles(dxf, "MARK")
    radius = float(demo_plan().travel.geometry.linkage.lever_radius_mm)  # type: ignore[attr-defined]
    assert math.dist(axis[:2], pin[:2]) == pytest.approx(radius, abs=0.006)
    assert not circles(dxf)


def test_the_face_has_the_described_holes(tmp_path: Path) -> None:
    plan = described(tmp_path)
    sheet = {each.name: each for each in template_sheets(plan)}["bracket-face"]
    dxf = read(dxf_bytes(sheet))
    (first, second, third) = circles(dxf)
    assert [each[2] for each in (first, second, third)] == [18.0, 6.5, 6.5]
    assert math.dist(first[:2], second[:2]) == pytest.approx(math.hypot(12, 30))
    assert math.dist(second[:2], third[:2]) == pytest.approx(math.hypot(24, 50))
    (outline,) = lines(dxf, "CUT")
    np.testing.assert_allclose(np.ptp(outline, axis=0), [40, 70])
    assert not plan_templates(plan).left_out


def test_what_is_not_described_is_left_out_with_the_reason(tmp_path: Path) -> None:
    assert not plan_templates(demo_plan()).left_out
    ((what, why),) = plan_templates(undrilled(tmp_path)).left_out
    assert what == "Face of the bracket"
    assert "fit.face" in why


def test_the_flat_pattern_folds_to_the_planned_box() -> None:
    """From the bend lines alone: two bottoms' edges, a wall and a flange, by the bend allowance of the sheet."""
    fit = demo_plan().fit
    assert fit is not None
    (planned,) = fit.recesses
    box = planned.recess.box
    dxf = read(dxf_bytes(demo_sheets()["recess"]))
    upright = sorted(
        float(line[0, 0]) for line in lines(dxf, "BEND") if line[0, 0] == line[1, 0] and np.ptp(line[:, 1]) > 30.0
    )
    far_left, left, right, far_right = upright
    sheet = box.sheet
    half_bend = bend_allowance_mm(sheet) / 2
    assert right - left == pytest.approx(box.width_mm - 2 * sheet.inside_radius_mm + 2 * half_bend, abs=1e-5)
    wall = box.depth_mm - 2 * sheet.inside_radius_mm + 2 * half_bend
    assert (left - far_left, far_right - right) == pytest.approx((wall, wall), abs=1e-5)
    (outline,) = lines(dxf, "CUT")
    np.testing.assert_allclose(np.ptp(outline, axis=0), planned.recess.flat.size_mm, atol=1e-5)
    holes = [each for each in circles(dxf) if each[2] == box.hole_mm]
    assert len(holes) == len(planned.recess.flat.holes)


def test_the_holes_of_the_opening_meet_those_of_the_folded_flange() -> None:
    fit = demo_plan().fit
    assert fit is not None
    recess = fit.recesses[0].recess
    dxf = read(dxf_bytes(demo_sheets()["recess-opening"]))
    (outline,) = lines(dxf, "CUT")
    middle = (outline.min(axis=0) + outline.max(axis=0)) / 2
    np.testing.assert_allclose(np.ptp(outline, axis=0), recess.hole_mm, atol=1e-5)
    found = np.array([each[:2] for each in circles(dxf)]) - middle
    np.testing.assert_allclose(found, [hole.centre_mm for hole in recess.flat.holes_fitted], atol=1e-5)


def test_the_mock_up_has_the_pivots_as_far_apart_as_the_car() -> None:
    linkage = demo_plan().travel.geometry.linkage
    dxf = read(dxf_bytes(demo_sheets()["mock-up"]))
    words = {each.dxf.text: np.array(each.dxf.align_point)[:2] for each in dxf.query("TEXT")}
    crosses = np.array([line.mean(axis=0) for line in lines(dxf, "MARK")])
    # Each name stands nearest to the cross of its own pivot.
    pedal, lever = (
        crosses[np.argmin(np.linalg.norm(crosses - words[word], axis=1))] for word in ("pedal's axis", "lever's axis")
    )
    found = lever - pedal
    np.testing.assert_allclose(found, (linkage.module_pivot - linkage.pedal_pivot)[[0, 2]], atol=1e-5)


def test_words_of_a_template_are_no_control_codes() -> None:
    hostile = 'x%%u ^M \\P {y} "z" 0\nEOF 5° Ω 日本'
    sheet = TemplateSheet("a", hostile, (Text(np.array([40.0, 5.0]), hostile),), 80.0, 20.0)
    content = dxf_bytes(sheet)
    (text,) = read(content).query("TEXT")
    assert decode_dxf_unicode(text.plain_text()) == 'x%u ^M \\P {y} "z" 0 EOF 5° Ω 日本'
    assert content.decode("ascii").splitlines().count("EOF") == 1


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", ["lever", "bracket-face", "recess", "mock-up"])
def test_both_bars_of_every_page_are_100_mm(name: str, paper: Paper) -> None:
    sheet = demo_sheets()[name]
    reader = pypdf.PdfReader(io.BytesIO(sheet_pdf(sheet, paper, DATE)))
    pages = tiles(sheet, paper)
    assert len(reader.pages) == len(pages)
    for page, tile in zip(reader.pages, pages, strict=True):
        size = [float(each) / POINTS_PER_MM for each in page.mediabox[2:]]
        assert size == pytest.approx(tile.page_mm, abs=0.001)
        assert page.get("/UserUnit", 1) == 1
        paths = page_paths(page)
        for axis in (0, 1):
            bars = [
                path
                for path in paths
                if path.shape == (6, 2)
                and path[2, 1 - axis] == pytest.approx(path[3, 1 - axis], abs=1e-3)
                and np.ptp(path[:, axis]) == pytest.approx(BAR_MM, abs=0.01)
            ]
            assert len(bars) == 1, (axis, tile.number)
        words = re.sub(r"\s+", " ", page.extract_text())
        assert CHECK in words
        assert f"page {tile.number} of {len(pages)}" in words


@pytest.mark.parametrize("paper", list(Paper))
def test_pages_put_together_are_the_sheet(paper: Paper) -> None:
    """The outline as the pages of the PDF draw it, each clipped to its frame and moved to its place."""
    sheet = demo_sheets()["mock-up"]
    outline = max((shape for shape in sheet.shapes if isinstance(shape, Line)), key=lambda line: len(line.points_mm))
    whole = LineString([*outline.points_mm, outline.points_mm[0]])
    reader = pypdf.PdfReader(io.BytesIO(sheet_pdf(sheet, paper, DATE)))
    parts = []
    for page, tile in zip(reader.pages, tiles(sheet, paper), strict=True):
        shift = tile.window_mm[0] - tile.frame_mm[0]
        drawn = [path for path in page_paths(page) if len(path) >= len(outline.points_mm)]
        for path in drawn:
            np.testing.assert_allclose(path[: len(outline.points_mm)] + shift, outline.points_mm, atol=0.003)
            line = Line(path, Purpose.CUT, closed=True)
            parts += [part + shift for part in clipped(line, tile.frame_mm[0] - 0.01, tile.frame_mm[1] + 0.01)]
    together = union_all(MultiLineString([part.tolist() for part in parts]).buffer(0.02))
    assert together.covers(whole)
    assert whole.buffer(0.05).covers(together)


def test_a_picture_has_its_true_size() -> None:
    import xml.etree.ElementTree as ET

    sheet = lever_template("lever", "Lever", [40.0], 6.0, 8.0, 16.0)
    root = ET.fromstring(sheet_svg(sheet))
    _, _, width, height = (float(each) for each in root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{width:g}mm"
    assert root.attrib["height"] == f"{height:g}mm"
    bore, hole = ([float(each.attrib[key]) for key in ("cx", "cy", "r")] for each in root.iter(f"{SVG}circle"))
    assert hole[0] - bore[0] == pytest.approx(40.0)
    assert (bore[2], hole[2]) == (4.0, 3.0)
    bars = [
        np.array([[float(x) for x in pair.split(",")] for pair in each.attrib["points"].split()])
        for each in root.iter(f"{SVG}polyline")
    ]
    assert sorted(float(np.ptp(bar[:, 0])) for bar in bars if len(bar) == 6) == pytest.approx([4.0, BAR_MM])


def _files(sheets: tuple[TemplateSheet, ...]) -> dict[str, bytes]:
    with ThreadPoolExecutor() as aside:
        pages = set_pages(sheets, DATE, aside)
    return drawn_files(sheets) | {name: page.result() for name, page in pages.items()}


def test_the_same_bytes_twice() -> None:
    sheets = tuple(demo_sheets().values())
    once, again = (_files(sheets) for _ in range(2))
    assert once == again
    assert len(once) == 4 * len(sheets)


@pytest.mark.parametrize("paper", list(Paper))
def test_a_page_shows_its_window_and_no_more(paper: Paper) -> None:
    sheet = demo_sheets()["mock-up"]
    reader = pypdf.PdfReader(io.BytesIO(sheet_pdf(sheet, paper, DATE)))
    for page, tile in zip(reader.pages, tiles(sheet, paper), strict=True):
        clips = [path for path in page_paths(page, clips=True) if np.ptp(path, axis=0).max() < max(tile.page_mm) - 1.0]
        assert clips
        for clip in clips:
            found = np.array([clip.min(axis=0), clip.max(axis=0)])
            np.testing.assert_allclose(found, tile.frame_mm, atol=0.005)


def page_paths(page: pypdf.PageObject, clips: bool = False) -> list[np.ndarray]:
    """Points of each path of a page, in millimetres from its lower left corner, y upward.

    Args:
        page: Of a PDF.
        clips: Those that only clip what follows, instead of those that are drawn.
    """
    state, stack, paths, points = np.eye(3), [], [], []
    content = ContentStream(page.get_contents(), page.pdf)
    for operands, operator in content.operations:
        numbers = [float(each) for each in operands if isinstance(each, (int, float))]
        if operator == b"q":
            stack.append(state)
        elif operator == b"Q":
            state = stack.pop()
        elif operator == b"cm":
            a, b, c, d, e, f = numbers
            state = np.array([[a, b, 0], [c, d, 0], [e, f, 1]]) @ state
        elif operator in (b"m", b"l"):
            points = points if operator == b"l" else []
            points.append(([*numbers, 1.0] @ state)[:2] / POINTS_PER_MM)
        elif operator == b"re":
            x, y, width, height = numbers
            corners = [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]
            points = [([*corner, 1.0] @ state)[:2] / POINTS_PER_MM for corner in corners]
        elif operator in (b"S", b"s", b"f", b"n", b"B") and points:
            if (operator == b"n") == clips:
                paths.append(np.array(points))
            points = []
    return paths


def test_circles_are_round_and_of_their_size_in_every_file(tmp_path: Path) -> None:
    sheet = TemplateSheet("hole", "Hole", (Circle(np.array([30.0, 30.0]), 12.5),), 60.0, 60.0)
    ((_, _, diameter),) = circles(read(dxf_bytes(sheet)))
    assert diameter == 25.0
    reader = pypdf.PdfReader(io.BytesIO(sheet_pdf(sheet, Paper.A4, DATE)))
    content = ContentStream(reader.pages[0].get_contents(), reader)
    curves = np.array([[float(x) for x in operands] for operands, operator in content.operations if operator == b"c"])
    ends = curves[:, 4:].reshape(-1, 2)
    assert np.ptp(ends, axis=0) / POINTS_PER_MM == pytest.approx([25.0, 25.0], abs=0.005)
