"""Where everything that moves stands at each pedal position, and between the positions."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.turning import Array, turned


@dataclass(frozen=True)
class Turn:
    """A body that turns about an axis that stands still.

    Attributes:
        pivot_mm: A point of the axis, (3,). [mm]
        axis: Unit vector about which the angle is right-handed, (3,).
        angle_rad: At each position, zero where the body's corners were measured, (positions,). [rad]
    """

    pivot_mm: Array
    axis: Array
    angle_rad: Array

    def __post_init__(self) -> None:
        for name in ("pivot_mm", "axis", "angle_rad"):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))
        if abs(float(np.linalg.norm(self.axis)) - 1.0) > 1e-6:
            raise ValueError("the axis of a turn must be a unit vector")

    def of(self, points_mm: ArrayLike) -> Array:
        """Places of points, (k, 3), at every position: (positions, k, 3). [mm]"""
        return turned(points_mm, self.pivot_mm, self.axis, self.angle_rad).swapaxes(0, 1)


@dataclass(frozen=True)
class Poses:
    """A row of positions of the whole mechanism.

    Attributes:
        pedal_angle_rad: From the pedal's rest stop, rising, (positions,). [rad]
        pad_travel_mm: Of the pad at the same positions, (positions,). [mm]
        turns: Each body that turns, by the word that bodies name it with, such as ``pedal`` and ``lever``.
        lines_mm: Ways of the link, rod by rod or along a cable, each (positions, points, 3). [mm]

    Raises:
        ValueError: shapes differ, positions do not rise, or a figure is missing: leave out positions at
            which the linkage does not close.
    """

    pedal_angle_rad: Array
    pad_travel_mm: Array
    turns: Mapping[str, Turn] = field(default_factory=dict)
    lines_mm: tuple[Array, ...] = ()

    def __post_init__(self) -> None:
        for name in ("pedal_angle_rad", "pad_travel_mm"):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))
        object.__setattr__(self, "lines_mm", tuple(np.asarray(line, dtype=np.float64) for line in self.lines_mm))
        count = self.pedal_angle_rad.shape
        if len(count) != 1 or not count[0]:
            raise ValueError("poses need at least one pedal position")
        rows = {"pad_travel_mm": self.pad_travel_mm} | {f"angle of {k}": t.angle_rad for k, t in self.turns.items()}
        for said, row in rows.items():
            if row.shape != count:
                raise ValueError(f"{said} has shape {row.shape}; the pedal angle has {count}")
        for line in self.lines_mm:
            if line.ndim != 3 or line.shape[0] != count[0] or line.shape[1] < 2 or line.shape[2] != 3:
                raise ValueError(f"a line of the link has shape {line.shape}; ({count[0]}, 2 or more, 3) is needed")
        if not all(np.all(np.isfinite(row)) for row in (self.pedal_angle_rad, *rows.values(), *self.lines_mm)):
            raise ValueError("a position is not a number; leave out those at which the linkage does not close")
        if np.any(np.diff(self.pedal_angle_rad) <= 0.0):
            raise ValueError("pedal angles must rise from position to position")

    @classmethod
    def still(cls) -> Poses:
        """One position, nothing moves: for what is fixed on both sides."""
        return cls(np.zeros(1), np.zeros(1))

    def __len__(self) -> int:
        return len(self.pedal_angle_rad)

    def at(self, positions: ArrayLike) -> Poses:
        """The mechanism at positions counted from 0, fractions between two of them included.

        Angles and lines run along cubics with the slopes of the neighbours, so that a bar's ends keep to
        their arcs: with positions 0.01 rad apart they leave a radius of 200 mm by less than 0.001 mm.

        Args:
            positions: Rising, from 0 to the number of positions less one, (m,).
        """
        wanted = np.asarray(positions, dtype=np.float64)
        if np.array_equal(wanted, np.arange(len(self))):
            return self
        index = np.clip(np.floor(wanted).astype(int), 0, max(len(self) - 2, 0))
        known, t = self.pedal_angle_rad, wanted - index
        if len(self) > 1:
            step = np.diff(known)[index]
            at_start, at_end = (1 + 2 * t) * (1 - t) ** 2, t * t * (3 - 2 * t)
            leaving, arriving = t * (1 - t) ** 2 * step, t * t * (1 - t) * step

        def between(values: Array, slope: Array) -> Array:
            if len(self) == 1:
                return np.repeat(values, len(wanted), axis=0)
            shape = (-1, *(1,) * (values.ndim - 1))
            return (
                at_start.reshape(shape) * values[index]
                + leaving.reshape(shape) * slope[index]
                + at_end.reshape(shape) * values[index + 1]
                - arriving.reshape(shape) * slope[index + 1]
            )

        slopes = self._slopes
        return Poses(
            between(known, slopes["angle"]),
            between(self.pad_travel_mm, slopes["travel"]),
            {
                word: replace(turn, angle_rad=between(turn.angle_rad, slopes[f"turn {word}"]))
                for word, turn in self.turns.items()
            },
            tuple(between(line, slopes[f"line {i}"]) for i, line in enumerate(self.lines_mm)),
        )

    @cached_property
    def _slopes(self) -> dict[str, Array]:
        """How fast each figure changes with the pedal angle, at every position."""
        rows = {"angle": self.pedal_angle_rad, "travel": self.pad_travel_mm}
        rows |= {f"turn {word}": turn.angle_rad for word, turn in self.turns.items()}
        rows |= {f"line {i}": line for i, line in enumerate(self.lines_mm)}
        if len(self) == 1:
            return dict.fromkeys(rows, np.zeros(1))
        order: Literal[1, 2] = 2 if len(self) > 2 else 1
        known = self.pedal_angle_rad
        slopes: dict[str, Array] = {}
        for word, row in rows.items():
            slopes[word] = np.gradient(row, known, axis=0, edge_order=order)
        return slopes
