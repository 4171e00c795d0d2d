"""The cut list: wire by wire in the order in which the drums are taken up, and what is needed of each drum."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.loom.lengths import Length, WireTotal
from conversion.wiring import Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan


@dataclass(frozen=True)
class Drum:
    """Wires that are cut from one size and colour.

    Attributes:
        total: What is needed of it.
        wires: With their lengths, the longest first; a length is None where a run on the way is not known.
    """

    total: WireTotal
    wires: tuple[tuple[Wire, Length | None], ...]


def cut_list(plan: Plan) -> tuple[Drum, ...]:
    """Every wire once, by size and then by colour; the longest first, so that a mistake can still be cut shorter."""
    found = []
    for total in plan.wire_totals:
        kind = (total.size_mm2, total.colour)
        wires = [wire for wire in plan.wiring.wires if (wire.size_mm2, wire.colour) == kind]
        cut = [(wire, plan.lengths.get(wire.tag)) for wire in wires]
        cut.sort(key=lambda each: -each[1].cut_mm if each[1] is not None else 0.0)
        found.append(Drum(total, tuple(cut)))
    return tuple(found)
