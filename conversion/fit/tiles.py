"""A sheet cut into pages: which part of it each shows, the marks to join them by, and bars to measure."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from conversion.fit.shapes import Line, Purpose, Shape, TemplateSheet
from conversion.linkage.turning import Array

BAR_MM = 100.0
# Kept free along the left and the lower edge for the bars.
BAND_MM = 12.0
MARK_MM = 4.0


class Paper(StrEnum):
    """Paper that a workshop's printer has."""

    A4 = "A4"
    LETTER = "Letter"


# Upright width and height. A4 by ISO 216, Letter by ANSI/ASME Y14.1: 8.5 × 11 in. [mm]
SIZE_MM = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}


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
    sheet: TemplateSheet, paper: Paper | str = Paper.A4, margin_mm: float = 10.0, overlap_mm: float = 15.0
) -> tuple[Tile, ...]:
    """The pages of a sheet, upright or on the side, whichever takes fewer.

    Args:
        sheet: At true scale.
        paper: A4 or Letter.
        margin_mm: That the printer leaves white, on all sides. [mm]
        overlap_mm: Shown on both of two neighbouring pages. [mm]

    Returns:
        Row by row. Their windows cover the sheet.

    Raises:
        ValueError: another paper, or a margin and an overlap that leave no room.
    """
    if paper not in SIZE_MM:
        raise ValueError(f"'{paper}' is not a paper that is known; A4 or Letter is")
    if margin_mm < 0.0 or overlap_mm < 2 * MARK_MM:
        raise ValueError(f"pages need a margin of 0 mm or more and an overlap of {2 * MARK_MM:g} mm or more")
    width, height = SIZE_MM[Paper(paper)]
    ways = [_counts(sheet, page, margin_mm, overlap_mm) for page in ((width, height), (height, width))]
    page, counts = min(ways, key=lambda way: way[1][0] * way[1][1])
    return tuple(
        _tile(sheet, page, counts, (column, row), margin_mm, overlap_mm)
        for row in range(counts[1])
        for column in range(counts[0])
    )


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


def _tile(
    sheet: TemplateSheet,
    page: tuple[float, float],
    counts: tuple[int, int],
    place: tuple[int, int],
    margin_mm: float,
    overlap_mm: float,
) -> Tile:
    room, size = _room(page, margin_mm), np.array([sheet.width_mm, sheet.height_mm])
    step = room - overlap_mm
    low = np.array(place) * step
    high = np.minimum(low + room, size)
    corner = np.array([margin_mm + BAND_MM, margin_mm + BAND_MM])
    shown = []
    for shape in sheet.shapes:
        shape_low, shape_high = shape.reach_mm()
        if np.all(shape_low <= high) and np.all(shape_high >= low):
            shown.append(shape.moved(corner - low))
    marks = [
        mark.moved(corner - low)
        for mark in _marks(size, counts, step, overlap_mm)
        if np.all(mark.reach_mm()[0] >= low - 1e-9) and np.all(mark.reach_mm()[1] <= high + 1e-9)
    ]
    return Tile(
        number=place[1] * counts[0] + place[0] + 1,
        column=place[0] + 1,
        row=place[1] + 1,
        page_mm=page,
        window_mm=np.array([low, high]),
        frame_mm=np.array([corner, corner + high - low]),
        shapes=tuple(shown),
        marks=tuple(marks),
        bars=(_bar(corner, margin_mm, 0), _bar(corner, margin_mm, 1)),
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
