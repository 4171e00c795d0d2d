"""Whether lines and boxes on the board come too near each other; many against many at once."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from conversion.linkage.turning import Array

Truth = NDArray[np.bool_]
_TINY = 1e-9


def line_distance_mm(lines: Array, others: Array) -> Array:
    """Distance of every line from every other, nothing where they cross.

    Args:
        lines: Straight lines, (k, 4): x and y of the start, x and y of the end. [mm]
        others: The same, (n, 4). [mm]

    Returns:
        (k, n). [mm]

    Example:
        >>> line_distance_mm(np.array([[0.0, 0, 10, 0]]), np.array([[5.0, 3, 5, 9], [5, -1, 5, 1]])).tolist()
        [[3.0, 0.0]]
    """
    one = lines[:, None, :]
    two = others[None, :, :]
    near = np.minimum(
        np.minimum(_point_from_line(one[..., 0], one[..., 1], two), _point_from_line(one[..., 2], one[..., 3], two)),
        np.minimum(_point_from_line(two[..., 0], two[..., 1], one), _point_from_line(two[..., 2], two[..., 3], one)),
    )
    return np.where(_cross(one, two), 0.0, np.sqrt(near))


def _point_from_line(x: Array, y: Array, line: Array) -> Array:
    """Square of the distance of points from lines."""
    ax, ay = line[..., 0], line[..., 1]
    dx, dy = line[..., 2] - ax, line[..., 3] - ay
    along = ((x - ax) * dx + (y - ay) * dy) / np.maximum(dx * dx + dy * dy, _TINY)
    along = np.clip(along, 0.0, 1.0)
    return (x - ax - along * dx) ** 2 + (y - ay - along * dy) ** 2


def _cross(one: Array, two: Array) -> Truth:
    def side(line: Array, x: Array, y: Array) -> Array:
        return (line[..., 2] - line[..., 0]) * (y - line[..., 1]) - (line[..., 3] - line[..., 1]) * (x - line[..., 0])

    apart_one = side(one, two[..., 0], two[..., 1]) * side(one, two[..., 2], two[..., 3]) < 0.0
    apart_two = side(two, one[..., 0], one[..., 1]) * side(two, one[..., 2], one[..., 3]) < 0.0
    crossing: Truth = apart_one & apart_two
    return crossing


def point_distance_mm(point: tuple[float, float], lines: Array) -> Array:
    """Distance of one point from every line, (n,). [mm]"""
    return np.sqrt(_point_from_line(np.array(point[0]), np.array(point[1]), lines))


def box_distance_mm(boxes: Array, others: Array) -> Array:
    """Distance of every box from every other, nothing where they overlap.

    Args:
        boxes: (k, 4): least x and y, greatest x and y. [mm]
        others: The same, (n, 4). [mm]

    Returns:
        (k, n). [mm]

    Example:
        >>> box_distance_mm(np.array([[0.0, 0, 2, 2]]), np.array([[5.0, 0, 6, 2], [1, 1, 3, 3]])).tolist()
        [[3.0, 0.0]]
    """
    one, two = boxes[:, None, :], others[None, :, :]
    gap_x = np.maximum(np.maximum(one[..., 0] - two[..., 2], two[..., 0] - one[..., 2]), 0.0)
    gap_y = np.maximum(np.maximum(one[..., 1] - two[..., 3], two[..., 1] - one[..., 3]), 0.0)
    return np.hypot(gap_x, gap_y)


def line_in_box(lines: Array, boxes: Array, apart_mm: Array | float) -> Truth:
    """Whether each line comes nearer to each box than it should; a corner is taken as square, so a little early.

    Args:
        lines: (k, 4). [mm]
        boxes: (n, 4). [mm]
        apart_mm: What should be between them; fits (k, n). [mm]

    Returns:
        Truth, (k, n); a line that only touches the grown box stays out of it.

    Example:
        >>> line_in_box(np.array([[0.0, 0, 10, 0]]), np.array([[4.0, 2, 6, 8]]), 3.0).tolist()
        [[True]]
        >>> line_in_box(np.array([[0.0, 0, 10, 0]]), np.array([[4.0, 2, 6, 8]]), 2.0).tolist()
        [[False]]
    """
    one, two = lines[:, None, :], boxes[None, :, :]
    enter = np.zeros(np.broadcast_shapes(one.shape[:-1], two.shape[:-1]))
    leave = np.ones_like(enter)
    for axis in (0, 1):
        start, way = one[..., axis], one[..., axis + 2] - one[..., axis]
        low, high = two[..., axis] - apart_mm, two[..., axis + 2] + apart_mm
        flat = np.abs(way) < _TINY
        safe = np.where(flat, 1.0, way)
        first, second = (low - start) / safe, (high - start) / safe
        outside = flat & ((start <= low) | (start >= high))
        first, second = np.where(flat, -np.inf, first), np.where(flat, np.inf, second)
        enter = np.maximum(enter, np.minimum(first, second))
        leave = np.minimum(leave, np.maximum(first, second))
        leave = np.where(outside, -1.0, leave)
    inside: Truth = enter < leave - _TINY
    return inside
