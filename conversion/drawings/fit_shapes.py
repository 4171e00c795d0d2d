"""Shadows of bodies and obstacles on the side plane and on the floor, as areas. [mm]

In both views the first coordinate is x, forward; the second is z, up, from the side, and y, to the left, from above.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, MultiPoint, Polygon
from shapely.geometry.base import BaseGeometry

from conversion.fit import AnyBody, Body, Bulkhead, Poses
from conversion.fit.bodies import HalfSpace
from conversion.linkage.turning import Array
from conversion.plan.fitting.obstacles import Standing

SIDE, ABOVE = (0, 2), (0, 1)
"""Which coordinates a view shows."""
FAR_MM = 5000.0
UPRIGHT = 0.7
"""A plane whose normal points up or down by less than this stands rather than lies."""


def body_pieces(body: AnyBody) -> Sequence[object]:
    """The convex parts of a body; none of a link, whose parts are where the positions have them."""
    return body.pieces if isinstance(body, Body) else ()


def shadow(bodies: Sequence[AnyBody], poses: Poses, position: float, view: tuple[int, int]) -> BaseGeometry:
    """What bodies cover at one position; parts without end are left out."""
    there = poses.at([position])
    parts = []
    for body in bodies:
        for placed in body.placed(there):
            if not isinstance(placed, HalfSpace):
                flat = placed.corners_mm[0][:, list(view)]
                hull = MultiPoint(flat).convex_hull
                parts.append(hull.buffer(placed.piece.radius_mm) if placed.piece.radius_mm > 0.0 else hull)
    return shapely.union_all(parts) if parts else Polygon()


def cut(body: Body, axis: int, at_mm: float, view: tuple[int, int]) -> BaseGeometry:
    """Of a body that stands still, the pieces that a plane square to an axis goes through."""
    parts = []
    for piece in body.pieces:
        if not isinstance(piece, HalfSpace):
            across = piece.corners_mm[:, axis]
            if across.min() <= at_mm <= across.max():
                parts.append(MultiPoint(piece.corners_mm[:, list(view)]).convex_hull)
    return shapely.union_all(parts) if parts else Polygon()


def reach_across_mm(bodies: Sequence[AnyBody], poses: Poses) -> tuple[float, float]:
    """Least and greatest y over all positions; without end for a half-space. [mm]"""
    low, high = np.inf, -np.inf
    for body in bodies:
        for placed in body.placed(poses):
            if isinstance(placed, HalfSpace):
                return -np.inf, np.inf
            across = placed.corners_mm[..., 1]
            low = min(low, float(across.min()) - placed.piece.radius_mm)
            high = max(high, float(across.max()) + placed.piece.radius_mm)
    return low, high


def strip_below(half: HalfSpace, at_mm: float, deep_mm: float, view: tuple[int, int] = SIDE) -> Polygon:
    """A plane without end as a strip behind its face, where it crosses one y, or from above one z.

    Empty where the plane lies square to the view.
    """
    normal = half.normal[list(view)]
    size = float(np.hypot(*normal))
    if size < 1e-6:
        return Polygon()
    start = normal / size**2 * (half.offset_mm - half.normal[3 - sum(view)] * at_mm)
    along = np.array([-normal[1], normal[0]]) / size * FAR_MM
    behind = -normal / size * deep_mm
    return Polygon([start - along, start + along, start + along + behind, start - along + behind])


def strip_of(flat: Bulkhead, deep_mm: float) -> Polygon:
    """A flat part of a bulkhead from the side, as a strip behind its face."""
    out = flat.toward_pedal[[0, 2]] / np.hypot(*flat.toward_pedal[[0, 2]])
    half = flat.half_size_mm[1] if flat.half_size_mm is not None else FAR_MM
    up = flat.axes[1][[0, 2]] * half
    middle = flat.point_mm[[0, 2]]
    return Polygon([middle - up, middle + up, middle + up - out * deep_mm, middle - up - out * deep_mm])


def side_area(standing: Standing, deep_mm: float, at_y_mm: float, poses: Poses) -> BaseGeometry:
    """An obstacle from the side: bulkhead and planes as strips behind their faces, anything else as its shadow."""
    if standing.flats:
        return shapely.union_all([strip_of(flat, deep_mm) for flat in standing.flats])
    halves = [piece for body in standing.at_rest for piece in body_pieces(body) if isinstance(piece, HalfSpace)]
    if halves:
        return shapely.union_all([strip_below(half, at_y_mm, deep_mm) for half in halves])
    return shadow(standing.at_rest, poses, 0.0, SIDE)


def upright_above(standing: Standing, at_z_mm: float, deep_mm: float) -> BaseGeometry:
    """Planes that stand upright, such as the side of a tunnel, cut level at one height, from above."""
    halves = [piece for body in standing.at_rest for piece in body_pieces(body) if isinstance(piece, HalfSpace)]
    upright = [half for half in halves if abs(float(half.normal[2])) < UPRIGHT]
    return shapely.union_all([strip_below(half, at_z_mm, deep_mm, ABOVE) for half in upright])


def bulkhead_above(standing: Standing, at_z_mm: float, deep_mm: float) -> BaseGeometry:
    """Flat parts of a bulkhead cut level at one height, from above."""
    parts = []
    for flat in standing.flats:
        across, up, out = flat.axes
        if abs(up[2]) < 1e-6:
            continue
        share = (at_z_mm - flat.point_mm[2]) / up[2]
        wide = flat.half_size_mm[0] if flat.half_size_mm is not None else FAR_MM
        if flat.half_size_mm is not None and abs(share) > flat.half_size_mm[1]:
            continue
        middle = (flat.point_mm + share * up)[[0, 1]]
        way, behind = across[[0, 1]] * wide, -out[[0, 1]] * deep_mm
        parts.append(Polygon([middle - way, middle + way, middle + way + behind, middle - way + behind]))
    return shapely.union_all(parts) if parts else Polygon()


def point_inside(area: BaseGeometry) -> Array:
    """A point for words to refer to; for a long strip one in its middle."""
    at = area.representative_point()
    return np.array([at.x, at.y])


def nearest_in(area: BaseGeometry, point: Array) -> Array:
    """The place of an area nearest to a point."""
    line = shapely.shortest_line(area, shapely.points(*point))
    assert isinstance(line, LineString)
    return np.asarray(line.coords[0])
