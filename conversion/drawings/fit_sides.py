"""The two views of a drawing of the fit: from the car's left, and from above."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from conversion.drawings.dimension import balloon, between
from conversion.drawings.fit_scene import (
    COLUMN_MM,
    SeenObstacle,
    View,
    depth_order,
    measured,
    middle_at_rest,
    opened,
    recesses_of,
)
from conversion.drawings.fit_shapes import (
    ABOVE,
    SIDE,
    bulkhead_above,
    cut,
    nearest_in,
    shadow,
    side_area,
    upright_above,
)
from conversion.drawings.hatching import Hatch, draw_area
from conversion.drawings.svg import FINE, MIDDLE, THIN, WHITE, Canvas, Pen, Point
from conversion.fit import Kind
from conversion.fit.bodies import FIXED
from conversion.linkage.turning import Array
from conversion.plan.fitting.fit import Fit

STRIP_MM = 3.2
"""How deep a plane without end is drawn, on paper. [mm]"""
SWEPT = Pen(0.35, (0.35, 0.9))
FULL_STOP = Pen(0.18, (1.6, 0.9))
BESIDE = Pen(0.25, (2.6, 0.8))
_SHOE = Pen(0.18, (3.0, 0.7, 0.5, 0.7))

HATCHES: dict[Kind, Hatch] = {
    Kind.BULKHEAD: Hatch((45.0,), 1.0),
    Kind.FLOOR: Hatch((135.0,), 1.0),
    Kind.MAT: Hatch((90.0,), 0.7),
    Kind.CARPET: Hatch((90.0,), 0.7),
    Kind.COLUMN: Hatch((0.0, 90.0), 1.6),
    Kind.CROSS_MEMBER: Hatch((45.0,), 1.8),
    Kind.OTHER_PEDAL: Hatch((0.0,), 1.3),
    Kind.TANK: Hatch((0.0,), 1.6, (2.0, 1.0)),
    Kind.LINE: Hatch((45.0, 135.0), 0.7),
    Kind.LOOM: Hatch((45.0, 135.0), 1.0),
    Kind.HEAT: Hatch((45.0, 135.0), 1.3),
    Kind.SHOE: Hatch((90.0,), 2.0, (0.6, 1.2)),
    Kind.OTHER: Hatch((135.0,), 2.2),
}
"""Lines by kind of obstacle; what stands beside the mechanism has them too, inside a dashed outline."""


def draw_side(canvas: Canvas, fit: Fit, obstacles: Sequence[SeenObstacle], view: View, window: Sequence[float]) -> None:
    clip = shapely.box(*window)
    pad_y = float(fit.travel.geometry.pad_mm[1])
    recesses = recesses_of(fit)
    for each in sorted(obstacles, key=lambda each: depth_order(each, fit)):
        kind = each.standing.bodies[0].kind
        area = side_area(each.standing, STRIP_MM / view.per_mm, pad_y, fit.poses).intersection(clip)
        area = opened(area, each.standing, recesses, fit, SIDE)
        draw_area(canvas, view.area(area), BESIDE if each.beside else MIDDLE, HATCHES.get(kind, HATCHES[Kind.OTHER]))
    for plan in recesses:
        draw_area(
            canvas, view.area(cut(plan.recess.inside, 1, plan.recess.centre_mm[1], SIDE).intersection(clip)), THIN
        )
    swept = fit.envelope.whole.intersection(clip)
    draw_area(canvas, view.area(swept), SWEPT, fill="none")
    _draw_bodies(canvas, fit, view, SIDE)
    taken: list[Point] = []
    numbers: list[str] = []
    for each in obstacles:
        for found in measured(each, recesses):
            start, end = (view.at(point[[0, 2]]) for point in (found.on_body_mm, found.on_obstacle_mm))
            between(canvas, start, end, taken)
            numbers.append(each.number)
    for at, number_of in zip(taken, numbers, strict=True):
        balloon(canvas, at, number_of)


def _draw_bodies(canvas: Canvas, fit: Fit, view: View, plane: tuple[int, int]) -> None:
    for body in fit.bodies:
        if body.moves_with != FIXED and body.kind is not Kind.SHOE:
            draw_area(canvas, view.area(shadow((body,), fit.poses, fit.full_position, plane)), FULL_STOP, fill="none")
    # The nearer to the viewer the later; the shoe is only an outline over all else.
    nearer = 1 if plane == SIDE else 2
    for body in sorted(fit.bodies, key=lambda each: (each.kind is Kind.SHOE, middle_at_rest(each, fit, nearer))):
        pen = _SHOE if body.kind is Kind.SHOE else MIDDLE
        fill = "none" if body.kind is Kind.SHOE else WHITE
        draw_area(canvas, view.area(shadow((body,), fit.poses, 0.0, plane)), pen, fill=fill)


def draw_above(
    canvas: Canvas, fit: Fit, obstacles: Sequence[SeenObstacle], view: View, window: Sequence[float]
) -> None:
    clip = shapely.box(*window)
    height = float(fit.travel.geometry.linkage.module_pivot[2])
    recesses = recesses_of(fit)
    numbers: list[tuple[Point, str]] = []
    for each in obstacles:
        standing, kind = each.standing, each.standing.bodies[0].kind
        if standing.flats:
            area = bulkhead_above(standing, height, STRIP_MM / view.per_mm)
        else:
            area = shadow(standing.at_rest, fit.poses, 0.0, ABOVE)
            area = area.union(upright_above(standing, height, STRIP_MM / view.per_mm))
        area = area.intersection(clip)
        area = opened(area, standing, recesses, fit, ABOVE)
        if area.is_empty or standing.kind in ("floor mat", "carpet"):
            continue
        draw_area(canvas, view.area(area), BESIDE if each.beside else MIDDLE, HATCHES.get(kind, HATCHES[Kind.OTHER]))
        # Named at the end of what is shown that is farthest from the mechanism.
        numbers.append((view.at(_outer(area, window)), each.number))
    for plan in recesses:
        draw_area(
            canvas, view.area(cut(plan.recess.inside, 2, plan.recess.centre_mm[2], ABOVE).intersection(clip)), THIN
        )
    _draw_bodies(canvas, fit, view, ABOVE)
    for at, number in numbers:
        balloon(canvas, at, number)
    _ruler(canvas, view, window)


def _outer(area: BaseGeometry, window: Sequence[float]) -> Array:
    """A place of an area away from the middle of the window, but inside the area."""
    inner = area.buffer(-min(4.0, 0.2 * math.sqrt(area.area)))
    inner = area if inner.is_empty else inner
    middle = (window[1] + window[3]) / 2
    low, high = inner.bounds[1], inner.bounds[3]
    far = low if abs(low - middle) > abs(high - middle) else high
    return nearest_in(inner, np.array([inner.centroid.x, far]))


def _ruler(canvas: Canvas, view: View, window: Sequence[float]) -> None:
    """Across the car, from the middle of the axes."""
    x = COLUMN_MM - 6.0
    low, high = view.at((0.0, window[1]))[1], view.at((0.0, window[3]))[1]
    canvas.line((x, low), (x, high), FINE)
    for y in range(50 * math.ceil(window[1] / 50), math.floor(window[3]) + 1, 50):
        at = view.at((0.0, y))[1]
        canvas.line((x, at), (x + 2.0, at), FINE)
        canvas.text((x - 1.0, at + 0.9), f"y {y:+d} mm" if y else "y 0 mm", 2.5, "end")
