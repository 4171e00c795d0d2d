"""Places for wires in the middle of a bundle: fixed arrangements that are scaled until the wires fit into them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# The largest regular cluster tried, and the largest ring with filled gaps. Beyond them layers are about as good.
_CLUSTER_SITES = 61
_RING_SITES = 8
_GAP_SITES = 6


@dataclass(frozen=True, eq=False, slots=True)
class Sites:
    """An arrangement of circles that touch but do not overlap.

    Attributes:
        radii: Of the sites, the largest first. Shape (sites,).
        centres: About the middle of the arrangement. Shape (sites, 2).
        reach: Radius about the middle that the first 1, 2, ... sites need. Shape (sites,).
    """

    radii: Array
    centres: Array
    reach: Array


@cache
def site_arrangements() -> tuple[Sites, ...]:
    """All arrangements that are tried: pieces of the hexagonal pattern, and rings whose gaps hold smaller wires.

    Example:
        >>> clusters = site_arrangements()[:3]
        >>> [round(float(min(c.reach[n - 1] for c in clusters)), 4) for n in (2, 3, 7, 12)]
        [2.0, 2.1547, 3.0, 4.0551]
    """
    middles = ((0.0, 0.0), (1.0, 1.0 / math.sqrt(3.0)), (1.0, 0.0))
    rings = [_ring(count, gap) for count in range(2, _RING_SITES + 1) for gap in range(_GAP_SITES + 1)]
    return (*(_cluster(*middle) for middle in middles), *(ring for ring in rings if ring is not None))


def _cluster(x: float, y: float) -> Sites:
    """The sites of the hexagonal pattern of circles of radius 1, outwards from a point."""
    along, across = np.meshgrid(np.arange(-12, 13), np.arange(-12, 13))
    points = np.column_stack(((2 * along + across).ravel() - x, (math.sqrt(3.0) * across).ravel() - y))
    far = np.round(np.hypot(points[:, 0], points[:, 1]), 9).astype(np.float64)
    order = np.lexsort((points[:, 1], points[:, 0], far))[:_CLUSTER_SITES]
    return Sites(np.ones(len(order)), points[order], far[order] + 1.0)


def _ring(count: int, in_gap: int) -> Sites | None:
    """Circles of radius 1 in a ring, with equal smaller ones in the gaps along the outside and one in the middle.

    All of them touch, or lie within, the circle about the ring. The smaller ones are as large as the gap allows.
    """
    centre = 1.0 / math.sin(math.pi / count)
    outside = centre + 1.0
    angles = 2.0 * math.pi * np.arange(count) / count
    radii = [np.ones(count)]
    centres = [centre * np.column_stack((np.cos(angles), np.sin(angles)))]
    if in_gap:
        small = _in_gap(centre, math.pi / count, in_gap)
        step = 2.0 * math.asin(small / (outside - small))
        offsets = (np.arange(in_gap) - (in_gap - 1) / 2.0) * step
        at = (angles[:, None] + math.pi / count + offsets).ravel()
        radii.append(np.full(at.size, small))
        centres.append((outside - small) * np.column_stack((np.cos(at), np.sin(at))))
    middle = centre - 1.0
    if middle > 1e-9:
        radii.append(np.array([middle]))
        centres.append(np.zeros((1, 2)))
    sizes, points = np.concatenate(radii), np.concatenate(centres)
    order = np.argsort(-sizes, kind="stable")
    return Sites(sizes[order], points[order], np.full(len(sizes), outside))


def _in_gap(centre: float, half_gap_rad: float, count: int) -> float:
    """The largest radius of which ``count`` circles fit side by side along the outside between two of the ring."""
    outside = centre + 1.0
    low, high = 0.0, 1.0
    for _ in range(60):
        radius = (low + high) / 2.0
        out = outside - radius
        cosine = (centre**2 + out**2 - (1.0 + radius) ** 2) / (2.0 * centre * out)
        beside = math.acos(max(-1.0, min(1.0, cosine)))
        if beside + (count - 1) * math.asin(radius / out) <= half_gap_rad:
            low = radius
        else:
            high = radius
    return low


def lay_two(radii: Array) -> tuple[float, Array]:
    """Two circles side by side in the least circle round them: its radius, and their centres about its middle."""
    one, other = float(radii[0]), float(radii[1])
    return one + other, np.array([[-other, 0.0], [one, 0.0]])


def lay_three(radii: Array) -> tuple[float, Array]:
    r"""Three circles in the least circle round them, the largest first.

    The third lies in the gap beside the other two where it fits,

    .. math:: r_3 \le \frac{r_1 r_2 (r_1 + r_2)}{r_1^2 + r_1 r_2 + r_2^2},

    else all three touch one another and the circle round them, whose curvature is
    :math:`k = k_1 + k_2 + k_3 - 2\sqrt{k_1 k_2 + k_2 k_3 + k_3 k_1}`, negative as the circle lies outside.

    Returns:
        Radius of the circle round them, and their centres about its middle.

    Example:
        >>> [round(lay_three(np.array(radii))[0], 4) for radii in ([1.0, 1.0, 1.0], [1.0, 1.0, 0.6], [2.0, 1.0, 1.0])]
        [2.1547, 2.0, 3.0448]

    References:
        Descartes, on four circles that touch.
    """
    one, two, three = (float(radius) for radius in radii)
    outside, pair = lay_two(radii)
    # The third touches the first two: in the frame in which these lie on the axis.
    along = ((one + three) ** 2 - (two + three) ** 2 + (one + two) ** 2) / (2.0 * (one + two))
    across = math.sqrt(max((one + three) ** 2 - along**2, 0.0))
    centres = np.array([[0.0, 0.0], [one + two, 0.0], [along, across]])
    if three <= one * two * (one + two) / (one**2 + one * two + two**2):
        return outside, centres + pair[0]
    curvatures = 1.0 / np.array([one, two, three])
    pairs = float(curvatures[0] * curvatures[1] + curvatures[1] * curvatures[2] + curvatures[2] * curvatures[0])
    outside = 1.0 / (2.0 * math.sqrt(pairs) - float(curvatures.sum()))
    # The middle lies at outside - radius from each centre: two equations, linear once one is taken from the others.
    far = outside - np.array([one, two, three])
    matrix = 2.0 * (centres[1:] - centres[0])
    right = np.sum(centres[1:] ** 2, axis=1) - far[1:] ** 2 + far[0] ** 2
    return outside, centres - np.linalg.solve(matrix, right)
