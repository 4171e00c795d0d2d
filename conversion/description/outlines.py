"""Corners in the side plane as a builder writes them, and what can be wrong with the line through them."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import AfterValidator, Field

from conversion.description import figures as fig
from conversion.quantities import Quantity

Corner2 = tuple[float, float]


def known_corners(corners: list[list[Quantity | None]]) -> list[Corner2] | None:
    """The corners as numbers; None while one of them is not known."""
    numbers = [tuple(figure.nominal for figure in corner if figure is not None) for corner in corners]
    return [(corner[0], corner[1]) for corner in numbers] if all(len(corner) == 2 for corner in numbers) else None


def _different(corners: list[Corner2], closed: bool) -> None:
    count = len(corners)
    for index in range(count if closed else count - 1):
        if corners[index] == corners[(index + 1) % count]:
            raise ValueError(f"corners {index + 1} and {(index + 1) % count + 1} are the same point; leave one out")


def _closed(corners: list[list[Quantity | None]]) -> list[list[Quantity | None]]:
    points = known_corners(corners)
    if points is None:
        return corners
    _different(points, closed=True)
    crossing = crossing_edges(points)
    if crossing is not None:
        one, other = crossing
        raise ValueError(
            f"the outline crosses itself: its edge from corner {one + 1} meets that from corner {other + 1}; "
            "give the corners in the order around it"
        )
    if abs(_twice_area(points)) <= 1e-9 * max(abs(x) + abs(z) for x, z in points) ** 2:
        raise ValueError("the outline has no area: its corners lie on one line")
    return corners


def _open(corners: list[list[Quantity | None]]) -> list[list[Quantity | None]]:
    points = known_corners(corners)
    if points is not None:
        _different(points, closed=False)
    return corners


def _twice_area(points: list[Corner2]) -> float:
    return sum(
        x0 * z1 - x1 * z0
        for (x0, z0), (x1, z1) in zip(points, [*points[1:], points[0]], strict=True)
    )  # fmt: skip


def crossing_edges(points: list[Corner2]) -> tuple[int, int] | None:
    """Numbers, from 0, of two edges of a closed outline that cross or touch without being neighbours.

    Example:
        >>> crossing_edges([(0, 0), (10, 10), (10, 0), (0, 10)])
        (0, 2)
        >>> crossing_edges([(0, 0), (10, 0), (10, 10), (0, 10)]) is None
        True
    """
    count = len(points)
    edges = [(points[i], points[(i + 1) % count]) for i in range(count)]
    for i in range(count):
        for j in range(i + 1, count):
            neighbours = j == i + 1 or (i == 0 and j == count - 1)
            if _fold_back(edges, i, j) if neighbours and count > 3 else not neighbours and _meet(*edges[i], *edges[j]):
                return i, j
    return None


def holds_circle(outline: list[Corner2], centre: Corner2, radius: float) -> bool:
    """Whether a circle lies wholly within a closed outline that does not cross itself, and off its edges.

    Example:
        >>> square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)]
        >>> holds_circle(square, (5.0, 5.0), 4.0), holds_circle(square, (5.0, 5.0), 5.0)
        (True, False)
        >>> holds_circle(square, (15.0, 5.0), 1.0)
        False
    """
    edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    x, z = centre
    # A line from the centre without end meets the outline an odd number of times only from within.
    within = sum(
        (z0 > z) != (z1 > z) and x < x0 + (z - z0) / (z1 - z0) * (x1 - x0) for (x0, z0), (x1, z1) in edges
    )  # fmt: skip
    return within % 2 == 1 and all(_off(centre, *edge) > radius for edge in edges)


def _off(point: Corner2, start: Corner2, end: Corner2) -> float:
    """Distance of a point from a stretch."""
    (x0, z0), (x1, z1) = start, end
    run, rise = x1 - x0, z1 - z0
    along = ((point[0] - x0) * run + (point[1] - z0) * rise) / (run * run + rise * rise)
    share = min(1.0, max(0.0, along))
    return math.hypot(point[0] - x0 - share * run, point[1] - z0 - share * rise)


def _fold_back(edges: list[tuple[Corner2, Corner2]], i: int, j: int) -> bool:
    """Whether two neighbouring edges lie on each other."""
    first, second = (edges[i], edges[j]) if edges[i][1] == edges[j][0] else (edges[j], edges[i])
    (x0, z0), (x1, z1), (x2, z2) = first[0], first[1], second[1]
    along = (x1 - x0) * (x2 - x1) + (z1 - z0) * (z2 - z1)
    return _side(first[0], first[1], second[1]) == 0.0 and along < 0.0


def _side(start: Corner2, end: Corner2, point: Corner2) -> float:
    return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])


def _meet(a: Corner2, b: Corner2, c: Corner2, d: Corner2) -> bool:
    """Whether two stretches have a point in common."""
    one, two, three, four = _side(a, b, c), _side(a, b, d), _side(c, d, a), _side(c, d, b)
    if one * two < 0.0 and three * four < 0.0:
        return True
    return any(
        side == 0.0 and min(s[0], e[0]) <= p[0] <= max(s[0], e[0]) and min(s[1], e[1]) <= p[1] <= max(s[1], e[1])
        for side, s, e, p in ((one, a, b, c), (two, a, b, d), (three, c, d, a), (four, c, d, b))
    )


SideCorner = Annotated[list[fig.Position], Field(min_length=2, max_length=2)]
ClosedCorners = Annotated[list[SideCorner], Field(min_length=3), AfterValidator(_closed)]
"""Corners around an outline, each ``[forward, up]``."""
OpenCorners = Annotated[list[SideCorner], Field(min_length=2), AfterValidator(_open)]
"""Corners along a bent sheet, each ``[forward, up]``."""
