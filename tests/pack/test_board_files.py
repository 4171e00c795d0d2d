"""The board as files: its lengths measured in the DXF and in the PDF, and its pages put together."""

from __future__ import annotations

import datetime
import io
import re
from functools import cache
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import numpy as np
import pypdf
import pytest
import shapely
from shapely.geometry import LineString

from conversion import resources
from conversion.cli import main
from conversion.description import Missing
from conversion.drawings.board_sheet import board_sheet, thick_mm
from conversion.fit import Line, Paper, Purpose, TemplateSheet, tiles
from conversion.pack.board_files import board_files, board_tiles, files_of, is_empty
from conversion.pack.dxf import dxf_bytes
from conversion.plan import Plan
from conversion.plan.loom.board import STRIP_MM, board_complaints
from tests.drawings.varied import varied
from tests.loom.board_cases import length_of
from tests.pack.made import DEMO, POINTS_PER_MM, demo_plan
from tests.pack.test_true_scale import page_paths

DEMOS = (DEMO, "trials-buggy", "first-attempt")
DATE = datetime.date(2026, 3, 14)


@cache
def made(name: str = DEMO) -> tuple[Plan, TemplateSheet, dict[str, bytes]]:
    plan = demo_plan(name)
    sheet = board_sheet(plan)
    return plan, sheet, files_of(sheet, DATE)


def wanted_mm(plan: Plan) -> list[float]:
    """Length of every run that wires take and of every tail, from the description and not from the layout."""
    loom = plan.description.conversion.loom
    assert loom is not None
    runs = [loom.runs[name].length.nominal for name in plan.bundles]  # type: ignore[union-attr]
    return [*runs, *(hung.tail_mm for hung in plan.board.hung.values())]


@pytest.mark.parametrize("name", DEMOS)
def test_the_runs_measure_in_the_dxf_what_was_described(name: str) -> None:
    plan, _, files = made(name)
    drawing = ezdxf.read(io.StringIO(files["board/board.dxf"].decode("ascii")))
    assert not drawing.audit().errors and drawing.units == 4
    lines = drawing.modelspace().query('LWPOLYLINE[layer=="CENTRE"]')
    found = [length_of(np.array(line.get_points("xy"))) for line in lines]
    # The last is the sample of the key.
    assert found[:-1] == pytest.approx(wanted_mm(plan), abs=1e-4)


@pytest.mark.parametrize("name", DEMOS)
def test_the_runs_measure_in_the_pdf_what_was_described(name: str) -> None:
    plan, sheet, files = made(name)
    (page,) = pypdf.PdfReader(io.BytesIO(files["board/board.pdf"])).pages
    size = [float(each) / POINTS_PER_MM for each in page.mediabox[2:]]
    assert size == pytest.approx((sheet.width_mm, sheet.height_mm), abs=0.001)
    assert page.get("/UserUnit", 1) == 1
    found = [path[:, :2] for path in page_paths(page)]
    for length, line in zip(wanted_mm(plan), _centres(sheet), strict=False):
        same = [path for path in found if len(path) == len(line) and np.allclose(path, line, atol=0.01)]
        assert any(length_of(path) == pytest.approx(length, abs=0.02) for path in same), length


def _centres(sheet: TemplateSheet) -> list[np.ndarray]:
    return [shape.points_mm for shape in sheet.shapes if shape.purpose is Purpose.CENTRE and isinstance(shape, Line)]


@pytest.mark.parametrize("paper", list(Paper))
def test_pages_put_together_are_the_board(paper: Paper) -> None:
    """Every line as the printed pages draw it, clipped to its frame and moved to its place."""
    _, sheet, files = made()
    reader = pypdf.PdfReader(io.BytesIO(files[f"board/board-{paper}.pdf"]))
    pages = {tile.number: tile for tile in tiles(sheet, paper)}
    parts, printed = [], set()
    for page in reader.pages:
        words = re.search(r"page (\d+) of (\d+)", re.sub(r"\s+", " ", page.extract_text()))
        assert words is not None and int(words[2]) == len(pages)
        tile = pages[int(words[1])]
        printed.add(tile.number)
        frame = shapely.box(*(tile.frame_mm[0] - 0.01), *(tile.frame_mm[1] + 0.01))
        shift = tile.window_mm[0] - tile.frame_mm[0]
        for path in (path for path in page_paths(page) if len(path) > 1):
            seen = LineString(path).intersection(frame)
            if seen.length > 0.0:
                parts.append(shapely.transform(seen, lambda points, shift=shift: points + shift))
    together = shapely.union_all([part.buffer(0.03) for part in parts])
    for shape in sheet.shapes:
        if isinstance(shape, Line) and shape.purpose is not Purpose.BOARD:
            points = [*shape.points_mm, shape.points_mm[0]] if shape.closed else shape.points_mm
            assert together.covers(LineString(points)), shape
    # What is left out shows nothing but the board's own edge and rule.
    assert printed < set(pages)
    for number in set(pages) - printed:
        low, high = pages[number].window_mm
        window = shapely.box(*low, *high)
        for shape in sheet.shapes:
            if isinstance(shape, Line) and shape.purpose is not Purpose.BOARD:
                points = [*shape.points_mm, shape.points_mm[0]] if shape.closed else shape.points_mm
                assert not LineString(points).intersects(window)


def test_every_word_of_the_board_is_on_its_page_and_on_the_pages_it_is_cut_into() -> None:
    plan, _, files = made()
    whole = _text(files["board/board.pdf"])
    cut = _text(files["board/board-A3.pdf"])
    for name in (*plan.board.hung, *plan.board.layout.stations):
        assert name in whole
        assert name in cut
    assert "980 mm" in whole and "grommet" in whole and "splice Z1" in whole
    assert "true scale" in whole


def _text(pdf: bytes) -> str:
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages))


@pytest.mark.parametrize("name", DEMOS)
def test_nothing_on_the_sheet_stands_over_anything(name: str) -> None:
    """Words clear of words, of boxes other than their own, and of the loom; everything on the sheet."""
    from conversion.drawings.board_words import Block
    from conversion.fit import Text

    _, sheet, _ = made(name)
    texts = []
    whole = shapely.box(-1e-6, -1e-6, sheet.width_mm + 1e-6, sheet.height_mm + 1e-6)
    for shape in sheet.shapes:
        if isinstance(shape, Text):
            width = Block(((shape.text, shape.height_mm),)).size_mm[0]
            x, y = shape.at_mm
            texts.append((shape.text, shapely.box(x - width / 2, y, x + width / 2, y + shape.height_mm)))
            assert whole.covers(texts[-1][1]), shape.text
        else:
            assert whole.covers(shapely.box(*np.concatenate(shape.reach_mm())))
    for number, (one, area) in enumerate(texts):
        for other, second in texts[number + 1 :]:
            assert not area.intersects(second), (one, other)
        for shape in sheet.shapes:
            if isinstance(shape, Line) and shape.purpose in (Purpose.LOOM, Purpose.HOUSING, Purpose.CLIP):
                points = [*shape.points_mm, shape.points_mm[0]] if shape.closed else shape.points_mm
                assert not LineString(points).intersects(area), (one, shape.purpose)


def test_the_board_has_the_described_size() -> None:
    plan, sheet, _ = made()
    board = plan.description.conversion.loom.board  # type: ignore[union-attr]
    assert board is not None and board.length is not None and board.height is not None
    assert (sheet.width_mm, sheet.height_mm) == (board.length.nominal, board.height.nominal)
    assert plan.board.layout.height_mm == board.height.nominal - STRIP_MM


def test_clips_are_where_the_bundle_has_them() -> None:
    plan, sheet, _ = made()
    strokes = [
        shape.points_mm.mean(axis=0) - [0.0, STRIP_MM]
        for shape in sheet.shapes
        if shape.purpose is Purpose.CLIP and isinstance(shape, Line)
    ][:-1]
    assert len(strokes) == sum(len(bundle.clips) for bundle in plan.bundles.values())
    for name, bundle in plan.bundles.items():
        start, end = plan.board.layout.runs[name][[0, -1]]
        for along in bundle.clips:
            at = start + (end - start) * along / bundle.length_mm
            assert min(np.linalg.norm(stroke - at) for stroke in strokes) < 1e-6


def test_the_same_bytes_twice() -> None:
    plan, _, files = made()
    assert board_files(Plan(plan.written)) == files
    assert list(files) == [
        "board/board.pdf", "board/board-A4.pdf", "board/board-A3.pdf", "board/board-Letter.pdf", "board/board.dxf",
        "board/board.svg",
    ]  # fmt: skip


def test_a_paper_that_it_takes_too_many_of_is_left_out_and_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("conversion.pack.board_files.MOST_PAGES", 12)
    harness = resources.harnesses_dir() / DEMO
    assert main(["loom", str(harness), "--out", str(tmp_path / "out"), "--paper", "A4"]) == 0
    assert {path.name for path in (tmp_path / "out" / "board").iterdir()} == {"board.pdf", "board.dxf", "board.svg"}
    assert "too many pages of A4" in capsys.readouterr().err


def test_pieces_of_a_line_are_the_line() -> None:
    _, sheet, _ = made()
    whole = shapely.union_all([LineString(points) for points in _centres(sheet)])
    (tile, *_) = tiles(TemplateSheet("a", "A", (), 100.0, 100.0), Paper.A4)
    assert is_empty(tile)
    parts = []
    for page in board_tiles(sheet, Paper.A3):
        shift = page.window_mm[0] - page.frame_mm[0]
        parts += [
            LineString(shape.points_mm + shift)
            for shape in page.shapes
            if isinstance(shape, Line) and shape.purpose is Purpose.CENTRE
        ]
    assert shapely.union_all(parts).buffer(1e-6).covers(whole)
    assert max(len(part.coords) for part in parts) < 20


def test_templates_keep_their_three_layers() -> None:
    sheet = TemplateSheet("a", "A", (Line(np.array([[0.0, 0], [9, 9]])),), 10.0, 10.0)
    names = {layer.dxf.name for layer in ezdxf.read(io.StringIO(dxf_bytes(sheet).decode("ascii"))).layers}
    assert {"CUT", "BEND", "MARK"} <= names and "LOOM" not in names


def test_a_loop_is_told_at_the_run_to_open(tmp_path: Path) -> None:
    def take(data: dict) -> None:  # type: ignore[type-arg]
        data["loom"]["runs"]["shortcut"] = {"between": ["panel", "pedal"], "length": "100 mm"}

    plan = varied(tmp_path, take)
    assert {"shortcut", "board-panel", "board-pedal"} <= set(plan.bundles), "all three sides of the triangle are taken"
    (complaint,) = board_complaints(plan)
    assert complaint.path.startswith("loom.runs.")
    assert "closes a loop" in complaint.message and "open this one" in complaint.message
    with pytest.raises(Missing, match="closes a loop"):
        _ = plan.board


def test_a_run_of_unknown_length_is_asked_for(tmp_path: Path) -> None:
    def forget(data: dict) -> None:  # type: ignore[type-arg]
        data["loom"]["runs"]["board-pedal"]["length"] = "unknown"

    plan = varied(tmp_path, forget)
    with pytest.raises(Missing, match=r"loom\.runs\.board-pedal\.length is not known"):
        _ = plan.board


def test_words_of_a_description_stay_words(tmp_path: Path) -> None:
    hostile = '<b>&amp; "日本" %%d #set $x$ \\P'

    def spoil(data: dict) -> None:  # type: ignore[type-arg]
        data["title"] = hostile
        data["loom"]["stations"]["panel"] = hostile * 3

    files = board_files(varied(tmp_path, spoil), (Paper.A3,))
    assert "[U+65E5]" in _text(files["board/board.pdf"])
    assert "#set $x$" in _text(files["board/board-A3.pdf"])
    drawing = ezdxf.read(io.StringIO(files["board/board.dxf"].decode("ascii")))
    assert not drawing.audit().errors
    root = ElementTree.fromstring(files["board/board.svg"])
    assert any(hostile in (each.text or "") for each in root.iter("{http://www.w3.org/2000/svg}text"))


@pytest.mark.parametrize("name", DEMOS)
def test_no_housing_lies_on_the_loom_as_thick_as_it_is(name: str) -> None:
    board = made(name)[0].board
    thick = thick_mm(board)
    for housing, corners in board.layout.boxes.items():
        for other, points in (*board.layout.runs.items(), *board.layout.tails.items()):
            if other != housing:
                apart = shapely.box(*corners).distance(LineString(points))
                assert apart > thick[other] / 2, (housing, other)
