"""Exact distance between convex pieces in space, at many positions at once.

The distance of two convex bodies is the widest gap between two parallel planes that part them: the largest
over all directions u of min(u·b) − max(u·a). Below zero it is the shortest way out. Apart, the best u runs
between the two closest points; overlapping, it is square to a face of one body or to an edge of each. All of
these are tried, and the widest gap is the answer, so it can never be too large by a missed case, and is too
small only where a closest pair of features has been missed.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.fit.bodies import HalfSpace, Placed
from conversion.linkage.turning import Array, cross, dot, length

# Positions that are computed together, so that no array grows beyond some tens of megabytes.
BLOCK = 256
# Rounding allowed between the two ways to the distance, relative to the size of the bodies.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Gap:
    """Distance at each position, negative where the pieces overlap, and where it is taken.

    Attributes:
        distance_mm: (positions,). [mm]
        on_first_mm: Point of the first piece, (positions, 3). [mm]
        on_second_mm: Point of the second; where they overlap, the first point moved out by the shortest way.
        way: Unit direction from the first to the second along which the distance is taken, (positions, 3).
    """

    distance_mm: Array
    on_first_mm: Array
    on_second_mm: Array
    way: Array


def gap(first: Placed, second: Placed | HalfSpace) -> Gap:
    """Distance from one piece to another or to a half-space, position by position."""
    if isinstance(second, HalfSpace):
        return _from_plane(first, second)
    count = len(first.corners_mm)
    parts = [
        _block(
            Placed(first.piece, first.corners_mm[i : i + BLOCK]), Placed(second.piece, second.corners_mm[i : i + BLOCK])
        )
        for i in range(0, count, BLOCK)
    ]
    return Gap(*(np.concatenate([getattr(part, name) for part in parts]) for name in Gap.__dataclass_fields__))


def _from_plane(first: Placed, plane: HalfSpace) -> Gap:
    heights = first.corners_mm @ plane.normal - plane.offset_mm
    lowest = np.min(heights, axis=-1)
    # The middle of all lowest corners, so that a face that lies along the plane shows its middle.
    tied = (heights <= lowest[:, None] + 1e-9)[..., None]
    corner = np.sum(first.corners_mm * tied, axis=1) / np.sum(tied, axis=1)
    distance = lowest - first.piece.radius_mm
    point = corner - first.piece.radius_mm * plane.normal
    return Gap(
        distance, point, point - distance[:, None] * plane.normal, np.repeat(-plane.normal[None], len(point), axis=0)
    )


def _block(first: Placed, second: Placed) -> Gap:
    a, b = first.corners_mm, second.corners_mm
    near_a, near_b = _closest(first, second)
    apart = length(near_b - near_a)
    way = (near_b - near_a) / np.maximum(apart, 1e-300)[:, None]
    width = np.where(apart > 0.0, gap_along(a, b, way[:, None, :])[:, 0], -np.inf)
    scale = float(np.max(np.ptp(np.concatenate([a, b], axis=1), axis=1), initial=1.0))
    core = width.copy()
    overlap = width < apart - ROUNDING * scale
    overlap |= apart <= ROUNDING * scale
    if np.any(overlap):
        out, side = _shortest_way_out(first, second, overlap)
        better = out > width[overlap]
        core[overlap] = np.where(better, out, width[overlap])
        chosen = np.where(better[:, None], side, way[overlap])
        way[overlap] = chosen
        near_a[overlap] = _support(a[overlap], chosen)
    rest = first.piece.radius_mm + second.piece.radius_mm
    distance = core - rest
    on_first = near_a + first.piece.radius_mm * way
    return Gap(distance, on_first, on_first + distance[:, None] * way, way)


def gap_along(a: Array, b: Array, ways: Array) -> Array:
    """Gap along each direction, (n, m), from corners (n, k, 3) and unit directions (n, m, 3)."""
    return np.min(ways @ b.swapaxes(1, 2), axis=-1) - np.max(ways @ a.swapaxes(1, 2), axis=-1)


def _support(corners: Array, way: Array) -> Array:
    """Middle of the corners that lie furthest along a direction, (n, 3)."""
    along = dot(corners, way[:, None, :])
    tied = (along >= np.max(along, axis=-1, keepdims=True) - 1e-9)[..., None]
    return np.asarray(np.sum(corners * tied, axis=1) / np.sum(tied, axis=1))


def _shortest_way_out(first: Placed, second: Placed, where: NDArray[np.bool_]) -> tuple[Array, Array]:
    """Widest gap over the directions square to faces and to pairs of edges, and its direction."""
    a, b = first.corners_mm[where], second.corners_mm[where]
    edges_a, edges_b = _edge_ways(first, a), _edge_ways(second, b)
    crossed = cross(edges_a[:, :, None, :], edges_b[:, None, :, :]).reshape(len(a), -1, 3)
    ways = np.concatenate([face_ways(Placed(first.piece, a)), face_ways(Placed(second.piece, b)), crossed], axis=1)
    sizes = length(ways)
    ways = ways / np.maximum(sizes, 1e-300)[..., None]
    ways = np.concatenate([ways, -ways], axis=1)
    usable = np.concatenate([sizes, sizes], axis=1) > 1e-9
    widths = np.where(usable, gap_along(a, b, ways), -np.inf)
    best = np.argmax(widths, axis=-1)
    row = np.arange(len(a))
    return widths[row, best], ways[row, best]


def _edge_ways(placed: Placed, corners: Array) -> Array:
    runs = corners[:, placed.piece.edge_ways[:, 1]] - corners[:, placed.piece.edge_ways[:, 0]]
    return np.asarray(runs / np.maximum(length(runs), 1e-300)[..., None])


def face_ways(placed: Placed) -> Array:
    """Unit normals at each position, (n, f, 3); a bar has none, and gets two directions across it instead."""
    faces, corners = placed.piece.face_ways, placed.corners_mm
    if not len(faces):
        run = corners[:, 1] - corners[:, 0]
        run = run / np.maximum(length(run), 1e-300)[:, None]
        side = cross(run, np.eye(3)[np.argmin(np.abs(run), axis=-1)])
        # Two points of a cable's arc may be one; a direction without length is passed over later.
        side = side / np.maximum(length(side), 1e-300)[:, None]
        return np.stack([side, cross(run, side)], axis=1)
    start = corners[:, faces[:, 0]]
    looks = cross(corners[:, faces[:, 1]] - start, corners[:, faces[:, 2]] - start)
    return np.asarray(looks / np.maximum(length(looks), 1e-300)[..., None])


def _closest(first: Placed, second: Placed) -> tuple[Array, Array]:
    """Closest pair among corners, edges and faces; right wherever the two pieces are apart."""
    a, b = first.corners_mm, second.corners_mm
    ends_a, ends_b = (each.corners_mm[:, each.piece.edges] for each in (first, second))
    pairs = [_corner_edge(a, ends_b), _corner_edge(b, ends_a)[::-1], _edge_edge(ends_a, ends_b)]
    if len(second.piece.triangles):
        pairs.append(_corner_face(a, b[:, second.piece.triangles]))
    if len(first.piece.triangles):
        pairs.append(_corner_face(b, a[:, first.piece.triangles])[::-1])
    best_a, best_b = pairs[0]
    for other_a, other_b in pairs[1:]:
        closer = (length(other_b - other_a) < length(best_b - best_a))[:, None]
        best_a, best_b = np.where(closer, other_a, best_a), np.where(closer, other_b, best_b)
    return best_a, best_b


def _picked(one: Array, two: Array) -> tuple[Array, Array]:
    """From points paired up, (n, m, 3) each, the closest pair of each row; nan is no pair."""
    between = two - one
    apart = dot(between, between)
    best = np.argmin(np.where(np.isnan(apart), np.inf, apart), axis=-1)
    row = np.arange(len(best))
    far = np.isnan(apart[row, best])[:, None]
    return one[row, best], np.where(far, one[row, best] + np.inf, two[row, best])


def _corner_edge(corners: Array, edges: Array) -> tuple[Array, Array]:
    start = edges[:, None, :, 0]
    run = edges[:, None, :, 1] - start
    reach = corners[:, :, None, :] - start
    share = np.clip(dot(reach, run) / np.maximum(dot(run, run), 1e-300), 0.0, 1.0)
    foot = start + share[..., None] * run
    shape = (len(corners), -1, 3)
    return _picked(np.broadcast_to(corners[:, :, None, :], foot.shape).reshape(shape), foot.reshape(shape))


def _edge_edge(edges_a: Array, edges_b: Array) -> tuple[Array, Array]:
    """Pairs whose common perpendicular meets both between their ends; the rest are pairs with a corner."""
    start_a, start_b = edges_a[:, :, None, 0], edges_b[:, None, :, 0]
    run_a, run_b = edges_a[:, :, None, 1] - start_a, edges_b[:, None, :, 1] - start_b
    between = start_a - start_b
    aa, bb, ab = dot(run_a, run_a), dot(run_b, run_b), dot(run_a, run_b)
    ca, cb = dot(run_a, between), dot(run_b, between)
    size = aa * bb - ab * ab
    with np.errstate(divide="ignore", invalid="ignore"):
        share_a, share_b = (ab * cb - ca * bb) / size, (aa * cb - ab * ca) / size
        meets = (size > 1e-12 * aa * bb) & (np.abs(share_a - 0.5) <= 0.5) & (np.abs(share_b - 0.5) <= 0.5)
        share_a, share_b = np.where(meets, share_a, np.nan), np.where(meets, share_b, np.nan)
    shape = (len(edges_a), -1, 3)
    return _picked(
        (start_a + share_a[..., None] * run_a).reshape(shape), (start_b + share_b[..., None] * run_b).reshape(shape)
    )


def _corner_face(corners: Array, triangles: Array) -> tuple[Array, Array]:
    """Pairs of a corner and the point below it inside a triangle."""
    start = triangles[:, None, :, 0]
    one, two = triangles[:, None, :, 1] - start, triangles[:, None, :, 2] - start
    reach = corners[:, :, None, :] - start
    oo, tt, ot = dot(one, one), dot(two, two), dot(one, two)
    size = np.maximum(oo * tt - ot * ot, 1e-300)
    along_one, along_two = dot(reach, one), dot(reach, two)
    share_one, share_two = (tt * along_one - ot * along_two) / size, (oo * along_two - ot * along_one) / size
    # A little beyond the triangle's edge does no harm: the gap is checked along the direction found.
    inside = (share_one >= -1e-12) & (share_two >= -1e-12) & (share_one + share_two <= 1 + 1e-12)
    foot = np.where(inside[..., None], start + share_one[..., None] * one + share_two[..., None] * two, np.nan)
    shape = (len(corners), -1, 3)
    return _picked(np.broadcast_to(corners[:, :, None, :], foot.shape).reshape(shape), foot.reshape(shape))
