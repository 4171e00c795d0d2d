"""The linkage true to scale, from the side and from above, with every length that the builder has to make."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import beside, wrapped
from conversion.drawings.side_link import link_words
from conversion.drawings.side_parts import DASHED, DOTTED, SOLID, Projection, draw_above, draw_side, extent, pedal_stops
from conversion.drawings.side_scene import FULL, HALF, REST, Scene, SceneSpring, gather_scene
from conversion.drawings.svg import BLACK, FINE, GREY, THIN, Canvas, Pen, Point
from conversion.linkage.turning import Array
from conversion.plan import Plan
from conversion.quantities import show

WIDTH_MM = 180.0
_COLUMN = 28.0
_ROOM_WIDTH, _ROOM_SIDE, _ROOM_ABOVE = WIDTH_MM - 2 * _COLUMN, 150.0, 48.0
_MARGIN = 9.0
_TEXT, _LINE = 2.5, 3.2
_LEADER = Pen(0.1, colour=GREY)


@dataclass(frozen=True)
class _Callout:
    """Words in the margin about a point of the picture."""

    at: Point
    lines: list[str]


def side_view(plan: Plan) -> Drawing:
    """The linkage at rest, half way and at full, true to scale.

    Raises:
        Missing: The travel rests on a figure that is not known.
    """
    scene = gather_scene(plan)
    points = _points(scene)
    (x_low, x_high), (y_low, y_high), (z_low, z_high) = (extent(points, axis) for axis in range(3))
    one_to = _standard_scale(x_high - x_low, y_high - y_low, z_high - z_low)
    per_mm = 1.0 / one_to
    side_height = (z_high - z_low) * per_mm + 2 * _MARGIN
    left = WIDTH_MM / 2 + (x_low + x_high) / 2 * per_mm

    # The labels decide how high the side view's part of the sheet is, and they hang on places in it.
    top = 8.0
    flat = Projection(per_mm, left, top + _MARGIN + z_high * per_mm, 0.0)
    columns = _columns(_callouts(scene, flat))
    side_height = max(side_height, *(sum(_height(each) for each in column) for column in columns))
    above_top = top + side_height + 9.0
    projection = Projection(per_mm, left, flat.top_mm, above_top + _MARGIN - y_low * per_mm)
    bolts = _bolt_words(scene, projection)
    above_height = max((y_high - y_low) * per_mm + 2 * _MARGIN, sum(_height(each) for each in bolts))
    bottom = above_top + above_height

    canvas = Canvas()
    canvas.text((1.0, 3.4), "From the car's left side", 2.8, bold=True)
    _front(canvas, (WIDTH_MM / 2, 2.6))
    draw_side(canvas, scene, projection)
    for column, inner in zip(columns, (_COLUMN, WIDTH_MM - _COLUMN), strict=True):
        _place(canvas, column, inner, top, top + side_height)
    canvas.line((0.0, above_top - 5.5), (WIDTH_MM, above_top - 5.5), FINE)
    canvas.text((1.0, above_top - 1.4), "From above (the car's left side is below)", 2.8, bold=True)
    _sideways(canvas, scene, projection)
    draw_above(canvas, scene, projection)
    _place(canvas, bolts, WIDTH_MM - _COLUMN, above_top, above_top + above_height)
    height = _legend(canvas, scene, one_to, bottom)
    outer = " The run of the cable's outer is drawn for the eye too." if _has_outer(scene) else ""
    caption = (
        f"Scale 1:{one_to:g}. Solid: at rest; dashed: half way; dotted: at full. Pivots, pins, spring ends and the "
        "pad's arc are to scale, lengths are those in space; the shapes of arm, pad and mount, and how far along the "
        "arm the stops sit, are not described and drawn for the eye." + outer
    )
    title = "Linkage from the side and from above"
    svg = canvas.document(WIDTH_MM, height, title, caption)
    return Drawing("side-view", title, caption, svg, WIDTH_MM, height)


def _has_outer(scene: Scene) -> bool:
    return any(stroke.style == "outer" for stroke in scene.poses[0].link.strokes)


def _points(scene: Scene) -> list[Array]:
    found = [*scene.pad_arc, scene.pad_foot, scene.pin_foot, scene.lever_foot, *scene.lever_stops]
    for pose in scene.poses:
        found += [*pose.pad_ends, *(each for each in (pose.link.lug_end, pose.link.lever_end) if each is not None)]
        found += [point for stroke in pose.link.strokes for point in stroke.points]
    for spring in scene.springs:
        found += spring.ends or ()
    return found


def _standard_scale(width: float, depth: float, height: float) -> float:
    """The largest of 1:1, 1:2, 1:2.5, 1:5, 1:10 … at which the picture fits its sheet."""
    room = ((width, _ROOM_WIDTH), (height, _ROOM_SIDE), (depth, _ROOM_ABOVE))
    power = 1.0
    while True:
        for factor in (1.0, 2.0, 2.5, 5.0):
            if all(length / (factor * power) + 2 * _MARGIN <= most for length, most in room):
                return factor * power
        power *= 10.0


def _callouts(scene: Scene, projection: Projection) -> list[_Callout]:
    at = projection.side
    rest = scene.poses[0]
    arc = scene.pad_arc
    link = link_words(scene.travel.solution, scene.travel.geometry.swing_rad[0])
    found = [
        (scene.pad_foot, f"pedal's pivot, {scene.mount}"),
        (_middle(scene.pad_foot, rest.pad), f"pad {_shown(scene.travel.geometry.pad_radius_mm)} from its axis"),
        (arc[len(arc) // 2], f"pad travel {_shown(float(scene.travel.pad_travel_mm[-1]))} along the arc"),
        *link.callouts,
    ]
    if scene.lever_stops:
        found.append((scene.lever_foot, f"pivot of the lever of\u00a0{scene.device}"))
    found += _spring_words(scene)
    stops = zip(pedal_stops(scene, at), ("rest", "full"), strict=True)
    callouts = [_Callout(place, [f"pedal's {which} stop"]) for place, which in stops]
    # What has no place, such as a lever that its link does not reach, has no words either.
    placed = [(place, text) for place, text in found if np.all(np.isfinite(place))]
    return [*callouts, *(_Callout(at(place), wrapped(text, _TEXT, _COLUMN - 1.0, 4)) for place, text in placed)]


def _bolt_words(scene: Scene, projection: Projection) -> list[_Callout]:
    """Each described ball joint in the view from above: how far the rod leans from square to its bolt."""
    return [_Callout(projection.above(bolt.at), wrapped(bolt.words, _TEXT, _COLUMN - 1.0, 4)) for bolt in scene.bolts]


def _spring_words(scene: Scene) -> list[tuple[Array, str]]:
    """Each spring with a place of its own; torsion springs about one axis together."""
    found = []
    wound: dict[tuple[float, ...], list[SceneSpring]] = {}
    for spring in scene.springs:
        if spring.ends is None:
            wound.setdefault(tuple(spring.around.tolist()), []).append(spring)
        else:
            found.append((_middle(*spring.ends[:2]), f"{spring.kind} spring {spring.name}"))
    for springs in wound.values():
        plural = "s" if len(springs) > 1 else ""
        found.append((springs[0].around, f"torsion spring{plural} {', '.join(spring.name for spring in springs)}"))
    return found


def _shown(length_mm: float) -> str:
    """A length that no line break parts from its unit."""
    return show(length_mm, "length").replace(" ", "\u00a0")


def _middle(one: Array, other: Array) -> Array:
    return np.asarray((one + other) / 2.0)


def _columns(callouts: Sequence[_Callout]) -> tuple[list[_Callout], list[_Callout]]:
    """Left and right half of the labels by where their points lie, so that leaders stay short."""
    order = sorted(callouts, key=lambda each: each.at[0])
    half = len(order) // 2
    return order[:half], order[half:]


def _height(callout: _Callout) -> float:
    return _LINE * len(callout.lines) + 1.6


def _place(canvas: Canvas, column: Sequence[_Callout], inner: float, top: float, bottom: float) -> None:
    """One column of labels with a leader from each to its point."""
    on_left = inner < WIDTH_MM / 2
    starts = [
        max(text_width_mm(line, _TEXT) for line in each.lines) + 1.6 if on_left else WIDTH_MM - _COLUMN - 0.6
        for each in column
    ]
    middles = beside([each.at for each in column], [_height(each) for each in column], starts, top, bottom)
    for callout, middle, start_x in zip(column, middles, starts, strict=True):
        start = (start_x, middle)
        canvas.line(start, callout.at, _LEADER)
        canvas.circle(callout.at, 0.35, None, BLACK)
        first = middle - _LINE * (len(callout.lines) - 1) / 2 + 0.9
        for number, line in enumerate(callout.lines):
            at = 1.0 if on_left else WIDTH_MM - _COLUMN
            canvas.text((at, first + _LINE * number), line, _TEXT, halo=True)


def _front(canvas: Canvas, middle: Point) -> None:
    tip = (middle[0] - 12.0, middle[1])
    canvas.line((middle[0] + 4.0, middle[1]), tip, Pen(0.4))
    canvas.arrow_head(tip, middle, 3.0)
    canvas.text((middle[0] + 5.5, middle[1] + 0.9), "front of the car", _TEXT)


def _sideways(canvas: Canvas, scene: Scene, projection: Projection) -> None:
    """How far the link runs to the side, as a dimension beside the view from above."""
    rest = scene.poses[0].link
    runs = link_words(scene.travel.solution, scene.travel.geometry.swing_rad[0]).sideways
    if rest.lever_end is None or rest.lug_end is None or not runs:
        return
    lever, pedal = projection.above(rest.lever_end), projection.above(rest.lug_end)
    at = max(_COLUMN - 4.0, min(lever[0], pedal[0]) - 12.0)
    forward, left = (float(rest.lever_end[index] - rest.lug_end[index]) for index in (0, 1))
    words = f"{runs} {_shown(abs(left))} sideways"
    whose = "their" if runs.split()[0] == "rods" else "its"
    if abs(left) >= 0.05:
        words += f", to the {'left' if left > 0 else 'right'} on {whose} way {'forward' if forward > 0 else 'back'}"
        for pin in (lever, pedal):
            canvas.line((pin[0], pin[1]), (at - 1.0, pin[1]), FINE)
        canvas.line((at, lever[1]), (at, pedal[1]), FINE)
    if abs(lever[1] - pedal[1]) > 4.0:
        canvas.arrow_head((at, lever[1]), (at, pedal[1]))
        canvas.arrow_head((at, pedal[1]), (at, lever[1]))
    lines = wrapped(words, _TEXT, at - 3.0, 4)
    first = (lever[1] + pedal[1]) / 2 - _LINE * (len(lines) - 1) / 2 + 0.9
    for number, line in enumerate(lines):
        canvas.text((at - 2.0, first + _LINE * number), line, _TEXT, "end", halo=True)


def _legend(canvas: Canvas, scene: Scene, one_to: float, top: float) -> float:
    """Line styles with pad travel and lever angle, and the scale bar; returns the sheet's height. [mm]"""
    canvas.line((0.0, top), (WIDTH_MM, top), FINE)
    travel = scene.travel
    for row, (words, pen, index) in enumerate((("rest", SOLID, REST), ("half", DASHED, HALF), ("full", DOTTED, FULL))):
        y = top + 4.5 + 4.0 * row
        canvas.line((1.0, y - 0.9), (11.0, y - 0.9), pen)
        angle = float(travel.lever_rad[index])
        lever = f"lever {show(angle, 'angle')}" if math.isfinite(angle) else "the linkage cannot close"
        pad = show(float(travel.pad_travel_mm[index]), "length")
        canvas.text((13.0, y), f"{words}: pad {pad}, {lever}", _TEXT)
    length = _bar_length(one_to)
    paper = length / one_to
    left, y = WIDTH_MM - 12.0 - paper, top + 6.0
    for part in range(4):
        fill = BLACK if part % 2 == 0 else "none"
        canvas.rect((left + paper * part / 4, y), paper / 4, 1.4, THIN, fill)
    canvas.text((left, y - 1.2), "0", _TEXT, "middle")
    canvas.text((left + paper, y - 1.2), f"{length:g} mm", _TEXT, "middle")
    canvas.text((WIDTH_MM - 1.0, y + 5.0), f"Scale 1:{one_to:g}; the bar is {paper:g} mm on paper", _TEXT, "end")
    return top + 14.0


def _bar_length(one_to: float) -> float:
    """Round length in the car that is 40 mm to 100 mm long on paper."""
    power = 10.0 ** math.floor(math.log10(40.0 * one_to))
    return next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= 40.0 * one_to)
