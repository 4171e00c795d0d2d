"""Figures of the fit as plain numbers: sizes at their greatest, points with how far off they may be."""

from __future__ import annotations

from typing import Any

import numpy as np

from conversion.description import Description
from conversion.description.fit_shapes import Block
from conversion.fit import Body, Kind, box
from conversion.fit.bodies import FIXED
from conversion.linkage.turning import Array, across, length
from conversion.quantities import Quantity

Step = str | int
NO_FIT = "clearances cannot be computed"


class FitFigures:
    """Takes figures out of the fit section one by one; one that is not known raises Missing.

    Attributes:
        uncertain_mm: Largest distance by which a point taken since the last :meth:`start` may be off. [mm]
    """

    def __init__(self, description: Description) -> None:
        self.description = description
        self.uncertain_mm = 0.0

    def start(self) -> None:
        """Forget what the points before were uncertain by."""
        self.uncertain_mm = 0.0

    def figure(self, figure: Quantity | None, *path: Step) -> Quantity:
        """One figure under ``fit``."""
        return self.description.need(figure, NO_FIT, "fit", *path)

    def most(self, figure: Quantity | None, *path: Step) -> float:
        """A size at its greatest: what is thicker comes nearer. [mm]"""
        return self.figure(figure, *path).high

    def nominal(self, figure: Quantity | None, default: float, *path: Step) -> float:
        """A figure as it is to be made; a default where it is not given at all."""
        steps = path[:-1]
        parent: Any = self.description.conversion.fit
        for step in steps:
            parent = parent[step] if isinstance(parent, dict) else getattr(parent, str(step))
        return self.figure(figure, *path).nominal if path[-1] in parent.model_fields_set else default

    def point(self, point: Any, *path: Step) -> Array:
        """Three coordinates, (3,). [mm]"""
        figures = [self.figure(figure, *path, index) for index, figure in enumerate(point)]
        spread = [max(figure.high - figure.nominal, figure.nominal - figure.low) for figure in figures]
        self.uncertain_mm = max(self.uncertain_mm, float(np.linalg.norm(spread)))
        return np.array([figure.nominal for figure in figures])

    def corners(self, corners: Any, *path: Step) -> Array:
        """Corners in the side plane, (k, 2) of x and z. [mm]"""
        return np.array([self.point(corner, *path, index) for index, corner in enumerate(corners)])

    def block(self, name: str, kind: Kind, block: Block, *path: Step, moves_with: str = FIXED) -> Body:
        """A described block as a body."""
        centre = self.point(block.centre, *path, "centre")
        size = [self.most(figure, *path, "size", index) for index, figure in enumerate(block.size)]
        return box(name, kind, centre, axes_of(block.along, block.up), np.array(size) / 2, moves_with)


def axes_of(along: Any, up: Any) -> Array:
    """Three unit vectors as rows, right-handed: along, across, and up made square to along."""
    first = np.asarray(along, dtype=np.float64)
    third = across(first, np.asarray(up, dtype=np.float64))
    third = third / length(third)
    return np.array([first, np.cross(third, first), third])
