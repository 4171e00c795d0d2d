"""From pedal to lever: where the module's lever stands, and what brings both back."""

from __future__ import annotations

from conversion.linkage.band import LeverBand, lever_band
from conversion.linkage.events import Event, find_events
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.kinds import Linkage, Motion, stacked
from conversion.linkage.motion import RodSolution, transmission_rad
from conversion.linkage.returns import ReturnCase, ReturnStudy, return_study
from conversion.linkage.rod import swapped
from conversion.linkage.solving import adjusted_at_rest, pedal_angle_for_lever, rest_position, solve
from conversion.linkage.springs import ModuleSpring, PointSpring, Spring, TorsionSpring, Weight, module_springs
from conversion.linkage.turning import pad_radius_mm, pad_travel_mm, pedal_angle_rad, turned

__all__ = [
    "Event",
    "LeverBand",
    "Linkage",
    "ModuleSpring",
    "Motion",
    "PointSpring",
    "ReturnCase",
    "ReturnStudy",
    "RodLinkage",
    "RodSolution",
    "Spring",
    "TorsionSpring",
    "Weight",
    "adjusted_at_rest",
    "find_events",
    "lever_band",
    "module_springs",
    "pad_radius_mm",
    "pad_travel_mm",
    "pedal_angle_for_lever",
    "pedal_angle_rad",
    "rest_position",
    "return_study",
    "solve",
    "stacked",
    "swapped",
    "transmission_rad",
    "turned",
]
