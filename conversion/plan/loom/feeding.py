"""The wires from a device back to its supply: those that feed it, and those that its current returns through."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Description, Terminal
from conversion.description.parts import Fuse, Supply
from conversion.description.roles import group_of
from conversion.plan.loom.wire_tree import WireTree
from conversion.wiring import Wiring
from conversion.wiring.feeds import feeding_device

_LOW_SIDE = ("lamp", "relay")
"""Groups of roles through which a device without a ground of its own is switched by the control unit."""


@dataclass(frozen=True, slots=True)
class Way:
    """Wires that a current takes.

    Attributes:
        parallel: Tags from end to end, in order: one way, or several where a device has several terminals for a role.
    """

    parallel: tuple[tuple[str, ...], ...] = ((),)

    @property
    def every(self) -> tuple[str, ...]:
        """Tags of all wires of it."""
        return tuple(dict.fromkeys(tag for way in self.parallel for tag in way))

    @property
    def shares(self) -> dict[str, float]:
        """What part of the current each wire takes while all contacts are sound."""
        each = 1.0 / len(self.parallel)
        found: dict[str, float] = dict.fromkeys(self.every, 0.0)
        for way in self.parallel:
            for tag in way:
                found[tag] += each
        return found

    def then(self, other: Way) -> Way:
        """This way and another one after it."""
        one, two = self.parallel, other.parallel
        count = max(len(one), len(two))
        joined = (dict.fromkeys((*one[i % len(one)], *two[i % len(two)])) for i in range(count))
        return Way(tuple(tuple(tags) for tags in joined))


class Feeding:
    """Follows feeds and returns through the wires of a description."""

    def __init__(self, description: Description, wiring: Wiring) -> None:
        self.description = description
        self.tree = WireTree(wiring)
        self._ups: dict[tuple[str, str], Way] = {}
        self._points = [terminal for device in description.parts for terminal in self.terminals(device, "ground.point")]
        self._supplies = [device for device, part in description.parts.items() if isinstance(part, Supply)]

    def terminals(self, device: str, role: str) -> tuple[Terminal, ...]:
        """The terminals of a device that bear a role."""
        part = self.description.parts[device]
        return tuple(self.description.terminal(device, *place) for place in part.places_of(role))

    def roles(self, device: str, *groups: str) -> tuple[str, ...]:
        """The roles of a device that belong to some groups, in order of its terminals."""
        cavities = self.description.parts[device].cavities()
        return tuple(dict.fromkeys(role for *_, form in cavities for role in form.roles if group_of(role) in groups))

    def leg(self, device: str, role: str) -> tuple[str | None, Way]:
        """The device that feeds a role of a device, and the wires from it."""
        source = feeding_device(self.description, device, role)
        outlets = self.terminals(source, "feed.out") if source is not None else ()
        if not outlets:
            return None, Way()
        return source, self._parallel(self.terminals(device, role), outlets[0])

    def up(self, device: str, role: str) -> Way:
        """The wires that feed a role of a device, from the device back to the supply."""
        key = device, role
        if key not in self._ups:
            self._ups[key] = Way()  # what feeds itself ends here
            source, way = self.leg(device, role)
            if source is not None and self.terminals(source, "feed.in"):
                way = way.then(self.up(source, "feed.in"))
            self._ups[key] = way
        return self._ups[key]

    def fuse_above(self, device: str | None) -> str | None:
        """The nearest fuse that what a device feeds has passed, the device itself included."""
        seen: set[str] = set()
        while device is not None and device not in seen:
            if isinstance(self.description.parts[device], Fuse):
                return device
            seen.add(device)
            device = feeding_device(self.description, device, "feed.in")
        return None

    def back(self, device: str) -> Way:
        """The wires that the current of a device returns through to the supply.

        A device without a ground returns through the control unit that switches it.
        """
        grounds = self.terminals(device, "ground.31")
        if not grounds:
            return self._through_unit(device)
        return Way(tuple(self.to_supply(ground) for ground in grounds))

    def to_supply(self, ground: Terminal) -> tuple[str, ...]:
        """The wires from a ground terminal to the supply; where the body lies between, those on both sides of it."""
        supply = next((end for device in self._supplies for end in self.terminals(device, "ground.31")), None)
        if supply is not None and self.tree.joined(ground, supply):
            return self.tree.between(ground, supply)
        return (*self._to_point(ground), *(reversed(self._to_point(supply)) if supply is not None else ()))

    def contact_way(self, device: str, role: str) -> Way:
        """The wires of a signal role from a device to the control unit, and on through the unit's ground."""
        unit = self.description.control_unit
        if unit is None or unit[0] == device or not (ends := self.terminals(unit[0], role)):
            return Way()
        return self._parallel(self.terminals(device, role), ends[0]).then(self.back(unit[0]))

    def _through_unit(self, device: str) -> Way:
        way = Way()
        for role in self.roles(device, *_LOW_SIDE):
            way = way.then(self.contact_way(device, role))
        return way

    def _to_point(self, ground: Terminal) -> tuple[str, ...]:
        point = next((each for each in self._points if self.tree.joined(ground, each)), None)
        return self.tree.between(ground, point) if point is not None else ()

    def _parallel(self, terminals: tuple[Terminal, ...], hub: Terminal) -> Way:
        return Way(tuple(self.tree.between(terminal, hub) for terminal in terminals) or ((),))
