"""Figures with a tolerance, and samples of them that come out the same however they are asked for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Shape = Literal["uniform", "normal", "triangular"]
SHAPES: tuple[Shape, ...] = ("uniform", "normal", "triangular")


@dataclass(frozen=True, slots=True)
class Toleranced:
    """A figure that may lie anywhere between two limits, and how likely it lies where.

    Attributes:
        name: What it is called in the samples; each name has a stream of random numbers of its own.
        nominal: The figure as planned, in its unit.
        low: Least value.
        high: Greatest value.
        shape: ``uniform``, anywhere between the limits alike: the right one for a single thing measured with a
            tape, where nothing more is known. ``triangular``, likeliest at the nominal value and never outside.
            ``normal``, of a process whose limits are ``sigmas`` standard deviations from its middle, which is
            the middle of the limits. It is not cut off: 0.27 % of the samples lie outside limits of 3 σ, as of
            parts that nobody sorts. The worst case of the limits is judged by corners, not by such a tail.
        sigmas: Of ``normal``: how many standard deviations lie between the middle and a limit. Three is common
            practice, no source: a process is called able to hold limits if they are at least that far out.

    Raises:
        ValueError: limits the wrong way round, a nominal outside them, a figure that is not finite, an unknown
            shape, or sigmas not positive.
    """

    name: str
    nominal: float
    low: float
    high: float
    shape: Shape = "uniform"
    sigmas: float = 3.0

    def __post_init__(self) -> None:
        if not all(isfinite(value) for value in (self.nominal, self.low, self.high)):
            raise ValueError(f"{self.name}: nominal and limits must be finite numbers")
        if not self.low <= self.nominal <= self.high:
            raise ValueError(f"{self.name}: {self.nominal} does not lie between its limits {self.low} and {self.high}")
        if self.shape not in SHAPES:
            raise ValueError(f"{self.name}: {self.shape!r} is none of the shapes {', '.join(SHAPES)}")
        if not self.sigmas > 0.0:
            raise ValueError(f"{self.name}: sigmas must be positive")

    @property
    def varies(self) -> bool:
        """Whether it can be anything but its nominal value."""
        return self.high > self.low


def draw(figures: Iterable[Toleranced], samples: int, seed: int, start: int = 0) -> dict[str, Array]:
    """Samples of every figure, independent of each other.

    Sample number i of a figure depends on the seed, on the figure's name and on i, and on nothing else: neither
    on the other figures, nor on their order, nor on how many samples are drawn at a time.

    Args:
        figures: Each with a name of its own.
        samples: How many.
        seed: Not negative.
        start: Number of the first one.

    Returns:
        An array (samples,) for each name, in the unit of the figure.

    Raises:
        ValueError: two figures of one name.

    Example:
        >>> figures = [Toleranced("rod", 140.0, 139.0, 141.0), Toleranced("hole", 45.0, 44.5, 45.5, "triangular")]
        >>> whole, part = draw(figures, 10, seed=1), draw(reversed(figures), 4, seed=1, start=6)
        >>> all((whole[name][6:] == part[name]).all() for name in ("rod", "hole"))
        True
    """
    drawn: dict[str, Array] = {}
    for figure in figures:
        if figure.name in drawn:
            raise ValueError(f"two figures are called {figure.name!r}")
        drawn[figure.name] = _values(figure, samples, seed, start)
    return drawn


def _values(figure: Toleranced, samples: int, seed: int, start: int) -> Array:
    if not figure.varies:
        return np.full(samples, figure.nominal)
    share = _uniform(figure.name, 0, samples, seed, start)
    low, high, width = figure.low, figure.high, figure.high - figure.low
    if figure.shape == "uniform":
        return low + width * share
    if figure.shape == "normal":
        # Box and Muller: two streams, so that sample i needs exactly number i of each.
        angle = 2.0 * np.pi * _uniform(figure.name, 1, samples, seed, start)
        standard = np.sqrt(-2.0 * np.log1p(-share)) * np.cos(angle)
        return (low + high) / 2 + width / (2.0 * figure.sigmas) * standard
    below = (figure.nominal - low) / width
    rising = low + np.sqrt(share * width * (figure.nominal - low))
    falling = high - np.sqrt((1.0 - share) * width * (high - figure.nominal))
    return np.where(share < below, rising, falling)


def _uniform(name: str, stream: int, samples: int, seed: int, start: int) -> Array:
    """Numbers from 0 up to but not including 1; one step of the generator each, so that it can be set anywhere."""
    generator = np.random.PCG64(np.random.SeedSequence([seed, stream, *name.encode()]))
    generator.advance(start)
    return np.random.Generator(generator).random(samples)
