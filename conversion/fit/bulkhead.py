"""The bulkhead as flat parts: a plane, or a bent sheet given by its outline in the side plane."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike

from conversion.fit.bodies import Body, box, half_space
from conversion.fit.kinds import Kind
from conversion.linkage.turning import Array, cross

# How far the solid behind a flat part reaches, so that nothing passes through it unseen. [mm]
BEHIND_MM = 1000.0


@dataclass(frozen=True)
class Bulkhead:
    """A flat part of the bulkhead.

    Attributes:
        name: In the builder's words.
        point_mm: On its face on the pedal's side; the middle of the part if that has an end, (3,). [mm]
        toward_pedal: Unit vector out of that face, (3,).
        thickness_mm: Of the bulkhead. [mm]
        half_size_mm: Half its width across the car and half its length up along it; None without end. [mm]
    """

    name: str
    point_mm: Array
    toward_pedal: Array
    thickness_mm: float
    half_size_mm: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        way = np.asarray(self.toward_pedal, dtype=np.float64)
        object.__setattr__(self, "point_mm", np.asarray(self.point_mm, dtype=np.float64))
        object.__setattr__(self, "toward_pedal", way)
        if abs(float(np.linalg.norm(way)) - 1.0) > 1e-6:
            raise ValueError(f"'{self.name}': the direction toward the pedal must be a unit vector")
        if abs(way[1]) > 0.99:
            raise ValueError(f"'{self.name}' faces sideways; a bulkhead faces the pedal")
        if not self.thickness_mm > 0.0:
            raise ValueError(f"'{self.name}': a bulkhead needs a thickness above zero")
        if self.half_size_mm is not None and not min(self.half_size_mm) > 0.0:
            raise ValueError(f"'{self.name}': a part of a bulkhead needs a width and a length above zero")

    @cached_property
    def axes(self) -> Array:
        """Unit vectors as rows: across the car (to the left), up along the bulkhead, toward the pedal."""
        across = np.array([0.0, 1.0, 0.0]) - self.toward_pedal[1] * self.toward_pedal
        across /= np.linalg.norm(across)
        up = cross(self.toward_pedal, across)
        # Up along a bulkhead; along a level part, forward.
        turned_over = up[2] < -1e-9 or (abs(up[2]) <= 1e-9 and up[0] < 0.0)
        return np.array([across, -up if turned_over else up, self.toward_pedal])

    def behind(self, depth_mm: float) -> Body:
        """All that lies further behind the face than a depth, as an obstacle. [mm]"""
        start = self.point_mm - depth_mm * self.toward_pedal
        if self.half_size_mm is None:
            return half_space(self.name, Kind.BULKHEAD, start, self.toward_pedal)
        middle = start - BEHIND_MM / 2 * self.toward_pedal
        return box(self.name, Kind.BULKHEAD, middle, self.axes, [*self.half_size_mm, BEHIND_MM / 2])

    @cached_property
    def body(self) -> Body:
        """The bulkhead as an obstacle, with all behind it."""
        return self.behind(0.0)


def bent_bulkhead(
    name: str, outline_mm: ArrayLike, y_from_mm: float, y_to_mm: float, thickness_mm: float, pedal_mm: ArrayLike
) -> tuple[Bulkhead, ...]:
    """Flat parts of a bulkhead with bends across the car.

    Args:
        name: In the builder's words; the parts are numbered from the first.
        outline_mm: Corners of its face on the pedal's side in the side plane, in order, (k, 2) of x and z. [mm]
        y_from_mm: One end across the car. [mm]
        y_to_mm: The other. [mm]
        thickness_mm: Of the sheet. [mm]
        pedal_mm: Any point on the pedal's side, such as the pad, (2,) of x and z; it tells which face is meant.
            [mm]

    Raises:
        ValueError: fewer than two corners, two that are one, no width, or a pedal in line with a part.
    """
    corners, pedal = np.asarray(outline_mm, dtype=np.float64), np.asarray(pedal_mm, dtype=np.float64)
    if corners.ndim != 2 or corners.shape[-1] != 2 or len(corners) < 2:
        raise ValueError(f"'{name}': the face of a bulkhead needs at least two corners of x and z")
    if not abs(y_to_mm - y_from_mm) > 0.0:
        raise ValueError(f"'{name}': from y = {y_from_mm} to y = {y_to_mm} mm it has no width")
    parts = []
    for number, (start, end) in enumerate(pairwise(corners), 1):
        size = float(np.linalg.norm(end - start))
        if not size > 0.0:
            raise ValueError(f"'{name}': corners {number} and {number + 1} are the same point")
        middle = (start + end) / 2
        normal = np.array([-(end - start)[1], (end - start)[0]]) / size
        side = float(normal @ (pedal - middle))
        if abs(side) < 1e-6:
            raise ValueError(f"'{name}': the pedal lies in line with part {number}, so its face cannot be told")
        normal *= np.sign(side)
        parts.append(
            Bulkhead(
                f"{name} {number}" if len(corners) > 2 else name,
                np.array([middle[0], (y_from_mm + y_to_mm) / 2, middle[1]]),
                np.array([normal[0], 0.0, normal[1]]),
                thickness_mm,
                (abs(y_to_mm - y_from_mm) / 2, size / 2),
            )
        )
    return tuple(parts)
