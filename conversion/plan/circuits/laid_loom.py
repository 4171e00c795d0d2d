"""The loom's part of a sensing circuit: wires with their resistance, contacts at their ends, splices."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from conversion.circuit import LEAST_OHM, Resistor
from conversion.description import Description, Missing, Terminal
from conversion.description.parts import SensingPart
from conversion.loom.conductors import CONTACT_OHM, conductor_ohm, contact_ohm
from conversion.plan.circuits.conductors import Conductor
from conversion.plan.circuits.parts import Element, ElementKind, TerminalNodes
from conversion.quantities import show
from conversion.wiring import End, SplicePoint, Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

CONDUCTOR_DEGC = 60.0
"""A closed car in the sun with an engine beside it. Common practice, no source."""
ALONG = "along the loom"

_WHY = "the resistance of {tag}, and so what a fault beside it does, cannot be computed"


@dataclass
class CircuitPart:
    """Resistors that are gathered for a network.

    Attributes:
        elements: Name in the network -> what it is in the car.
        terminals: The contacts.
        taken: Figures that were not described and what was taken instead.
        left_out: What could not be put in.
    """

    elements: dict[str, Element] = field(default_factory=dict)
    terminals: dict[Terminal, TerminalNodes] = field(default_factory=dict)
    taken: list[str] = field(default_factory=list)
    left_out: list[str] = field(default_factory=list)

    def add(
        self, kind: ElementKind, words: str, place: str, nodes: tuple[str, str], ohm: float, *,
        conductors: tuple[str, ...] = (), roles: tuple[str, ...] = (),
    ) -> None:  # fmt: skip
        """Put in one resistor; its words are its name."""
        held = max(ohm, LEAST_OHM)
        self.elements[words] = Element(words, kind, words, place, *nodes, held, conductors, roles)

    def resistors(self) -> Iterator[Resistor]:
        """All that does not move with a sensor."""
        return (
            Resistor(name, each.a, each.b, each.ohm) for name, each in self.elements.items() if each.kind != "track"
        )


def housing_place(terminal: Terminal) -> str:
    """Group of places that a terminal lies in."""
    return f"housing {terminal.housing} of {terminal.device}"


def end_node(wire: Wire, end: End) -> str:
    """Node at which a wire ends: at a terminal that of its crimp, in a splice one of its own."""
    return f"{wire.tag} at splice {end.name}" if isinstance(end, SplicePoint) else end.name


def lay_loom(
    plan: Plan, conductors: tuple[Conductor, ...], inside: Callable[[Terminal], str], part: CircuitPart
) -> None:
    """Put in every wire of some conductors with its contacts and splices.

    Args:
        plan: Routes and terminals.
        conductors: Those to lay.
        inside: Node of a terminal inside its device.
        part: Gets the elements.

    Raises:
        Missing: The length of a sensor's wire is not known.
    """
    end_ohm, degc = _loom_figures(plan.description, part)
    for conductor in conductors:
        for wire in conductor.wires:
            ohm = conductor_ohm(wire.size_mm2, _length_mm(plan, wire, conductor, part), degc)
            nodes = end_node(wire, wire.start), end_node(wire, wire.end)
            part.add("wire", wire.tag, ALONG, nodes, ohm, conductors=(wire.tag,), roles=wire.roles)
            for end in (wire.start, wire.end):
                if isinstance(end, SplicePoint):
                    words, place = f"{wire.tag} in splice {end.name}", f"splice {end.name}"
                    joined = end_node(wire, end), f"splice {end.name}"
                    part.add("splice", words, place, joined, end_ohm, conductors=(wire.tag,), roles=wire.roles)
        for terminal in conductor.terminals:
            _contact(plan, part, terminal, inside(terminal), end_ohm)


def _contact(plan: Plan, part: CircuitPart, terminal: Terminal, inside: str, ohm: float) -> None:
    """The contact, and the resistor that the builder puts behind it."""
    wires = plan.wiring.at(terminal)
    tags = tuple(wire.tag for wire in wires)
    roles = tuple(dict.fromkeys(role for wire in wires for role in wire.roles))
    series_ohm = _series_ohm(plan.description, terminal, roles)
    pin = f"{terminal.name} pin" if series_ohm else terminal.name
    about = {"conductors": (*tags, terminal.name), "roles": roles}
    place = housing_place(terminal)
    part.add("contact", f"contact {terminal.name}", place, (inside, pin), ohm, **about)
    if series_ohm:
        words = f"series resistor at {terminal.name}"
        part.add("resistor", words, place, (pin, terminal.name), series_ohm, **about)
    part.terminals[terminal] = TerminalNodes(inside, terminal.name)


def _series_ohm(description: Description, terminal: Terminal, roles: tuple[str, ...]) -> float:
    device = description.parts[terminal.device]
    for role in roles:
        words = role.split(".")
        if isinstance(device, SensingPart) and words[-1] == "signal" and words[1] in device.tracks:
            series = device.tracks[words[1]].series
            return series.nominal if series is not None else 0.0
    return 0.0


def _length_mm(plan: Plan, wire: Wire, conductor: Conductor, part: CircuitPart) -> float:
    route, copper_m = plan.routes[wire.tag], plan.sizes.lengths_m.get(wire.tag)
    if copper_m is not None:
        return 1000.0 * copper_m
    if not conductor.is_sensing:
        part.taken.append(f"The length of {wire.tag} is not known; it counts as nothing.")
        return 0.0
    why, description = _WHY.format(tag=wire.tag), plan.description
    loom = description.conversion.loom
    for name in route.runs:
        if loom is not None and loom.runs[name].length is None:
            description.need(None, why, "loom", "runs", name, "length")
    raise Missing(f"the way of {wire.tag}", wire.place, why, f"is not known: {route.why_none or 'no run has a length'}")


def _loom_figures(description: Description, part: CircuitPart) -> tuple[float, float]:
    """Resistance of a contact [Ω] and temperature of the conductors [°C]."""
    loom = description.conversion.loom
    temperature = loom.temperature if loom else None
    if loom is None or loom.contact_resistance is None:
        shown = f"{1e3 * CONTACT_OHM:.0f} mohm"
        part.taken.append(f"Each contact, and each wire's end in a splice, is taken as {shown}; none is described.")
    if temperature is None:
        part.taken.append(f"The wires are taken at {show(CONDUCTOR_DEGC, 'temperature')}; no temperature is described.")
    return contact_ohm(loom), CONDUCTOR_DEGC if temperature is None else temperature.nominal
