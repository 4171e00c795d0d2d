"""A wire with its way and its length, as one of the two looms has it."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Terminal
from conversion.loom import Route, station_of
from conversion.loom.lengths import RETERMINATIONS
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
        twist: What it is twisted for, such as ``pedal track a``; None where it is not.
        start_station: Where its first end lies; None where that is not described.
        end_station: Where its other end lies.
    """

    wire: Wire
    route: Route
    cut_mm: float | None
    slack_mm: float
    retermination_mm: float
    twist: str | None
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
    twists = {tag: twist.name for twist in plan.twists for tag in twist.tags}
    return tuple(_laid(plan, wire, twists.get(wire.tag)) for wire in plan.wiring.wires)


def _laid(plan: Plan, wire: Wire, twist: str | None) -> Laid:
    length = plan.lengths.get(wire.tag)
    slack_mm = length.slack_mm if length else 0.0
    terminations = RETERMINATIONS * sum(isinstance(end, Terminal) for end in (wire.start, wire.end))
    return Laid(
        wire=wire,
        route=plan.routes[wire.tag],
        cut_mm=length.cut_mm if length else None,
        slack_mm=slack_mm,
        retermination_mm=slack_mm / terminations if terminations else 0.0,
        twist=twist,
        start_station=station_of(plan.description, wire.start),
        end_station=station_of(plan.description, wire.end),
    )
