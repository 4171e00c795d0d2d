"""The loom's board as files: one page of its own size, the same on pages that a printer takes, DXF and SVG."""

from __future__ import annotations

import datetime
from collections.abc import Collection, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely

from conversion.drawings.board_sheet import board_sheet
from conversion.fit import Line, Paper, Purpose, TemplateSheet, Tile, tile_count, tiles
from conversion.fit.shapes import Shape
from conversion.pack.dxf import dxf_bytes
from conversion.pack.true_scale import CHECK, full_size_pdf, pages_pdf, sheet_svg
from conversion.plan import Plan

FOLDER = "board"
EMPTY = "Pages with nothing on them are left out."
MOST_PAGES = 600
"""A board that takes more pages than this is not cut up: nobody would join them."""

_PIECE_MM = 150.0


def board_names(sheet: TemplateSheet, papers: Sequence[Paper] = tuple(Paper)) -> tuple[str, ...]:
    """Names of a board's files, those of a paper that would take too many pages left out."""
    cut = (f"{FOLDER}/{sheet.name}-{paper}.pdf" for paper in papers if tile_count(sheet, paper) <= MOST_PAGES)
    return (f"{FOLDER}/{sheet.name}.pdf", *cut, f"{FOLDER}/{sheet.name}.dxf", f"{FOLDER}/{sheet.name}.svg")


def not_cut(names: Collection[str], papers: Sequence[Paper]) -> tuple[str, ...]:
    """The papers that a board among these files is not cut into; none where there is no board."""
    if f"{FOLDER}/board.pdf" not in names:
        return ()
    return tuple(paper.value for paper in papers if f"{FOLDER}/board-{paper}.pdf" not in names)


def board_files(plan: Plan, papers: Sequence[Paper] = tuple(Paper)) -> dict[str, bytes]:
    """Every file of a plan's board by its name; the same bytes for the same plan.

    Args:
        plan: What was computed.
        papers: What the board is cut into, besides its page of its own size.

    Raises:
        Missing: the loom cannot be laid on a board.
        TypesetError: a fault of the template.
    """
    return files_of(board_sheet(plan), plan.description.conversion.date, papers)


def files_of(sheet: TemplateSheet, date: datetime.date, papers: Sequence[Paper] = tuple(Paper)) -> dict[str, bytes]:
    """The files of a sheet; `date` becomes that of the PDF."""
    names = board_names(sheet, papers)
    # The typesetter works outside the interpreter, so the pages of all papers are set at the same time.
    with ThreadPoolExecutor(max_workers=4) as setters:
        whole = setters.submit(full_size_pdf, sheet, date)
        cut = {
            name: setters.submit(tiled_pdf, sheet, paper, date)
            for paper in papers
            if (name := f"{FOLDER}/{sheet.name}-{paper}.pdf") in names
        }
        files = {
            f"{FOLDER}/{sheet.name}.dxf": dxf_bytes(sheet),
            f"{FOLDER}/{sheet.name}.svg": sheet_svg(sheet).encode(),
        }
    files |= {f"{FOLDER}/{sheet.name}.pdf": whole.result()} | {name: pages.result() for name, pages in cut.items()}
    return {name: files[name] for name in names}


def tiled_pdf(sheet: TemplateSheet, paper: Paper, date: datetime.date) -> bytes:
    """The sheet on pages of a paper; pages with nothing but the board's edge and rule are left out."""
    pages = board_tiles(sheet, paper)
    return pages_pdf(sheet, [page for page in pages if not is_empty(page)], pages, f"{CHECK} {EMPTY}", date)


def board_tiles(sheet: TemplateSheet, paper: Paper) -> tuple[Tile, ...]:
    """All pages of a sheet, each with no more of every line than reaches near it."""
    return tiles(replace(sheet, shapes=tuple(_in_pieces(sheet.shapes))), paper)


def is_empty(tile: Tile) -> bool:
    """Whether nothing shows in the page's frame but the edge and the rule of the board."""
    frame = shapely.box(*tile.frame_mm[0], *tile.frame_mm[1])
    for shape in tile.shapes:
        if shape.purpose is Purpose.BOARD:
            continue
        if not isinstance(shape, Line) or shapely.LineString(shape.points_mm).intersects(frame):
            return False
    return True


def _in_pieces(shapes: tuple[Shape, ...]) -> Iterator[Shape]:
    """Long lines in short pieces, so that a page has not the whole loom behind its edge."""
    for shape in shapes:
        if not isinstance(shape, Line):
            yield shape
            continue
        points = [*shape.points_mm, shape.points_mm[0]] if shape.closed else list(shape.points_mm)
        piece, length = [points[0]], 0.0
        for one, two in pairwise(points):
            steps = max(1, int(np.ceil(float(np.linalg.norm(two - one)) / _PIECE_MM)))
            for step in range(1, steps + 1):
                at = one + (two - one) * step / steps
                piece.append(at)
                length += float(np.linalg.norm(two - one)) / steps
                if length >= _PIECE_MM:
                    yield Line(np.array(piece), shape.purpose)
                    piece, length = [at], 0.0
        if len(piece) > 1:
            yield Line(np.array(piece), shape.purpose)
