"""The description as the rest of the program sees it: typed values, and the place of each in the builder's files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar

from conversion.description.complaints import Place, dotted
from conversion.description.conversion import Conversion
from conversion.description.parts import AnyPart, CavityForm, ControlUnit, Part, PedalModule, ThrottleBody
from conversion.description.record_forms import Records
from conversion.description.wired_forms import AsWired
from conversion.description.yaml_text import Tree
from conversion.quantities import Quantity

Step = str | int
PartType = TypeVar("PartType", bound=Part)


@dataclass(frozen=True, slots=True)
class Source:
    """One file that was read."""

    name: str
    tree: Tree

    def place(self, *path: Step) -> Place:
        """Where a value stands; of a value that is not written, where the mapping around it stands."""
        for length in range(len(path), -1, -1):
            place = self.tree.key_places.get(path[:length]) or self.tree.places.get(path[:length])
            if place is not None:
                return place
        return Place(self.name, 1, 1)


_UNKNOWN = "is not known"


class Missing(Exception):
    """A computation rests on a figure that the builder does not know yet.

    Attributes:
        path: The figure's dotted path in its file.
        place: Where it stands, or where it should stand.
        why: What cannot be computed without it.
        state: What is the matter with it, to follow the path in a sentence.
    """

    def __init__(self, path: str, place: Place, why: str, state: str = _UNKNOWN) -> None:
        super().__init__(f"{path} {state}; {why}")
        self.path = path
        self.place = place
        self.why = why
        self.state = state

    @property
    def is_unknown(self) -> bool:
        """Whether a figure is lacking, and not something else in its way."""
        return self.state == _UNKNOWN


@dataclass(frozen=True, slots=True)
class Terminal:
    """One contact of a device."""

    device: str
    housing: str
    cavity: str
    name: str
    """As documents write it: ``K1.12``, or ``K1.A.12`` where the part has several housings."""


@dataclass(frozen=True)
class Description:
    """A conversion with its parts.

    Attributes:
        conversion: The conversion file's values.
        parts: The part of each device, by reference.
        source: The conversion file as it was read.
        part_sources: The part file of each device, by reference.
        as_wired: What was really wired; None where no such list is given.
        records: What was measured on the finished conversion; None where no record is named.
    """

    conversion: Conversion
    parts: Mapping[str, AnyPart]
    source: Source
    part_sources: Mapping[str, Source]
    as_wired: AsWired | None = None
    records: Records | None = None

    def place(self, *path: Step) -> Place:
        """Where a value of the conversion file stands."""
        return self.source.place(*path)

    def part_place(self, device: str, *path: Step) -> Place:
        """Where a value of a device's part file stands."""
        return self.part_sources[device].place(*path)

    def need(self, figure: Quantity | None, why: str, *path: Step) -> Quantity:
        """A figure of the conversion file, or Missing if the builder does not know it yet."""
        if figure is None:
            raise Missing(dotted(path), self.place(*path), why)
        return figure

    def part_need(self, figure: Quantity | None, why: str, device: str, *path: Step) -> Quantity:
        """A figure of a device's part, or Missing if the builder does not know it yet."""
        if figure is None:
            raise Missing(f"{device}: {dotted(path)}", self.part_place(device, *path), why)
        return figure

    def part_files(self) -> Iterator[tuple[str, AnyPart, Source]]:
        """Each part file once: the first device that uses it, the part, and the file as it was read."""
        seen: set[str] = set()
        for reference, part in self.parts.items():
            source = self.part_sources[reference]
            if source.name not in seen:
                seen.add(source.name)
                yield reference, part, source

    def devices_of(self, kind: type[PartType]) -> dict[str, PartType]:
        """The devices whose part is of a kind, by reference, in the order written."""
        return {ref: part for ref, part in self.parts.items() if isinstance(part, kind)}

    @property
    def control_unit(self) -> tuple[str, ControlUnit] | None:
        """Reference and part of the control unit."""
        return next(iter(self.devices_of(ControlUnit).items()), None)

    @property
    def throttle_body(self) -> tuple[str, ThrottleBody] | None:
        """Reference and part of the throttle body."""
        return next(iter(self.devices_of(ThrottleBody).items()), None)

    @property
    def pedal_module(self) -> tuple[str, PedalModule] | None:
        """Reference and part of the pedal module."""
        return next(iter(self.devices_of(PedalModule).items()), None)

    def terminal(self, device: str, housing: str, cavity: str) -> Terminal:
        """The terminal in a place of a device's housing."""
        single = len(self.parts[device].housings) == 1
        name = f"{device}.{cavity}" if single else f"{device}.{housing}.{cavity}"
        return Terminal(device, housing, cavity, name)

    def terminals(self, device: str) -> Iterator[tuple[Terminal, CavityForm]]:
        """Every described terminal of a device with its form, empty places left out."""
        for housing, cavity, form in self.parts[device].cavities():
            if not form.empty:
                yield self.terminal(device, housing, cavity), form

    def find_terminal(self, name: str) -> Terminal | None:
        """The terminal that a text such as ``K1.12`` or ``K1.A.12`` names; None if there is none."""
        device, _, rest = name.partition(".")
        if device not in self.parts or not rest:
            return None
        for terminal, _form in self.terminals(device):
            if name in (terminal.name, f"{device}.{terminal.housing}.{terminal.cavity}"):
                return terminal
        return None

    def find_place(self, name: str) -> Terminal | None:
        """The same for any place of a housing, whether or not a terminal is described in it."""
        return self._places.get(name)

    @cached_property
    def _places(self) -> dict[str, Terminal]:
        """Every place of every housing by each of its names."""
        found: dict[str, Terminal] = {}
        for device, part in self.parts.items():
            for housing, form in part.housings.items():
                for cavity in form.names:
                    place = self.terminal(device, housing, cavity)
                    found[f"{device}.{housing}.{cavity}"] = place
                    # Where one name is two places, the shorter way of writing it counts.
                    found[place.name] = place
        return found
