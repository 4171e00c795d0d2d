"""What a wire is: two ends, what it is for, and why it is there."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cached_property

from conversion.description import Place, Terminal


@dataclass(frozen=True, slots=True)
class SplicePoint:
    """The end of a wire at a splice; the station is empty until one is found for it."""

    name: str
    station: str


End = Terminal | SplicePoint


@dataclass(frozen=True, slots=True)
class Wire:
    """One conductor of the loom.

    Attributes:
        tag: ``W1``, ``W2`` ... in building order.
        start: The end at the control unit, the feeding device, the ground point or a splice.
        end: The other end.
        roles: What it is for; several where one terminal serves several roles.
        group: The group of its first role.
        purpose: One line for documents.
        colour: Colour codes of IEC 60757.
        size_mm2: Conductor cross-section. [mm²]
        size_said: True when the description gives the size, False when it is that of habit or one that was chosen.
        reason: Why it differs from what the roles give; None if it does not.
        place: Where in the description it was asked for.
        via: Stations that its way must pass.
    """

    tag: str
    start: End
    end: End
    roles: tuple[str, ...]
    group: str
    purpose: str
    colour: str
    size_mm2: float
    size_said: bool
    reason: str | None
    place: Place
    via: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Loose:
    """A terminal whose role found no partner.

    Attributes:
        terminal: The terminal.
        role: The role that should be wired.
        why: What is missing, as the end of a sentence.
        place: Where the mend belongs in the description.
    """

    terminal: Terminal
    role: str
    why: str
    place: Place


@dataclass(frozen=True)
class Wiring:
    """All wires of a conversion and what could not be wired.

    Attributes:
        wires: In building order.
        loose: Terminals that should have a wire and have none.
        left_out: Role and reason of each wire that the description leaves out.
        nets: Every role's terminals that are electrically one, in order of the roles.
    """

    wires: tuple[Wire, ...]
    loose: tuple[Loose, ...]
    left_out: tuple[tuple[str, str], ...]
    nets: dict[str, tuple[Terminal, ...]] = field(repr=False)

    @cached_property
    def _by_end(self) -> dict[End, list[Wire]]:
        index: dict[End, list[Wire]] = defaultdict(list)
        for wire in self.wires:
            index[wire.start].append(wire)
            index[wire.end].append(wire)
        return index

    @cached_property
    def _by_role(self) -> dict[str, list[Wire]]:
        index: dict[str, list[Wire]] = defaultdict(list)
        for wire in self.wires:
            for role in wire.roles:
                index[role].append(wire)
        return index

    def at(self, end: End) -> tuple[Wire, ...]:
        """The wires that end at a terminal or at a splice, in building order."""
        return tuple(self._by_end.get(end, ()))

    def of_role(self, role: str) -> tuple[Wire, ...]:
        """The wires that serve a role, in building order."""
        return tuple(self._by_role.get(role, ()))
