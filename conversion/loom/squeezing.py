"""Lays wires of different thickness closer than layers do, by pushing them about in a circle that is wide enough."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache

import numpy as np
from numpy.typing import NDArray

from conversion.loom.sites import Array, lay_three, lay_two

# Share of the diameter over the root of the sum of squares, and over the least circle round the thickest two or three,
# at which pushing has found room for every one of many thousand random sets of wires.
_WIDE = 1.25
_WIDE_OF_FEW = 1.04
# Above this layers are as good, and pushing takes its time.
MOST_SQUEEZED = 60

_ROUNDS = 400
_CHECKED_EVERY = 5
# What is aimed at is this much smaller, so that what still overlaps at the end can be pulled apart.
_AIM = 0.985
_PUSH = 0.55
_GOLDEN_ANGLE_RAD = math.pi * (3.0 - math.sqrt(5.0))


def wide_outside(radii: Array) -> float:
    r"""Radius of a circle that is wide enough for circles by all that is known, though that is not proven.

    .. math:: R = \max\left(1.25 \sqrt{\sum r^2}, \; 1.04 \, R_2, \; 1.04 \, R_3\right)

    with the least circles round the thickest two and three. It grows with every circle and with every radius.

    Args:
        radii: The largest first; four at the least. Shape (circles,).
    """
    root = math.sqrt(float(np.dot(radii, radii)))
    return max(_WIDE * root, _WIDE_OF_FEW * lay_two(radii)[0], _WIDE_OF_FEW * lay_three(radii[:3])[0])


def squeeze(radii: Array, laid: Array, shrink: float, outside: float) -> Array | None:
    """Centres at which circles lie in a given circle, found by pushing apart those that overlap.

    Args:
        radii: The largest first. Shape (circles,).
        laid: How they lie in a wider circle, where pushing begins. Shape (circles, 2).
        shrink: Radius of the given circle over that of the wider one.
        outside: Radius of the given circle.

    Returns:
        Centres without any overlap, checked; None where pushing did not get there. Shape (circles, 2).
    """
    begins = (laid * shrink, *_spirals(radii, outside))
    return next((found for begin in begins if (found := _push(radii, begin, outside)) is not None), None)


def _spirals(radii: Array, outside: float) -> Iterator[Array]:
    """Circles along a spiral: the thickest innermost, and the thickest outermost."""
    at = np.arange(len(radii)) * _GOLDEN_ANGLE_RAD
    squares = radii * radii
    for before in (np.cumsum(squares) - squares, (np.cumsum(squares[::-1]) - squares[::-1])[::-1]):
        far = np.sqrt(before / squares.sum()) * outside
        yield np.column_stack((far * np.cos(at), far * np.sin(at)))


def _push(radii: Array, centres: Array, outside: float) -> Array | None:
    one, other = _pairs(len(radii))
    apart = radii[one] + radii[other]
    room = outside * _AIM - radii
    x, y = centres[:, 0].copy(), centres[:, 1].copy()
    count = len(radii)
    for turn in range(_ROUNDS):
        dx, dy = x[one] - x[other], y[one] - y[other]
        distance = np.maximum(np.sqrt(dx * dx + dy * dy), 1e-12)
        if turn % _CHECKED_EVERY == 0:
            # Moved outwards until the last overlap is gone: if all still lie inside then, they are laid.
            stretch = max(float((apart / distance).max()), 1.0)
            if float((stretch * np.sqrt(x * x + y * y) + radii).max()) <= outside:
                return stretch * np.column_stack((x, y))
        share = _PUSH * np.maximum(apart - distance, 0.0) / distance
        fx, fy = share * dx, share * dy
        x += np.bincount(one, fx, count) - np.bincount(other, fx, count)
        y += np.bincount(one, fy, count) - np.bincount(other, fy, count)
        inward = np.minimum(room / np.maximum(np.sqrt(x * x + y * y), 1e-12), 1.0)
        x *= inward
        y *= inward
    return None


@cache
def _pairs(count: int) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    one, other = np.triu_indices(count, 1)
    return one, other
