"""What a builder reads off a tape, a protractor or a square to place a point, and what is wrong with it alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from math import cos, degrees, isfinite, pi
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.turning import Array, cross, dot, length

AXES = {"x": 0, "y": 1, "z": 2}
# Two known points nearer than this are one. [mm]
SAME_POINT_MM = 0.05
# Over which an angle is taken to be read before it is known where the point lies. [mm]
SHORT_WAY_MM = 100.0


class TapeError(ValueError):
    """Readings that place no point; the message is a sentence for the builder.

    Attributes:
        readings: Which ones, counted from zero.
    """

    def __init__(self, message: str, readings: Sequence[int] = ()) -> None:
        super().__init__(message)
        self.readings = tuple(readings)


class BadReading(TapeError):
    """One reading that cannot be: a distance that is not positive, an angle beyond a half turn, no tolerance."""


class CoincidentPoints(TapeError):
    """Two known points that lie at the same place."""


class ImpossibleTriangle(TapeError):
    """Two readings that do not meet, beyond their tolerances."""


class TooFewReadings(TapeError):
    """Readings that leave the point free to move along a line, a circle or a face."""


class SideNeeded(TapeError):
    """Readings that two or more points fit.

    Attributes:
        candidates: Those points, (candidates, 3). [mm]
    """

    def __init__(self, message: str, readings: Sequence[int], candidates: Array) -> None:
        super().__init__(message, readings)
        self.candidates = candidates


@dataclass(frozen=True)
class Reading:
    """One reading toward an unknown point.

    Attributes:
        kind: ``distance``: from a known point. ``angle``: at a known point, between a direction and the line to
            the unknown point. ``coordinate``: along one of the vehicle's axes, where the builder knows it.
        from_name: Name of the known point; for a coordinate ``x``, ``y`` or ``z``.
        value: What was read. [mm] or [rad]
        tolerance: How far the reading may be off either way, positive. [mm] or [rad]
        known_mm: The known point, (3,); not for a coordinate. [mm]
        direction: Of an angle, where it is counted from, (3,); it need not be of length one.
        known_tolerance_mm: How far the known point may be off along each axis, (3,). [mm]
    """

    kind: Literal["distance", "angle", "coordinate"]
    from_name: str
    value: float
    tolerance: float
    known_mm: Array = field(default_factory=lambda: np.zeros(3))
    direction: Array = field(default_factory=lambda: np.zeros(3))
    known_tolerance_mm: Array = field(default_factory=lambda: np.zeros(3))

    def __post_init__(self) -> None:
        for name in ("known_mm", "direction", "known_tolerance_mm"):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))

    @property
    def axis(self) -> int:
        """Of a coordinate, which one."""
        return AXES[self.from_name]

    @property
    def unit_direction(self) -> Array:
        """The direction an angle is counted from, brought to length one."""
        return self.direction / length(self.direction)

    @property
    def text(self) -> str:
        """The reading in words."""
        if self.kind == "distance":
            return f"{self.value:.1f} mm from {self.from_name}"
        if self.kind == "angle":
            return f"{degrees(self.value):.1f}° at {self.from_name}"
        return f"{self.from_name} = {self.value:.1f} mm"

    @property
    def from_exact(self) -> bool:
        """Whether the known point has no tolerance of its own."""
        return not np.any(self.known_tolerance_mm)

    def widened(self, point_mm: Array | None = None) -> Reading:
        r"""The same from an exact point: what the known point may be off is added to the reading's tolerance.

        .. math:: t' = t + \sum_k |\partial f / \partial X_k| \, \delta_k

        Moving the known point one way changes a reading as moving the unknown one the other way does.

        Args:
            point_mm: Where the unknown point lies about; without it as if the known point were off straight along
                the reading, and an angle were read over a short way, which is the most that it can do.

        Example:
            A mark that is off by a millimetre along each axis, read from straight above it, and from a corner:

            >>> tape = Reading("distance", "bolt", 5.0, 1.0, known_mm=[0, 0, 0], known_tolerance_mm=[1, 1, 1])
            >>> tape.widened(np.array([0.0, 0.0, 5.0])).tolerance, tape.widened(np.array([3.0, 0.0, 4.0])).tolerance
            (2.0, 2.4)
        """
        if self.from_exact:
            return self
        if point_mm is not None:
            off = float(np.sum(np.abs(self.slope_at(point_mm)) * self.known_tolerance_mm))
        else:
            off = float(length(self.known_tolerance_mm)) / (SHORT_WAY_MM if self.kind == "angle" else 1.0)
        return replace(self, tolerance=self.tolerance + off, known_tolerance_mm=np.zeros(3))

    def read_at(self, point_mm: ArrayLike) -> Array:
        """What would be read for a point, (..., 3); shape (...). [mm] or [rad]

        Example:
            >>> tape = Reading("distance", "bolt", 5.0, 1.0, known_mm=[0, 0, 0])
            >>> float(tape.read_at([3, 0, 4]))
            5.0
        """
        point = np.asarray(point_mm, dtype=np.float64)
        if self.kind == "coordinate":
            return point[..., self.axis]
        way = point - self.known_mm
        if self.kind == "distance":
            return length(way)
        along = dot(way, self.unit_direction)
        return np.arctan2(length(cross(self.unit_direction, way)), along)

    def slope_at(self, point_mm: Array) -> Array:
        """Change of the reading for a step of the point along each axis, (..., 3); zero where it has none."""
        if self.kind == "coordinate":
            return np.broadcast_to(np.eye(3)[self.axis], point_mm.shape)
        way = point_mm - self.known_mm
        far = np.maximum(length(way), 1e-9)[..., None]
        if self.kind == "distance":
            return way / far
        away = way - dot(way, self.unit_direction)[..., None] * self.unit_direction
        outward = away / np.maximum(length(away), 1e-9)[..., None]
        turn = dot(way, self.unit_direction)[..., None] * outward - length(away)[..., None] * self.unit_direction
        return turn / far**2


def need_possible(readings: Sequence[Reading]) -> None:
    """Raise for a reading that cannot be, points that are one, and pairs that do not meet."""
    for i, reading in enumerate(readings):
        _need_sound(i, reading)
    for i, j in combinations(range(len(readings)), 2):
        one, other = readings[i], readings[j]
        if "coordinate" not in (one.kind, other.kind) and one.from_name != other.from_name:
            _need_apart(i, one, j, other)
        if one.kind == other.kind == "distance":
            _need_triangle(i, one, j, other)
        elif {one.kind, other.kind} == {"distance", "coordinate"}:
            tape, square = (one, other) if one.kind == "distance" else (other, one)
            off = abs(float(tape.known_mm[square.axis]) - square.value)
            if off > tape.value + tape.tolerance + square.tolerance:
                raise ImpossibleTriangle(
                    f"A point {tape.text} cannot lie at {square.text}: that is {off:.1f} mm away from {tape.from_name} "
                    "already.",
                    (i, j),
                )


def _need_sound(index: int, reading: Reading) -> None:
    figures = (reading.value, reading.tolerance, *reading.known_mm)
    if not all(isfinite(figure) for figure in figures):
        raise BadReading(f"The reading {reading.text} is not a finite number.", (index,))
    if not reading.tolerance > 0.0:
        raise BadReading(f"The reading {reading.text} needs a tolerance above zero; no tape is exact.", (index,))
    if reading.kind == "distance" and not reading.value > 0.0:
        raise BadReading(f"The distance {reading.text} must be more than zero.", (index,))
    if reading.kind == "angle":
        if not 0.0 < reading.value < pi:
            raise BadReading(f"The angle {reading.text} must lie between 0° and 180°.", (index,))
        if not length(reading.direction) > 0.0:
            raise BadReading(f"The angle {reading.text} needs a direction from which it is counted.", (index,))
    if reading.kind == "coordinate" and reading.from_name not in AXES:
        raise BadReading(f"A coordinate is x, y or z, not {reading.from_name!r}.", (index,))


def _need_apart(i: int, one: Reading, j: int, other: Reading) -> None:
    if length(one.known_mm - other.known_mm) < SAME_POINT_MM:
        raise CoincidentPoints(
            f"{one.from_name} and {other.from_name} lie at the same place, so the second reading adds no direction; "
            "measure from another point.",
            (i, j),
        )


def _need_triangle(i: int, one: Reading, j: int, other: Reading) -> None:
    base = float(length(one.known_mm - other.known_mm))
    slack = one.tolerance + other.tolerance
    if base > one.value + other.value + slack:
        raise ImpossibleTriangle(
            f"{one.text} and {other.text} do not meet: {one.from_name} and {other.from_name} are {base:.1f} mm apart, "
            f"{base - one.value - other.value:.1f} mm more than both together.",
            (i, j),
        )
    long, short = (one, other) if one.value > other.value else (other, one)
    beyond = long.value - base - short.value
    if beyond > slack:
        raise ImpossibleTriangle(
            f"{long.text} and {short.text} do not meet: the longer one is {beyond:.1f} mm more "
            f"than the shorter one and the {base:.1f} mm between {long.from_name} and {short.from_name} together.",
            (i, j),
        )


def on_circle(reading: Reading, known: Sequence[Reading]) -> tuple[Array, float] | None:
    """A reading as the plane n·X = c in which the point lies, given that the distances ``known`` hold too.

    A coordinate is a plane by itself. Two distances make one (their spheres meet in it), and so do an angle and a
    distance at one point. None where the reading makes no plane with what is known.
    """
    if reading.kind == "coordinate":
        return np.eye(3)[reading.axis], reading.value
    if reading.kind == "distance":
        base = known[0]
        normal = 2.0 * (reading.known_mm - base.known_mm)
        squares = base.value**2 - reading.value**2 + dot(reading.known_mm, reading.known_mm)
        return normal, float(squares - dot(base.known_mm, base.known_mm))
    for tape in known:
        if length(tape.known_mm - reading.known_mm) < SAME_POINT_MM:
            normal = reading.unit_direction
            return normal, float(dot(normal, reading.known_mm)) + tape.value * cos(reading.value)
    return None
