"""What must conduct on the finished loom and what must not: pairs of contacts, each with what a meter should read."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.description import Terminal
from conversion.loom.conductors import conductor_ohm, contact_ohm
from conversion.plan.loom.neighbours import Neighbours, joined_by_loom
from conversion.wiring import End, SplicePoint, Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

CONTINUITY_OHM = 0.5
"""A wire of a car's length reads less than this on a hand meter. Common practice, no source."""
METER_OHM = 0.2
"""What a hand meter and its leads, taken off, leave unsure. Common practice, no source."""
APART_OHM = 1e6
"""Conductors that do not touch read more than this. Common practice, no source."""


@dataclass(frozen=True)
class Conducts:
    """A wire with the two contacts between which it is read.

    Attributes:
        wire: The wire that is proved.
        start: Where one lead is held; a splice where no other wire leads out of it.
        end: Where the other lead is held.
        along: Every wire on the way, the proved one among them.
        wire_ohm: Of the wires on the way at 20 °C; None where a length is not known. [Ω]
        contacts_ohm: The most that their crimps add. [Ω]
    """

    wire: Wire
    start: End
    end: End
    along: tuple[Wire, ...]
    wire_ohm: float | None
    contacts_ohm: float

    @property
    def most_ohm(self) -> float:
        """What a hand meter may read at most; a long thin wire may read more than a short one. [Ω]"""
        return max(CONTINUITY_OHM, (self.wire_ohm or 0.0) + self.contacts_ohm + METER_OHM)

    @property
    def through(self) -> str:
        """The splice that is read through, or at; empty where none is."""
        ends = (self.wire.start, self.wire.end)
        return next((end.name for end in ends if isinstance(end, SplicePoint)), "")

    @property
    def before_sealing(self) -> bool:
        """Whether a lead is held at a splice, which can only be before that is sealed."""
        return any(isinstance(end, SplicePoint) for end in (self.start, self.end))


@dataclass(frozen=True, slots=True)
class Apart:
    """A contact and those beside it that nothing may join to it.

    Attributes:
        wire: A wire in it.
        at: Where one lead is held.
        against: Where the other lead is held, one after another.
    """

    wire: Wire
    at: Terminal
    against: tuple[Terminal, ...]


def must_conduct(plan: Plan) -> Iterator[Conducts]:
    """Every wire, in building order. What is joined by several wires is proved by proving each of them."""
    crimp_ohm = contact_ohm(plan.description.conversion.loom)
    for wire in plan.wiring.wires:
        start, end, along = _leads(plan, wire)
        ohms = [_wire_ohm(plan, each) for each in along]
        known = None if any(ohm is None for ohm in ohms) else sum(ohm for ohm in ohms if ohm is not None)
        yield Conducts(wire, start, end, along, known, 2 * len(along) * crimp_ohm)


def _wire_ohm(plan: Plan, wire: Wire) -> float | None:
    length = finished_mm(plan, wire.tag)
    return None if length is None else conductor_ohm(wire.size_mm2, length)


def finished_mm(plan: Plan, tag: str) -> float | None:
    """Length of a finished wire; None where a run on its way is not known. [mm]"""
    length = plan.lengths.get(tag)
    return None if length is None else length.finished_mm


def _leads(plan: Plan, wire: Wire) -> tuple[End, End, tuple[Wire, ...]]:
    """Where to hold the leads. A splice is sealed, so the far end of another of its wires stands for it."""
    start, end = wire.start, wire.end
    if isinstance(start, SplicePoint) and isinstance(end, SplicePoint):
        return start, end, (wire,)
    if isinstance(end, SplicePoint):
        start, end = end, start
    if not isinstance(start, SplicePoint):
        return start, end, (wire,)
    met = plan.wiring.at(start)
    at = met.index(wire)
    # Each is read with the one before it, so that no pair of leads stands twice where three wires meet.
    for other in (*met[:at][::-1], *met[at + 1 :][::-1]):
        far = other.end if other.start == start else other.start
        if isinstance(far, Terminal):
            return far, end, (other, wire)
    return start, end, (wire,)


def must_not_conduct(plan: Plan) -> Iterator[Apart]:
    """Every contact with a wire, and the neighbours that the loom does not join to it; each pair stands once."""
    pieces = joined_by_loom(plan.wiring)
    neighbours = Neighbours(plan.description)
    done: set[frozenset[Terminal]] = set()
    for wire in plan.wiring.wires:
        for end in (wire.start, wire.end):
            if isinstance(end, Terminal):
                # A place without a wire is no piece of the loom, and cannot be read.
                near = [each for each in neighbours.of(end) if pieces.get(each, pieces[end]) != pieces[end]]
                apart = tuple(each for each in near if frozenset((each, end)) not in done)
                done.update(frozenset((each, end)) for each in apart)
                if apart:
                    yield Apart(wire, end, apart)
