"""Whether what is described for the fit stands where such a thing can stand: a slip of a sign shows here."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description.fit_forms import Obstacle
from conversion.fit import AnyBody, Kind, capsule, clearance_of_fixed
from conversion.linkage import Linkage
from conversion.plan.fitting.obstacles import Standing

# Farther apart than this two things that belong together do not belong together. [mm]
MODULE_OFF_MM = 60.0
PAD_OFF_MM = 30.0
FAR_OFF_MM = 300.0
"""An obstacle that stays farther off than this from all that moves is of no use, or stands somewhere else.
Common practice, no source."""


@dataclass(frozen=True)
class Misplaced:
    """Two figures that do not go together.

    Attributes:
        path: Where in the conversion file the one stands that is likely to be wrong.
        what: What it is.
        distance_mm: How far the two are apart; None where it is a direction. [mm]
        should: What should be, to follow "it should".
    """

    path: tuple[str, ...]
    what: str
    distance_mm: float | None
    should: str


def module_misplaced(body: AnyBody | None, linkage: Linkage) -> list[Misplaced]:
    """The module's body, if it lies off the axis of its lever."""
    if body is None:
        return []
    off = _off_mm(linkage.module_pivot, linkage.module_axis, body)
    if off <= MODULE_OFF_MM:
        return []
    should = "hold the axis of its lever or lie beside it"
    return [Misplaced(("fit", "bodies", "module"), "the module's body", off, should)]


def pedal_misplaced(standing: Standing, obstacle: Obstacle) -> list[Misplaced]:
    """Another pedal, if its pad lies off its shape or its travel leads toward the driver."""
    if obstacle.travel is None or standing.pad_mm is None or standing.turn is None:
        return []
    path = ("fit", *standing.path, "travel")
    found = []
    off = min(_off_mm(standing.pad_mm, np.array([1.0, 0.0, 0.0]), body) for body in standing.at_rest)
    if off > PAD_OFF_MM:
        found.append(Misplaced((*path, "pad"), f"the pad of {standing.name}", off, "lie on the pedal's shape"))
    way = np.cross(standing.turn.axis, standing.pad_mm - standing.turn.pivot_mm)
    if float(way @ np.array([1.0, 0.0, -1.0])) <= 0.0:
        found.append(Misplaced((*path, "presses"), f"the travel of {standing.name}", None, "lead forward and down"))
    return found


def _off_mm(point: np.ndarray, along: np.ndarray, body: AnyBody) -> float:
    """Distance of a point from a body; zero inside. [mm]"""
    dot = capsule("point", Kind.OTHER, point - 0.05 * along, point + 0.05 * along, 0.05)
    return max(0.0, clearance_of_fixed([dot], [body])[0].distance_mm)
