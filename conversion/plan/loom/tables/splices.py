"""The splices: which wires meet on which side, what goes over them, and why each lies where it does."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.loom import SplicePlace
from conversion.loom.lengths import SPLICE_STRIP_MM
from conversion.plan.loom.shrink import Tube, splice_tube
from conversion.wiring import SplicePoint, Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan


@dataclass(frozen=True)
class Side:
    """Wires that leave a splice the same way.

    Attributes:
        toward: The run that they take; None where they end at devices of the same station.
        wires: In building order.
    """

    toward: str | None
    wires: tuple[Wire, ...]

    @property
    def size_mm2(self) -> float:
        """Of all its wires together. [mm²]"""
        return sum(wire.size_mm2 for wire in self.wires)


@dataclass(frozen=True)
class SpliceRow:
    """One splice.

    Attributes:
        name: As described.
        station: Where it lies; empty where no station will do.
        one_side: The wires that enter the barrel from one end, those that leave the same way together.
        other_side: Those that enter it from the other end, so that both have about the same copper; empty where all
            wires leave the same way.
        strip_mm: Insulation taken off each wire. [mm]
        tube: What is shrunk over it; None where no tube is large enough.
        place: What it costs here and elsewhere.
    """

    name: str
    station: str
    one_side: tuple[Side, ...]
    other_side: tuple[Side, ...]
    strip_mm: float
    tube: Tube | None
    place: SplicePlace

    @property
    def wires(self) -> tuple[Wire, ...]:
        """All that meet."""
        return tuple(wire for side in (*self.one_side, *self.other_side) for wire in side.wires)

    @property
    def size_mm2(self) -> float:
        """Of all its wires together, as the barrel sees them. [mm²]"""
        return sum(wire.size_mm2 for wire in self.wires)


def splice_rows(plan: Plan) -> Iterator[SpliceRow]:
    """Every splice with a wire, by name."""
    points: dict[str, SplicePoint] = {}
    for wire in plan.wiring.wires:
        points.update({end.name: end for end in (wire.start, wire.end) if isinstance(end, SplicePoint)})
    for name, point in sorted(points.items()):
        sides: dict[str | None, list[Wire]] = {}
        for wire in plan.wiring.at(point):
            sides.setdefault(_first_run(plan, wire, point), []).append(wire)
        one, other = _shared_out([Side(run, tuple(wires)) for run, wires in sides.items()])
        tube = splice_tube([[wire for side in group for wire in side.wires] for group in (one, other)])
        yield SpliceRow(name, point.station, one, other, SPLICE_STRIP_MM, tube, plan.splice_places[name])


def _shared_out(sides: list[Side]) -> tuple[tuple[Side, ...], tuple[Side, ...]]:
    """The thickest first, each to the end of the barrel that has less copper."""
    one: list[Side] = []
    other: list[Side] = []
    for side in sorted(sides, key=lambda each: (-each.size_mm2, each.toward or "")):
        lighter = other if sum(each.size_mm2 for each in other) < sum(each.size_mm2 for each in one) else one
        lighter.append(side)
    return tuple(one), tuple(other)


def _first_run(plan: Plan, wire: Wire, point: SplicePoint) -> str | None:
    route = plan.routes[wire.tag]
    if not route.runs:
        return None
    return route.runs[0] if wire.start == point else route.runs[-1]
