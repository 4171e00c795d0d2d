"""From pedal to lever: where the module's lever stands, and what brings both back."""

from __future__ import annotations

from conversion.linkage.band import LeverBand, lever_band
from conversion.linkage.events import Event, find_events
from conversion.linkage.geometry import RodLinkage
from conversion.linkage.motion import RodSolution, transmission_rad
from conversion.linkage.rod import pedal_angle_for_lever, rest_position, solve, swapped
from conversion.linkage.turning import pad_radius_mm, pad_travel_mm, pedal_angle_rad, turned

__all__ = [
    "Event",
    "LeverBand",
    "RodLinkage",
    "RodSolution",
    "find_events",
    "lever_band",
    "pad_radius_mm",
    "pad_travel_mm",
    "pedal_angle_for_lever",
    "pedal_angle_rad",
    "rest_position",
    "solve",
    "swapped",
    "transmission_rad",
    "turned",
]
