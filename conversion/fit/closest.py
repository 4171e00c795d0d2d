"""Distance between bodies of several pieces, position by position."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from conversion.fit.bodies import HalfSpace, Placed
from conversion.fit.distance import Gap, gap
from conversion.linkage.turning import Array, length

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

    A pair is worked out only at the positions where balls around its two pieces come closer than what has been
    found already.
    """
    bounds = [at_least(*pair) for pair in pairs]
    order = np.argsort([float(np.mean(bound)) for bound in bounds], kind="stable")
    best = gap(*pairs[order[0]])
    for i in order[1:]:
        (at,) = np.nonzero(bounds[i] < best.distance_mm)
        if not len(at):
            continue
        one, two = pairs[i]
        other = gap(_only(one, at), _only(two, at) if isinstance(two, Placed) else two)
        closer = other.distance_mm < best.distance_mm[at]
        for name in Gap.__dataclass_fields__:
            getattr(best, name)[at[closer]] = getattr(other, name)[closer]
    return best


def _only(placed: Placed, at: NDArray[np.intp]) -> Placed:
    return Placed(placed.piece, placed.corners_mm[at])


def at_least(one: Placed, two: Placed | HalfSpace) -> Array:
    """A distance that is certainly there, from the balls around two pieces, (positions,). [mm]"""
    middle, ball = _ball(one)
    if isinstance(two, HalfSpace):
        return np.asarray(middle @ two.normal - two.offset_mm - ball)
    other, other_ball = _ball(two)
    return np.asarray(length(middle - other) - ball - other_ball)


def _ball(placed: Placed) -> tuple[Array, float]:
    middle = np.mean(placed.corners_mm, axis=1)
    return middle, float(np.max(length(placed.corners_mm - middle[:, None]))) + placed.piece.radius_mm
