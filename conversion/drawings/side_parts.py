"""The parts of the side view and of the view from above, drawn true to scale where the description gives a place.

Front is to the left in both views. The side view is seen from the car's left; in the view from above, which hangs
below it, the car's left side is at the bottom, so that every point lies straight under itself.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from conversion.drawings.side_scene import Pose, Scene, SceneSpring
from conversion.drawings.side_strokes import draw_link, draw_link_line
from conversion.drawings.svg import BLACK, FINE, MIDDLE, WHITE, Canvas, Pen, Point
from conversion.linkage import BellCrankLinkage
from conversion.linkage.turning import Array

SOLID = Pen(0.3)
DASHED = Pen(0.25, (1.6, 0.9))
DOTTED = Pen(0.3, (0.3, 0.8))
CENTRE = Pen(0.13, (4.0, 0.8, 0.6, 0.8))

_PAD_PEN_MM = 0.5
_ARM, _LUG, _LEVER = 1.7, 1.3, 1.3
_BALL = 1.0
_AXIS_BEYOND = 5.0
_BOLT = 3.5


@dataclass(frozen=True, slots=True)
class Projection:
    """From vehicle axes to the page.

    Attributes:
        per_mm: Length on paper of a millimetre in the car.
        left_mm: Page position of x = 0. [mm]
        top_mm: Page position of z = 0. [mm]
        below_mm: Page position of y = 0 in the view from above. [mm]
    """

    per_mm: float
    left_mm: float
    top_mm: float
    below_mm: float

    def side(self, point: Array) -> Point:
        """Page position in the side view."""
        return self.left_mm - float(point[0]) * self.per_mm, self.top_mm - float(point[2]) * self.per_mm

    def above(self, point: Array) -> Point:
        """Page position in the view from above."""
        return self.left_mm - float(point[0]) * self.per_mm, self.below_mm + float(point[1]) * self.per_mm


def draw_side(canvas: Canvas, scene: Scene, projection: Projection) -> None:
    """The linkage from the car's left: full and half way behind, at rest in front."""
    at = projection.side
    rest, half, full = scene.poses
    _mount(canvas, at(scene.pad_foot), down=scene.mount == "floor-hinged")
    for pose, pen in ((full, DOTTED), (half, DASHED)):
        _outline(canvas, scene, pose, pen, at)
    for spring in scene.springs:
        _spring(canvas, spring, at)
    pivot, pad = at(scene.pad_foot), at(rest.pad)
    if rest.link.lug_end is not None:
        canvas.capsule(at(scene.pin_foot), at(rest.link.lug_end), _LUG, SOLID)
    canvas.capsule(pivot, pad, _ARM, SOLID)
    canvas.capsule(at(rest.pad_ends[0]), at(rest.pad_ends[1]), 0.9, Pen(_PAD_PEN_MM), WHITE)
    _lever(canvas, scene, at)
    draw_link(canvas, rest.link, at)
    for centre in (pivot, at(scene.lever_foot)) if scene.lever_stops else (pivot,):
        _bearing(canvas, centre)
    if scene.crank_pivot is not None:
        _bearing(canvas, at(scene.crank_pivot))
    _balls(canvas, scene, at)
    canvas.polyline([at(point) for point in scene.pad_arc], FINE)
    canvas.arrow_head(at(scene.pad_arc[-1]), at(scene.pad_arc[-2]))
    _pedal_stops(canvas, scene, at)
    _lever_stops(canvas, scene, at)


def draw_above(canvas: Canvas, scene: Scene, projection: Projection) -> None:
    """The same from above: how far the rod runs sideways."""
    at = projection.above
    rest, _, full = scene.poses
    canvas.line(at(scene.pad_foot), at(scene.pin_foot), SOLID)
    linkage = scene.travel.geometry.linkage
    axes = [(linkage.pedal_axis, (scene.pad_foot, scene.pin_foot))]
    if scene.lever_stops:
        axes.append((linkage.module_axis, (scene.lever_foot, scene.lever_foot)))
    if scene.crank_pivot is not None and isinstance(linkage, BellCrankLinkage):
        axes.append((linkage.crank_axis, (scene.crank_pivot, scene.crank_pivot)))
    for axis, feet in axes:
        ends = sorted(feet, key=lambda foot: float(foot @ axis))
        reach = _AXIS_BEYOND / projection.per_mm * axis
        canvas.line(at(ends[0] - reach), at(ends[1] + reach), CENTRE)
    draw_link_line(canvas, full.link, DOTTED, at)
    if rest.link.lug_end is not None:
        canvas.capsule(at(scene.pin_foot), at(rest.link.lug_end), _LUG, SOLID)
    canvas.capsule(at(scene.pad_foot), at(rest.pad), _ARM, SOLID)
    _lever(canvas, scene, at)
    draw_link(canvas, rest.link, at)
    for bolt in scene.bolts:
        reach = _BOLT / projection.per_mm * bolt.along
        canvas.line(at(bolt.at - reach), at(bolt.at + reach), CENTRE)
    _balls(canvas, scene, at)


def _lever(canvas: Canvas, scene: Scene, at: Callable[[Array], Point]) -> None:
    if scene.lever_stops:
        canvas.capsule(at(scene.lever_foot), at(_lever_end(scene)), _LEVER, SOLID)


def _lever_end(scene: Scene) -> Array:
    end = scene.poses[0].link.lever_end
    return scene.lever_stops[0] if end is None else end


def _balls(canvas: Canvas, scene: Scene, at: Callable[[Array], Point]) -> None:
    balls = list(scene.poses[0].link.balls)
    if len(balls) == 1 and scene.lever_stops:
        # A link that does not close leaves the lever on its stop.
        balls.append(scene.lever_stops[0])
    for centre in map(at, balls):
        canvas.circle(centre, _BALL, SOLID, WHITE)
        canvas.circle(centre, 0.3, None, BLACK)


def _outline(canvas: Canvas, scene: Scene, pose: Pose, pen: Pen, at: Callable[[Array], Point]) -> None:
    """Another position as centre lines."""
    canvas.line(at(scene.pad_foot), at(pose.pad), pen)
    if pose.link.lug_end is not None:
        canvas.line(at(scene.pin_foot), at(pose.link.lug_end), pen)
    canvas.line(at(pose.pad_ends[0]), at(pose.pad_ends[1]), Pen(0.7, pen.dashes))
    draw_link_line(canvas, pose.link, pen, at)
    if pose.link.lever_end is not None:
        canvas.line(at(scene.lever_foot), at(pose.link.lever_end), pen)
    for ball in pose.link.balls[::-1]:
        canvas.circle(at(ball), _BALL, FINE, WHITE)


def _bearing(canvas: Canvas, centre: Point) -> None:
    canvas.circle(centre, 2.0, SOLID, WHITE)
    for x, y in ((2.8, 0.0), (0.0, 2.8)):
        canvas.line((centre[0] - x, centre[1] - y), (centre[0] + x, centre[1] + y), FINE)


def _mount(canvas: Canvas, pivot: Point, *, down: bool) -> None:
    """What the pedal is hung from, or stands on: drawn for the eye, its place is not described."""
    side = 1.0 if down else -1.0
    foot = pivot[1] + 7.0 * side
    canvas.polygon([pivot, (pivot[0] - 3.0, foot), (pivot[0] + 3.0, foot)], FINE, WHITE)
    ends = ((pivot[0] + 6.0, foot), (pivot[0] - 6.0, foot))
    canvas.wall(*(ends if down else ends[::-1]), MIDDLE)


def pedal_stops(scene: Scene, at: Callable[[Array], Point]) -> tuple[Point, Point]:
    """Where the rest stop and the full stop are drawn; how far along the arm is not described."""
    return _pedal_stop(scene, at, 0)[0], _pedal_stop(scene, at, -1)[0]


def _pedal_stop(scene: Scene, at: Callable[[Array], Point], index: int) -> tuple[Point, Point, Point]:
    """Middle of a stop, and unit vectors along the arm and away from it: behind it at rest, before it at full."""
    here, inner = at(scene.pad_arc[index]), at(scene.pad_arc[1 if index == 0 else -2])
    outward = _unit(here[0] - inner[0], here[1] - inner[1])
    pivot = at(scene.pad_foot)
    arm = _unit(here[0] - pivot[0], here[1] - pivot[1])
    reach = 0.55 * math.dist(pivot, here)
    gap = _ARM + 0.2 if index == 0 else 0.5
    centre = (pivot[0] + arm[0] * reach + outward[0] * gap, pivot[1] + arm[1] * reach + outward[1] * gap)
    return centre, arm, outward


def _pedal_stops(canvas: Canvas, scene: Scene, at: Callable[[Array], Point]) -> None:
    for index in (0, -1):
        _wall_across(canvas, *_pedal_stop(scene, at, index), 3.5)


def _lever_stops(canvas: Canvas, scene: Scene, at: Callable[[Array], Point]) -> None:
    if not scene.lever_stops:
        return
    foot, (first, last) = at(scene.lever_foot), map(at, scene.lever_stops)
    for pin, other in ((first, last), (last, first)):
        arm = _unit(pin[0] - foot[0], pin[1] - foot[1])
        away = _unit(pin[0] - other[0], pin[1] - other[1])
        outward = _square_to(arm, away)
        reach = 0.6 * math.dist(foot, pin)
        gap = _LEVER + 0.15
        centre = (foot[0] + arm[0] * reach + outward[0] * gap, foot[1] + arm[1] * reach + outward[1] * gap)
        _wall_across(canvas, centre, arm, outward, 2.2)


def _wall_across(canvas: Canvas, centre: Point, along: Point, strokes_to: Point, half: float) -> None:
    start = (centre[0] - along[0] * half, centre[1] - along[1] * half)
    end = (centre[0] + along[0] * half, centre[1] + along[1] * half)
    # Strokes stand on the left of the walker: turn round where they should stand on the other side.
    if along[1] * strokes_to[0] - along[0] * strokes_to[1] < 0.0:
        start, end = end, start
    canvas.wall(start, end, MIDDLE)


def _spring(canvas: Canvas, spring: SceneSpring, at: Callable[[Array], Point]) -> None:
    if spring.ends is None:
        _spiral(canvas, at(spring.around))
        return
    fixed, rest, full = (at(end) for end in spring.ends)
    canvas.line(fixed, full, DOTTED)
    along = _unit(rest[0] - fixed[0], rest[1] - fixed[1])
    length = math.dist(fixed, rest)
    turns = max(3, min(40, round(length / 1.6)))
    points = [fixed]
    for step in range(2 * turns + 1):
        share = 0.12 + 0.76 * step / (2 * turns)
        side = 0.0 if step in (0, 2 * turns) else (1.3 if step % 2 else -1.3)
        points.append(
            (
                fixed[0] + along[0] * length * share - along[1] * side,
                fixed[1] + along[1] * length * share + along[0] * side,
            )
        )
    canvas.polyline([*points, rest], Pen(0.22))
    canvas.rect((fixed[0] - 1.2, fixed[1] - 1.2), 2.4, 2.4, FINE, WHITE)
    canvas.hatch((fixed[0] - 1.2, fixed[1] - 1.2), 2.4, 2.4, 0.7)
    canvas.circle(rest, 0.5, None, BLACK)


def _spiral(canvas: Canvas, centre: Point) -> None:
    points = []
    for step in range(61):
        angle = 2.0 * math.pi * 2.25 * step / 60
        radius = 2.6 + 2.2 * step / 60
        points.append((centre[0] + radius * math.cos(angle), centre[1] + radius * math.sin(angle)))
    canvas.polyline(points, Pen(0.22))


def _unit(x: float, y: float) -> Point:
    length = math.hypot(x, y)
    return (x / length, y / length) if length > 0.0 else (1.0, 0.0)


def _square_to(arm: Point, toward: Point) -> Point:
    """Unit vector square to an arm, on the side that a vector points to."""
    across = (-arm[1], arm[0])
    side = across[0] * toward[0] + across[1] * toward[1]
    return across if side >= 0.0 else (arm[1], -arm[0])


def extent(points: list[Array], axis: int) -> tuple[float, float]:
    """Least and greatest of one coordinate. [mm]"""
    row = np.array([point[axis] for point in points])
    return float(row.min()), float(row.max())
