"""Members of a bracket between two points: how long to cut, at which angles, and how far they give."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import ArrayLike

from conversion.fit.sections import Section
from conversion.linkage.turning import Array, across, cross, dot, length

# Young's modulus of steel. Memory: 200 to 210 GPa in every handbook.
STEEL_N_PER_MM2 = 205_000.0
# A cut flatter than this to the member cannot be sawn.
FLATTEST_RAD = float(np.radians(80.0))


@dataclass(frozen=True)
class End:
    """Where a member meets what it is welded to.

    Attributes:
        point_mm: Where its middle line meets the face, (3,). [mm]
        face: Direction square to that face, (3,); of any length but zero.
    """

    point_mm: Array
    face: Array


@dataclass(frozen=True)
class MemberCut:
    """How a member is cut.

    Attributes:
        section: Of the member.
        middle_mm: Along its middle line, face to face. [mm]
        longest_mm: Along its longest edge: the stock that is needed. [mm]
        shortest_mm: Along its shortest edge. [mm]
        mitres_rad: At start and end, each across the width and across the height: the angle by which the cut
            leaves square, (2, 2). Of opposite signs at both ends the cuts are mirrored, of the same they are
            parallel. [rad]
    """

    section: Section
    middle_mm: float
    longest_mm: float
    shortest_mm: float
    mitres_rad: Array

    @property
    def stiffness_n_per_mm(self) -> tuple[float, float]:
        """Held at one end alone, of steel: across its width and across its height; never more than that. [N/mm]"""
        section = self.section
        return (
            cantilever_stiffness_n_per_mm(self.middle_mm, section.bent_in_width_mm4),
            cantilever_stiffness_n_per_mm(self.middle_mm, section.bent_in_height_mm4),
        )


def cut_member(section: Section, start: End, end: End, width_axis: ArrayLike) -> MemberCut:
    r"""Cut length and mitres of a member whose middle line runs between two points.

    The cut plane through an end with normal n lies, off the middle line by w along the width and h along the
    height, at −(w n·W + h n·H) / n·D along the member; D, W and H are its own axes.

    Args:
        section: Of the member.
        start: Where it begins.
        end: Where it ends.
        width_axis: Roughly along the member's width, (3,); only its part across the member counts.

    Raises:
        ValueError: both points are one, the width runs along the member, a face has no direction, a cut
            flatter than 80° from square, or ends that meet before the shortest edge has any length.

    Example:
        >>> from conversion.fit.sections import flat_bar
        >>> square = End([0, 0, 0], [1, 0, 0]), End([200, 0, 0], [1, 0, 0])
        >>> cut_member(flat_bar(25, 6), *square, [0, 1, 0]).longest_mm
        200.0
    """
    run = np.asarray(end.point_mm, float) - np.asarray(start.point_mm, float)
    size = float(length(run))
    if not size > 0.0:
        raise ValueError("the two ends of the member are the same point")
    along = run / size
    wide = across(along, np.asarray(width_axis, dtype=np.float64))
    if not float(length(wide)) > 1e-9:
        raise ValueError("the width axis of the member has no part across it")
    wide = wide / length(wide)
    axes = np.array([wide, cross(along, wide)])
    half = np.array([section.width_mm, section.height_mm]) / 2
    mitres, shifts = [], []
    for said, face in (("start", start.face), ("end", end.face)):
        normal = np.asarray(face, dtype=np.float64)
        if not float(length(normal)) > 0.0:
            raise ValueError(f"the face at the {said} of the member has no direction")
        normal = normal / length(normal)
        lean = float(dot(normal, along))
        if abs(lean) < np.cos(FLATTEST_RAD):
            raise ValueError(f"the cut at the {said} of the member would lie within 10° of its own direction")
        slopes = -(axes @ normal) / lean
        mitres.append(np.arctan(slopes))
        shifts.append(np.array([[a, b] for a in (-1, 1) for b in (-1, 1)]) * half @ slopes)
    edges = size + shifts[1] - shifts[0]
    if np.min(edges) < 0.0:
        raise ValueError(f"the member's cuts cross: its points are only {size:.1f} mm apart")
    return MemberCut(section, size, float(np.max(edges)), float(np.min(edges)), np.array(mitres))


class Measured(StrEnum):
    """How the width of a corner infill is told."""

    ALONG_LEG = "along the leg"
    ACROSS_MEMBER = "across the member"


@dataclass(frozen=True)
class CornerInfill:
    """A member across a corner, from one leg to the other, both ends the same distance from the corner.

    Attributes:
        inside_mm: Edge nearer to the corner. [mm]
        outside_mm: The other edge, the longest. [mm]
        width_mm: Of the member, square across it. [mm]
        foot_mm: Of each end on its leg. [mm]
        mitre_rad: By which each end leaves a square cut; the two are mirrored. [rad]
        measured: Which width was told.
    """

    inside_mm: float
    outside_mm: float
    width_mm: float
    foot_mm: float
    mitre_rad: float
    measured: Measured


def corner_infill(
    leg_mm: float, member_mm: float, measured: Measured, corner_rad: float = float(np.pi / 2)
) -> CornerInfill:
    r"""Lengths of an infill across a corner.

    With the corner's angle γ, the leg a from the corner to the member and the foot f along the leg

    .. math:: inside = 2 a \sin(\gamma/2), \quad outside = 2 (a + f) \sin(\gamma/2), \quad width = f \cos(\gamma/2)

    Args:
        leg_mm: From the corner along the leg to the member, a. [mm]
        member_mm: Its width: along the leg it is f itself, across the member it is the bar's own. [mm]
        measured: Which of the two.
        corner_rad: γ. [rad]

    Raises:
        ValueError: a length is not positive, or the corner is not between 0 and 180°.

    Example:
        >>> along = corner_infill(64, 25, Measured.ALONG_LEG)
        >>> across_it = corner_infill(64, 25, Measured.ACROSS_MEMBER)
        >>> [round(each, 1) for each in (along.inside_mm, along.outside_mm, across_it.outside_mm)]
        [90.5, 125.9, 140.5]
    """
    if not leg_mm > 0.0 or not member_mm > 0.0:
        raise ValueError("a corner infill needs a leg and a width above zero")
    if not 0.0 < corner_rad < np.pi:
        raise ValueError(f"a corner lies between 0 and 180°, not at {np.degrees(corner_rad):g}°")
    sine, cosine = float(np.sin(corner_rad / 2)), float(np.cos(corner_rad / 2))
    foot = member_mm if measured is Measured.ALONG_LEG else member_mm / cosine
    return CornerInfill(
        2 * leg_mm * sine, 2 * (leg_mm + foot) * sine, foot * cosine, foot, corner_rad / 2, Measured(measured)
    )


def cantilever_stiffness_n_per_mm(
    length_mm: float, second_moment_mm4: float, modulus_n_per_mm2: float = STEEL_N_PER_MM2
) -> float:
    r"""Force across the free end of a bar held at its other end, for each millimetre that the end gives.

    .. math:: F / \delta = 3 E I / L^3

    Args:
        length_mm: L, from where it is held. [mm]
        second_moment_mm4: I of the section. [mm⁴]
        modulus_n_per_mm2: E. [N/mm²]

    Returns:
        An upper bound: what holds the bar, such as a thin bulkhead, gives too and often more. [N/mm]

    Raises:
        ValueError: a length, moment or modulus is not positive.

    Example:
        >>> round(cantilever_stiffness_n_per_mm(100.0, 450.0), 2)
        276.75

    References:
        Any handbook of mechanics.
    """
    if not min(length_mm, second_moment_mm4, modulus_n_per_mm2) > 0.0:
        raise ValueError("length, second moment and modulus of a bracket must be above zero")
    return 3 * modulus_n_per_mm2 * second_moment_mm4 / length_mm**3
