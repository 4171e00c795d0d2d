"""Where everything stands in the face of a housing: its places, their wires, and how large they can be drawn."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from conversion.description.parts import Housing
from conversion.plan import Plan

WIDTH_MM = 180.0
BORDER_MM = 3.0
ROOM_MM = WIDTH_MM - 2 * BORDER_MM - 2.0
TAG_MM, TAG_LINE_MM = 2.2, 2.7
MOST_WIRES = 2
TALLEST_MM = 230.0

_LARGEST, _USUAL_LEAST, _LEAST = 12.0, 5.2, 4.0
_TAG_OUTSIDE_FROM, _TAG_INSIDE_FROM = 8.0, 11.0
_SHADED_BELOW = 7.0


@dataclass(frozen=True)
class FacePlace:
    """One place of a housing.

    Attributes:
        name: As the description has it.
        state: ``wired``, ``no wire``, ``unused``, ``empty`` or ``not described``.
        tags: Tag and colour of each of its wires.
    """

    name: str
    state: str
    tags: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Layout:
    """How a face is laid out; the same for both sides.

    Attributes:
        cell: Side of a place's square. [mm]
        line: Most places in a line before a row is broken.
        tags: Where tag and colour of a wire stand.
        tag_height: Room for them above and below the face. [mm]
        width: Of the outline. [mm]
        height: Of the outline. [mm]
    """

    cell: float
    line: int
    tags: Literal["outside", "inside", "none"]
    tag_height: float
    width: float
    height: float

    @property
    def tags_take(self) -> float:
        """Height of the tags above and, where there is a second line of places, below. [mm]"""
        one_line = self.height < 2 * self.cell + 2 * BORDER_MM - 1e-6
        return self.tag_height * (1 if one_line else 2)

    @property
    def shaded(self) -> bool:
        """Whether places are too small for hatching and are shaded instead."""
        return self.cell < _SHADED_BELOW


def rows_of(plan: Plan, reference: str, name: str, housing: Housing) -> list[list[FacePlace]]:
    """The places of a device's housing, row by row as described."""
    return [[_place(plan, reference, name, housing, cavity) for cavity in row] for row in housing.face]


def _place(plan: Plan, reference: str, name: str, housing: Housing, cavity: str) -> FacePlace:
    form = housing.cavities.get(cavity)
    if form is None:
        return FacePlace(cavity, "not described", ())
    if form.empty:
        return FacePlace(cavity, "empty", ())
    wires = plan.wiring.at(plan.description.terminal(reference, name, cavity))
    if wires:
        return FacePlace(cavity, "wired", tuple((wire.tag, wire.colour) for wire in wires))
    return FacePlace(cavity, "unused" if form.unused is not None else "no wire", ())


def lay_out(rows: list[list[FacePlace]]) -> Layout:
    """The largest places that fit a sheet, and the place for tags that such places leave."""
    longest = max(map(len, rows))
    cell = min(_LARGEST, max(_USUAL_LEAST, ROOM_MM / longest))
    line, lines = _lines_at(rows, cell)
    if lines * cell > TALLEST_MM - 20.0:
        cell = _LEAST
        line, lines = _lines_at(rows, cell)
    tags: Literal["outside", "inside", "none"] = "none"
    if lines <= 2 and cell >= _TAG_OUTSIDE_FROM:
        tags = "outside"
    elif cell >= _TAG_INSIDE_FROM:
        tags = "inside"
    most = max(len(place.tags) for row in rows for place in row)
    # Two lines a wire, one for those that are only counted, and the tick.
    words = 2 * min(most, MOST_WIRES) + (most > MOST_WIRES)
    tag_height = TAG_LINE_MM * words + 2.0 if tags == "outside" else 0.0
    width, height = (count * cell + 2 * BORDER_MM for count in (min(longest, line), lines))
    return Layout(cell, line, tags, tag_height, width, height)


def _lines_at(rows: list[list[FacePlace]], cell: float) -> tuple[int, int]:
    """Places that fit a line, and lines that all rows take."""
    line = max(1, int(ROOM_MM / cell + 1e-9))
    return line, sum(-(-len(row) // line) for row in rows)
