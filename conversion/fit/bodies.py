"""Bodies that take room: what moves with pedal, lever or link, and what stands in the way.

Corners are given where the body is at rest: the pedal on its rest stop, the lever at the angle that its
turn calls zero. What moves with the pedal may be in the way too: the driver's own foot does.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from conversion.fit.kinds import Kind
from conversion.fit.polygon import checked, convex_parts
from conversion.fit.polytope import Polytope, bar, extruded, hull
from conversion.fit.poses import Poses, Turn
from conversion.linkage.turning import Array

FIXED = "fixed"


@dataclass(frozen=True)
class HalfSpace:
    """Everything behind a plane: normal · x ≤ offset.

    Attributes:
        normal: Unit vector out of the solid, (3,).
        offset_mm: normal · x on the plane. [mm]
    """

    normal: Array
    offset_mm: float


Piece = Polytope | HalfSpace


@dataclass(frozen=True)
class Placed:
    """A piece at each position: its corners are (positions, k, 3)."""

    piece: Polytope
    corners_mm: Array


@dataclass(frozen=True)
class Body:
    """Something solid, put together from convex pieces.

    Attributes:
        name: In the builder's words.
        kind: What it is.
        pieces: May overlap; the body is all of them together.
        moves_with: ``fixed``, or the word of a turn of the poses.
    """

    name: str
    kind: Kind
    pieces: tuple[Piece, ...]
    moves_with: str = FIXED

    def placed(self, poses: Poses) -> tuple[Placed | HalfSpace, ...]:
        """Its pieces at every position.

        Raises:
            ValueError: the poses do not know what it moves with, or a half-space is to move.
        """
        if self.moves_with != FIXED and self.moves_with not in poses.turns:
            raise ValueError(f"'{self.name}' moves with '{self.moves_with}', of which there is no turn")
        return tuple(self._placed(piece, poses) for piece in self.pieces)

    def _placed(self, piece: Piece, poses: Poses) -> Placed | HalfSpace:
        if isinstance(piece, HalfSpace):
            if self.moves_with != FIXED:
                raise ValueError(f"'{self.name}' has no end and cannot move")
            return piece
        if self.moves_with == FIXED:
            return Placed(piece, np.broadcast_to(piece.corners_mm, (len(poses), *piece.corners_mm.shape)))
        return Placed(piece, poses.turns[self.moves_with].of(piece.corners_mm))


@dataclass(frozen=True)
class Link:
    """A rod, or a cable, between points that move: round bars along one line of the poses.

    Attributes:
        name: In the builder's words.
        radius_mm: Of the rod; of the thickest thing on it to be careful. [mm]
        line: Which of the lines of the poses.
        kind: What it is.
    """

    name: str
    radius_mm: float
    line: int = 0
    kind: Kind = Kind.LINK

    @property
    def moves_with(self) -> str:
        """A word of its own: nothing else moves as it does."""
        return f"line {self.line}"

    def placed(self, poses: Poses) -> tuple[Placed, ...]:
        """Its bars at every position.

        Raises:
            ValueError: there is no such line.
        """
        if not 0 <= self.line < len(poses.lines_mm):
            raise ValueError(f"'{self.name}' runs along line {self.line} of the link, which has {len(poses.lines_mm)}")
        points, piece = poses.lines_mm[self.line], _any_bar(self.radius_mm)
        return tuple(Placed(piece, points[:, i : i + 2]) for i in range(points.shape[1] - 1))


@cache
def _any_bar(radius_mm: float) -> Polytope:
    """The bar that each part of a link is; its place is told by the poses alone."""
    return bar([0.0, 0.0, 0.0], [1.0, 0.0, 0.0], radius_mm)


AnyBody = Body | Link


def capsule(
    name: str, kind: Kind, start_mm: ArrayLike, end_mm: ArrayLike, radius_mm: float, moves_with: str = FIXED
) -> Body:
    """A round bar with round ends of the same radius.

    Raises:
        ValueError: both ends are one point, or the radius is not positive.
    """
    start, end = np.asarray(start_mm, float), np.asarray(end_mm, float)
    if not np.linalg.norm(end - start) > 0.0:
        raise ValueError(f"'{name}': the two ends of the bar are the same point")
    if not radius_mm > 0.0:
        raise ValueError(f"'{name}': a bar needs a radius above zero; this one has {radius_mm} mm")
    return Body(name, kind, (bar(start, end, radius_mm),), moves_with)


def box(
    name: str, kind: Kind, centre_mm: ArrayLike, axes: ArrayLike, half_mm: ArrayLike, moves_with: str = FIXED
) -> Body:
    """A block from its centre, three unit axes as rows, (3, 3), and half its size along each, (3,).

    Raises:
        ValueError: the axes are not unit vectors at right angles, or a size is not positive.
    """
    centre, ways, half = (np.asarray(each, float) for each in (centre_mm, axes, half_mm))
    if ways.shape != (3, 3) or np.any(np.abs(ways @ ways.T - np.eye(3)) > 1e-6):
        raise ValueError(f"'{name}': the three axes of a box must be unit vectors at right angles")
    if half.shape != (3,) or not np.all(half > 0.0):
        raise ValueError(f"'{name}': a box needs three half sizes above zero; these are {half.tolist()} mm")
    signs = np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]], dtype=float)
    loop = centre + signs @ (ways[:2] * half[:2, None]) - half[2] * ways[2]
    return Body(name, kind, (extruded(loop, 2 * half[2] * ways[2]),), moves_with)


def prism(
    name: str, kind: Kind, polygon_mm: ArrayLike, y_from_mm: float, y_to_mm: float, moves_with: str = FIXED
) -> Body:
    """A polygon of the side plane, (k, 2) of x and z, convex or not, from one y to another.

    Raises:
        ValueError: the polygon crosses itself or has no area, or the two y are one.
    """
    if not abs(y_to_mm - y_from_mm) > 0.0:
        raise ValueError(f"'{name}': from y = {y_from_mm} to y = {y_to_mm} mm it has no thickness")
    try:
        corners = checked(polygon_mm)
    except ValueError as fault:
        raise ValueError(f"'{name}': {fault}") from None
    along = np.array([0.0, y_to_mm - y_from_mm, 0.0])
    parts = (np.insert(part, 1, y_from_mm, axis=1) for part in convex_parts(corners))
    return Body(name, kind, tuple(extruded(part, along) for part in parts), moves_with)


def half_space(name: str, kind: Kind, point_mm: ArrayLike, outward: ArrayLike) -> Body:
    """A plane without end, such as floor or bulkhead, with all behind it solid.

    Args:
        name: In the builder's words.
        kind: What it is.
        point_mm: Any point of the plane, (3,). [mm]
        outward: Direction out of the solid, toward the free side, (3,); of any length but zero.

    Raises:
        ValueError: the direction has no length.
    """
    way = np.asarray(outward, dtype=np.float64)
    size = float(np.linalg.norm(way))
    if not size > 0.0:
        raise ValueError(f"'{name}': the direction out of the plane has no length")
    return Body(name, kind, (HalfSpace(way / size, float(way @ np.asarray(point_mm, float)) / size),))


def joined(name: str, kind: Kind, bodies: Sequence[Body]) -> Body:
    """One body from several that move as one.

    Raises:
        ValueError: there are none, or they move with different things.
    """
    ways = {each.moves_with for each in bodies}
    if len(ways) != 1:
        raise ValueError(f"'{name}': only bodies that move as one can be joined; these move with {sorted(ways)}")
    return Body(name, kind, tuple(piece for each in bodies for piece in each.pieces), ways.pop())


def swept(body: Body, turn: Turn) -> Body:
    """All room that a body takes while it turns on its own, as a fixed body: a brake pedal over its travel.

    Between neighbouring angles the convex hull is taken, grown by how far the arc leaves its chord, so that
    the result is never too small. Angles 3° apart make it at most 0.35 mm too large at a radius of 1 m.

    Args:
        body: What turns; ``moves_with`` is not looked at.
        turn: Its axis and the angles from first to last, at least two.

    Raises:
        ValueError: fewer than two angles, or the body has no end.
    """
    if len(turn.angle_rad) < 2:
        raise ValueError(f"'{body.name}': a swept body needs at least two angles")
    pieces: list[Piece] = []
    for piece in body.pieces:
        if isinstance(piece, HalfSpace):
            raise ValueError(f"'{body.name}' has no end and cannot move")
        corners = turn.of(piece.corners_mm)
        halfway = replace(turn, angle_rad=(turn.angle_rad[1:] + turn.angle_rad[:-1]) / 2).of(piece.corners_mm)
        bulge = np.max(np.linalg.norm(halfway - (corners[1:] + corners[:-1]) / 2, axis=-1), axis=-1)
        pieces += [
            hull(np.concatenate(corners[i : i + 2]), piece.radius_mm + float(bulge[i]))
            for i in range(len(turn.angle_rad) - 1)
        ]
    return Body(body.name, body.kind, tuple(pieces))
