"""Everything that is computed from a description, once, in order, and only when asked for."""

from conversion.plan.evidence import StatedFigure
from conversion.plan.link.positions import travel_positions
from conversion.plan.link.travel import POSITIONS, Travel, TravelEvent
from conversion.plan.needs import NeedAnswer, engine_stops
from conversion.plan.plan import Plan

__all__ = [
    "POSITIONS",
    "NeedAnswer",
    "Plan",
    "StatedFigure",
    "Travel",
    "TravelEvent",
    "engine_stops",
    "travel_positions",
]
