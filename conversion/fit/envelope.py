"""The outline that moving bodies sweep in the side plane, never smaller than what they sweep."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import MultiPoint, MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from conversion.fit.bodies import AnyBody, HalfSpace
from conversion.fit.poses import Poses
from conversion.linkage.turning import Array, length

# Corners of a quarter circle, and by how much its polygon must be larger to lie outside the circle.
QUARTER = 16
OUTSIDE = 1.0 / np.cos(np.pi / (4 * QUARTER))
# Between two positions no corner may leave its chord by more. [mm]
BULGE_MM = 0.03
# Positions are never set closer than this share of the given ones, nor are fewer steps taken over the whole way.
FINEST, FEWEST = 64, 8


@dataclass(frozen=True)
class Envelope:
    """What bodies sweep, seen from the side; x forward, z up.

    Attributes:
        by_body: Outline of each body, by its name; as swept.
        whole: All of them together, simplified for drawing.
        grown_mm: The whole is nowhere further out than this from what is swept, and nowhere inside it, but for
            rounding. [mm]
    """

    by_body: dict[str, BaseGeometry]
    whole: BaseGeometry
    grown_mm: float

    def outlines_mm(self) -> tuple[Array, ...]:
        """Closed loops of the whole, outer ones and holes, each (k, 2) of x and z, last point as the first."""
        return loops_mm(self.whole)


def swept_envelope(bodies: Sequence[AnyBody], poses: Poses, tolerance_mm: float = 1.0) -> Envelope:
    """Outline that bodies sweep over all positions of the poses, over-travel included if they hold it.

    Between neighbouring positions the convex hull of each piece at both is taken, grown by how far its
    corners leave the chord between; positions are set so close that this is under 0.03 mm. Round ends are
    drawn as polygons that lie outside the circle. So nothing is missed.

    Args:
        bodies: With different names.
        poses: First to last position.
        tolerance_mm: By how much the whole may be grown for the sake of fewer corners; zero for none. [mm]

    Raises:
        ValueError: there is no body, two share a name, one has no end, or the tolerance is negative.
    """
    if not bodies:
        raise ValueError("there is no body whose outline could be found")
    if tolerance_mm < 0.0:
        raise ValueError(f"the tolerance of an outline must not be negative; this one is {tolerance_mm} mm")
    names = [body.name for body in bodies]
    if len(set(names)) < len(names):
        raise ValueError("each body of an envelope needs a name of its own")
    by_body = {body.name: _swept(body, poses) for body in bodies}
    return Envelope(by_body, simplified(shapely.union_all(list(by_body.values())), tolerance_mm), tolerance_mm)


def _swept(body: AnyBody, poses: Poses) -> BaseGeometry:
    fine = poses.at(_close_enough(body, poses))
    count = len(fine)
    halfway = fine.at(np.arange(count - 1) + 0.5) if count > 1 else None
    shapes = []
    for i, placed in enumerate(body.placed(fine)):
        if isinstance(placed, HalfSpace):
            raise ValueError(f"'{body.name}' has no end, so it has no outline")
        flat, radius = placed.corners_mm[..., [0, 2]], placed.piece.radius_mm
        if halfway is None:
            shapes.append(_grown(flat[0], radius))
            continue
        between = body.placed(halfway)[i]
        assert not isinstance(between, HalfSpace)
        bulges = _bulge(flat[:-1], between.corners_mm[..., [0, 2]], flat[1:])
        shapes += [_grown(np.concatenate(flat[k : k + 2]), radius + float(bulges[k])) for k in range(count - 1)]
    return shapely.union_all(shapes)


def _bulge(start: Array, middle: Array, end: Array) -> Array:
    """How far corners leave the chord of their way, the furthest of them, (n,). [mm]"""
    return np.asarray(np.max(length(middle - (start + end) / 2), axis=-1))


def _close_enough(body: AnyBody, poses: Poses) -> Array:
    """Positions so close that no corner leaves its chord by more than BULGE_MM."""
    if len(poses) == 1:
        return np.zeros(1)
    ends = np.arange(len(poses), dtype=np.float64)
    halves = poses.at(np.arange(len(poses) - 1) + 0.5)
    worst = 0.0
    for at_end, at_half in zip(body.placed(poses), body.placed(halves), strict=True):
        if not isinstance(at_end, HalfSpace) and not isinstance(at_half, HalfSpace):
            worst = max(worst, float(np.max(_bulge(at_end.corners_mm[:-1], at_half.corners_mm, at_end.corners_mm[1:]))))
    # Half the step has a quarter of the bulge; a step of twice the length has four times as much.
    parts = min(float(FINEST), float(np.sqrt(worst / BULGE_MM)))
    steps = max(FEWEST, int(np.ceil(ends[-1] * parts)))
    return np.asarray(np.linspace(0.0, ends[-1], min(steps, len(ends) - 1) + 1 if parts < 1.0 else steps + 1))


def _grown(points: Array, radius_mm: float) -> BaseGeometry:
    shape = MultiPoint(points).convex_hull
    if radius_mm <= 0.0:
        return shape
    return shape.buffer(radius_mm * OUTSIDE, quad_segs=QUARTER)


def simplified(shape: BaseGeometry, tolerance_mm: float) -> BaseGeometry:
    """A shape with fewer corners that covers the given one and grows by no more than a tolerance.

    Grown by half of it, then simplified by less than the other half. Parts without area are left out when the
    tolerance is zero.
    """
    if tolerance_mm <= 0.0:
        return shape
    half = tolerance_mm / 2
    grown = shape.buffer(half, quad_segs=QUARTER)
    # The grown polygon's flats lie a little inside the circle, and the simplified line must not reach further in.
    simple = grown.simplify(half * 0.99 * np.cos(np.pi / (4 * QUARTER)))
    return simple if simple.is_valid and simple.covers(shape) else grown


def loops_mm(shape: BaseGeometry) -> tuple[Array, ...]:
    """Closed loops of a polygon or of several, outer ones first, each (k, 2), the last point as the first."""
    polygons = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    loops = [ring for each in polygons if isinstance(each, Polygon) for ring in (each.exterior, *each.interiors)]
    return tuple(np.asarray(ring.coords, dtype=np.float64) for ring in loops)
