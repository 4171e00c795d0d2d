"""Everything that is computed from a description, once, in order, and only when asked for."""

from conversion.plan.evidence import StatedFigure
from conversion.plan.needs import NeedAnswer, engine_stops
from conversion.plan.plan import Plan
from conversion.plan.positions import travel_positions
from conversion.plan.travel import POSITIONS, Travel, TravelEvent

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
