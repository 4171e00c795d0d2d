"""Where in the travel two bodies come closest, proven between the positions too.

Along any direction u the gap between two parallel planes, one at each body, is a lower bound of their distance.
Between two positions every corner stays near its chord, so with the direction found at either end the gap
cannot fall below that of the corners at both ends less how far they leave their chords. Intervals in which that
bound lies below the least distance found are halved until none is left.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from conversion.fit.bodies import FIXED, AnyBody, HalfSpace, Placed
from conversion.fit.bounds import TIE_MM, between_balls, between_planes, over_travel
from conversion.fit.closest import Pair, pairs_of
from conversion.fit.distance import gap
from conversion.fit.poses import Poses
from conversion.linkage.turning import Array, dot, length

# A least clearance is proven to this much: nowhere in the travel is it smaller by more. [mm]
PROVEN_MM = 0.01
# How much more a corner may leave its chord anywhere than it does halfway.
BULGE = 1.2

Place = Callable[[Array], Pair]


def least_position(body: AnyBody, obstacle: AnyBody, poses: Poses) -> float:
    """Position, counted from 0 with a fraction, at which two bodies come closest."""
    if body.moves_with == FIXED and obstacle.moves_with == FIXED:
        return 0.0
    pairs = pairs_of(body.placed(poses), obstacle.placed(poses))
    sways = [_sway(*pair) for pair in pairs]
    bounds = [float(np.min(between_balls(*pair))) - sway for pair, sway in zip(pairs, sways, strict=True)]
    best, at = np.inf, 0.0
    for i in np.argsort(bounds, kind="stable"):
        limit = best - TIE_MM
        if bounds[i] < limit and _may_be_nearer(pairs[i], sways[i], limit):

            def place(where: Array, i: int = int(i)) -> Pair:
                there = poses.at(where)
                return pairs_of(body.placed(there), obstacle.placed(there))[i]

            best, at = _refined(place, pairs[i], best, at)
    return at


def _may_be_nearer(pair: Pair, sway: float, limit: float) -> bool:
    return over_travel(*pair) < limit and float(np.min(between_planes(*pair))) - sway < limit


def _sway(*pieces: Placed | HalfSpace) -> float:
    """How far two pieces may come nearer between two positions than at either. [mm]"""
    moved = [np.diff(each.corners_mm, axis=0) for each in pieces if isinstance(each, Placed)]
    return sum(float(np.max(length(each), initial=0.0)) for each in moved)


def _refined(place: Place, pair: Pair, best: float, at: float) -> tuple[float, float]:
    one, two = pair
    positions = np.arange(len(one.corners_mm), dtype=np.float64)
    found = gap(one, two)
    distance, way = found.distance_mm, found.way
    corners = [each.corners_mm for each in (one, two) if isinstance(each, Placed)]
    rest = sum(each.piece.radius_mm for each in (one, two) if isinstance(each, Placed))
    if np.min(distance) < best - TIE_MM:
        best, at = _first_least(distance, positions)
    # Rows of all that has been looked at; an interval is the rows of its two ends.
    ends = np.stack([np.arange(len(positions) - 1), np.arange(1, len(positions))])
    while ends.shape[1]:
        # What the ends alone rule out needs no look between them.
        moved = sum(np.max(length(each[ends[1]] - each[ends[0]]), axis=-1) for each in corners)
        ends = ends[:, np.minimum(distance[ends[0]], distance[ends[1]]) - moved < best - PROVEN_MM]
        if not ends.shape[1]:
            break
        middle = (positions[ends[0]] + positions[ends[1]]) / 2
        rising = np.argsort(middle)
        ends, middle = ends[:, rising], middle[rising]
        one, two = place(middle)
        between = [each.corners_mm for each in (one, two) if isinstance(each, Placed)]
        bulge = sum(
            BULGE * np.max(length(new - (old[ends[0]] + old[ends[1]]) / 2), axis=-1)
            for old, new in zip(corners, between, strict=True)
        )
        plane = two.offset_mm if isinstance(two, HalfSpace) else None
        lowest = np.max([_lowest(corners, ends, way[end], plane) for end in ends], axis=0) - rest - bulge
        (open_,) = np.nonzero(lowest < best - PROVEN_MM)
        if not len(open_):
            break
        ends, middle, between = ends[:, open_], middle[open_], [each[open_] for each in between]
        found = gap(Placed(one.piece, between[0]), two if isinstance(two, HalfSpace) else Placed(two.piece, between[1]))
        if np.min(found.distance_mm) < best - TIE_MM:
            best, at = _first_least(found.distance_mm, middle)
        rows = len(positions) + np.arange(len(middle))
        positions, distance = np.concatenate([positions, middle]), np.concatenate([distance, found.distance_mm])
        way = np.concatenate([way, found.way])
        corners = [np.concatenate(both) for both in zip(corners, between, strict=True)]
        ends = np.concatenate([np.stack([ends[0], rows]), np.stack([rows, ends[1]])], axis=1)
    return best, at


def _first_least(distance: Array, positions: Array) -> tuple[float, float]:
    first = int(np.argmax(distance <= np.min(distance) + TIE_MM))
    return float(distance[first]), float(positions[first])


def _lowest(corners: list[Array], ends: NDArray[np.intp], way: Array, plane_mm: float | None) -> Array:
    """Gap along a direction of each interval, the worse of both ends at every corner, (intervals,). [mm]"""
    along = [[dot(each[end], way[:, None, :]) for end in ends] for each in corners]
    near = np.maximum(np.max(along[0][0], axis=-1), np.max(along[0][1], axis=-1))
    if plane_mm is not None:
        return -plane_mm - near
    return np.minimum(np.min(along[1][0], axis=-1), np.min(along[1][1], axis=-1)) - near
