"""Figures of the linkage as plain numbers, with the tolerance of each kept under the name that the solver knows."""

from __future__ import annotations

import numpy as np

from conversion.description import Description
from conversion.linkage.turning import Array
from conversion.quantities import Quantity

NO_TRAVEL = "the travel cannot be computed"


class Numbers:
    """Takes figures out of a description one by one; one that is not known raises Missing.

    Attributes:
        tolerances: Figure of the linkage, such as ``module_pivot.x``, -> how far it may lie below and above.
        sources: The same figures -> where in the conversion file each stands.
    """

    def __init__(self, description: Description) -> None:
        self.description = description
        self.tolerances: dict[str, tuple[float, float]] = {}
        self.sources: dict[str, tuple[str | int, ...]] = {}

    def point(self, figures: list[Quantity | None], field: str | None, *path: str) -> Array:
        """Three coordinates; their tolerances are kept under the field's name, or not at all. [mm]"""
        return np.array(
            [
                self.number(figure, f"{field}.{axis}" if field else None, *path, index)
                for index, (figure, axis) in enumerate(zip(figures, "xyz", strict=True))
            ]
        )

    def number(self, figure: Quantity | None, field: str | None, *path: str | int) -> float:
        """One figure in the base unit of its dimension."""
        known = self.description.need(figure, NO_TRAVEL, "linkage", *path)
        if field is not None and known.has_tolerance:
            self.tolerances[field] = (known.nominal - known.low, known.high - known.nominal)
            self.sources[field] = ("linkage", *path)
        return known.nominal
