"""What stands for what in a sensing circuit: its elements in the loom, its nodes at the terminals, what is read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from conversion.description import Terminal
from conversion.sensing import Sensor
from conversion.sensing.track_model import Array

if TYPE_CHECKING:
    from conversion.circuit import Network

ElementKind = Literal["wire", "contact", "splice", "wiper", "track", "resistor", "input", "supply", "ground"]

GROUND = "0"
"""The control unit's own sensor ground, from which every volt is counted."""
CHASSIS = "chassis"
BATTERY = "battery positive"


@dataclass(frozen=True, slots=True)
class Element:
    """A resistor of the network as somebody finds it in the car.

    Attributes:
        name: In the network.
        kind: What it is; ``resistor`` is one that was put in, a pull or series resistor.
        words: What people call it, such as ``contact of W4 at K1.20``.
        place: Group of places, such as ``housing A of K1``.
        a: One node.
        b: The other.
        ohm: Its resistance; of a track's part, which moves, nan. [Ω]
        conductors: Tag of the wire and name of the terminal that it belongs to.
        roles: What the conductor is for.
    """

    name: str
    kind: ElementKind
    words: str
    place: str
    a: str
    b: str
    ohm: float
    conductors: tuple[str, ...]
    roles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class TerminalNodes:
    """The two sides of a contact.

    Attributes:
        inside: Node in the device.
        outside: Node where its wires end.
    """

    inside: str
    outside: str


@dataclass(frozen=True)
class SensingCircuit:
    """The circuit that one sensor is read through, the other sensor with it where it is known.

    Attributes:
        sensor: Whose movement runs through ``position``.
        position: Lever angle [rad] or opening as a share, from rest to full; (positions,).
        network: The circuit at those positions.
        elements: Every resistor of the loom, of the sensors and of the inputs, by its name in the network.
        inputs: Track -> node whose volts the control unit reads.
        full_scale_v: Track -> volts above which the converter reads no more. [V]
        supplies: Name of a sensor supply -> node inside the control unit.
        sources: Name of a sensor supply -> name of its source in the network.
        terminals: The contacts in it.
        at: Makes the network for other positions of the sensor, of all its tracks or of each; (positions,).
        taken: What was not described and what was taken instead, as sentences.
        left_out: What could not be put in for want of a figure, as sentences.
    """

    sensor: Sensor
    position: Array
    network: Network
    elements: Mapping[str, Element]
    inputs: Mapping[str, str]
    full_scale_v: Mapping[str, float]
    supplies: Mapping[str, str]
    sources: Mapping[str, str]
    terminals: Mapping[Terminal, TerminalNodes]
    at: Callable[[Array | Mapping[str, Array]], Network]
    taken: tuple[str, ...]
    left_out: tuple[str, ...]
