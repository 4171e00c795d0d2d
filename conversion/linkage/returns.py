"""What brings the pedal and the module's lever back, and what still does when one thing has failed.

Judged by function: with any one spring out, or with the link parted anywhere, each half must still return
against its friction from every position of its travel.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.kinds import Linkage, Motion
from conversion.linkage.solving import solve
from conversion.linkage.springs import Half, Spring, Weight, hinge_of
from conversion.linkage.turning import Array


@dataclass(frozen=True)
class ReturnCase:
    """One failure, or none, and whether the pedal, the lever or both together still come back.

    Attributes:
        kind: ``all-in``, ``spring-out`` with the link whole, or ``link-parted`` with all springs in.
        spring_out: Name of the spring that is missing; empty for the other kinds.
        half: ``both`` while linked, about the pedal axis; else the half that is on its own, about its own
            axis. A one-way link does not bring the lever back, so the lever is also judged on its own with
            each spring of its own out.
        angle_rad: Angle of the pedal, or of the lever when it is on its own, (positions,). [rad]
        moment_nm: Returning moment about that axis without friction, (positions,). [N·m]
        friction_nm: Moment of friction about that axis, which opposes the return, (positions,). [N·m]
    """

    kind: Literal["all-in", "spring-out", "link-parted"]
    spring_out: str
    half: Literal["both", "pedal", "module"]
    angle_rad: Array
    moment_nm: Array
    friction_nm: Array

    @property
    def margin_nm(self) -> float:
        """Least of returning moment less friction over the travel; nan if it is unknown anywhere. [N·m]"""
        return float(np.min(self.moment_nm - self.friction_nm))

    @property
    def margin_at_rad(self) -> float:
        """Angle at which the margin is least. [rad]"""
        return float(self.angle_rad[np.argmin(self.moment_nm - self.friction_nm)])

    @property
    def returns(self) -> bool:
        """The return overcomes friction at every position; False also where that is unknown."""
        return self.margin_nm > 0.0


@dataclass(frozen=True)
class ReturnStudy:
    """Returning moments over the travel of a linkage, (positions,) each.

    Attributes:
        solution: The linkage at each position.
        parts_nm: Moment of each spring and weight about the pedal axis with the link whole. [N·m]
        cases: All springs in; each spring out in turn; the pedal alone; the lever alone, if they can part.
        pad_force_pressing_n: At the pad, along its arc, to press further. [N]
        pad_force_releasing_n: At the pad, along its arc, while it comes back. [N]
        link_force_n: In the link while pressing: in the rod (the second of two), in the cable, between roller
            and face; nan where there is none. [N]
    """

    solution: Motion
    parts_nm: dict[str, Array]
    cases: tuple[ReturnCase, ...]
    pad_force_pressing_n: Array
    pad_force_releasing_n: Array
    link_force_n: Array

    @property
    def hysteresis_n(self) -> Array:
        """Pad force that friction adds while pressing and takes away while releasing, together. [N]"""
        return self.pad_force_pressing_n - self.pad_force_releasing_n

    @property
    def failing(self) -> tuple[ReturnCase, ...]:
        """The cases in which something does not come back."""
        return tuple(case for case in self.cases if not case.returns)

    @property
    def returns_by_function(self) -> bool:
        """With any one spring out, or the link parted anywhere, each half still returns."""
        return not self.failing


def return_study(
    linkage: Linkage,
    pedal_angle_rad: ArrayLike,
    *,
    springs: Sequence[Spring],
    pad_radius_mm: float,
    weights: Sequence[Weight] = (),
    pedal_friction_nm: float = 0.0,
    module_friction_nm: float = 0.0,
) -> ReturnStudy:
    r"""Moments that return the pedal and the lever, with everything in and with each thing failed.

    .. math:: M(\theta) = M_{pedal}(\theta) + \frac{d\varphi}{d\theta} M_{lever}(\varphi), \qquad
        F_{pad} = \frac{M \pm M_{friction}}{R}

    M_lever is brought to the pedal axis by virtual work; friction of the lever likewise, and it always
    opposes.

    Args:
        linkage: One linkage, no leading axes.
        pedal_angle_rad: Positions from the rest stop to the end of the travel, (positions,). [rad]
        springs: On either half, each under its own name.
        pad_radius_mm: Of the pad's arc about the pedal axis. [mm]
        weights: On either half, with names that no spring has.
        pedal_friction_nm: Of the pedal's bearing, about its axis. [N·m]
        module_friction_nm: Of the lever, about its axis. [N·m]

    Returns:
        Moments, cases and pad force.

    Raises:
        ValueError: a name given twice, or many linkages at once.

    Note:
        A one-way link, a cable or a contact, only ever lets the lever help the pedal back: where the lever's
        own moment does not overcome its friction the cable goes slack, or the roller leaves its face.
        Friction and weight of the link and its ends are left out. On its own the lever is followed from its
        rest stop to the farthest that the linkage takes it, in as many positions. Every spring counts here; a
        rule book may not let one inside a position sensor count.

    Example:
        A pedal arm and a lever of 60 mm side by side, so that the ratio is one:

        >>> from conversion.linkage.geometry import RodLinkage
        >>> from conversion.linkage.springs import TorsionSpring, module_springs
        >>> linkage = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1, pedal_pin_at_rest=[0, 60, 0],
        ...     module_pivot=[200, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[200, 60, 0], rod_length_mm=200)
        >>> study = return_study(
        ...     linkage, [0.0, 0.25], pad_radius_mm=250.0, pedal_friction_nm=0.5,
        ...     springs=[TorsionSpring("S1", 2.0, 2.0), *module_springs("inner", 0.5, 1.0, 0.5)])
        >>> [(case.kind, case.spring_out, case.half, round(case.margin_nm, 3)) for case in study.cases]
        [('all-in', '', 'both', 2.0), ('spring-out', 'S1', 'both', 0.0), ('spring-out', 'inner', 'both', 1.5),
         ('link-parted', '', 'pedal', 1.5), ('link-parted', '', 'module', 0.5)]
        >>> study.pad_force_pressing_n.round(3).tolist()
        [12.0, 15.0]
    """
    if not linkage.is_one:
        raise ValueError("return_study takes one linkage, not many along a leading axis")
    names = [part.name for part in (*springs, *weights)]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise ValueError(f"springs and weights need names of their own; given twice: {', '.join(twice)}")
    solution = solve(linkage, pedal_angle_rad)
    every = (*springs, *weights)
    moment = {part.name: _moment(solution, part) for part in every}
    on_lever = {part.name for part in every if part.half == "module"}
    parts = {name: solution.ratio * value if name in on_lever else value for name, value in moment.items()}
    unknown = np.where(solution.exists, 0.0, np.nan)

    def both(kind: Literal["all-in", "spring-out"], out: str = "") -> ReturnCase:
        pedal = sum((value for name, value in moment.items() if name not in on_lever | {out}), unknown)
        lever = sum((value for name, value in moment.items() if name in on_lever - {out}), unknown)
        pedal = pedal + solution.link_moment_nm
        helped, lost = _through_link(solution, lever, module_friction_nm)
        return ReturnCase(kind, out, "both", solution.pedal_angle_rad, pedal + helped, pedal_friction_nm + lost)

    def cases() -> Iterator[ReturnCase]:
        yield both("all-in")
        for spring in springs:
            yield both("spring-out", spring.name)
            if linkage.one_way and spring.half == "module":
                others = [part for part in every if part.name != spring.name]
                yield _alone(solution, "module", others, module_friction_nm, "spring-out", spring.name)
        if linkage.can_part:
            yield _alone(solution, "pedal", every, pedal_friction_nm)
            yield _alone(solution, "module", every, module_friction_nm)

    found = tuple(cases())
    on_pedal = sum((value for name, value in moment.items() if name not in on_lever), unknown)
    lever = sum((value for name, value in moment.items() if name in on_lever), unknown)
    pressing = on_pedal + solution.link_moment_nm + pedal_friction_nm
    pressing += _pressing_through_link(solution, lever, module_friction_nm)
    releasing = found[0].moment_nm - found[0].friction_nm
    pad_radius_m = pad_radius_mm / 1000.0
    return ReturnStudy(
        solution,
        parts,
        found,
        pressing / pad_radius_m,
        releasing / pad_radius_m,
        _link_force(solution, lever + module_friction_nm),
    )


def _moment(solution: Motion, part: Spring | Weight) -> Array:
    """Of a spring or weight about the axis of its own half."""
    angle = solution.pedal_angle_rad if part.half == "pedal" else solution.lever_angle_rad
    return part.moment_nm(hinge_of(solution.linkage, part.half), angle)


def _through_link(solution: Motion, lever_nm: Array, friction_nm: float) -> tuple[Array, Array]:
    """What the lever's moment does about the pedal axis, and what its friction takes away while returning."""
    ratio = solution.ratio
    if not solution.linkage.one_way:
        return ratio * lever_nm, np.abs(ratio) * friction_nm
    helps = np.maximum(lever_nm, 0.0)
    return ratio * helps, ratio * (helps - np.maximum(lever_nm - friction_nm, 0.0))


def _pressing_through_link(solution: Motion, lever_nm: Array, friction_nm: float) -> Array:
    """What the lever holds against the pedal while it is pressed; a one-way link cannot hold the lever back."""
    if not solution.linkage.one_way:
        return solution.ratio * lever_nm + np.abs(solution.ratio) * friction_nm
    return solution.ratio * np.maximum(lever_nm + friction_nm, 0.0)


def _link_force(solution: Motion, lever_nm: Array) -> Array:
    """Force in the link that a moment at the lever needs; an over-travel spring sets it where it gives way."""
    with np.errstate(divide="ignore", invalid="ignore"):
        force = lever_nm * 1000.0 / np.abs(solution.lever_arm_mm)
        force = np.maximum(force, 0.0) if solution.linkage.one_way else force
        spring = solution.link_moment_nm * 1000.0 / solution.pedal_arm_mm
    return np.where(solution.link_moment_nm != 0.0, spring, np.where(solution.holds, force, 0.0))


def _alone(
    solution: Motion,
    half: Half,
    parts: Sequence[Spring | Weight],
    friction_nm: float,
    kind: Literal["spring-out", "link-parted"] = "link-parted",
    spring_out: str = "",
) -> ReturnCase:
    """One half with the link parted, or not held by it."""
    angle = solution.pedal_angle_rad
    if half == "module":
        angle = np.linspace(0.0, np.max(solution.lever_angle_rad), angle.size)
    hinge = hinge_of(solution.linkage, half)
    moments = (part.moment_nm(hinge, angle) for part in parts if part.half == half)
    moment = sum(moments, 0.0 * angle)
    return ReturnCase(kind, spring_out, half, angle, moment, np.full_like(angle, friction_nm))
