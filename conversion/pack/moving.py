"""Lines and dots that the page moves from position to position of the travel; nothing here knows what they show."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.linkage.turning import Array
from conversion.plan import POSITIONS

_DECIMALS = 2

Flat = list[float] | None
"""x and y of each point in turn; None where the shape is not there."""


@dataclass(frozen=True)
class Moving:
    """A line or a dot of a picture of the page.

    Attributes:
        kind: ``line`` through all points, or ``dot`` at the first one.
        look: Its class in the style sheet, one or more words.
        places: Where its points are, (positions, points, 2), x to the right and y down; nan where it is not there.
        size: Radius of a dot.
        ghost: Whether it is also drawn as a thin line half way and at full.
        title: What it is, for those who point at it; empty where it needs no word.
    """

    kind: Literal["line", "dot"]
    look: str
    places: Array
    size: float = 0.0
    ghost: bool = False
    title: str = ""

    @property
    def flat(self) -> list[Flat]:
        """Every position as plain numbers; only one of what stands still."""
        if np.array_equal(self.places[:-1], self.places[1:]):
            return [self.at(0)]
        return [_flat(points) for points in self.places]

    def at(self, index: int) -> Flat:
        """One position as plain numbers."""
        return _flat(self.places[index])


def still(points: Array) -> Array:
    """A shape that does not move, (points, 2), at every position."""
    return np.broadcast_to(np.asarray(points, dtype=np.float64), (POSITIONS, *np.shape(points)))


def points_text(flat: Flat) -> str:
    """Points as an SVG attribute holds them.

    Example:
        >>> points_text([0.0, 1.5, 20.0, -3.25])
        '0,1.5 20,-3.25'
    """
    numbers = [f"{value:g}" for value in flat or []]
    return " ".join(f"{x},{y}" for x, y in zip(numbers[::2], numbers[1::2], strict=True))


def _flat(points: Array) -> Flat:
    values = [round(float(value), _DECIMALS) + 0.0 for value in np.ravel(points)]
    return values if all(math.isfinite(value) for value in values) else None
