"""Plain shapes in the plane at true scale, as a sheet that any writer can put on paper or into a file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.turning import Array

CAPITAL = 0.729
"""Height of a capital as a share of the size of the shipped font's letters."""


class Purpose(StrEnum):
    """What a line is for."""

    CUT = "cut"
    BEND = "bend"
    MARK = "mark"
    LOOM = "loom"
    CENTRE = "centre"
    HOUSING = "housing"
    CLIP = "clip"
    BOARD = "board"


@dataclass(frozen=True)
class Line:
    """Straight lines from point to point, (k, 2). [mm]"""

    points_mm: Array
    purpose: Purpose = Purpose.CUT
    closed: bool = False

    def moved(self, by_mm: ArrayLike) -> Line:
        """The same further along. [mm]"""
        return replace(self, points_mm=self.points_mm + np.asarray(by_mm, float))

    def reach_mm(self) -> tuple[Array, Array]:
        """Lowest and highest x and y. [mm]"""
        return self.points_mm.min(axis=0), self.points_mm.max(axis=0)


@dataclass(frozen=True)
class Circle:
    """A full circle: centre, (2,), and radius. [mm]"""

    centre_mm: Array
    radius_mm: float
    purpose: Purpose = Purpose.CUT

    def moved(self, by_mm: ArrayLike) -> Circle:
        """The same further along. [mm]"""
        return replace(self, centre_mm=self.centre_mm + np.asarray(by_mm, float))

    def reach_mm(self) -> tuple[Array, Array]:
        """Lowest and highest x and y. [mm]"""
        return self.centre_mm - self.radius_mm, self.centre_mm + self.radius_mm


@dataclass(frozen=True)
class Text:
    """Words, the middle of their foot at a point, (2,), with the height of a capital. [mm]

    Upright ones are read from the right: turned by 90° anticlockwise about that point.
    """

    at_mm: Array
    text: str
    height_mm: float = 3.0
    purpose: Purpose = Purpose.MARK
    upright: bool = False

    def moved(self, by_mm: ArrayLike) -> Text:
        """The same further along. [mm]"""
        return replace(self, at_mm=self.at_mm + np.asarray(by_mm, float))

    def reach_mm(self) -> tuple[Array, Array]:
        """Lowest and highest x and y, a letter taken as 0.8 of its height wide. [mm]"""
        half = 0.4 * self.height_mm * max(len(self.text), 1)
        low, high = np.array([-half, -0.3 * self.height_mm]), np.array([half, self.height_mm])
        if self.upright:
            low, high = np.array([-high[1], low[0]]), np.array([-low[1], high[0]])
        return self.at_mm + low, self.at_mm + high


Shape = Line | Circle | Text


@dataclass(frozen=True)
class TemplateSheet:
    """Shapes on a sheet whose lower left corner is the origin; x to the right, y up.

    Attributes:
        name: Of the file, lower case with hyphens.
        title: For people.
        shapes: All within the sheet.
        width_mm: Of the sheet. [mm]
        height_mm: Of the sheet. [mm]
    """

    name: str
    title: str
    shapes: tuple[Shape, ...]
    width_mm: float
    height_mm: float


def reach_mm(shapes: Sequence[Shape]) -> tuple[Array, Array]:
    """Lowest and highest x and y of all shapes. [mm]

    Raises:
        ValueError: there are none.
    """
    if not shapes:
        raise ValueError("a sheet needs at least one shape")
    lows, highs = zip(*(shape.reach_mm() for shape in shapes), strict=True)
    return np.min(lows, axis=0), np.max(highs, axis=0)


def sheet_of(name: str, title: str, shapes: Sequence[Shape], border_mm: float = 5.0) -> TemplateSheet:
    """A sheet just large enough for some shapes and a border, the shapes moved to fit. [mm]

    Example:
        >>> sheet = sheet_of("a", "A", [Circle(np.array([100.0, -50.0]), 20.0)])
        >>> sheet.width_mm, sheet.height_mm, sheet.shapes[0].centre_mm.tolist()
        (50.0, 50.0, [25.0, 25.0])
    """
    low, high = reach_mm(shapes)
    moved = tuple(shape.moved(border_mm - low) for shape in shapes)
    width, height = (float(size) for size in high - low + 2 * border_mm)
    return TemplateSheet(name, title, moved, width, height)
