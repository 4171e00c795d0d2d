"""Both ends of every wire: the contact, how far it is stripped, its seal, and what closes the places without one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.description import Description, Terminal
from conversion.description.parts import CavityForm, GroundPoint, Supply
from conversion.description.parts.ends import CrimpContact
from conversion.description.run_forms import Zone
from conversion.loom.allowed import station_zones
from conversion.loom.lengths import contact_at, strip_length_mm
from conversion.quantities import show
from conversion.wiring import Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

MAKER = "as its maker states"
"""Stands where a figure of a contact is not described."""


@dataclass(frozen=True)
class Termination:
    """A terminal with the wires that end in it.

    Attributes:
        terminal: Where it sits.
        form: What is described of its place.
        contact: Its crimp contact; None where none is described.
        wires: All that end in it, in building order.
        strip_mm: Insulation taken off. [mm]
        sealed: Whether its housing keeps water out.
        bolted: Whether it is no place of a housing but a bolt or a clamp, where each wire has a contact of its own.
    """

    terminal: Terminal
    form: CavityForm
    contact: CrimpContact | None
    wires: tuple[Wire, ...]
    strip_mm: float
    sealed: bool
    bolted: bool

    @property
    def crimps(self) -> tuple[tuple[Wire, ...], ...]:
        """The wires of each crimp that is made."""
        return tuple((wire,) for wire in self.wires) if self.bolted else (self.wires,)

    def crimped_mm2(self, wire: Wire) -> float:
        """Conductor in the crimp that a wire is in. [mm²]"""
        return wire.size_mm2 if self.bolted else sum(each.size_mm2 for each in self.wires)

    @property
    def sizes_mm2(self) -> tuple[float, ...]:
        """Conductor in each crimp, each size once, the thinnest first. [mm²]"""
        return tuple(sorted({self.crimped_mm2(wire) for wire in self.wires}))


@dataclass(frozen=True, slots=True)
class OpenPlace:
    """A place of a housing that no wire goes into.

    Attributes:
        terminal: The place.
        sealed: Whether its housing keeps water out once every place is closed.
        plug: What closes it; None where nothing is described.
    """

    terminal: Terminal
    sealed: bool
    plug: str | None


def terminations(plan: Plan) -> Iterator[Termination]:
    """Every terminal that a wire ends in, by device and in the order of its places."""
    description = plan.description
    for device, part in description.parts.items():
        bolted = isinstance(part, GroundPoint | Supply)
        for terminal, form in description.terminals(device):
            wires = plan.wiring.at(terminal)
            if wires:
                contact, strip = contact_at(description, terminal), strip_length_mm(description, terminal)
                sealed = part.housings[terminal.housing].sealed
                yield Termination(terminal, form, contact, wires, strip, sealed, bolted)


def crimp_height_words(contact: CrimpContact | None, size_mm2: float) -> str:
    """How high a crimp has to be, as a document says it; never taken from the figures of other sizes.

    Args:
        contact: What is crimped on; None where it is not described.
        size_mm2: Conductor in the crimp. [mm²]
    """
    if contact is None or contact.crimp_height is None:
        return MAKER
    height = contact.height_on(size_mm2)
    return height.text if height else f"as its maker's sheet gives for {show(size_mm2, 'area')} (write it in)"


def open_places(description: Description) -> Iterator[OpenPlace]:
    """Every place of every housing that is meant to have no wire, by device and in the order of its face."""
    for device, part in description.parts.items():
        for name, housing in part.housings.items():
            for cavity in housing.names:
                form = housing.cavities.get(cavity)
                if form is None or form.empty or form.unused is not None:
                    terminal = description.terminal(device, name, cavity)
                    yield OpenPlace(terminal, housing.sealed, housing.plug)


def station_zones_of(description: Description) -> dict[str, Zone]:
    """What surrounds each station; empty where no loom is described."""
    loom = description.conversion.loom
    return station_zones(loom) if loom is not None else {}


def device_zones(description: Description) -> dict[str, Zone]:
    """What surrounds each device that has a station."""
    zones = station_zones_of(description)
    devices = description.conversion.devices.items()
    return {name: zones[device.station] for name, device in devices if device.station in zones}
