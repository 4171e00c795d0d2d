"""Distance between bodies of several pieces, position by position."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from conversion.fit.bodies import HalfSpace, Placed
from conversion.fit.bounds import TIE_MM, between_balls, between_planes
from conversion.fit.distance import Gap, gap

Pair = tuple[Placed, Placed | HalfSpace]


def pairs_of(first: Sequence[Placed | HalfSpace], second: Sequence[Placed | HalfSpace]) -> list[Pair]:
    """Every piece of a body with every piece of an obstacle.

    Raises:
        ValueError: a body without end is not the obstacle, or both have no end.
    """
    pairs: list[Pair] = []
    for one in first:
        for two in second:
            if isinstance(one, Placed):
                pairs.append((one, two))
            elif isinstance(two, Placed):
                raise ValueError("a body without end can only be the obstacle")
            else:
                raise ValueError("two bodies without end always meet")
    return pairs


def closest(pairs: Sequence[Pair]) -> Gap:
    """The closest of all pairs of pieces, position by position.

    A pair is worked out only at the positions where it is not certain to stay farther apart than what has been
    found already.
    """
    bounds = [between_balls(*pair) for pair in pairs]
    order = np.argsort([float(np.mean(bound)) for bound in bounds], kind="stable")
    best = gap(*pairs[order[0]])
    for i in order[1:]:
        (at,) = np.nonzero(bounds[i] < best.distance_mm - TIE_MM)
        if not len(at):
            continue
        one, two = _only(pairs[i], at)
        nearer = between_planes(one, two) < best.distance_mm[at] - TIE_MM
        if not np.any(nearer):
            continue
        one, two = _only((one, two), nearer)
        at = at[nearer]
        other = gap(one, two)
        closer = other.distance_mm < best.distance_mm[at] - TIE_MM
        for name in Gap.__dataclass_fields__:
            getattr(best, name)[at[closer]] = getattr(other, name)[closer]
    return best


def _only(pair: Pair, at: NDArray[np.intp] | NDArray[np.bool_]) -> Pair:
    """The same pair at some of its positions."""
    one, two = pair
    there = two if isinstance(two, HalfSpace) else Placed(two.piece, two.corners_mm[at])
    return Placed(one.piece, one.corners_mm[at]), there
