"""The module's own pedal kept: pedal and lever are one body."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.kinds import Linkage, Motion, Watch
from conversion.linkage.turning import Array


@dataclass(frozen=True)
class DirectLinkage(Linkage):
    """A module with its own pedal; every field may carry leading axes for many at once.

    Attributes:
        module_pivot: A point of the module's axis, which is the pedal's. [mm]
        module_axis: Unit vector along it.
        lever_sense: +1 if pressing turns right-handed about module_axis, else −1.
        lever_at_rest_rad: Where an added rest stop holds the pedal, from the module's own rest stop; zero if
            the module's own stop ends the return. [rad]
    """

    module_pivot: Array
    module_axis: Array
    lever_sense: Array
    lever_at_rest_rad: Array = 0.0  # type: ignore[assignment]

    VECTORS = ("module_pivot", "module_axis")
    UNITS = ("module_axis",)
    SENSES = ("lever_sense",)
    NUMBERS = ("lever_at_rest_rad",)
    ADJUSTED = "lever_at_rest_rad"
    can_part = False

    @property
    def pedal_pivot(self) -> Array:  # type: ignore[override]
        """The module's pivot. [mm]"""
        return self.module_pivot

    @property
    def pedal_axis(self) -> Array:  # type: ignore[override]
        """The module's axis."""
        return self.module_axis

    @property
    def pedal_sense(self) -> Array:  # type: ignore[override]
        """The lever's sense."""
        return self.lever_sense


@dataclass(frozen=True)
class DirectMotion(Motion):
    """Positions of a module's own pedal: nothing can lock, turn back or part."""

    linkage: DirectLinkage

    @cached_property
    def ratio(self) -> Array:
        """One."""
        return np.ones(self.lever_angle_rad.shape)

    @cached_property
    def pedal_pin_mm(self) -> Array:
        """The pivot: there is no link. [mm]"""
        pivot = self.linkage.module_pivot[..., None, :]
        return np.broadcast_to(pivot, (*self.lever_angle_rad.shape, 3)).copy()

    @cached_property
    def lever_pin_mm(self) -> Array:
        """The pivot: there is no link. [mm]"""
        return self.pedal_pin_mm

    @cached_property
    def pedal_arm_mm(self) -> Array:
        """There is no link, so no arm. [mm]"""
        return np.full(self.lever_angle_rad.shape, np.nan)

    @cached_property
    def lever_arm_mm(self) -> Array:
        """There is no link, so no arm. [mm]"""
        return self.pedal_arm_mm

    def link_lines_mm(self) -> tuple[Array, ...]:
        """None."""
        return ()

    def quantities(self) -> dict[str, Array]:
        """None."""
        return {}

    def watched(self) -> tuple[Watch, ...]:
        """Nothing."""
        return ()


def solve_direct(linkage: DirectLinkage, pedal_angle_rad: ArrayLike) -> DirectMotion:
    """Lever angle of a module's own pedal: the pedal's angle, and where the rest stop holds it.

    Example:
        >>> kept = DirectLinkage([0, 0, 0], [0, 1, 0], 1, lever_at_rest_rad=0.02)
        >>> solve_direct(kept, [0.0, 0.25]).lever_angle_rad.tolist()
        [0.02, 0.27]
    """
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    many = np.broadcast_shapes(
        linkage.lever_at_rest_rad.shape, linkage.module_pivot.shape[:-1], linkage.module_axis.shape[:-1]
    )
    lever = pedal + np.broadcast_to(linkage.lever_at_rest_rad, many)[..., None]
    return DirectMotion(linkage, pedal, lever, np.isfinite(lever))


def direct_adjusted_at_rest(linkage: DirectLinkage, lever_angle_rad: ArrayLike) -> DirectLinkage:
    """The rest stop set to a lever angle."""
    return replace(linkage, lever_at_rest_rad=np.asarray(lever_angle_rad, dtype=np.float64))
