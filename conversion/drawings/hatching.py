"""Areas of any outline on a drawing: outlined, and hatched in a manner that tells kinds apart without colour."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, MultiLineString, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from conversion.drawings.svg import FINE, WHITE, Canvas, Pen, figure


@dataclass(frozen=True, slots=True)
class Hatch:
    """Parallel lines in an area.

    Attributes:
        turns_deg: Ways of the lines on paper, from level, anticlockwise; two ways cross.
        spacing_mm: Between neighbouring lines, on paper. [mm]
        dashes: Of each line; empty for solid ones. [mm]
    """

    turns_deg: tuple[float, ...]
    spacing_mm: float
    dashes: tuple[float, ...] = ()


def rings(shape: BaseGeometry) -> list[list[tuple[float, float]]]:
    """Outer and inner outlines of an area, of several, or of none."""
    areas = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    return [
        [(float(x), float(y)) for x, y in ring.coords]
        for area in areas
        if isinstance(area, Polygon) and not area.is_empty
        for ring in (area.exterior, *area.interiors)
    ]


def draw_area(
    canvas: Canvas, shape: BaseGeometry, pen: Pen | None, hatch: Hatch | None = None, fill: str = WHITE
) -> None:
    """An area in page millimetres with its holes left open.

    Args:
        canvas: To draw on.
        shape: Polygon or several; anything else draws nothing.
        pen: Of the outline; None for none.
        hatch: Lines inside; None for none.
        fill: Below the lines; ``none`` lets through what was drawn before.
    """
    loops = rings(shape)
    if not loops:
        return
    # Ring by ring with opposite ways round, so that inner ones stay open.
    data = "".join("M" + "L".join(f"{figure(x)} {figure(y)}" for x, y in loop[:-1]) + "Z" for loop in loops)
    if fill != "none":
        canvas.path(data, None, fill)
    if hatch is not None:
        for turn in hatch.turns_deg:
            lines = _lines(shape, turn, hatch.spacing_mm)
            if lines:
                canvas.path(lines, Pen(FINE.width_mm, hatch.dashes))
    if pen is not None:
        canvas.path(data, pen)


def _lines(shape: BaseGeometry, turn_deg: float, spacing_mm: float) -> str:
    turn = math.radians(turn_deg)
    along, step = np.array([math.cos(turn), -math.sin(turn)]), np.array([math.sin(turn), math.cos(turn)])
    low_x, low_y, high_x, high_y = shape.bounds
    middle = np.array([low_x + high_x, low_y + high_y]) / 2
    reach = math.hypot(high_x - low_x, high_y - low_y) / 2 + spacing_mm
    # Counted from the page's corner, so that hatching of one kind runs on from area to area.
    first = math.ceil((float(middle @ step) - reach) / spacing_mm)
    last = math.floor((float(middle @ step) + reach) / spacing_mm)
    start, end = float(middle @ along) - reach, float(middle @ along) + reach
    lines = MultiLineString(
        [[tuple(step * spacing_mm * k + along * at) for at in (start, end)] for k in range(first, last + 1)]
    )
    inside = lines.intersection(shape)
    parts = getattr(inside, "geoms", [inside])
    return "".join(
        f"M{figure(part.coords[0][0])} {figure(part.coords[0][1])}L{figure(part.coords[-1][0])} "
        f"{figure(part.coords[-1][1])}"
        for part in parts
        if isinstance(part, LineString) and part.length > 0.05
    )
