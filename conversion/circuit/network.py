"""What a sensing circuit is made of: elements between named nodes, at each of a number of positions."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]
Numbers = float | Array
"""One number, or one for each position: (positions,)."""

REFERENCE = "0"
"""The node from which every volt is counted."""

LEAST_OHM = 1e-4
"""What a resistance of nothing is taken as: less than any contact, so no voltage that is measured shows it. [Ω]"""


@dataclass(frozen=True)
class Resistor:
    """A conductor, a contact, a part of a track, a pull.

    Attributes:
        name: Of the element; no other in the network has it.
        a: One node.
        b: The other.
        ohm: Not negative; below 0.1 mΩ it is taken as that, and infinite means that nothing is there. [Ω]
    """

    name: str
    a: str
    b: str
    ohm: Numbers


@dataclass(frozen=True)
class Source:
    """A supply: a voltage behind a resistance, up to the current that it can give or take.

    Attributes:
        name: Of the element.
        plus: Where the current comes out.
        minus: Where it goes back.
        volts: Without load. [V]
        ohm: In series; see Resistor. [Ω]
        limit_a: The most that it gives; None has no limit. [A]
        sink_a: The most that it takes back, 0 for a regulator that can only give; None has no limit. [A]
    """

    name: str
    plus: str
    minus: str
    volts: Numbers
    ohm: Numbers
    limit_a: Numbers | None = None
    sink_a: Numbers | None = None


@dataclass(frozen=True)
class Drain:
    """A current that flows whatever the voltage: what a sensor itself uses, or what a motor puts into a ground.

    Attributes:
        name: Of the element.
        start: Where it is taken from.
        end: Where it is put in.
        amps: Not negative. [A]
        knee_v: From start to end, positive; below it the current falls in proportion, as it must once a supply is lost.
            None keeps it up at any voltage. [V]
    """

    name: str
    start: str
    end: str
    amps: Numbers
    knee_v: Numbers | None = None


@dataclass(frozen=True)
class Follower:
    """A ratiometric output: a share of the voltage between its rails, behind a resistance.

    What it gives comes out of the plus rail, what it takes goes into the minus rail.

    Attributes:
        name: Of the element.
        out: The output.
        plus: Upper rail.
        minus: Lower rail.
        ratio: Of the rails' voltage, above the lower rail.
        ohm: Behind which the output stands; see Resistor. [Ω]
        least_v: Between the rails; with less, or with a rail that hangs in the air, the output is undetermined. [V]
    """

    name: str
    out: str
    plus: str
    minus: str
    ratio: Numbers
    ohm: Numbers
    least_v: float = 0.0


@dataclass(frozen=True)
class Clamp:
    """Conducts from ``node`` to ``to`` once ``node`` is more than ``volts`` above it.

    Attributes:
        name: Of the element.
        node: What is kept from rising.
        to: Where the current goes.
        volts: At which it begins. [V]
        ohm: In series once it conducts; see Resistor. [Ω]
    """

    name: str
    node: str
    to: str
    volts: Numbers
    ohm: Numbers


Element = Resistor | Source | Drain | Follower | Clamp
_NODES = {
    Resistor: ("a", "b"),
    Source: ("plus", "minus"),
    Drain: ("start", "end"),
    Follower: ("out", "plus", "minus"),
    Clamp: ("node", "to"),
}
_POSITIVE = ("ohm", "amps", "limit_a", "sink_a")


@dataclass(frozen=True)
class Network:
    """Elements, and the nodes that they join.

    Attributes:
        elements: In any order; their names differ.
        lone: Nodes that are there even if no element reaches them, such as a terminal to which nothing leads.

    Raises:
        ValueError: two elements have one name, a figure is negative or not a number, or numbers of positions differ.
    """

    elements: tuple[Element, ...]
    lone: tuple[str, ...] = field(default=())

    def __post_init__(self) -> None:
        object.__setattr__(self, "elements", tuple(self.elements))
        names: set[str] = set()
        for element in self.elements:
            if element.name in names:
                raise ValueError(f"two elements are called {element.name}")
            names.add(element.name)
            for name, value in _numbers(element):
                good = value > 0.0 if name == "knee_v" else value >= 0.0 if name in _POSITIVE else np.isfinite(value)
                if not np.all(good):
                    raise ValueError(f"{name} of {element.name} is {value}")
        _ = self.positions

    @cached_property
    def positions(self) -> int:
        """How many positions the network is given at; 1 where every figure is one number."""
        found = {len(value): element.name for element in self.elements for _, value in _numbers(element) if value.ndim}
        if len(found) > 1:
            (one, first), (other, second) = list(found.items())[:2]
            raise ValueError(f"{first} is given at {one} positions and {second} at {other}")
        return next(iter(found), 1)

    @cached_property
    def nodes(self) -> tuple[str, ...]:
        """The reference first, then lone ones, then in the order in which the elements name them."""
        of_elements = (getattr(each, end) for each in self.elements for end in _NODES[type(each)])
        return tuple(dict.fromkeys([REFERENCE, *self.lone, *of_elements]))

    @cached_property
    def _place(self) -> dict[str, int]:
        return {name: index for index, name in enumerate(self.nodes)}

    def index(self, name: str) -> int:
        """Of a node, among ``nodes``.

        Raises:
            KeyError: no such node.
        """
        return self._place[name]

    def indices(self, nodes: Sequence[str] | Indices) -> Indices:
        """Of nodes by name; what are numbers already stay so."""
        if isinstance(nodes, np.ndarray) and nodes.dtype.kind in "iu":
            return nodes.astype(np.intp, copy=False)
        return np.array([self._place[str(name)] for name in nodes], dtype=np.intp)

    def ends(self, element: Element) -> list[int]:
        """Numbers of the nodes that an element stands at."""
        return [self._place[getattr(element, end)] for end in _NODES[type(element)]]

    def element(self, name: str) -> Element:
        """By its name.

        Raises:
            KeyError: no such element.
        """
        for each in self.elements:
            if each.name == name:
                return each
        raise KeyError(name)

    def with_elements(self, *added: Element) -> Network:
        """The network with these elements: each in the place of one of the same name, or added to the others."""
        new = {each.name: each for each in added}
        kept = [new.pop(each.name, each) for each in self.elements]
        return replace(self, elements=(*kept, *new.values()), lone=self.nodes)

    def without(self, *names: str) -> Network:
        """The network with these elements taken out; their nodes stay."""
        kept = tuple(each for each in self.elements if each.name not in names)
        return replace(self, elements=kept, lone=self.nodes)

    def of(self, kind: type[Element]) -> Iterable[Element]:
        """The elements of one kind, in their order."""
        return (each for each in self.elements if isinstance(each, kind))


def _numbers(element: Element) -> Iterator[tuple[str, Array]]:
    for each in fields(element):
        value = getattr(element, each.name)
        if value is not None and not isinstance(value, str):
            yield each.name, np.asarray(value, dtype=float)
