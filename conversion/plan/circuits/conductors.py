"""The pieces of metal that the loom is made of: wires that terminals and splices join are one conductor."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import networkx

from conversion.description import Description, Terminal
from conversion.description.roles import group_of
from conversion.wiring import End, SplicePoint, Wire, Wiring

if TYPE_CHECKING:
    from conversion.sensing import Sensor

Potential = Literal["chassis", "battery"]

_GROUPS: dict[str, tuple[Potential, ...]] = {
    "ground": ("chassis",), "screen": ("chassis",), "feed": ("battery",), "source": ("battery",),
    "switch": ("battery",),
    # Driven to either side, or closed and open, or not known.
    "motor": ("chassis", "battery"), "lamp": ("chassis", "battery"), "relay": ("chassis", "battery"),
    "contact": ("chassis", "battery"), "other": ("chassis", "battery"),
}  # fmt: skip
"""What a conductor of a group may carry at its worst."""


@dataclass(frozen=True)
class Conductor:
    """Wires that are electrically one once the loom is made.

    Attributes:
        wires: In building order.
        terminals: The contacts that they end in.
        splices: The splices that join them.
        roles: What its terminals and wires are for.
    """

    wires: tuple[Wire, ...]
    terminals: tuple[Terminal, ...]
    splices: tuple[SplicePoint, ...]
    roles: tuple[str, ...]

    @property
    def tags(self) -> tuple[str, ...]:
        """Tags of its wires."""
        return tuple(wire.tag for wire in self.wires)

    @property
    def words(self) -> str:
        """Its wires in one word, such as ``W4`` or ``W4+W5``."""
        return "+".join(self.tags)

    def tracks(self, sensor: Sensor) -> tuple[str, ...]:
        """Tracks of a sensor that it serves."""
        found = (role.split(".") for role in self.roles if is_sensing(role))
        return tuple(dict.fromkeys(words[1] for words in found if words[0] == sensor))

    def serves(self, sensor: Sensor, what: str) -> tuple[str, ...]:
        """Tracks of a sensor whose ``supply``, ``ground`` or ``signal`` it is."""
        return tuple(track for track in self.tracks(sensor) if f"{sensor}.{track}.{what}" in self.roles)

    @property
    def is_sensing(self) -> bool:
        """Whether it belongs to a track of the pedal or of the throttle."""
        return any(is_sensing(role) for role in self.roles)

    @property
    def is_grounded(self) -> bool:
        """Whether it is joined to the body of the car."""
        return any(group_of(role) == "ground" for role in self.roles)

    @property
    def potentials(self) -> tuple[Potential, ...]:
        """What it may carry at its worst, where it is no sensor's conductor."""
        return tuple(dict.fromkeys(p for role in self.roles for p in _GROUPS.get(group_of(role), ())))


def is_sensing(role: str) -> bool:
    """Whether a role is that of a track."""
    return group_of(role).startswith("sensor ")


def find_conductors(description: Description, wiring: Wiring) -> tuple[Conductor, ...]:
    """Every conductor of the loom, in the order of its first wire."""
    graph: networkx.Graph = networkx.Graph()
    order: dict[End, None] = {}
    for wire in wiring.wires:
        graph.add_edge(wire.start, wire.end)
        order.update({wire.start: None, wire.end: None})
    number = {end: index for index, piece in enumerate(networkx.connected_components(graph)) for end in piece}
    ends: dict[int, list[End]] = {}
    wires: dict[int, list[Wire]] = {}
    for end in order:
        ends.setdefault(number[end], []).append(end)
    for wire in wiring.wires:
        wires.setdefault(number[wire.start], []).append(wire)
    roles_of = {
        terminal: tuple(form.roles)
        for reference in description.parts
        for terminal, form in description.terminals(reference)
    }
    return tuple(_conductor(wires[piece], ends[piece], roles_of) for piece in wires)


def _conductor(wires: list[Wire], ends: list[End], roles_of: dict[Terminal, tuple[str, ...]]) -> Conductor:
    terminals = tuple(end for end in ends if isinstance(end, Terminal))
    roles = [role for wire in wires for role in wire.roles]
    roles += [role for terminal in terminals for role in roles_of.get(terminal, ())]
    splices = tuple(end for end in ends if isinstance(end, SplicePoint))
    return Conductor(tuple(wires), terminals, splices, tuple(dict.fromkeys(roles)))
