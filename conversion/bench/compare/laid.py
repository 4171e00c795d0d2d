"""A wire with its way and its length, as one of the two looms has it."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.loom import Route, station_of
from conversion.plan import Plan
from conversion.wiring import End, Wire


@dataclass(frozen=True, slots=True)
class Laid:
    """A wire as it lies in a loom.

    Attributes:
        wire: The wire.
        route: Its way.
        cut_mm: What it is cut to; None where a length on its way is not known. [mm]
        slack_mm: What of that is laid in for new terminations, both ends together. [mm]
        retermination_mm: What one of them takes. [mm]
        start_station: Where its first end lies; None where that is not described.
        end_station: Where its other end lies.
    """

    wire: Wire
    route: Route
    cut_mm: float | None
    slack_mm: float
    retermination_mm: float
    start_station: str | None
    end_station: str | None

    @property
    def ends(self) -> tuple[End, End]:
        """Both ends."""
        return self.wire.start, self.wire.end

    def station_at(self, end: End) -> str | None:
        """Where one of the ends lies."""
        return self.start_station if end == self.wire.start else self.end_station


def laid_wires(plan: Plan) -> tuple[Laid, ...]:
    """Every wire of a plan, in building order."""
    return tuple(_laid(plan, wire) for wire in plan.wiring.wires)


def _laid(plan: Plan, wire: Wire) -> Laid:
    route = plan.routes[wire.tag]
    start, end = (station_of(plan.description, each) for each in (wire.start, wire.end))
    return Laid(wire, route, route.length_mm, 0.0, 0.0, start, end)
