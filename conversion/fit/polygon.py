"""Polygons of the side plane: what is wrong with one, and its convex parts."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.turning import Array


def checked(points_mm: ArrayLike) -> Array:
    """Corners of a polygon, (k, 2), anticlockwise, without repeated corners or corners on a straight line.

    Raises:
        ValueError: fewer than three corners, no area, or edges that cross or touch; said with the place.

    Example:
        >>> checked([[0, 0], [0, 10], [10, 10], [10, 5], [10, 0]]).tolist()
        [[10.0, 0.0], [10.0, 10.0], [0.0, 10.0], [0.0, 0.0]]
        >>> checked([[0, 0], [10, 10], [10, 0], [0, 10]])
        Traceback (most recent call last):
            ...
        ValueError: the polygon's edges cross or touch at (5, 5) mm; give the corners in the order around it
    """
    points = np.asarray(points_mm, dtype=np.float64)
    if points.ndim != 2 or points.shape[-1] != 2:
        raise ValueError(f"a polygon is a list of corners with two figures each; this one has shape {points.shape}")
    if not np.all(np.isfinite(points)):
        raise ValueError("a corner of the polygon is not a number")
    points = points[np.any(points != np.roll(points, 1, axis=0), axis=-1)]
    if len(points) < 3:
        raise ValueError(f"a polygon needs at least three different corners; this one has {len(points)}")
    size = float(np.max(np.ptp(points, axis=0)))
    if np.linalg.svd(points - points.mean(axis=0), compute_uv=False)[1] <= 1e-9 * size:
        raise ValueError("the polygon has no area: its corners lie on one line")
    if not _goes_round_once(points):
        _refuse_crossings(points)
    x, y = points.T
    if float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) < 0.0:
        points = points[::-1]
    bends = np.array([_turn(points[i - 1], points[i], points[(i + 1) % len(points)]) for i in range(len(points))])
    return points[np.abs(bends) > 1e-9 * size * size]


def _goes_round_once(points: Array) -> bool:
    """Whether a line around corners turns one way alone and only once: it is convex then, and crosses nothing."""
    run = np.roll(points, -1, axis=0) - points
    following = np.roll(run, -1, axis=0)
    turns = np.arctan2(run[:, 0] * following[:, 1] - run[:, 1] * following[:, 0], np.sum(run * following, axis=-1))
    one_way = bool(np.all(turns >= 0.0) or np.all(turns <= 0.0))
    return one_way and abs(abs(float(np.sum(turns))) - 2 * np.pi) < 1e-6 and float(np.max(np.abs(turns))) < 3.1


def _refuse_crossings(points: Array) -> None:
    from shapely.geometry import Polygon  # only an outline that is not convex needs it
    from shapely.validation import explain_validity

    shape = Polygon(points)
    if not shape.is_valid:
        place = explain_validity(shape).partition("[")[2].rstrip("]").split()
        spot = ", ".join(f"{float(figure):g}" for figure in place)
        raise ValueError(f"the polygon's edges cross or touch at ({spot}) mm; give the corners in the order around it")


def _turn(first: Array, second: Array, third: Array) -> float:
    """Twice the area of a triangle, positive where the way through it turns left."""
    one, two = second - first, third - second
    return float(one[0] * two[1] - one[1] * two[0])


def convex_parts(points_mm: Array) -> list[Array]:
    """A checked polygon cut into convex parts along lines between its corners: a convex one stays whole.

    Ears are cut off one by one, then parts that share an edge are put together where they stay convex.

    Example:
        >>> ell = checked([[0, 0], [20, 0], [20, 10], [10, 10], [10, 30], [0, 30]])
        >>> sorted(len(part) for part in convex_parts(ell))
        [4, 4]
    """
    return [points_mm[part] for part in _joined(points_mm, _ears(points_mm))]


def _ears(points: Array) -> list[list[int]]:
    left, parts = list(range(len(points))), []
    while len(left) > 3:
        ear = next((i for i in range(len(left)) if _is_ear(points, left, i)), None)
        if ear is None:
            raise ValueError("the polygon cannot be cut into parts: two of its edges all but touch")
        parts.append([left[ear - 1], left[ear], left[(ear + 1) % len(left)]])
        del left[ear]
    return [*parts, left]


def _is_ear(points: Array, left: list[int], i: int) -> bool:
    corners = [left[i - 1], left[i], left[(i + 1) % len(left)]]
    first, second, third = points[corners]
    if _turn(first, second, third) <= 0.0:
        return False
    others = [points[j] for j in left if j not in corners]
    return not any(
        _turn(first, second, each) >= 0 and _turn(second, third, each) >= 0 and _turn(third, first, each) >= 0
        for each in others
    )


def _joined(points: Array, parts: list[list[int]]) -> list[list[int]]:
    for i, one in enumerate(parts):
        for j in range(i + 1, len(parts)):
            whole = _merged(one, parts[j])
            if whole and all(
                _turn(points[whole[k - 1]], points[whole[k]], points[whole[(k + 1) % len(whole)]]) >= 0.0
                for k in range(len(whole))
            ):
                return _joined(points, [*parts[:i], whole, *parts[i + 1 : j], *parts[j + 1 :]])
    return parts


def _merged(one: list[int], two: list[int]) -> list[int] | None:
    """The loop around two parts that share an edge; None if they share none."""
    for i in range(len(one)):
        start, end = one[i - 1], one[i]
        if start in two and two[two.index(start) - 1] == end:
            at = two.index(start)
            between = [two[(at + 1 + k) % len(two)] for k in range(len(two) - 2)]
            return [*one[:i], *between, *one[i:]] if i else [*one, *between]
    return None
