"""What a drawing of the fit shows: obstacles with their numbers, the part of the car, the scale, the order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from conversion.description import Missing
from conversion.drawings.fit_shapes import ABOVE, SIDE, reach_across_mm, shadow
from conversion.drawings.svg import Point
from conversion.fit import AnyBody, Clearance, Kind
from conversion.fit.bodies import Placed
from conversion.linkage.turning import Array
from conversion.plan.fitting.fit import Fit
from conversion.plan.fitting.judged import FitClearance
from conversion.plan.fitting.obstacles import Standing
from conversion.plan.fitting.recess import RecessPlan
from conversion.quantities import show

WIDTH_MM, COLUMN_MM = 180.0, 32.0
# Both views, their words and the legend find room below the heading of a page.
ROOM_WIDTH_MM, ROOM_HEIGHT_MM = WIDTH_MM - 2 * COLUMN_MM - 4.0, 168.0
AROUND_MM, BESIDE_MM = 26.0, 2.0


@dataclass(frozen=True)
class SeenObstacle:
    """An obstacle with what the drawing says of it.

    Attributes:
        standing: The obstacle.
        number: In the drawing and in the table.
        least: The clearance with the least to spare; None where nothing came near.
        beside: How far it stands beside the mechanism, in words; empty where it does not.
    """

    standing: Standing
    number: str
    least: FitClearance | None
    beside: str


@dataclass(frozen=True)
class View:
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


def least_by_obstacle(fit: Fit) -> list[tuple[Standing, FitClearance | None]]:
    """For each obstacle the clearance with the least to spare; None of one that nothing was held against."""
    found = []
    for standing in fit.obstacles:
        near = [each for each in fit.clearances if each.obstacle.name == standing.name]
        found.append(
            (standing, min(near, key=lambda each: each.least_mm - each.clearance.wanted.clearance_mm, default=None))
        )
    return found


def seen_obstacles(fit: Fit) -> list[SeenObstacle]:
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
        found.append(SeenObstacle(standing, str(count), least, beside))
    return found


def recesses_of(fit: Fit) -> tuple[RecessPlan, ...]:
    """None where they cannot be worked out: the bulkhead then stands as it is."""
    try:
        return fit.recesses
    except Missing:
        return ()


def measured(each: SeenObstacle, recesses: Sequence[RecessPlan]) -> list[Clearance]:
    """The least clearance of an obstacle; of one behind the bulkhead that of the recess."""
    if each.least is not None:
        return [each.least.clearance]
    return [
        found
        for plan in recesses
        for standing, found in zip(plan.behind, plan.recess.taken, strict=True)
        if standing.name == each.standing.name
    ]


def windows(fit: Fit, obstacles: Sequence[SeenObstacle]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Parts of both views that are shown: all that moves, the bracket, and where anything comes near to something."""
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
        for plan in recesses_of(fit):
            shown.append(shadow((plan.recess.outside,), fit.poses, 0.0, view))
            points += [taken.on_obstacle_mm[list(view)] for taken in plan.recess.taken]
        if view is SIDE:
            shown.append(fit.envelope.whole)
        bounds = shapely.union_all([*shown, *(shapely.points(*point) for point in points)]).bounds
        around = shapely.box(*bounds).buffer(AROUND_MM, join_style="mitre")
        bracket = [each.standing.bodies for each in obstacles if each.standing.path[0] == "members"]
        members = [shadow(bodies, fit.poses, 0.0, view).buffer(BESIDE_MM) for bodies in bracket]
        boxes.append(shapely.union_all([around, *members]).bounds)
    (x0, z0, x1, z1), (a0, y0, a1, y1) = boxes
    return (min(x0, a0), z0, max(x1, a1), z1), (min(x0, a0), y0, max(x1, a1), y1)


def standard_scale(side: Sequence[float], above: Sequence[float]) -> float:
    """The largest of 1:1, 1:1.5, 1:2, 1:2.5, 1:3, 1:4, 1:5, 1:6, 1:8, 1:10 … at which both views fit."""
    room = (
        (side[2] - side[0], ROOM_WIDTH_MM),
        (side[3] - side[1] + above[3] - above[1], ROOM_HEIGHT_MM),
    )
    power = 1.0
    while True:
        for factor in (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0):
            if all(length / (factor * power) <= most for length, most in room):
                return factor * power
        power *= 10.0


def depth_order(each: SeenObstacle, fit: Fit) -> tuple[bool, bool, float]:
    """Drawn in this order: what stands beside lies behind the mechanism, the car's right first; a mat before the floor
    that it lies on."""
    low, high = reach_across_mm(each.standing.bodies, fit.poses)
    middle = (low + high) / 2 if each.beside else 0.0
    return not each.beside, each.standing.kind not in ("floor mat", "carpet"), middle


def opened(
    area: BaseGeometry, standing: Standing, recesses: Sequence[RecessPlan], fit: Fit, view: tuple[int, int]
) -> BaseGeometry:
    """A bulkhead with the holes for its recesses."""
    for plan in recesses:
        if plan.lack.obstacle.name == standing.name:
            area = area.difference(shadow((plan.recess.outside,), fit.poses, 0.0, view).buffer(0.5))
    return area


def middle_at_rest(body: AnyBody, fit: Fit, axis: int) -> float:
    """Of a body at rest, along an axis. [mm]"""
    corners = [each.corners_mm[0][:, axis] for each in body.placed(fit.poses.at([0.0])) if isinstance(each, Placed)]
    return float(np.mean(np.concatenate(corners)))
