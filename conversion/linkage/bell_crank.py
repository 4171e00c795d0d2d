"""Two rods in series about a crank: pedal, first rod, bell-crank, second rod, lever."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.geometry import RodLinkage
from conversion.linkage.kinds import Linkage, Motion, Watch
from conversion.linkage.motion import RodSolution
from conversion.linkage.rod import rod_adjusted_at_rest, solve_rod
from conversion.linkage.turning import Array

FIRST, SECOND = "first rod", "second rod"


@dataclass(frozen=True)
class BellCrankLinkage(Linkage):
    """Geometry of two rods about a crank. Every field may carry leading axes, (samples, 3) for (3,).

    Attributes:
        pedal_pivot: A point of the pedal axis. [mm]
        pedal_axis: Unit vector along the pedal axis.
        pedal_pin_at_rest: Centre of the first rod's ball on the pedal, the pedal on its rest stop. [mm]
        crank_pivot: A point of the crank's axis. [mm]
        crank_axis: Unit vector along the crank's axis, either way round.
        crank_pin_in_at_rest: Centre of the first rod's ball on the crank, the pedal on its rest stop. [mm]
        crank_pin_out_at_rest: Centre of the second rod's ball on the crank, likewise. [mm]
        module_pivot: A point of the axis of the module's lever. [mm]
        module_axis: Unit vector along that axis.
        lever_pin_at_rest_stop: Centre of the second rod's ball on the lever, the lever on the module's own
            rest stop. [mm]
        lever_sense: +1 if the lever turns right-handed about module_axis toward full, else −1.
        pedal_sense: +1 if the pedal turns right-handed about pedal_axis when pressed, else −1.
        first_rod_length_mm: Between the centres of its balls. [mm]
        second_rod_length_mm: The same; the one that is adjusted at fitting. [mm]
    """

    pedal_pivot: Array
    pedal_axis: Array
    pedal_pin_at_rest: Array
    crank_pivot: Array
    crank_axis: Array
    crank_pin_in_at_rest: Array
    crank_pin_out_at_rest: Array
    module_pivot: Array
    module_axis: Array
    lever_pin_at_rest_stop: Array
    lever_sense: Array
    pedal_sense: Array
    first_rod_length_mm: Array
    second_rod_length_mm: Array

    VECTORS = (
        "pedal_pivot",
        "pedal_axis",
        "pedal_pin_at_rest",
        "crank_pivot",
        "crank_axis",
        "crank_pin_in_at_rest",
        "crank_pin_out_at_rest",
        "module_pivot",
        "module_axis",
        "lever_pin_at_rest_stop",
    )
    UNITS = ("pedal_axis", "crank_axis", "module_axis")
    NUMBERS = ("first_rod_length_mm", "second_rod_length_mm")
    POSITIVE = NUMBERS
    ADJUSTED = "second_rod_length_mm"

    @property
    def first(self) -> RodLinkage:
        """From the pedal to the crank; the crank's angle is zero where its pins were measured."""
        return RodLinkage(
            pedal_pivot=self.pedal_pivot,
            pedal_axis=self.pedal_axis,
            pedal_pin_at_rest=self.pedal_pin_at_rest,
            module_pivot=self.crank_pivot,
            module_axis=self.crank_axis,
            lever_pin_at_rest_stop=self.crank_pin_in_at_rest,
            lever_sense=np.array(1.0),
            pedal_sense=self.pedal_sense,
            rod_length_mm=self.first_rod_length_mm,
        )

    @property
    def second(self) -> RodLinkage:
        """From the crank to the lever."""
        return RodLinkage(
            pedal_pivot=self.crank_pivot,
            pedal_axis=self.crank_axis,
            pedal_pin_at_rest=self.crank_pin_out_at_rest,
            module_pivot=self.module_pivot,
            module_axis=self.module_axis,
            lever_pin_at_rest_stop=self.lever_pin_at_rest_stop,
            lever_sense=self.lever_sense,
            pedal_sense=np.array(1.0),
            rod_length_mm=self.second_rod_length_mm,
        )


@dataclass(frozen=True)
class BellCrankMotion(Motion):
    """Positions of two rods about a crank.

    Attributes:
        first: The first rod; its lever is the crank.
        second: The second rod; its pedal is the crank.
    """

    linkage: BellCrankLinkage
    first: RodSolution
    second: RodSolution

    @cached_property
    def ratio(self) -> Array:
        """Lever angle gained for each pedal angle: the product of both rods' ratios."""
        return self.first.ratio * self.second.ratio

    @property
    def pedal_pin_mm(self) -> Array:
        """Ball of the first rod on the pedal, (..., positions, 3). [mm]"""
        return self.first.pedal_pin_mm

    @property
    def lever_pin_mm(self) -> Array:
        """Ball of the second rod on the lever, (..., positions, 3). [mm]"""
        return self.second.lever_pin_mm

    @property
    def pedal_arm_mm(self) -> Array:
        """Moment about the pedal axis for each newton in the first rod. [mm]"""
        return self.first.pedal_arm_mm

    @property
    def lever_arm_mm(self) -> Array:
        """Moment about the lever's axis for each newton in the second rod. [mm]"""
        return self.second.lever_arm_mm

    @property
    def transmission_lever_rad(self) -> Array:
        """At the lever's pin. [rad]"""
        return self.second.transmission_lever_rad

    @property
    def transmission_pedal_rad(self) -> Array:
        """At the pedal's pin. [rad]"""
        return self.first.transmission_pedal_rad

    def link_lines_mm(self) -> tuple[Array, ...]:
        """First rod, crank from pin over its pivot to the other pin, second rod."""
        pivot = np.broadcast_to(self.linkage.crank_pivot[..., None, :], self.first.lever_pin_mm.shape)
        crank = np.stack([self.first.lever_pin_mm, pivot, self.second.pedal_pin_mm], axis=-2)
        return (*self.first.link_lines_mm(), crank, *self.second.link_lines_mm())

    def quantities(self) -> dict[str, Array]:
        """Crank angle, transmission at the crank's pins, sideways shares, force in the first rod per that in the
        second."""
        first, second = self.first.quantities(), self.second.quantities()
        with np.errstate(divide="ignore", invalid="ignore"):
            share = np.abs(self.second.pedal_arm_mm / self.first.lever_arm_mm)
        return {
            "crank_angle_rad": self.first.lever_angle_rad,
            "transmission_crank_in_rad": self.first.transmission_lever_rad,
            "transmission_crank_out_rad": self.second.transmission_pedal_rad,
            "sideways_share_lever": second["sideways_share_lever"],
            "sideways_share_pedal": first["sideways_share_pedal"],
            "sideways_share_crank_in": first["sideways_share_lever"],
            "sideways_share_crank_out": second["sideways_share_pedal"],
            "first_rod_force_share": share,
        }

    def watched(self) -> tuple[Watch, ...]:
        """What is watched of each rod; the second one is not judged where the first cannot close."""
        second = []
        for watch in self.second.watched():
            if watch.happens is not None:
                watch = replace(watch, happens=watch.happens & self.first.exists)
            second.append(watch.at(SECOND))
        return (*(watch.at(FIRST) for watch in self.first.watched()), *second)

    def why_none(self) -> tuple[Literal["", "short", "long"], str]:
        """Which rod cannot close, and what it is."""
        if not self.first.exists[0]:
            return self.first.why_none()[0], FIRST
        return self.second.why_none()[0], SECOND


def solve_bell_crank(linkage: BellCrankLinkage, pedal_angle_rad: ArrayLike) -> BellCrankMotion:
    r"""Lever angle over two rods: the closed form of one rod, twice.

    .. math:: \varphi = \varphi_2(\psi), \quad \psi = \varphi_1(\theta), \qquad
        \frac{d\varphi}{d\theta} = \frac{d\varphi_2}{d\psi} \frac{d\varphi_1}{d\theta}

    θ is the pedal's, ψ the crank's, φ the lever's angle.

    Args:
        linkage: One linkage, or many along leading axes.
        pedal_angle_rad: From the pedal's rest stop; (positions,) or (samples, positions). [rad]

    Returns:
        Angles, and both rods on their own.

    Example:
        Two parallelograms in a row:

        >>> row = BellCrankLinkage(
        ...     [0, 0, 0], [0, 0, 1], [0, 60, 0], [200, 0, 0], [0, 0, 1], [200, 60, 0], [200, 40, 0],
        ...     [350, 0, 0], [0, 0, 1], [350, 40, 0], 1, 1, 200.0, 150.0)
        >>> solve_bell_crank(row, [0.0, 0.3]).lever_angle_rad.round(9).tolist()
        [0.0, 0.3]
    """
    first = solve_rod(linkage.first, pedal_angle_rad)
    second = solve_rod(linkage.second, first.lever_angle_rad)
    return BellCrankMotion(
        linkage, first.pedal_angle_rad, second.lever_angle_rad, first.exists & second.exists, first, second
    )


def bell_crank_adjusted_at_rest(linkage: BellCrankLinkage, lever_angle_rad: ArrayLike) -> BellCrankLinkage:
    """The second rod screwed to the length that puts the lever at an angle, the pedal at rest."""
    first = solve_rod(linkage.first, [0.0])
    crank = solve_rod(linkage.second, first.lever_angle_rad).pedal_pin_mm[..., 0, :]
    placed = rod_adjusted_at_rest(replace(linkage.second, pedal_pin_at_rest=crank), lever_angle_rad)
    return replace(linkage, second_rod_length_mm=placed.rod_length_mm)
