"""The plan as the checklist asks it: terminals, wires and devices by what they are for."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from conversion.checklist.saying import CannotSay, of
from conversion.description import Description, Missing, Terminal
from conversion.description.conversion import Conversion
from conversion.description.linkage_forms import LinkageForm
from conversion.description.parts import ControlUnit, PedalModule, SensingPart, ThrottleBody, Track
from conversion.plan import Plan
from conversion.quantities import Quantity, show
from conversion.rules import Finding
from conversion.sensing import Sensor
from conversion.wiring import Wire

_WHY = "what is expected cannot be said"

SENSORS: tuple[Sensor, ...] = ("pedal", "throttle")


@dataclass(frozen=True)
class Job:
    """A plan with what the rules say about it.

    Attributes:
        plan: The plan.
        findings: All findings of the rules.
    """

    plan: Plan
    findings: tuple[Finding, ...]

    @property
    def description(self) -> Description:
        """What the builder wrote."""
        return self.plan.description

    @property
    def conversion(self) -> Conversion:
        """The conversion file."""
        return self.plan.description.conversion

    @property
    def linkage(self) -> LinkageForm | None:
        """The described linkage."""
        return self.conversion.linkage

    @property
    def unit(self) -> tuple[str, ControlUnit] | None:
        """Reference and part of the control unit."""
        return self.description.control_unit

    @property
    def unit_name(self) -> str:
        """Reference of the control unit, or words for it where none is described."""
        return self.unit[0] if self.unit else "the control unit"

    @property
    def module(self) -> tuple[str, PedalModule] | None:
        """Reference and part of the pedal module."""
        return self.description.pedal_module

    @property
    def module_name(self) -> str:
        """Reference of the pedal module, or words for it where none is described."""
        return self.module[0] if self.module else "the pedal module"

    @property
    def body(self) -> tuple[str, ThrottleBody] | None:
        """Reference and part of the throttle body."""
        return self.description.throttle_body

    @property
    def body_name(self) -> str:
        """Reference of the throttle body, or words for it where none is described."""
        return self.body[0] if self.body else "the throttle body"

    def sensor(self, sensor: Sensor) -> tuple[str, SensingPart] | None:
        """The device that carries the tracks of a sensor."""
        return self.module if sensor == "pedal" else self.body

    def tracks(self, sensor: Sensor) -> dict[str, Track]:
        """The described tracks of a sensor by name; empty where no such device is described."""
        holder = self.sensor(sensor)
        return {str(name): track for name, track in holder[1].tracks.items()} if holder else {}

    def terminals_of(self, device: str, role: str) -> list[Terminal]:
        """The terminals of a device that bear a role."""
        return [terminal for terminal, form in self.description.terminals(device) if role in form.roles]

    def terminal_name(self, device: str | None, role: str) -> str:
        """Name of a device's terminal for a role, or words for it where none is described."""
        found = self.terminals_of(device, role) if device else []
        return found[0].name if found else f"{device or 'a device'}'s terminal for {role} (none is described)"

    def sharing(self, sensor: Sensor, end: str) -> list[tuple[str, ...]]:
        """Tracks whose supply, ground or signal is one conductor, together; the others by themselves."""
        groups: list[tuple[set[str], list[str]]] = []
        for name in self.tracks(sensor):
            role = f"{sensor}.{name}.{end}"
            terminals = {terminal.name for ref in self.description.parts for terminal in self.terminals_of(ref, role)}
            shared = [group for group in groups if group[0] & terminals]
            groups = [group for group in groups if group not in shared]
            names = [each for group in shared for each in group[1]]
            groups.append((terminals.union(*(group[0] for group in shared)), [*names, name]))
        return [tuple(sorted(names)) for _, names in groups]

    @cached_property
    def has_powered_tracks(self) -> bool:
        """Whether any track is of a kind that wrong power destroys."""
        return any(track.principle != "potentiometer" for s in SENSORS for track in self.tracks(s).values())

    @cached_property
    def wires_by_group(self) -> dict[str, list[Wire]]:
        """The wires of each group, in building order."""
        groups: dict[str, list[Wire]] = {}
        for wire in self.plan.wiring.wires:
            groups.setdefault(wire.group, []).append(wire)
        return groups

    def described(self, figure: Quantity | None, *path: str | int) -> Callable[[], str]:
        """How to word a figure of the conversion file that may be missing."""
        return lambda: of(self.description.need(figure, _WHY, *path))

    def part_described(self, figure: Quantity | None, device: str, *path: str | int) -> Callable[[], str]:
        """How to word a figure of a part file that may be missing."""
        return lambda: of(self.description.part_need(figure, _WHY, device, *path))

    def supply_range(self) -> Quantity:
        """On-board voltage."""
        why = "the volts of the feeds cannot be said"
        return self.description.need(self.conversion.vehicle.supply, why, "vehicle", "supply")

    def of_kind(self, *kinds: str) -> Iterator[str]:
        """References of the devices whose part is of one of the kinds, in the order written."""
        return (ref for ref, part in self.description.parts.items() if part.kind in kinds)

    def must_have_linkage(self) -> LinkageForm:
        """The described linkage.

        Raises:
            Missing: There is none.
        """
        if self.linkage is None:
            raise Missing("linkage", self.description.place(), "no linkage is described")
        return self.linkage

    def must_have_body(self) -> tuple[str, ThrottleBody]:
        """The described throttle body.

        Raises:
            CannotSay: There is none.
        """
        if self.body is None:
            raise CannotSay("no throttle body is described")
        return self.body


def wire_words(wire: Wire) -> str:
    """A wire in one line: tag, ends, colour, size, and what it is for."""
    size = show(wire.size_mm2, "area")
    return f"{wire.tag}, {wire.start.name} to {wire.end.name}, {wire.colour}, {size}: {wire.purpose}"
