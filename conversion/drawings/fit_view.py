"""Whether it fits: all that moves among all that is in the way, true to scale, from the side and from above."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import shapely

from conversion.drawings import callouts
from conversion.drawings.callouts import Callout
from conversion.drawings.drawing import Drawing
from conversion.drawings.fit_scene import (
    COLUMN_MM,
    WIDTH_MM,
    SeenObstacle,
    View,
    measured,
    recesses_of,
    seen_obstacles,
    standard_scale,
    windows,
)
from conversion.drawings.fit_shapes import SIDE, nearest_in, point_inside, reach_across_mm, shadow, side_area
from conversion.drawings.fit_sides import BESIDE, FULL_STOP, STRIP_MM, SWEPT, draw_above, draw_side
from conversion.drawings.labels import wrapped
from conversion.drawings.svg import FINE, MIDDLE, THICK, THIN, Canvas, Pen
from conversion.plan import Plan
from conversion.plan.fitting.fit import NEAR_MM, Fit
from conversion.plan.fitting.obstacles import Standing
from conversion.quantities import number, show

_ROOM_WORDS = 118.0


def fit_view(plan: Plan) -> tuple[Drawing, ...]:
    """One drawing; none where nothing is said of what takes room.

    Raises:
        Missing: The travel or the fit rests on a figure that is not known.
    """
    fit = plan.fit
    if fit is None or not fit.bodies:
        return ()
    obstacles = seen_obstacles(fit)
    side_box, above_box = windows(fit, obstacles)
    one_to = standard_scale(side_box, above_box)
    per_mm = 1.0 / one_to
    canvas = Canvas()
    top = 8.0
    side = View(per_mm, WIDTH_MM / 2 + (side_box[0] + side_box[2]) / 2 * per_mm, top + side_box[3] * per_mm, -1.0)
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
    draw_side(canvas, fit, obstacles, side, side_box)
    callouts.place(canvas, (left, right), WIDTH_MM, COLUMN_MM, top, bottom)
    above_top = bottom + 11.0
    canvas.line((0.0, above_top - 7.5), (WIDTH_MM, above_top - 7.5), FINE)
    canvas.text((1.0, above_top - 3.4), "From above (the car's left side is below)", 2.8, bold=True)
    above = View(per_mm, side.left_mm, above_top - above_box[1] * per_mm, 1.0)
    draw_above(canvas, fit, obstacles, above, above_box)
    end = above_top + (above_box[3] - above_box[1]) * per_mm + 4.0
    height = _legend(canvas, fit, one_to, end)
    caption = (
        f"Scale 1:{one_to:g}. Solid: at rest; dashed: at the full stop; dotted: all room that is swept, over-travel "
        "included. Numbers are the least clearances of the table; they are distances in space, and drawn shorter where "
        "they run sideways. What has a dashed outline stands beside the mechanism, not before it."
    )
    title = "Clearances from the side and from above"
    return (Drawing("fit-view", title, caption, canvas.document(WIDTH_MM, height, title, caption), WIDTH_MM, height),)


def _words(
    fit: Fit, obstacles: Sequence[SeenObstacle], view: View, window: Sequence[float], brief: bool = False
) -> list[Callout]:
    """What each thing is; where there are too many words, the distances are left to the table."""
    clip = shapely.box(*window)
    found = []
    for body in fit.bodies:
        if body.name.endswith((" at the pedal", " at the lever", " at the crank")):
            continue
        area = shadow((body,), fit.poses, 0.0, SIDE)
        lines = wrapped(body.name, callouts.TEXT_MM, COLUMN_MM - 1.0, 2)
        found.append(Callout(view.at(point_inside(area)), tuple(lines)))
    for each in obstacles:
        area = side_area(each.standing, STRIP_MM / view.per_mm, float(fit.travel.geometry.pad_mm[1]), fit.poses)
        shown = area.intersection(clip)
        if area.is_empty:
            # A plane square to the view lies behind all of it; its words lead to where it is nearest.
            middle = each.least.clearance.on_obstacle_mm[[0, 2]] if each.least is not None else clip.centroid.coords[0]
            at = view.at(middle)
        else:
            at = view.at(nearest_in(clip, point_inside(area)) if shown.is_empty else point_inside(shown))
        lines = wrapped(f"{each.number} {_named(each.standing)}", callouts.TEXT_MM, COLUMN_MM - 3.0, 2)
        bold = len(lines)
        for text in _about(each, fit)[: 1 if brief else None]:
            lines += wrapped(text, callouts.TEXT_MM, COLUMN_MM - 1.0, 4)
        found.append(Callout(at, tuple(lines), bold))
    return found


def _named(standing: Standing) -> str:
    return standing.name if standing.kind in (standing.name, "other") else f"{standing.name}, {standing.kind}"


def _about(each: SeenObstacle, fit: Fit) -> list[str]:
    low, high = reach_across_mm(each.standing.bodies, fit.poses)
    texts = []
    if math.isfinite(low):
        texts.append(f"y {number(low, 'length')} to {_held(high)}")
    if each.beside:
        texts.append(each.beside)
    if each.least is not None:
        found = each.least.clearance
        to = " in the recess" if each.least.in_recess else ""
        apart = found.distance_mm >= 0.0
        near = f"{_held(found.distance_mm)} from" if apart else f"{_held(-found.distance_mm)} deep in"
        texts.append(f"{near} {found.body}{to} at pad {_held(found.pad_travel_mm)}")
    elif each.standing.behind_bulkhead:
        found_behind = measured(each, recesses_of(fit))
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
        (f"at the full stop, pad {show(full, 'length')}", FULL_STOP),
        (f"all that is swept, to pad {show(last, 'length')}", SWEPT),
        ("beside the mechanism", BESIDE),
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
