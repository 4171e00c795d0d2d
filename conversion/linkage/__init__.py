"""From pedal to lever: where the module's lever stands, and what brings both back."""

from __future__ import annotations

from conversion.linkage.band import LeverBand, lever_band, setting_range
from conversion.linkage.bell_crank import BellCrankLinkage, BellCrankMotion
from conversion.linkage.cable import CableLinkage
from conversion.linkage.cable_motion import CableMotion
from conversion.linkage.coil import SPRING_STEEL_N_PER_MM2, STAINLESS_N_PER_MM2, coil_spring_rate_n_per_mm
from conversion.linkage.contact import ContactLinkage
from conversion.linkage.contact_motion import ContactMotion
from conversion.linkage.direct import DirectLinkage, DirectMotion
from conversion.linkage.events import Event, find_events
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.kinds import Linkage, Motion, stacked
from conversion.linkage.motion import RodSolution, transmission_rad
from conversion.linkage.return_time import return_time_s, uniform_arm_inertia_kgm2
from conversion.linkage.returns import ReturnCase, ReturnStudy, return_study
from conversion.linkage.rod import swapped
from conversion.linkage.rod_ends import (
    bolt_bends_n,
    euler_buckling_n,
    link_force_for_pad_n,
    misalignment_rad,
)
from conversion.linkage.solving import adjusted_at_rest, pedal_angle_for_lever, rest_position, solve
from conversion.linkage.springs import ModuleSpring, PointSpring, Spring, TorsionSpring, Weight, module_springs
from conversion.linkage.turning import pad_radius_mm, pad_travel_mm, pedal_angle_rad, turned

__all__ = [
    "SPRING_STEEL_N_PER_MM2",
    "STAINLESS_N_PER_MM2",
    "BellCrankLinkage",
    "BellCrankMotion",
    "CableLinkage",
    "CableMotion",
    "ContactLinkage",
    "ContactMotion",
    "DirectLinkage",
    "DirectMotion",
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
    "bolt_bends_n",
    "coil_spring_rate_n_per_mm",
    "euler_buckling_n",
    "find_events",
    "lever_band",
    "link_force_for_pad_n",
    "misalignment_rad",
    "module_springs",
    "pad_radius_mm",
    "pad_travel_mm",
    "pedal_angle_for_lever",
    "pedal_angle_rad",
    "rest_position",
    "return_study",
    "return_time_s",
    "setting_range",
    "solve",
    "stacked",
    "swapped",
    "transmission_rad",
    "turned",
    "uniform_arm_inertia_kgm2",
]
