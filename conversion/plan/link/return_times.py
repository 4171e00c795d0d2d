"""How long the pedal takes to come back: an estimate from its mass, with what was assumed for it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description
from conversion.linkage import return_time_s, uniform_arm_inertia_kgm2
from conversion.linkage.returns import ReturnStudy
from conversion.linkage.turning import across
from conversion.plan.link.travel import Travel
from conversion.quantities import show

ASSUMED_MASS_KG = 1.0
"""Of a pedal whose mass is not described: heavier than most, so that the time errs on the long side."""

HEAVY_KG = 4536.0
LIGHT_LIMIT_S, HEAVY_LIMIT_S, COLD_LIMIT_S = 1.0, 2.0, 3.0
"""49 CFR 571.124 S5.3 (from memory): within 1 s up to 4 536 kg of gross vehicle mass, 2 s above; 3 s for either at
−18 °C and below, where grease is stiff."""


@dataclass(frozen=True)
class ReturnTime:
    """The estimated time from full to rest, let go at once.

    Attributes:
        all_in_s: With everything in; nan where it does not come back, or a moment is unknown. [s]
        worst_s: The longest of all cases in which the pedal comes back, the lever alone left out. [s]
        worst: Name of the spring that is out in that case; ``link`` where it has parted; empty for none.
        inertia_kgm2: Of the pedal about its axis. [kg·m²]
        limit_s: What the accelerator standard allows for this car. [s]
        assumed: What was assumed, as a sentence.
    """

    all_in_s: float
    worst_s: float
    worst: str
    inertia_kgm2: float
    limit_s: float
    assumed: str

    @property
    def allowed(self) -> str:
        """What the standard allows, warm and cold, in words."""
        return f"{show(self.limit_s, 'time')}, at −18 °C and below {show(COLD_LIMIT_S, 'time')}"


def estimate_return_time(description: Description, travel: Travel, returns: ReturnStudy) -> ReturnTime:
    """The time that the pedal takes with everything in, and with one spring out or the link parted."""
    form = description.conversion.linkage
    assert form is not None, "its travel was computed"
    mass = form.pedal.mass
    mass_kg = mass.high if mass is not None else ASSUMED_MASS_KG
    arm_mm = max(travel.geometry.pad_radius_mm, _uniform_arm_mm(description, travel))
    inertia = uniform_arm_inertia_kgm2(mass_kg, arm_mm)
    times = {
        "link" if case.kind == "link-parted" else case.spring_out: return_time_s(returns, inertia, case=case)
        for case in returns.cases
        if case.half != "module"
    }
    closing = {name: time for name, time in times.items() if np.isfinite(time)}
    worst = max(closing, key=lambda name: closing[name], default="")
    limit = description.conversion.vehicle.mass
    heavy = limit is not None and limit.high > HEAVY_KG
    said = "of 1.0 kg, since its mass is not described," if mass is None else "of the described mass"
    return ReturnTime(
        times.get("", float("nan")),
        closing.get(worst, float("nan")),
        worst,
        inertia,
        HEAVY_LIMIT_S if heavy else LIGHT_LIMIT_S,
        f"the pedal {said} is taken as a uniform bar of {arm_mm:.0f} mm about its axis; the lever's and the link's own "
        "mass are left out, friction is dry and constant, nothing damps, and the foot leaves at once",
    )


def _uniform_arm_mm(description: Description, travel: Travel) -> float:
    """A uniform bar whose middle is the described centre of mass is twice as long as that lies from the axis."""
    centre = description.conversion.linkage.pedal.centre_of_mass  # type: ignore[union-attr]
    if not isinstance(centre, list) or any(figure is None for figure in centre):
        return 0.0
    linkage = travel.geometry.linkage
    at = np.array([figure.nominal for figure in centre if figure is not None])
    return 2.0 * float(np.linalg.norm(across(linkage.pedal_axis, at - linkage.pedal_pivot)))
