"""What is read on the finished loom: every wire from end to end, against its neighbours, and against the body."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.neighbours import Neighbours, joined_by_loom
from conversion.checklist.readings import APART, JOINED
from conversion.checklist.writer import row
from conversion.description import Terminal
from conversion.quantities import unit_of
from conversion.wiring import End, SplicePoint, Wire

_OHM = unit_of("resistance")


def continuity_rows(job: Job) -> Iterator[Row]:
    """Every wire from end to end, by tag."""
    for wire in job.plan.wiring.wires:
        yield row(f"{wire.tag} ({wire.colour}), {_ends(job, wire)}", JOINED, _OHM, ("continuity", wire.tag))


def _ends(job: Job, wire: Wire) -> str:
    """The terminals to read between. A splice is sealed, so the far end of another of its wires stands for it."""
    start, end = wire.start, wire.end
    if isinstance(start, SplicePoint) and isinstance(end, SplicePoint):
        return f"splice {start.name} to splice {end.name}, before they are sealed"
    if isinstance(end, SplicePoint):
        start, end = end, start
    if not isinstance(start, SplicePoint):
        return f"{start.name} to {end.name}"
    far = [_far(other, start) for other in job.plan.wiring.at(start) if other is not wire]
    reached = next((each for each in far if isinstance(each, Terminal)), None)
    if reached is None:
        return f"splice {start.name}, before it is sealed, to {end.name}"
    return f"{reached.name} through splice {start.name} to {end.name}"


def _far(wire: Wire, end: End) -> End:
    return wire.end if wire.start == end else wire.start


def isolation_rows(job: Job) -> Iterator[Row]:
    """Every terminal against the neighbours that the loom does not join to it; each pair stands once."""
    pieces = joined_by_loom(job.plan.wiring)
    neighbours = Neighbours(job.description)
    done: set[frozenset[Terminal]] = set()
    for wire in job.plan.wiring.wires:
        for end in (wire.start, wire.end):
            if isinstance(end, Terminal):
                # A place without a wire is no piece of the loom, and cannot be read.
                near = [each for each in neighbours.of(end) if pieces.get(each, pieces[end]) != pieces[end]]
                apart = [each for each in near if frozenset((each, end)) not in done]
                done.update(frozenset((each, end)) for each in apart)
                if apart:
                    names = ", ".join(each.name for each in apart)
                    yield row(f"{wire.tag} at {end.name}: against {names}", APART, _OHM, ("isolation", end.name))


def body_rows(job: Job) -> Iterator[Row]:
    """Every piece of the fitted loom against the body; each ground wire from its far end."""
    wires = job.plan.wiring.wires
    pieces = joined_by_loom(job.plan.wiring)
    grounded = {pieces[wire.start] for wire in wires if wire.group == "ground"}
    together: dict[int, list[Wire]] = {}
    for wire in wires:
        if pieces[wire.start] not in grounded:
            together.setdefault(pieces[wire.start], []).append(wire)
        else:
            end = wire.end if isinstance(wire.end, Terminal) else wire.start
            yield row(f"{wire.tag} at {end.name}: to the body", JOINED, _OHM, ("body", end.name))
    for piece in together.values():
        ends = [end for wire in piece for end in (wire.start, wire.end) if isinstance(end, Terminal)]
        at = ends[0].name if ends else "a splice"
        yield row(f"{' + '.join(wire.tag for wire in piece)} at {at}: to the body", APART, _OHM, ("body", at))
