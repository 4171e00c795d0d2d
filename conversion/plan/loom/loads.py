"""What every wire carries: each current followed from the supply to what takes it, and back."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from conversion.description import Description, Missing
from conversion.description.parts import Relay
from conversion.description.parts.ends import Draw
from conversion.description.roles import group_of
from conversion.plan.loom.feeding import Feeding, Way
from conversion.quantities import show
from conversion.sensing.gather import Sensor
from conversion.sensing.supply_load import track_current_a
from conversion.wiring import Wiring

SWITCH_INPUT_A = 0.1
"""What a switch's contact passes into an input of the control unit at the most. Common practice, no source."""
SIGNAL_A = 0.01
"""What a sensor's signal or a contact inside the pedal module passes at the most. Common practice, no source."""
TRACK_A = 0.02
"""What a sensor's track takes at the most where its part does not say. Common practice, no source."""
SUPPLY_V = 14.8
"""Of a battery that is being charged; taken where no supply is described. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Load:
    """One current and the wires that it takes.

    Attributes:
        name: What takes it, as a sentence names it.
        device: Reference of what takes it.
        current_a: At its greatest, while it is on; None where it is not known. [A]
        way: Its wires.
        intermittent: On for moments only.
        inrush_a: In the moment of switching on; None where there is none to speak of. [A]
        lasts_s: How long the inrush lasts; None where that is not known. [s]
        loop: The way out and back whose drop is judged; None where none is.
    """

    name: str
    device: str
    current_a: float | None
    way: Way
    intermittent: bool = False
    inrush_a: float | None = None
    lasts_s: float | None = None
    loop: Way | None = None


@dataclass(frozen=True, slots=True)
class WireLoad:
    """What one wire carries.

    Attributes:
        greatest_a: Of all known loads; of wires to parallel terminals each counts as carrying the whole, since one of
            them may have a bad contact. [A]
        steady_share_a: Of those that stay on, parallel wires sharing equally. [A]
        share_a: Of all, parallel wires sharing equally. [A]
        unknown: Loads of it whose current is not known.
    """

    greatest_a: float = 0.0
    steady_share_a: float = 0.0
    share_a: float = 0.0
    unknown: tuple[str, ...] = ()

    @property
    def current_a(self) -> float | None:
        """Greatest current; None where a part of it is not known. [A]"""
        return None if self.unknown else self.greatest_a


@dataclass(frozen=True)
class Loads:
    """All currents of a loom.

    Attributes:
        loads: What takes them.
        wires: What each wire carries, by tag.
        taken: Figures that are not described and what was taken instead, as sentences.
    """

    loads: tuple[Load, ...]
    wires: dict[str, WireLoad]
    taken: tuple[str, ...] = field(default=())


def gather_loads(description: Description, wiring: Wiring, feeding: Feeding) -> Loads:
    """The current of every wire, as far as it is known.

    All loads count as on at the same time.
    """
    taken: dict[str, None] = {}
    loads = [
        *_fed(description, feeding, taken),
        *_motor(description, feeding, wiring),
        *_sensors(description, wiring, taken),
        *_signals(description, wiring, taken),
    ]
    whole: dict[str, float] = defaultdict(float)
    steady: dict[str, float] = defaultdict(float)
    shared: dict[str, float] = defaultdict(float)
    unknown: dict[str, list[str]] = defaultdict(list)
    for load in loads:
        for tag, share in load.way.shares.items():
            if load.current_a is None:
                unknown[tag].append(load.name)
                continue
            whole[tag] += load.current_a
            shared[tag] += load.current_a * share
            steady[tag] += 0.0 if load.intermittent else load.current_a * share
    for tag in sorted(feeding.tree.beside):
        unknown[tag].append("its share of what a wire beside it carries")
    wires = {
        tag: WireLoad(whole[tag], steady[tag], shared[tag], tuple(dict.fromkeys(unknown[tag])))
        for tag in (wire.tag for wire in wiring.wires)
    }
    return Loads(tuple(loads), wires, tuple(taken))


def _fed(description: Description, feeding: Feeding, taken: dict[str, None]) -> Iterator[Load]:
    """What the devices take through their feeds."""
    unit = description.control_unit[0] if description.control_unit else None
    for device, part in description.parts.items():
        # The control unit bears the same roles, as the one that reads the contacts.
        switches = feeding.roles(device, "switch") if device != unit else ()
        if switches:
            yield from _switched(feeding, device, switches, taken)
        for role in feeding.roles(device, "feed"):
            if role not in part.draws and (role == "feed.in" or switches):
                continue
            draw = part.draws.get(role) or _coil(description, device, role)
            back = feeding.back(device)
            yield _load(f"{device} through {role}", device, draw, feeding.up(device, role).then(back))
        for role, draw in part.draws.items():
            if group_of(role) != "feed":
                way = feeding.back(device) if role == "ground.31" else _of_role(feeding, description, device, role)
                yield _load(f"{device} through {role}", device, draw, way)


def _switched(feeding: Feeding, device: str, contacts: tuple[str, ...], taken: dict[str, None]) -> Iterator[Load]:
    """What each contact of a switch passes from its feed into the control unit, feeds and contacts in their order."""
    feeds = feeding.roles(device, "feed")
    taken[f"Each contact of a switch is taken to pass {show(SWITCH_INPUT_A, 'current')} into the control unit."] = None
    for index, contact in enumerate(contacts):
        way = feeding.contact_way(device, contact)
        if feeds:
            way = feeding.up(device, feeds[min(index, len(feeds) - 1)]).then(way)
        elif feeding.terminals(device, "ground.31"):
            way = way.then(feeding.back(device))
        yield Load(f"{device} through {contact}", device, SWITCH_INPUT_A, way)


def _motor(description: Description, feeding: Feeding, wiring: Wiring) -> Iterator[Load]:
    """The throttle motor's current in its own two wires; in the feeds it is in what the control unit takes.

    It is greatest only while the plate is being moved, so that its drop is that of a load for moments.
    """
    body, unit = description.throttle_body, description.control_unit
    if body is None:
        return
    pair = [
        tuple(wire.tag for wire in wiring.of_role(role)) for role in ("throttle.motor.plus", "throttle.motor.minus")
    ]
    way = loop = _along(tag for one in pair for tag in one)
    if unit is not None:
        draws = unit[1].draws
        feeds = [role for role in feeding.roles(unit[0], "feed") if role in draws and draws[role].current is not None]
        main = max(feeds, key=lambda role: _current(draws[role]) or 0.0, default=None)
        if main is not None:
            loop = feeding.up(unit[0], main).then(way).then(feeding.back(unit[0]))
    current = body[1].motor.current
    yield Load(f"the motor of {body[0]}", body[0], current.high if current else None, way, intermittent=True, loop=loop)


def _sensors(description: Description, wiring: Wiring, taken: dict[str, None]) -> Iterator[Load]:
    """What each track takes from its supply and returns through its ground."""
    sensors: tuple[Sensor, ...] = ("pedal", "throttle")
    for sensor in sensors:
        holder = description.pedal_module if sensor == "pedal" else description.throttle_body
        for track in holder[1].tracks if holder and description.control_unit else ():
            assert holder is not None
            wires = [w for which in ("supply", "ground") for w in wiring.of_role(f"{sensor}.{track}.{which}")]
            try:
                current = track_current_a(description, sensor, track)
            except Missing:
                current = TRACK_A
                taken[
                    f"Track {track} of {holder[0]} is taken to draw {show(TRACK_A, 'current')}; its part does not say."
                ] = None
            yield Load(f"track {track} of {holder[0]}", holder[0], current, _along(wire.tag for wire in wires))


def _signals(description: Description, wiring: Wiring, taken: dict[str, None]) -> Iterator[Load]:
    """What nearly no current passes; and connections of the builder's own of which nothing is said."""
    drawn = {role for part in description.parts.values() for role in part.draws}
    for wire in wiring.wires:
        groups = {group_of(role) for role in wire.roles}
        if groups & {"sensor signal", "contact"}:
            taken[f"A signal is taken to carry at most {show(SIGNAL_A, 'current')}."] = None
            yield Load("a signal", "", SIGNAL_A, _along([wire.tag]))
        strangers = [role for role in wire.roles if group_of(role) == "other" and role not in drawn]
        if strangers:
            yield Load(f"what is drawn through {strangers[0]}", "", None, _along([wire.tag]))


def _of_role(feeding: Feeding, description: Description, device: str, role: str) -> Way:
    """From a device's own connection to every other device that has it."""
    way = Way()
    for own in feeding.terminals(device, role):
        for other in description.parts:
            for end in feeding.terminals(other, role) if other != device else ():
                way = way.then(_along(feeding.tree.between(own, end)))
    return way


def _along(tags: Iterable[str]) -> Way:
    return Way((tuple(dict.fromkeys(tags)),))


def _coil(description: Description, device: str, role: str) -> Draw | float | None:
    part = description.parts[device]
    if role != "feed.coil" or not isinstance(part, Relay) or part.coil_resistance is None:
        return None
    supply = description.conversion.vehicle.supply
    return (supply.high if supply else SUPPLY_V) / part.coil_resistance.low


def _load(name: str, device: str, draw: Draw | float | None, way: Way) -> Load:
    if not isinstance(draw, Draw):
        return Load(name, device, draw, way, loop=way)
    inrush, lasts = (draw.inrush.high if draw.inrush else None), (draw.lasts.high if draw.lasts else None)
    return Load(name, device, _current(draw), way, draw.intermittent, inrush, lasts, loop=way)


def _current(draw: Draw) -> float | None:
    return draw.current.high if draw.current is not None else None
