"""Where the conductors of two roles meet outside the parts: at a terminal, in a wire, at a splice, or through wires."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from conversion.description import Description
from conversion.wiring.wires import End, Wire, Wiring


@dataclass(frozen=True, slots=True)
class Meeting:
    """How two roles are joined.

    Attributes:
        ends: Terminals and splices that both roles have in common; empty where only other wires join them.
        wires: Wires that both roles have in common or, without a common end, those that join them, in order.
    """

    ends: tuple[End, ...]
    wires: tuple[Wire, ...]


def meeting(description: Description, wiring: Wiring, one: Iterable[str], other: Iterable[str]) -> Meeting | None:
    """The nearest way on which the conductors of some roles meet those of others; None where they never do.

    Args:
        description: The terminals and their roles.
        wiring: The wires.
        one: Roles on one side, such as ``pedal.a.ground``.
        other: Roles on the other side.

    Returns:
        What they share. Wires count as joined at every terminal and splice at which they end; what is joined
        inside a part is not seen.
    """
    starts, targets = (_ends(description, wiring, roles) for roles in (one, other))
    common = tuple(end for end in starts if end in targets)
    if common:
        shared = dict.fromkeys(wire for end in common for wire in wiring.at(end) if {wire.start, wire.end} <= {*common})
        return Meeting(common, tuple(shared))
    way = _way(wiring, starts, targets)
    return Meeting((), way) if way else None


def _ends(description: Description, wiring: Wiring, roles: Iterable[str]) -> dict[End, None]:
    """Every end of every wire of the roles, and every terminal that bears one."""
    wanted = set(roles)
    found: dict[End, None] = {}
    for role in sorted(wanted):
        for wire in wiring.of_role(role):
            found.update({wire.start: None, wire.end: None})
    for reference in description.parts:
        for terminal, form in description.terminals(reference):
            if wanted & set(form.roles):
                found[terminal] = None
    return found


def _way(wiring: Wiring, starts: dict[End, None], targets: dict[End, None]) -> tuple[Wire, ...]:
    """Fewest wires from one set of ends to the other."""
    came_by: dict[End, tuple[End, Wire] | None] = dict.fromkeys(starts)
    front = list(starts)
    while front:
        following: list[End] = []
        for end in front:
            for wire in wiring.at(end):
                far = wire.end if wire.start == end else wire.start
                if far in came_by:
                    continue
                came_by[far] = (end, wire)
                if far in targets:
                    return _walked_back(came_by, far)
                following.append(far)
        front = following
    return ()


def _walked_back(came_by: dict[End, tuple[End, Wire] | None], end: End) -> tuple[Wire, ...]:
    wires: list[Wire] = []
    step = came_by[end]
    while step is not None:
        wires.append(step[1])
        step = came_by[step[0]]
    return tuple(reversed(wires))
