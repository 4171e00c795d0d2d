"""A sheet cut into pages: which part of it each shows, the marks to join them by, and bars to measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from conversion.fit.shapes import Line, Purpose, Shape, TemplateSheet
from conversion.linkage.turning import Array

BAR_MM = 100.0
# Kept free along the left and the lower edge for the bars.
BAND_MM = 12.0
MARK_MM = 4.0
MARGIN_MM = 10.0
OVERLAP_MM = 15.0


class Paper(StrEnum):
    """Paper that a workshop's printer has."""

    A4 = "A4"
    A3 = "A3"
    LETTER = "Letter"


# What most printers take; a board is worth the larger sheets where somebody has them.
COMMON_PAPERS = (Paper.A4, Paper.LETTER)
# Upright width and height. A4 and A3 by ISO 216, Letter by ANSI/ASME Y14.1: 8.5 × 11 in. [mm]
SIZE_MM = {Paper.A4: (210.0, 297.0), Paper.A3: (297.0, 420.0), Paper.LETTER: (215.9, 279.4)}


@dataclass(frozen=True)
class Tile:
    """One page. All but the window is in the page's own millimetres, lower left corner (0, 0).

    Attributes:
        number: From 1, row by row from the lower left.
        column: From 1 at the left.
        row: From 1 at the bottom.
        page_mm: Width and height of the page as it lies. [mm]
        window_mm: Part of the sheet that is shown: low and high corner on the sheet, (2, 2). [mm]
        frame_mm: Where the window lies on the page, (2, 2); shapes are clipped to it. [mm]
        shapes: Of the sheet, those that reach into the window, moved to the page; whole.
        marks: Crosses in the middle of what two pages share; laid over each other they join the pages.
        bars: Two bars of 100 mm, level and upright, with ticks at their ends.
    """

    number: int
    column: int
    row: int
    page_mm: tuple[float, float]
    window_mm: Array
    frame_mm: Array
    shapes: tuple[Shape, ...]
    marks: tuple[Line, ...]
    bars: tuple[Line, Line]


def tiles(
    sheet: TemplateSheet, paper: Paper | str = Paper.A4, margin_mm: float = MARGIN_MM, overlap_mm: float = OVERLAP_MM
) -> tuple[Tile, ...]:
    """The pages of a sheet, upright or on the side, whichever takes fewer.

    Args:
        sheet: At true scale.
        paper: A4, A3 or Letter.
        margin_mm: That the printer leaves white, on all sides. [mm]
        overlap_mm: Shown on both of two neighbouring pages. [mm]

    Returns:
        Row by row. Their windows cover the sheet.

    Raises:
        ValueError: another paper, or a margin and an overlap that leave no room.
    """
    page, counts = _way(sheet, paper, margin_mm, overlap_mm)
    cut = _Cut(sheet, page, counts, margin_mm, overlap_mm)
    return tuple(_tile(cut, (column, row)) for row in range(counts[1]) for column in range(counts[0]))


def tile_count(
    sheet: TemplateSheet, paper: Paper | str = Paper.A4, margin_mm: float = MARGIN_MM, overlap_mm: float = OVERLAP_MM
) -> int:
    """How many pages :func:`tiles` would give, without cutting any: for a sheet of any size."""
    _, (across, up) = _way(sheet, paper, margin_mm, overlap_mm)
    return across * up


def _way(
    sheet: TemplateSheet, paper: Paper | str, margin_mm: float, overlap_mm: float
) -> tuple[tuple[float, float], tuple[int, int]]:
    """The page as it lies and the pages across and up, whichever way round takes fewer."""
    if paper not in SIZE_MM:
        raise ValueError(f"'{paper}' is not a paper that is known; A4, A3 or Letter is")
    if margin_mm < 0.0 or overlap_mm < 2 * MARK_MM:
        raise ValueError(f"pages need a margin of 0 mm or more and an overlap of {2 * MARK_MM:g} mm or more")
    width, height = SIZE_MM[Paper(paper)]
    ways = [_counts(sheet, page, margin_mm, overlap_mm) for page in ((width, height), (height, width))]
    return min(ways, key=lambda way: way[1][0] * way[1][1])


class _Cut:
    """What all pages of a sheet share; the reach of every shape is taken once for all of them."""

    def __init__(
        self,
        sheet: TemplateSheet,
        page: tuple[float, float],
        counts: tuple[int, int],
        margin_mm: float,
        overlap_mm: float,
    ) -> None:
        self.page, self.counts, self.margin_mm = page, counts, margin_mm
        self.room, self.size = _room(page, margin_mm), np.array([sheet.width_mm, sheet.height_mm])
        self.step = self.room - overlap_mm
        self._shapes, self._reach = sheet.shapes, _reaches(sheet.shapes)
        self._marks: list[Line] = _marks(self.size, counts, self.step, overlap_mm)
        self._mark_reach = _reaches(self._marks)

    def shown(self, low: Array, high: Array) -> list[Shape]:
        """Shapes that reach into a window, where they are on the sheet."""
        inside = np.all(self._reach[:, 0] <= high, axis=1) & np.all(self._reach[:, 1] >= low, axis=1)
        return [self._shapes[index] for index in np.flatnonzero(inside)]

    def marks(self, low: Array, high: Array) -> list[Line]:
        """Marks that lie wholly in a window, where they are on the sheet."""
        reach = self._mark_reach
        inside = np.all(reach[:, 0] >= low - 1e-9, axis=1) & np.all(reach[:, 1] <= high + 1e-9, axis=1)
        return [self._marks[index] for index in np.flatnonzero(inside)]


def _reaches(shapes: Sequence[Shape]) -> Array:
    """Lowest and highest corner of each, (shapes, 2, 2). [mm]"""
    return np.array([shape.reach_mm() for shape in shapes], dtype=np.float64).reshape(-1, 2, 2)


def _room(page: tuple[float, float], margin_mm: float) -> Array:
    return np.array(page) - 2 * margin_mm - BAND_MM


def _counts(
    sheet: TemplateSheet, page: tuple[float, float], margin_mm: float, overlap_mm: float
) -> tuple[tuple[float, float], tuple[int, int]]:
    """How many pages across and up."""
    room = _room(page, margin_mm)
    if np.min(room) < max(BAR_MM, 2 * overlap_mm):
        raise ValueError(
            f"a margin of {margin_mm:g} mm and an overlap of {overlap_mm:g} mm leave too little of the paper"
        )
    more = np.maximum(0.0, np.array([sheet.width_mm, sheet.height_mm]) - room)
    across, up = (int(count) for count in 1 + np.ceil(more / (room - overlap_mm) - 1e-9))
    return page, (across, up)


def _tile(cut: _Cut, place: tuple[int, int]) -> Tile:
    low = np.array(place) * cut.step
    high = np.minimum(low + cut.room, cut.size)
    corner = np.array([cut.margin_mm + BAND_MM, cut.margin_mm + BAND_MM])
    return Tile(
        number=place[1] * cut.counts[0] + place[0] + 1,
        column=place[0] + 1,
        row=place[1] + 1,
        page_mm=cut.page,
        window_mm=np.array([low, high]),
        frame_mm=np.array([corner, corner + high - low]),
        shapes=tuple(shape.moved(corner - low) for shape in cut.shown(low, high)),
        marks=tuple(mark.moved(corner - low) for mark in cut.marks(low, high)),
        bars=(_bar(corner, cut.margin_mm, 0), _bar(corner, cut.margin_mm, 1)),
    )


def _marks(size: Array, counts: tuple[int, int], step: Array, overlap_mm: float) -> list[Line]:
    """Crosses on the middle line of every strip that two pages share, two for each pair of pages."""
    marks = []
    for axis in (0, 1):
        other = 1 - axis
        for seam in range(1, counts[axis]):
            for page in range(counts[other]):
                start = page * step[other]
                end = min(start + step[other] + overlap_mm, size[other])
                for share in (0.25, 0.75):
                    at = np.empty(2)
                    at[axis] = seam * step[axis] + min(overlap_mm, size[axis] - seam * step[axis]) / 2
                    at[other] = start + share * (end - start)
                    marks += [_cross(at, way) for way in MARK_MM * np.eye(2)]
    return marks


def _cross(at: Array, arm: Array) -> Line:
    return Line(np.array([at - arm, at + arm]), Purpose.MARK)


def _bar(corner: Array, margin_mm: float, axis: int) -> Line:
    """A bar in the band beside the frame, its ticks drawn in one go with it."""
    start = np.array(corner)
    start[1 - axis] = margin_mm + BAND_MM / 2
    along, tick = np.eye(2)[axis], 2.0 * np.eye(2)[1 - axis]
    end = start + BAR_MM * along
    return Line(np.array([start - tick, start + tick, start, end, end + tick, end - tick]), Purpose.MARK)
