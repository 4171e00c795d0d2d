"""What the ends of a rod, the lever and the rod itself must bear over the travel, as far as it is described."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description
from conversion.description.linkage_forms import BellCrankLinkageForm, Rod, RodEnd, RodLinkageForm
from conversion.linkage import (
    BellCrankMotion,
    RodSolution,
    euler_buckling_n,
    link_force_for_pad_n,
    misalignment_rad,
    setting_range,
)
from conversion.linkage.returns import ReturnStudy
from conversion.linkage.turning import Array
from conversion.plan.geometry import Geometry
from conversion.plan.travel import Travel
from conversion.quantities import Quantity

FULL_FOOT_N = 800.0
"""Pull of a whole leg on a pedal: MIL-STD-1472, greatest resistance for total leg movement (from memory)."""


@dataclass(frozen=True)
class RodEndLean:
    """How a ball joint of the described rod leans over the travel.

    Attributes:
        key: ``pedal_end`` or ``lever_end``.
        lean_rad: From square to its bolt, (positions,). [rad]
        limit: How far it may lean; None where that is not described.
    """

    key: str
    lean_rad: Array
    limit: Quantity | None


@dataclass(frozen=True)
class JamLoad:
    """Push in the described rod with a foot on the pad and a lever that does not give.

    Attributes:
        pad_force_n: Of the foot. [N]
        rod_n: In the rod where it is greatest. [N]
        pad_travel_mm: Where that is. [mm]
        buckling_n: At which a straight rod of its diameter buckles. [N]
    """

    pad_force_n: float
    rod_n: float
    pad_travel_mm: float
    buckling_n: float


def described_rod(description: Description) -> Rod | None:
    """The rod that the description has; of two rods the second."""
    form = description.conversion.linkage
    return form.rod if isinstance(form, RodLinkageForm | BellCrankLinkageForm) else None


def rod_ends(description: Description, travel: Travel) -> tuple[RodEndLean, ...]:
    """The described ball joints of the rod over the travel; of two rods those of the second."""
    rod, motion = described_rod(description), _rod_motion(travel)
    if rod is None or motion is None:
        return ()
    ends: tuple[tuple[str, RodEnd | None], ...] = (("pedal_end", rod.pedal_end), ("lever_end", rod.lever_end))
    leans = misalignment_rad(motion, *(np.array(end.bolt) if end else None for _, end in ends))
    return tuple(
        RodEndLean(key, lean, end.limit)
        for (key, end), lean in zip(ends, leans, strict=True)
        if end is not None and lean is not None
    )


def needed_length_mm(geometry: Geometry) -> tuple[float, float, float] | None:
    """Length of the rod that its setting at rest asks for: as planned, least and greatest; None without a setting."""
    if geometry.set_at_rest_rad is None:
        return None
    return setting_range(geometry.linkage, geometry.tolerances, geometry.set_at_rest_rad)


def side_load_n(travel: Travel, returns: ReturnStudy) -> Array | None:
    """Force along the lever's axis that pressing puts on the lever, (positions,); None where the kind has none. [N]"""
    share = travel.solution.quantities().get("sideways_share_lever")
    return None if share is None else np.abs(returns.link_force_n) * share


def jam_load(description: Description, travel: Travel) -> JamLoad | None:
    """The push of a full foot through a jammed lever; None where the rod only pulls, or has no described diameter."""
    rod, motion = described_rod(description), _rod_motion(travel)
    if rod is None or motion is None or rod.diameter is None:
        return None
    stop = description.conversion.linkage.pedal.full_stop.load  # type: ignore[union-attr]
    foot = stop.nominal if stop is not None else FULL_FOOT_N
    force = link_force_for_pad_n(travel.solution, foot, travel.geometry.pad_radius_mm)
    pushed = motion.reversal_measure < 0.0
    if isinstance(travel.solution, BellCrankMotion):
        with np.errstate(divide="ignore", invalid="ignore"):
            force = force / travel.solution.quantities()["first_rod_force_share"]
        pushed = motion.reversal_measure * travel.solution.first.ratio < 0.0
    felt = np.where(pushed & np.isfinite(force), force, 0.0)
    at = int(np.argmax(felt))
    if felt[at] <= 0.0:
        return None
    length = float(motion.linkage.rod_length_mm)
    return JamLoad(
        foot, float(felt[at]), float(travel.pad_travel_mm[at]), euler_buckling_n(rod.diameter.nominal, length)
    )


def _rod_motion(travel: Travel) -> RodSolution | None:
    solution = travel.solution
    if isinstance(solution, BellCrankMotion):
        return solution.second
    return solution if isinstance(solution, RodSolution) else None
