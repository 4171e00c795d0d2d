"""What the ends of a rod, the lever and the rods themselves must bear over the travel, as far as it is described."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from conversion.description import Description
from conversion.description.linkage_forms import BellCrankLinkageForm, ModulePlace, RodLinkageForm
from conversion.description.rod_forms import AdjustedRod, FirstRod, RodEnd, RodMade
from conversion.linkage import (
    BellCrankMotion,
    RodSolution,
    bolt_bends_n,
    euler_buckling_n,
    link_force_for_pad_n,
    misalignment_rad,
    setting_range,
)
from conversion.linkage.returns import ReturnStudy
from conversion.linkage.turning import Array
from conversion.plan.link.geometry import Geometry
from conversion.plan.link.travel import Travel
from conversion.quantities import Quantity

FULL_FOOT_N = 800.0
"""Pull of a whole leg on a pedal: MIL-STD-1472, greatest resistance for total leg movement (from memory)."""

FIRST, ADJUSTED = "first_rod", "rod"
WHERE = {"pedal_end": "pedal", "crank_end": "bell-crank", "lever_end": "lever"}
_ENDS = {FIRST: ("pedal_end", "crank_end"), ADJUSTED: ("pedal_end", "lever_end")}


@dataclass(frozen=True)
class RodEndLean:
    """How a ball joint of a described rod leans over the travel.

    Attributes:
        rod: ``rod``; of two rods ``first_rod`` or, for the second, ``rod``.
        key: ``pedal_end``, ``crank_end`` or ``lever_end``.
        form: As described.
        lean_rad: From square to its bolt, (positions,). [rad]
        ball_mm: Its centre, (positions, 3). [mm]
    """

    rod: str
    key: str
    form: RodEnd
    lean_rad: Array
    ball_mm: Array

    @property
    def limit(self) -> Quantity | None:
        """How far it may lean; None where that is not described."""
        return self.form.limit

    @property
    def where(self) -> str:
        """What the joint sits on, in words."""
        return WHERE[self.key]


@dataclass(frozen=True)
class JamLoad:
    """Load of a described rod with a foot on the pad and a lever that does not give.

    Attributes:
        rod: ``rod``; of two rods ``first_rod`` or, for the second, ``rod``.
        pad_force_n: Of the foot. [N]
        rod_n: In the rod where it is greatest. [N]
        pad_travel_mm: Where that is. [mm]
        pushed: Whether it is pushed there, not pulled.
        buckling_n: At which a straight rod of its diameter buckles; nan where that is not described. [N]
    """

    rod: str
    pad_force_n: float
    rod_n: float
    pad_travel_mm: float
    pushed: bool
    buckling_n: float

    @property
    def buckles(self) -> bool:
        """Whether the foot bends the rod."""
        return self.pushed and self.buckling_n < self.rod_n


@dataclass(frozen=True)
class BracketGive:
    """What the give of the module's bracket takes of the lever's sweep.

    Attributes:
        for_each_mm_rad: Lever angle lost for each millimetre that gives along the link, at full pedal. [rad]
        force_n: In the link at full pedal while pressing. [N]
        gives_mm: What the bracket gives under it; nan where its stiffness is not described. [mm]
    """

    for_each_mm_rad: float
    force_n: float
    gives_mm: float

    @property
    def lost_rad(self) -> float:
        """Lever angle that is lost at full pedal; nan where the stiffness is not described. [rad]"""
        return self.for_each_mm_rad * self.gives_mm


def described_rods(description: Description) -> dict[str, RodMade]:
    """The rods that the description has, by their key under ``linkage``; of the first of two nothing may be said."""
    form = description.conversion.linkage
    if isinstance(form, BellCrankLinkageForm):
        return {FIRST: form.first_rod or FirstRod(), ADJUSTED: form.rod}
    return {ADJUSTED: form.rod} if isinstance(form, RodLinkageForm) else {}


def rod_words(description: Description, rod: str) -> str:
    """What a rod is called in sentences."""
    if isinstance(description.conversion.linkage, BellCrankLinkageForm):
        return "first rod" if rod == FIRST else "second rod"
    return "rod"


def described_rod(description: Description) -> AdjustedRod | None:
    """The rod that is adjusted at fitting; of two rods the second."""
    form = description.conversion.linkage
    return form.rod if isinstance(form, RodLinkageForm | BellCrankLinkageForm) else None


def end_keys(description: Description, rod: str) -> tuple[str, str]:
    """Keys of the two ends of a rod."""
    if rod == ADJUSTED and isinstance(description.conversion.linkage, BellCrankLinkageForm):
        return "crank_end", "lever_end"
    return _ENDS[rod]


def rod_ends(description: Description, travel: Travel) -> tuple[RodEndLean, ...]:
    """The described ball joints of every rod over the travel."""
    return tuple(_leans(description, travel))


def _leans(description: Description, travel: Travel) -> Iterator[RodEndLean]:
    for rod, form in described_rods(description).items():
        motion = _rod_motion(travel, rod)
        keys = end_keys(description, rod)
        ends: list[RodEnd | None] = [getattr(form, key) for key in keys]
        if motion is None:
            continue
        leans = misalignment_rad(motion, *(np.array(end.bolt) if end else None for end in ends))
        balls = (motion.pedal_pin_mm, motion.lever_pin_mm)
        for key, end, lean, ball in zip(keys, ends, leans, balls, strict=True):
            if end is not None and lean is not None:
                yield RodEndLean(rod, key, end, lean, ball)


def needed_length_mm(geometry: Geometry) -> tuple[float, float, float] | None:
    """Length of the rod that its setting at rest asks for: as planned, least and greatest; None without a setting."""
    if geometry.set_at_rest_rad is None:
        return None
    return setting_range(geometry.linkage, geometry.tolerances, geometry.set_at_rest_rad)


def side_load_n(travel: Travel, returns: ReturnStudy) -> Array | None:
    """Force along the lever's axis that pressing puts on the lever, (positions,); None where the kind has none. [N]"""
    share = travel.solution.quantities().get("sideways_share_lever")
    return None if share is None else np.abs(returns.link_force_n) * share


def foot_n(description: Description) -> float:
    """A foot's full force: what the full stop is made for, or that of a whole leg. [N]"""
    form = description.conversion.linkage
    stop = form.pedal.full_stop.load if form is not None else None
    return stop.nominal if stop is not None else FULL_FOOT_N


def jam_loads(description: Description, travel: Travel) -> tuple[JamLoad, ...]:
    """What a full foot puts into every rod while the lever does not give."""
    return tuple(_jams(description, travel))


def _jams(description: Description, travel: Travel) -> Iterator[JamLoad]:
    foot = foot_n(description)
    for rod in described_rods(description):
        motion = _rod_motion(travel, rod)
        if motion is None:
            continue
        force = link_force_for_pad_n(travel.solution, foot, travel.geometry.pad_radius_mm)
        pushed = motion.reversal_measure < 0.0
        if isinstance(travel.solution, BellCrankMotion) and rod == ADJUSTED:
            with np.errstate(divide="ignore", invalid="ignore"):
                force = force / travel.solution.quantities()["first_rod_force_share"]
            pushed = motion.reversal_measure * travel.solution.first.ratio < 0.0
        felt = np.where(np.isfinite(force), force, 0.0)
        at = int(np.argmax(felt))
        if felt[at] > 0.0:
            buckling = _buckling_n(description, rod, float(motion.linkage.rod_length_mm))
            yield JamLoad(
                rod, foot, float(felt[at]), float(travel.pad_travel_mm[at]), bool(pushed[at]), buckling
            )  # fmt: skip


def _buckling_n(description: Description, rod: str, length_mm: float) -> float:
    diameter = described_rods(description)[rod].diameter
    return euler_buckling_n(diameter.low, length_mm) if diameter is not None else float("nan")


def bolt_holds_n(end: RodEnd) -> float:
    """Load square to a bolt held on one side that begins to bend it; nan where its measures are not described. [N]"""
    if end.bolt_diameter is None or end.overhang is None:
        return float("nan")
    return bolt_bends_n(end.bolt_diameter.low, end.overhang.high)


def bracket_give(description: Description, travel: Travel, returns: ReturnStudy | None) -> BracketGive | None:
    """What a bracket that gives takes of the sweep; None where the module's own pedal is kept."""
    form = description.conversion.linkage
    arm = float(np.abs(travel.solution.lever_arm_mm[-1])) if travel.geometry.linkage.can_part else 0.0
    if form is None or not isinstance(form.module, ModulePlace) or not arm > 0.0 or not np.isfinite(arm):
        return None
    force = float(np.abs(returns.link_force_n[-1])) if returns is not None else float("nan")
    stiffness = form.module.bracket_stiffness
    return BracketGive(1.0 / arm, force, force / stiffness.low if stiffness is not None else float("nan"))


def _rod_motion(travel: Travel, rod: str) -> RodSolution | None:
    solution = travel.solution
    if isinstance(solution, BellCrankMotion):
        return solution.first if rod == FIRST else solution.second
    return solution if isinstance(solution, RodSolution) else None
