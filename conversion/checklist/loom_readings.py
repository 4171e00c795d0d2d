"""What is read on the finished loom: every wire from end to end, against its neighbours, and against the body."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.checklist.job import Job
from conversion.checklist.model import Row
from conversion.checklist.readings import APART, JOINED
from conversion.checklist.saying import Limited
from conversion.checklist.writer import row
from conversion.description import Terminal
from conversion.plan.loom.neighbours import joined_by_loom
from conversion.plan.loom.tables.continuity import Conducts, must_conduct, must_not_conduct
from conversion.quantities import show, unit_of
from conversion.wiring import Wire

_OHM = unit_of("resistance")


def continuity_rows(job: Job) -> Iterator[Row]:
    """Every wire from end to end, by tag."""
    for each in must_conduct(job.plan):
        wire = each.wire
        yield row(f"{wire.tag} ({wire.colour}), {_ends(each)}", _expected(each), _OHM, ("continuity", wire.tag))


def _expected(each: Conducts) -> Limited:
    return Limited(f"below {show(each.most_ohm, 'resistance')}", 0.0, each.most_ohm, "resistance")


def _ends(each: Conducts) -> str:
    """The contacts to read between, and the splice on the way."""
    if each.start == each.wire.start and each.end == each.wire.end and not each.through:
        return f"{each.start.name} to {each.end.name}"
    if isinstance(each.end, Terminal) and isinstance(each.start, Terminal):
        return f"{each.start.name} through splice {each.through} to {each.end.name}"
    if isinstance(each.end, Terminal):
        return f"splice {each.start.name}, before it is sealed, to {each.end.name}"
    return f"splice {each.start.name} to splice {each.end.name}, before they are sealed"


def isolation_rows(job: Job) -> Iterator[Row]:
    """Every terminal against the neighbours that the loom does not join to it; each pair stands once."""
    for each in must_not_conduct(job.plan):
        names = ", ".join(other.name for other in each.against)
        key = ("isolation", each.at.name)
        yield row(f"{each.wire.tag} at {each.at.name}: against {names}", APART, _OHM, key)


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
