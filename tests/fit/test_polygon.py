"""Convex parts of polygons and hulls of points."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from shapely import union_all
from shapely.geometry import MultiPoint, Polygon

from conversion.fit.polygon import checked, convex_parts
from conversion.fit.polytope import hull
from tests.fit.cases import frame, seeds


def star(rng: np.random.Generator) -> np.ndarray:
    """A bent polygon about the origin, never crossing itself."""
    turn = np.linspace(0, 2 * np.pi, rng.integers(4, 16), endpoint=False)
    return rng.uniform(5, 50, (len(turn), 1)) * np.stack([np.cos(turn), np.sin(turn)], axis=-1)


@given(seeds)
def test_parts_are_convex_and_fill_the_polygon(seed: int) -> None:
    corners = star(np.random.default_rng(seed))
    parts = [Polygon(part) for part in convex_parts(checked(corners))]
    assert sum(part.area for part in parts) == pytest.approx(Polygon(corners).area)
    assert union_all(parts).symmetric_difference(Polygon(corners)).area == pytest.approx(0.0, abs=1e-6)
    for part in parts:
        assert part.convex_hull.area == pytest.approx(part.area)


def test_a_convex_polygon_stays_whole_either_way_round() -> None:
    square = np.array([[0, 0], [10, 0], [10, 5], [10, 10], [0, 10]], dtype=float)
    for corners in (square, square[::-1]):
        (part,) = convex_parts(checked(corners))
        assert len(part) == 4


def volume(corners: np.ndarray, triangles: np.ndarray) -> float:
    middle = corners.mean(axis=0)
    return float(np.sum(np.abs(np.linalg.det(corners[triangles] - middle))) / 6)


def test_hull_of_a_cube_its_middle_and_points_on_its_faces() -> None:
    cube = [[x, y, z] for x in (0, 2) for y in (0, 2) for z in (0, 2)]
    found = hull([*cube, [1, 1, 1], [1, 1, 2], [0, 1, 0]])
    assert (len(found.corners_mm), len(found.edges), len(found.triangles)) == (8, 12, 12)
    assert volume(found.corners_mm, found.triangles) == pytest.approx(8.0)


@given(seeds)
def test_a_hull_holds_all_points_and_obeys_euler(seed: int) -> None:
    rng = np.random.default_rng(seed)
    points = rng.uniform(-50, 50, (rng.integers(4, 17), 3))
    found = hull(points)
    first = found.corners_mm[found.triangles[:, 0]]
    looks = np.cross(found.corners_mm[found.triangles[:, 1]] - first, found.corners_mm[found.triangles[:, 2]] - first)
    heights = looks @ points.T - np.sum(looks * first, axis=-1)[:, None]
    assert np.all(np.all(heights <= 1e-6, axis=-1) | np.all(heights >= -1e-6, axis=-1))
    assert len(found.corners_mm) - len(found.edges) + len(found.triangles) == 2


def test_flat_and_straight_hulls() -> None:
    axes = frame(np.random.default_rng(5))
    flat = np.array([[0, 0], [10, 0], [10, 10], [0, 10], [5, 5], [5, 0]]) @ axes[:2] * 3 + [1, 2, 3]
    found = hull(flat)
    assert (len(found.corners_mm), len(found.edges), len(found.triangles)) == (4, 4, 2)
    line = hull([[0, 0, 0], [1, 1, 1], [3, 3, 3]])
    assert (len(line.corners_mm), len(line.edges), len(line.triangles)) == (2, 1, 0)
    with pytest.raises(ValueError, match="two different points"):
        hull([[1, 1, 1], [1, 1, 1]])
    assert MultiPoint([(0, 0), (1, 1)]).convex_hull.length > 0
