"""The settings that a search may choose from: a grid of what can be made, and a fair draw from it."""

from __future__ import annotations

from dataclasses import dataclass
from math import prod

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array

Numbers = NDArray[np.int64]
# A grid beyond this cannot be numbered; nobody can choose from so many settings either.
MOST_SETTINGS = 10**15
_ROUNDS = 4


@dataclass(frozen=True)
class Axis:
    """One thing that may move.

    Attributes:
        name: As :mod:`conversion.study.search_moves` knows it, such as ``lever_hole_mm``.
        values: What it can be set to, rising, (settings,); in the unit of its name.
    """

    name: str
    values: Array

    def __post_init__(self) -> None:
        object.__setattr__(self, "values", np.asarray(self.values, dtype=np.float64))
        if self.values.ndim != 1 or not self.values.size or not np.all(np.isfinite(self.values)):
            raise ValueError(f"{self.name} needs at least one setting, each a finite number")


@dataclass(frozen=True)
class Grid:
    """Every combination of the axes' settings, numbered from 0; the last axis goes fastest.

    Raises:
        ValueError: two axes of one name, or more than :data:`MOST_SETTINGS` combinations.
    """

    axes: tuple[Axis, ...]

    def __post_init__(self) -> None:
        names = [axis.name for axis in self.axes]
        if len(set(names)) < len(names):
            raise ValueError("two axes have one name")
        if self.size > MOST_SETTINGS:
            raise ValueError(f"{self.size} combinations are more than can be searched; widen the steps")

    @property
    def shape(self) -> tuple[int, ...]:
        """Settings of each axis."""
        return tuple(axis.values.size for axis in self.axes)

    @property
    def size(self) -> int:
        """How many combinations there are."""
        return prod(self.shape)

    def places(self, numbers: Numbers) -> Numbers:
        """Index of the setting of each axis, (axes, numbers)."""
        found = np.empty((len(self.axes), len(numbers)), dtype=np.int64)
        left = np.asarray(numbers, dtype=np.int64)
        for row in range(len(self.axes) - 1, -1, -1):
            left, found[row] = np.divmod(left, self.shape[row])
        return found

    def numbers(self, places: Numbers) -> Numbers:
        """The inverse of :meth:`places`, (numbers,)."""
        total = np.zeros(places.shape[1], dtype=np.int64)
        for row, count in enumerate(self.shape):
            total = total * count + places[row]
        return total

    def settings(self, numbers: Numbers) -> dict[str, Array]:
        """Value of each axis, (numbers,) each.

        Example:
            >>> grid = Grid((Axis("lever_hole_mm", [40.0, 45.0]), Axis("pedal_hole_mm", [70.0, 75.0, 80.0])))
            >>> grid.size, {name: values.tolist() for name, values in grid.settings(np.array([0, 4])).items()}
            (6, {'lever_hole_mm': [40.0, 45.0], 'pedal_hole_mm': [70.0, 75.0]})
        """
        return {axis.name: axis.values[row] for axis, row in zip(self.axes, self.places(numbers), strict=True)}

    def neighbours(self, number: int) -> Numbers:
        """All combinations in which one or two axes are one step away, each once, rising."""
        here = self.places(np.array([number]))[:, 0]
        steps = [(row, by) for row in range(len(self.axes)) for by in (-1, 1) if 0 <= here[row] + by < self.shape[row]]
        moved = []
        for index, (row, by) in enumerate(steps):
            once = here.copy()
            once[row] += by
            moved.append(once)
            for other, again in steps[index + 1 :]:
                if other != row:
                    twice = once.copy()
                    twice[other] += again
                    moved.append(twice)
        return np.unique(self.numbers(np.array(moved, dtype=np.int64).T)) if moved else np.empty(0, dtype=np.int64)


def drawn(size: int, start: int, count: int, seed: int) -> Numbers:
    """Numbers ``start`` … ``start + count`` of a shuffled row 0 … size − 1 that is never written down.

    A Feistel network shuffles the least power of four that holds the row; what falls outside is sent through
    again until it falls inside, which keeps every number exactly once (a cipher's cycle walking).

    Args:
        size: Length of the row.
        start: First place in it.
        count: How many; start + count ≤ size.
        seed: Same seed, same row.

    Returns:
        (count,), each different.

    Example:
        >>> sorted(drawn(10, 0, 10, seed=3).tolist()) == list(range(10))
        True

    References:
        J. Black, P. Rogaway, Ciphers with arbitrary finite domains, CT-RSA 2002 (from memory).
    """
    half = np.uint64(max(1, (max(size - 1, 1).bit_length() + 1) // 2))
    keys = np.random.Generator(np.random.PCG64(seed)).integers(0, 2**63, _ROUNDS, dtype=np.uint64)
    values = _shuffled(np.arange(start, start + count, dtype=np.uint64), half, keys)
    outside = np.flatnonzero(values >= size)
    while outside.size:
        values[outside] = _shuffled(values[outside], half, keys)
        outside = outside[values[outside] >= size]
    return values.astype(np.int64)


def _shuffled(values: NDArray[np.uint64], half: np.uint64, keys: NDArray[np.uint64]) -> NDArray[np.uint64]:
    mask = (np.uint64(1) << half) - np.uint64(1)
    left, right = values >> half, values & mask
    for key in keys:
        mixed = (right ^ key) * np.uint64(0x9E3779B97F4A7C15)
        mixed ^= mixed >> np.uint64(29)
        mixed *= np.uint64(0xBF58476D1CE4E5B9)
        left, right = right, left ^ ((mixed >> np.uint64(32)) & mask)
    return (left << half) | right
