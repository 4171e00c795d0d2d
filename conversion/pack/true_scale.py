"""Templates at true scale, as files: DXF for a cutter, SVG, and PDF pages for the printers that workshops have."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence
from concurrent.futures import Executor, Future
from typing import Any

import numpy as np

from conversion.drawings.labels import shortened
from conversion.drawings.svg import FINE, Canvas, Pen
from conversion.fit import COMMON_PAPERS, Circle, Line, Paper, Purpose, TemplateSheet, Text, Tile, tiles
from conversion.fit.shapes import CAPITAL, Shape
from conversion.fit.tiles import BAND_MM, BAR_MM
from conversion.linkage.turning import Array
from conversion.pack.dxf import dxf_bytes
from conversion.pack.paper_text import printable_in_pdf
from conversion.pack.typeset import compile_pdf
from conversion.resources import templates_dir

FOLDER = "templates"
CHECK = "Measure both bars: each must be 100 mm. Fit-to-page of a printer breaks the scale; print at actual size."
LINES = "Solid: cut. Dashed: bend. Fine: mark."
PENS = {
    Purpose.CUT: Pen(0.3), Purpose.BEND: Pen(0.25, (5.0, 2.0)), Purpose.MARK: FINE, Purpose.LOOM: Pen(0.5),
    Purpose.CENTRE: Pen(0.13, (6.0, 1.5, 1.0, 1.5)), Purpose.HOUSING: Pen(0.35), Purpose.CLIP: Pen(0.7),
    Purpose.BOARD: Pen(0.25),
}  # fmt: skip
MARGIN_MM = 10.0
WORDS_MM = 2.4


def file_names(sheet: TemplateSheet) -> tuple[str, ...]:
    """Names of a sheet's files in the pack: for a cutter, for two papers, for a screen."""
    return tuple(f"{FOLDER}/{sheet.name}{end}" for end in (".dxf", "-a4.pdf", "-letter.pdf", ".svg"))


def set_pages(sheets: Sequence[TemplateSheet], date: datetime.date, aside: Executor) -> dict[str, Future[bytes]]:
    """Begin to set the PDF pages of the templates; what comes of it, by the name of the file.

    Args:
        sheets: With different names.
        date: Of the description; it becomes the date of the PDF.
        aside: What sets them; the typesetter works outside the interpreter, so that other work goes on meanwhile.
    """
    return {
        f"{FOLDER}/{sheet.name}-{paper.lower()}.pdf": aside.submit(sheet_pdf, sheet, paper, date)
        for sheet in sheets
        for paper in COMMON_PAPERS
    }


def drawn_files(sheets: Sequence[TemplateSheet]) -> dict[str, bytes]:
    """The files of the templates that are not pages, by their names; the same bytes for the same sheets."""
    files = {f"{FOLDER}/{sheet.name}.dxf": dxf_bytes(sheet) for sheet in sheets}
    return files | {f"{FOLDER}/{sheet.name}.svg": sheet_svg(sheet).encode("utf-8") for sheet in sheets}


def sheet_pdf(sheet: TemplateSheet, paper: Paper, date: datetime.date) -> bytes:
    """The sheet on as many pages as it takes, each with two bars to measure."""
    pages = tiles(sheet, paper)
    return pages_pdf(sheet, pages, pages, f"{CHECK} {LINES}", date)


def pages_pdf(
    sheet: TemplateSheet, printed: Sequence[Tile], pages: Sequence[Tile], check: str, date: datetime.date
) -> bytes:
    """Some or all pages of a sheet.

    Args:
        sheet: That was cut up.
        printed: The pages that are wanted.
        pages: All pages that it was cut into.
        check: What is printed below every page.
        date: Of the document.
    """
    data = {
        "title": printable_in_pdf(sheet.title),
        "check": check,
        "pages": [_page(sheet, tile, pages) for tile in printed],
    }
    return compile_pdf(templates_dir() / "true-scale.typ", data, {}, date)


def full_size_pdf(sheet: TemplateSheet, date: datetime.date) -> bytes:
    """The sheet on one page of its own size, without anything added."""
    page = {
        "width": sheet.width_mm,
        "height": sheet.height_mm,
        "frame": {"x": 0.0, "y": 0.0, "width": sheet.width_mm, "height": sheet.height_mm},
        "shapes": [_drawn(shape, 0.0, sheet.height_mm) for shape in sheet.shapes],
        "bars": [],
        "bar_words": [],
        "words": "",
        "words_at": [],
    }
    data = {"title": printable_in_pdf(sheet.title), "check": "", "pages": [page]}
    return compile_pdf(templates_dir() / "true-scale.typ", data, {}, date)


def _page(sheet: TemplateSheet, tile: Tile, pages: Sequence[Tile]) -> dict[str, Any]:
    """A page as the template draws it: y counts downward, from the top of the page or of the frame."""
    width, height = tile.page_mm
    (left, bottom), (right, top) = tile.frame_mm.tolist()
    words = f"{sheet.title}: page {tile.number} of {len(pages)}"
    if len(pages) > 1:
        columns, rows = max(each.column for each in pages), max(each.row for each in pages)
        words += f", column {tile.column} of {columns} from the left, row {tile.row} of {rows} from below"
    return {
        "width": width,
        "height": height,
        "frame": {"x": left, "y": height - top, "width": right - left, "height": top - bottom},
        "shapes": [_drawn(shape, left, top) for shape in (*tile.shapes, *tile.marks)],
        "bars": [_drawn(bar, 0.0, height) for bar in tile.bars],
        "bar_words": [_bar_words(bar, height) for bar in tile.bars],
        "words": shortened(printable_in_pdf(words), WORDS_MM, width - left - MARGIN_MM),
        "words_at": [{"x": left, "y": height - MARGIN_MM - y} for y in (BAND_MM - 2.6, 0.6)],
    }


def _bar_words(bar: Line, height: float) -> dict[str, Any]:
    """Beyond the end of the bar."""
    low, high = bar.reach_mm()
    upright = bool(high[1] - low[1] > high[0] - low[0])
    middle = (low + high) / 2
    at = np.array([middle[0] + 1.0, high[1] + 10.0]) if upright else np.array([high[0] + 10.0, middle[1] - 1.0])
    return _drawn(Text(at, f"{BAR_MM:g} mm", 2.2, upright=upright), 0.0, height)


def _drawn(shape: Shape, left: float, top: float) -> dict[str, Any]:
    def place(at: Array) -> list[float]:
        return [round(float(at[0]) - left, 6), round(top - float(at[1]), 6)]

    purpose = shape.purpose.value
    if isinstance(shape, Line):
        points = [place(point) for point in shape.points_mm]
        return {"kind": "line", "purpose": purpose, "points": points, "closed": shape.closed}
    if isinstance(shape, Circle):
        return {"kind": "circle", "purpose": purpose, "at": place(shape.centre_mm), "radius": shape.radius_mm}
    return {
        "kind": "text",
        "purpose": purpose,
        "at": place(shape.at_mm),
        "text": printable_in_pdf(shape.text),
        "size": shape.height_mm / CAPITAL,
        "upright": shape.upright,
    }


def sheet_svg(sheet: TemplateSheet) -> str:
    """The whole sheet as one picture of its true size, with two bars to measure beside it."""
    corner = np.array([MARGIN_MM + BAND_MM, MARGIN_MM])
    width = max(sheet.width_mm, BAR_MM + 10.0) + corner[0] + MARGIN_MM
    height = max(sheet.height_mm, BAR_MM + 10.0) + BAND_MM + 2 * MARGIN_MM
    foot = height - MARGIN_MM - BAND_MM
    canvas = Canvas()
    for shape in sheet.shapes:
        _draw(canvas, shape, corner[0], foot)
    middle = BAND_MM / 2
    for bar in _bars(np.array([corner[0], MARGIN_MM + BAND_MM]), np.array([MARGIN_MM + middle] * 2)):
        _draw(canvas, bar, 0.0, height)
    canvas.text((corner[0], height - MARGIN_MM + 1.0), f"{sheet.title}. Measure both bars: each must be 100 mm.", 2.5)
    return canvas.document(width, height, sheet.title, f"At true scale. {CHECK}")


def _bars(start: Array, band: Array) -> Iterator[Line]:
    """Level and upright, with ticks at both ends, y upward."""
    for axis in (0, 1):
        at = np.array(start)
        at[1 - axis] = band[1 - axis]
        along, tick = np.eye(2)[axis], 2.0 * np.eye(2)[1 - axis]
        end = at + BAR_MM * along
        yield Line(np.array([at - tick, at + tick, at, end, end + tick, end - tick]), Purpose.MARK)


def _draw(canvas: Canvas, shape: Shape, left: float, foot: float) -> None:
    def place(at: Array) -> tuple[float, float]:
        return left + float(at[0]), foot - float(at[1])

    pen = PENS[shape.purpose]
    if isinstance(shape, Line):
        points = [place(point) for point in shape.points_mm]
        if shape.closed:
            canvas.polygon(points, pen)
        else:
            canvas.polyline(points, pen)
    elif isinstance(shape, Circle):
        canvas.circle(place(shape.centre_mm), shape.radius_mm, pen)
    else:
        canvas.text(place(shape.at_mm), shape.text, shape.height_mm / CAPITAL, "middle", upright=shape.upright)
