"""The recess for a bulkhead that is too near to what moves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

from conversion.description import Missing
from conversion.description.fit_forms import RecessForm
from conversion.fit import (
    AnyBody,
    Bulkhead,
    Corner,
    Poses,
    Recess,
    RecessWish,
    Sheet,
    clearance_of_fixed,
    least_depth_mm,
    recess_for,
)
from conversion.plan.fitting.figures import FitFigures
from conversion.plan.fitting.judged import TOUCHING_MM
from conversion.plan.fitting.obstacles import Standing

NO_RECESS = "the recess cannot be worked out"


@dataclass(frozen=True)
class Lack:
    """A flat part of a bulkhead that is too near.

    Attributes:
        obstacle: The bulkhead.
        flat: Its flat part.
        bodies: Those that are too near to it, over the whole travel.
        clearance_mm: Wanted, with what the bulkhead's points are uncertain by. [mm]
        poses: Over which the bodies move.
    """

    obstacle: Standing
    flat: Bulkhead
    bodies: tuple[AnyBody, ...]
    clearance_mm: float
    poses: Poses = field(repr=False)

    @cached_property
    def least_depth_mm(self) -> float:
        """How far the bulkhead would have to go back there. [mm]

        Raises:
            ValueError: The mechanism runs through it.
        """
        return least_depth_mm(self.bodies, self.poses, self.flat, self.clearance_mm)


@dataclass(frozen=True)
class RecessPlan:
    """A recess and what it is for.

    Attributes:
        lack: What it makes good.
        recess: The box, its flat pattern, and what it takes from the other side.
        behind: The obstacle of each entry of ``recess.taken``.
    """

    lack: Lack
    recess: Recess
    behind: tuple[Standing, ...]

    @property
    def reach_mm(self) -> float:
        """What comes nearer to the bulkhead's face than this goes into the opening. [mm]"""
        return self.lack.clearance_mm + self.recess.box.sheet.thickness_mm


def standing_on(planned: Sequence[RecessPlan], members: Sequence[Standing]) -> tuple[tuple[RecessPlan, Standing], ...]:
    """Each recess with each member of the bracket that stands in its box or on its flange."""
    return tuple(
        (each, member)
        for each in planned
        for member in members
        if clearance_of_fixed([each.recess.inside], member.bodies)[0].distance_mm < -TOUCHING_MM
    )


def plan_recess(
    figures: FitFigures,
    form: RecessForm,
    lack: Lack,
    moving: Sequence[AnyBody],
    behind: Sequence[Standing],
) -> RecessPlan:
    """The least recess that gives the wanted clearance.

    Raises:
        Missing: One of its figures is not known, or it cannot be made.
    """
    name = lack.obstacle.name
    if lack.obstacle.thickness_mm is None:
        path = ("fit", *lack.obstacle.path, "thickness")
        raise Missing(".".join(path), figures.description.place(*path), NO_RECESS)
    solids = tuple((standing, body) for standing in behind for body in standing.bodies)
    try:
        recess = recess_for(moving, lack.poses, lack.flat, _wish(figures, form, lack), [body for _, body in solids])
    except ValueError as error:
        place = figures.description.place("fit", "recess")
        raise Missing("fit.recess", place, NO_RECESS, f"does not fit {name}: {error}") from None
    assert recess is not None, "asked only where the bulkhead is too near"
    return RecessPlan(lack, recess, tuple(standing for standing, _ in solids))


def _wish(figures: FitFigures, form: RecessForm, lack: Lack) -> RecessWish:
    def size(key: str, default: float) -> float:
        return figures.nominal(getattr(form, key), default, "recess", key)

    usual = RecessWish(lack.clearance_mm, Sheet(1.0, 1.0))
    sheet = Sheet(size("thickness", 0.0), size("inside_radius", 0.0), size("k_factor", usual.sheet.k_factor))
    return RecessWish(
        clearance_mm=lack.clearance_mm,
        sheet=sheet,
        flange_mm=size("flange", usual.flange_mm),
        margin_mm=size("margin", usual.margin_mm),
        play_mm=size("play", usual.play_mm),
        depth_step_mm=size("depth_step", usual.depth_step_mm),
        corner=Corner.FOLDED if form.corners == "folded" else Corner.WELDED,
        tab_mm=size("tab", usual.tab_mm),
        hole_mm=size("hole", usual.hole_mm),
        pitch_mm=size("pitch", usual.pitch_mm),
    )
