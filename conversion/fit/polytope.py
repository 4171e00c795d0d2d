"""Convex pieces with corners, edges and faces, rounded by a radius: of these every body is put together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from conversion.linkage.turning import Array, cross

# Two directions, or two points of a body, closer than this are taken as one. Relative to the body's size.
SAME = 1e-7


@dataclass(frozen=True)
class Polytope:
    """All points within a radius of the convex hull of some corners.

    Attributes:
        corners_mm: (k, 3). [mm]
        loops: Faces, each the corners around it in order; none for a bar, one for a flat piece.
        radius_mm: By which it is grown all round; zero for a piece with sharp edges. [mm]
        edges: Pairs of corners, (e, 2).
        triangles: Corners of triangles that make up the faces, (t, 3); may be empty.
        edge_ways: One edge for each direction that edges run in, as a selection of ``edges``.
        face_ways: One triangle for each direction that faces look in, as a selection of ``triangles``.
    """

    corners_mm: Array
    edges: NDArray[np.int64]
    triangles: NDArray[np.int64]
    edge_ways: NDArray[np.int64]
    face_ways: NDArray[np.int64]
    radius_mm: float

    @classmethod
    def of_loops(cls, corners_mm: ArrayLike, loops: Sequence[Sequence[int]], radius_mm: float = 0.0) -> Polytope:
        """A piece from its corners and the loops of corners around its faces; without loops, a bar."""
        corners = np.asarray(corners_mm, dtype=np.float64)
        if radius_mm < 0.0 or not np.isfinite(radius_mm):
            raise ValueError(f"a radius must not be negative; this one is {radius_mm} mm")
        sides = {tuple(sorted((loop[i - 1], loop[i]))) for loop in loops for i in range(len(loop))} or {(0, 1)}
        edges = np.array(sorted(sides), dtype=np.int64)
        fans = [(loop[0], loop[i], loop[i + 1]) for loop in loops for i in range(1, len(loop) - 1)]
        triangles = np.array(fans, dtype=np.int64).reshape(-1, 3)
        runs = corners[edges[:, 1]] - corners[edges[:, 0]]
        first = corners[triangles[:, 0]]
        looks = cross(corners[triangles[:, 1]] - first, corners[triangles[:, 2]] - first)
        return cls(corners, edges, triangles, edges[_ways(runs)], triangles[_ways(looks)], float(radius_mm))

    @cached_property
    def normals(self) -> Array:
        """Unit vectors square to its faces as the corners stand, both ways along each direction, (f, 3)."""
        first = self.corners_mm[self.face_ways[:, 0]]
        looks = cross(
            self.corners_mm[self.face_ways[:, 1]] - first, self.corners_mm[self.face_ways[:, 2]] - first
        ).reshape(-1, 3)
        looks = looks / np.maximum(np.linalg.norm(looks, axis=-1), 1e-300)[:, None]
        return np.asarray(np.concatenate([looks, -looks]))


def _ways(vectors: Array) -> list[int]:
    """Which vectors to keep so that every direction, either way along it, is there once; the longest of each."""
    sizes = np.linalg.norm(vectors, axis=-1)
    units = vectors / np.maximum(sizes, 1e-300)[:, None]
    differ = np.linalg.norm(cross(units[:, None], units[None]), axis=-1) > SAME
    kept: list[int] = []
    for i in np.argsort(-sizes, kind="stable").tolist():
        if sizes[i] > 0.0 and np.all(differ[i, kept]):
            kept.append(i)
    return sorted(kept)


def bar(start_mm: ArrayLike, end_mm: ArrayLike, radius_mm: float) -> Polytope:
    """A round bar with round ends."""
    return Polytope.of_loops(np.array([start_mm, end_mm], dtype=np.float64), [], radius_mm)


def extruded(loop_mm: ArrayLike, along_mm: ArrayLike, radius_mm: float = 0.0) -> Polytope:
    """A flat convex loop of corners, (k, 3), and the same loop moved along a vector, with all between."""
    loop = np.asarray(loop_mm, dtype=np.float64)
    k = len(loop)
    sides = [[i, (i + 1) % k, (i + 1) % k + k, i + k] for i in range(k)]
    return Polytope.of_loops(
        np.concatenate([loop, loop + np.asarray(along_mm, float)]),
        [list(range(k)), list(range(k, 2 * k)), *sides],
        radius_mm,
    )


def hull(points_mm: ArrayLike, radius_mm: float = 0.0) -> Polytope:
    """Convex hull of a few points, every plane through three of them tried; flat and straight ones too.

    Args:
        points_mm: (n, 3), n up to a few dozen. [mm]
        radius_mm: By which the hull is grown. [mm]

    Raises:
        ValueError: all points are one.

    Example:
        >>> cube = hull([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)] + [[0.5, 0.5, 0.5]])
        >>> len(cube.corners_mm), len(cube.edges), len(cube.face_ways)
        (8, 12, 3)
    """
    points = np.asarray(points_mm, dtype=np.float64)
    middle = points.mean(axis=0)
    _, spread, ways = np.linalg.svd(points - middle, full_matrices=False)
    size = float(spread[0]) if len(spread) else 0.0
    if size <= 0.0:
        raise ValueError("a body needs at least two different points")
    ways = np.concatenate([ways, np.zeros((3 - len(ways), 3))])[:3]
    rank = int(np.sum(spread > SAME * size))
    if rank == 1:
        along = (points - middle) @ ways[0]
        return bar(points[np.argmin(along)], points[np.argmax(along)], radius_mm)
    if rank == 2:
        loop = around((points - middle) @ ways[:2].T)
        return Polytope.of_loops(points[loop], [list(range(len(loop)))], radius_mm)
    loops: list[list[int]] = []
    triples = np.array(list(combinations(range(len(points)), 3)))
    first = points[triples[:, 0]]
    looks = cross(points[triples[:, 1]] - first, points[triples[:, 2]] - first)
    sizes = np.linalg.norm(looks, axis=-1)
    good = sizes > SAME * size * size
    looks, first = looks[good] / sizes[good, None], first[good]
    heights = looks @ points.T - np.sum(looks * first, axis=-1)[:, None]
    within = SAME * size
    outer = np.all(heights <= within, axis=-1) | np.all(heights >= -within, axis=-1)
    looks, touching = looks[outer], np.abs(heights[outer]) <= within
    # Every three corners of a face span its plane; the first three that do stand for it.
    _, firsts = np.unique(touching, axis=0, return_index=True)
    for look, members in ((looks[i], np.flatnonzero(touching[i])) for i in np.sort(firsts)):
        side = cross(look, np.eye(3)[np.argmin(np.abs(look))])
        flat = points[members] @ np.stack([side, cross(look, side)], axis=-1)
        loops.append(members[around(flat)].tolist())
    used = sorted({i for loop in loops for i in loop})
    return Polytope.of_loops(points[used], [[used.index(i) for i in loop] for loop in loops], radius_mm)


def around(points_mm: Array) -> list[int]:
    """Corners of the convex hull of points in a plane, (n, 2), in order; points along an edge are left out."""
    size = float(np.max(np.ptp(points_mm, axis=0)))
    order = np.lexsort((points_mm[:, 1], points_mm[:, 0])).tolist()

    def chain(indices: list[int]) -> list[int]:
        kept: list[int] = []
        for i in indices:
            while len(kept) > 1:
                back, step = points_mm[kept[-1]] - points_mm[kept[-2]], points_mm[i] - points_mm[kept[-1]]
                if back[0] * step[1] - back[1] * step[0] > SAME * size * max(float(np.abs(step).max()), SAME * size):
                    break
                kept.pop()
            kept.append(i)
        return kept[:-1]

    return chain(order) + chain(order[::-1])
