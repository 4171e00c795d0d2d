"""Whether it fits: all that moves among all that is in the way, true to scale, from the side and from above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from conversion.description import Missing
from conversion.drawings import callouts
from conversion.drawings.callouts import Callout
from conversion.drawings.dimension import balloon, between
from conversion.drawings.drawing import Drawing
from conversion.drawings.fit_shapes import (
    ABOVE,
    SIDE,
    bulkhead_above,
    cut,
    nearest_in,
    point_inside,
    reach_across_mm,
    shadow,
    side_area,
)
from conversion.drawings.hatching import Hatch, draw_area
from conversion.drawings.labels import wrapped
from conversion.drawings.svg import FINE, MIDDLE, THICK, THIN, WHITE, Canvas, Pen, Point
from conversion.fit import AnyBody, Clearance, Kind
from conversion.fit.bodies import FIXED, Placed
from conversion.linkage.turning import Array
from conversion.plan import Plan
from conversion.plan.fit_judged import FitClearance
from conversion.plan.fit_obstacles import Standing
from conversion.plan.fit_recess import RecessPlan
from conversion.plan.fitting import NEAR_MM, Fit
from conversion.quantities import number, show

WIDTH_MM, COLUMN_MM = 180.0, 32.0
# Both views, their words and the legend find room below the heading of a page.
_ROOM_WIDTH, _ROOM_HEIGHT, _ROOM_WORDS = WIDTH_MM - 2 * COLUMN_MM - 4.0, 168.0, 118.0
_AROUND_MM = 26.0
_STRIP = 3.2
_SWEPT = Pen(0.35, (0.35, 0.9))
_FULL = Pen(0.18, (1.6, 0.9))
_BESIDE = Pen(0.25, (2.6, 0.8))
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


@dataclass(frozen=True)
class _Obstacle:
    standing: Standing
    number: str
    least: FitClearance | None
    beside: str


@dataclass(frozen=True)
class _View:
    """From millimetres in the car to the page; front is to the left."""

    per_mm: float
    left_mm: float
    top_mm: float
    down: float

    def at(self, point: Sequence[float] | Array) -> Point:
        return self.left_mm - float(point[0]) * self.per_mm, self.top_mm + self.down * float(point[1]) * self.per_mm

    def area(self, shape: BaseGeometry) -> BaseGeometry:
        return affinity.affine_transform(
            shape, [-self.per_mm, 0.0, 0.0, self.down * self.per_mm, self.left_mm, self.top_mm]
        )


def fit_view(plan: Plan) -> tuple[Drawing, ...]:
    """One drawing; none where nothing is said of what takes room.

    Raises:
        Missing: The travel or the fit rests on a figure that is not known.
    """
    fit = plan.fit
    if fit is None or not fit.bodies:
        return ()
    obstacles = _obstacles(fit)
    side_box, above_box = _windows(fit, obstacles)
    one_to = _standard_scale(side_box, above_box)
    per_mm = 1.0 / one_to
    canvas = Canvas()
    top = 8.0
    side = _View(per_mm, WIDTH_MM / 2 + (side_box[0] + side_box[2]) / 2 * per_mm, top + side_box[3] * per_mm, -1.0)
    drawn_mm = (side_box[3] - side_box[1]) * per_mm
    columns = callouts.halves(_words(fit, obstacles, side, side_box))
    if callouts.needed_mm(columns) > max(drawn_mm, _ROOM_WORDS):
        columns = callouts.halves(_words(fit, obstacles, side, side_box, brief=True))
    bottom = top + max(drawn_mm, callouts.needed_mm(columns))
    down_mm = (bottom - top - drawn_mm) / 2
    side = replace(side, top_mm=side.top_mm + down_mm)
    left, right = ([each.moved(down_mm) for each in column] for column in columns)
    canvas.text((1.0, 3.4), "From the car's left side", 2.8, bold=True)
    _front(canvas)
    _draw_side(canvas, fit, obstacles, side, side_box)
    callouts.place(canvas, (left, right), WIDTH_MM, COLUMN_MM, top, bottom)
    above_top = bottom + 11.0
    canvas.line((0.0, above_top - 7.5), (WIDTH_MM, above_top - 7.5), FINE)
    canvas.text((1.0, above_top - 3.4), "From above (the car's left side is below)", 2.8, bold=True)
    above = _View(per_mm, side.left_mm, above_top - above_box[1] * per_mm, 1.0)
    _draw_above(canvas, fit, obstacles, above, above_box)
    end = above_top + (above_box[3] - above_box[1]) * per_mm + 4.0
    height = _legend(canvas, fit, one_to, end)
    caption = (
        f"Scale 1:{one_to:g}. Solid: at rest; dashed: at the full stop; dotted: all room that is swept, over-travel "
        "included. Numbers are the least clearances of the table; they are distances in space, and drawn shorter where "
        "they run sideways. What has a dashed outline stands beside the mechanism, not before it."
    )
    title = "Clearances from the side and from above"
    return (Drawing("fit-view", title, caption, canvas.document(WIDTH_MM, height, title, caption), WIDTH_MM, height),)


def least_by_obstacle(fit: Fit) -> list[tuple[Standing, FitClearance | None]]:
    """For each obstacle the clearance with the least to spare; None of one that nothing was held against."""
    found = []
    for standing in fit.obstacles:
        near = [each for each in fit.clearances if each.obstacle.name == standing.name]
        found.append(
            (standing, min(near, key=lambda each: each.least_mm - each.clearance.wanted.clearance_mm, default=None))
        )
    return found


def _obstacles(fit: Fit) -> list[_Obstacle]:
    moving = [body for body in fit.bodies if body.kind is not Kind.SHOE]
    low, high = reach_across_mm(moving, fit.poses)
    found = []
    for count, (standing, least) in enumerate(least_by_obstacle(fit), 1):
        start, end = reach_across_mm(standing.bodies, fit.poses)
        beside = ""
        if start >= high:
            beside = f"beside, {show(start - high, 'length')} to the left"
        elif end <= low:
            beside = f"beside, {show(low - end, 'length')} to the right"
        found.append(_Obstacle(standing, str(count), least, beside))
    return found


def _windows(fit: Fit, obstacles: Sequence[_Obstacle]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Parts of both views that are shown: all that moves and every place where it comes near to something."""
    last = len(fit.poses) - 1.0
    boxes = []
    for view in (SIDE, ABOVE):
        shown = [shadow(fit.bodies, fit.poses, at, view) for at in (0.0, fit.full_position, last)]
        points = [
            point[list(view)]
            for each in obstacles
            if each.least is not None
            for point in (each.least.clearance.on_body_mm, each.least.clearance.on_obstacle_mm)
        ]
        for plan in _recesses(fit):
            shown.append(shadow((plan.recess.outside,), fit.poses, 0.0, view))
            points += [taken.on_obstacle_mm[list(view)] for taken in plan.recess.taken]
        if view is SIDE:
            shown.append(fit.envelope.whole)
        bounds = shapely.union_all([*shown, *(shapely.points(*point) for point in points)]).bounds
        boxes.append((bounds[0] - _AROUND_MM, bounds[1] - _AROUND_MM, bounds[2] + _AROUND_MM, bounds[3] + _AROUND_MM))
    (x0, z0, x1, z1), (a0, y0, a1, y1) = boxes
    return (min(x0, a0), z0, max(x1, a1), z1), (min(x0, a0), y0, max(x1, a1), y1)


def _standard_scale(side: Sequence[float], above: Sequence[float]) -> float:
    """The largest of 1:1, 1:1.5, 1:2, 1:2.5, 1:3, 1:4, 1:5, 1:6, 1:8, 1:10 … at which both views fit."""
    room = (
        (side[2] - side[0], _ROOM_WIDTH),
        (side[3] - side[1] + above[3] - above[1], _ROOM_HEIGHT),
    )
    power = 1.0
    while True:
        for factor in (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0):
            if all(length / (factor * power) <= most for length, most in room):
                return factor * power
        power *= 10.0


def _draw_side(canvas: Canvas, fit: Fit, obstacles: Sequence[_Obstacle], view: _View, window: Sequence[float]) -> None:
    clip = shapely.box(*window)
    pad_y = float(fit.travel.geometry.pad_mm[1])
    recesses = _recesses(fit)
    for each in sorted(obstacles, key=lambda each: _depth(each, fit)):
        kind = each.standing.bodies[0].kind
        area = side_area(each.standing, _STRIP / view.per_mm, pad_y, fit.poses).intersection(clip)
        area = _opened(area, each.standing, recesses, fit, SIDE)
        draw_area(canvas, view.area(area), _BESIDE if each.beside else MIDDLE, HATCHES.get(kind, HATCHES[Kind.OTHER]))
    for plan in recesses:
        draw_area(
            canvas, view.area(cut(plan.recess.inside, 1, plan.recess.centre_mm[1], SIDE).intersection(clip)), THIN
        )
    swept = fit.envelope.whole.intersection(clip)
    draw_area(canvas, view.area(swept), _SWEPT, fill="none")
    _draw_bodies(canvas, fit, view, SIDE)
    taken: list[Point] = []
    numbers: list[str] = []
    for each in obstacles:
        for found in _measured(each, recesses):
            start, end = (view.at(point[[0, 2]]) for point in (found.on_body_mm, found.on_obstacle_mm))
            between(canvas, start, end, taken)
            numbers.append(each.number)
    for at, number_of in zip(taken, numbers, strict=True):
        balloon(canvas, at, number_of)


def _depth(each: _Obstacle, fit: Fit) -> tuple[bool, bool, float]:
    """Drawn in this order: what stands beside lies behind the mechanism, the car's right first; a mat before the floor
    that it lies on."""
    low, high = reach_across_mm(each.standing.bodies, fit.poses)
    middle = (low + high) / 2 if each.beside else 0.0
    return not each.beside, each.standing.kind not in ("floor mat", "carpet"), middle


def _measured(each: _Obstacle, recesses: Sequence[RecessPlan]) -> list[Clearance]:
    """The least clearance of an obstacle; of one behind the bulkhead that of the recess."""
    if each.least is not None:
        return [each.least.clearance]
    return [
        found
        for plan in recesses
        for standing, found in zip(plan.behind, plan.recess.taken, strict=True)
        if standing.name == each.standing.name
    ]


def _opened(
    area: BaseGeometry, standing: Standing, recesses: Sequence[RecessPlan], fit: Fit, view: tuple[int, int]
) -> BaseGeometry:
    """A bulkhead with the holes for its recesses."""
    for plan in recesses:
        if plan.lack.obstacle.name == standing.name:
            area = area.difference(shadow((plan.recess.outside,), fit.poses, 0.0, view).buffer(0.5))
    return area


def _draw_bodies(canvas: Canvas, fit: Fit, view: _View, plane: tuple[int, int]) -> None:
    for body in fit.bodies:
        if body.moves_with != FIXED and body.kind is not Kind.SHOE:
            draw_area(canvas, view.area(shadow((body,), fit.poses, fit.full_position, plane)), _FULL, fill="none")
    # The nearer to the viewer the later; the shoe is only an outline over all else.
    nearer = 1 if plane == SIDE else 2
    for body in sorted(fit.bodies, key=lambda each: (each.kind is Kind.SHOE, _middle(each, fit, nearer))):
        pen = _SHOE if body.kind is Kind.SHOE else MIDDLE
        fill = "none" if body.kind is Kind.SHOE else WHITE
        draw_area(canvas, view.area(shadow((body,), fit.poses, 0.0, plane)), pen, fill=fill)


def _middle(body: AnyBody, fit: Fit, axis: int) -> float:
    """Of a body at rest, along an axis. [mm]"""
    corners = [each.corners_mm[0][:, axis] for each in body.placed(fit.poses.at([0.0])) if isinstance(each, Placed)]
    return float(np.mean(np.concatenate(corners)))


def _recesses(fit: Fit) -> tuple[RecessPlan, ...]:
    """None where they cannot be worked out: the bulkhead then stands as it is."""
    try:
        return fit.recesses
    except Missing:
        return ()


def _draw_above(canvas: Canvas, fit: Fit, obstacles: Sequence[_Obstacle], view: _View, window: Sequence[float]) -> None:
    clip = shapely.box(*window)
    height = float(fit.travel.geometry.linkage.module_pivot[2])
    recesses = _recesses(fit)
    for each in obstacles:
        standing, kind = each.standing, each.standing.bodies[0].kind
        if standing.flats:
            area = bulkhead_above(standing, height, _STRIP / view.per_mm)
        else:
            area = shadow(standing.at_rest, fit.poses, 0.0, ABOVE)
        area = area.intersection(clip)
        area = _opened(area, standing, recesses, fit, ABOVE)
        if area.is_empty or standing.kind in ("floor mat", "carpet"):
            continue
        draw_area(canvas, view.area(area), _BESIDE if each.beside else MIDDLE, HATCHES.get(kind, HATCHES[Kind.OTHER]))
        # Named at the end of what is shown that is farthest from the mechanism.
        balloon(canvas, view.at(_outer(area, window)), each.number)
    for plan in recesses:
        draw_area(
            canvas, view.area(cut(plan.recess.inside, 2, plan.recess.centre_mm[2], ABOVE).intersection(clip)), THIN
        )
    _draw_bodies(canvas, fit, view, ABOVE)
    _ruler(canvas, view, window)


def _outer(area: BaseGeometry, window: Sequence[float]) -> Array:
    """A place of an area away from the middle of the window, but inside the area."""
    inner = area.buffer(-min(4.0, 0.2 * math.sqrt(area.area)))
    inner = area if inner.is_empty else inner
    middle = (window[1] + window[3]) / 2
    low, high = inner.bounds[1], inner.bounds[3]
    far = low if abs(low - middle) > abs(high - middle) else high
    return nearest_in(inner, np.array([inner.centroid.x, far]))


def _ruler(canvas: Canvas, view: _View, window: Sequence[float]) -> None:
    """Across the car, from the middle of the axes."""
    x = COLUMN_MM - 6.0
    low, high = view.at((0.0, window[1]))[1], view.at((0.0, window[3]))[1]
    canvas.line((x, low), (x, high), FINE)
    for y in range(50 * math.ceil(window[1] / 50), math.floor(window[3]) + 1, 50):
        at = view.at((0.0, y))[1]
        canvas.line((x, at), (x + 2.0, at), FINE)
        canvas.text((x - 1.0, at + 0.9), f"y {y:+d} mm" if y else "y 0 mm", 2.5, "end")


def _words(
    fit: Fit, obstacles: Sequence[_Obstacle], view: _View, window: Sequence[float], brief: bool = False
) -> list[Callout]:
    """What each thing is; where there are too many words, the distances are left to the table."""
    clip = shapely.box(*window)
    found = []
    for body in fit.bodies:
        if body.name.endswith((" at the pedal", " at the lever")):
            continue
        area = shadow((body,), fit.poses, 0.0, SIDE)
        lines = wrapped(body.name, callouts.TEXT_MM, COLUMN_MM - 1.0, 2)
        found.append(Callout(view.at(point_inside(area)), tuple(lines)))
    for each in obstacles:
        area = side_area(each.standing, _STRIP / view.per_mm, float(fit.travel.geometry.pad_mm[1]), fit.poses)
        shown = area.intersection(clip)
        beyond = shown.is_empty
        at = view.at(nearest_in(clip, point_inside(area)) if beyond else point_inside(shown))
        lines = wrapped(f"{each.number} {_named(each.standing)}", callouts.TEXT_MM, COLUMN_MM - 3.0, 2)
        bold = len(lines)
        for text in _about(each, fit)[: 1 if brief else None]:
            lines += wrapped(text, callouts.TEXT_MM, COLUMN_MM - 1.0, 3)
        found.append(Callout(at, tuple(lines), bold))
    return found


def _named(standing: Standing) -> str:
    return standing.name if standing.kind in (standing.name, "other") else f"{standing.name}, {standing.kind}"


def _about(each: _Obstacle, fit: Fit) -> list[str]:
    low, high = reach_across_mm(each.standing.bodies, fit.poses)
    texts = []
    if math.isfinite(low):
        texts.append(f"y {number(low, 'length')} to {_held(high)}")
    if each.beside:
        texts.append(each.beside)
    if each.least is not None:
        found = each.least.clearance
        to = " in the recess" if each.least.in_recess else ""
        texts.append(f"{_held(found.distance_mm)} from {found.body}{to} at pad {_held(found.pad_travel_mm)}")
    elif each.standing.behind_bulkhead:
        found_behind = _measured(each, _recesses(fit))
        texts.append("behind the bulkhead")
        texts += [f"{_held(found.distance_mm)} from the recess" for found in found_behind]
    else:
        texts.append(f"farther than {_held(NEAR_MM)} from all that it could meet")
    return texts


def _held(length_mm: float) -> str:
    return show(length_mm, "length").replace(" ", "\u00a0")


def _front(canvas: Canvas) -> None:
    middle = WIDTH_MM / 2
    canvas.line((middle + 4.0, 2.6), (middle - 12.0, 2.6), Pen(0.4))
    canvas.arrow_head((middle - 12.0, 2.6), (middle, 2.6), 3.0)
    canvas.text((middle + 5.5, 3.5), "front of the car", 2.5)


def _legend(canvas: Canvas, fit: Fit, one_to: float, top: float) -> float:
    canvas.line((0.0, top), (WIDTH_MM, top), FINE)
    full = float(fit.poses.pad_travel_mm[min(len(fit.poses) - 1, round(fit.full_position))])
    last = float(fit.poses.pad_travel_mm[-1])
    rows = (
        ("at rest", MIDDLE),
        (f"at the full stop, pad {show(full, 'length')}", _FULL),
        (f"all that is swept, to pad {show(last, 'length')}", _SWEPT),
        ("beside the mechanism", _BESIDE),
    )
    for row, (words, pen) in enumerate(rows):
        y = top + 4.5 + 4.0 * row
        canvas.line((1.0, y - 0.9), (11.0, y - 0.9), pen)
        canvas.text((13.0, y), words, 2.5)
    paper = 100.0 / one_to
    left, y = WIDTH_MM - 12.0 - paper, top + 6.0
    canvas.line((left, y), (left + paper, y), THICK)
    for x in (left, left + paper):
        canvas.line((x, y - 1.2), (x, y + 1.2), THIN)
    canvas.text((left + paper / 2, y - 1.6), "100 mm in the car", 2.5, "middle")
    canvas.text((WIDTH_MM - 1.0, y + 5.0), f"Scale 1:{one_to:g}", 2.5, "end")
    return top + 20.0
