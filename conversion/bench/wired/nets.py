"""What the plan joins, and what a list of pairs joins: sets of ends that are electrically one."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from conversion.description import Terminal
from conversion.wiring import End, SplicePoint, Wire

Item = TypeVar("Item", bound=Hashable)

Pair = tuple[End, End]


@dataclass(frozen=True, slots=True, eq=False)
class Net:
    """Ends that the plan joins.

    Attributes:
        number: Its place among the nets of the plan.
        ends: Terminals and splices in the order of the wires.
        wires: The wires that join them.
        hub: The terminal from which it branches: the control unit's, the feeding device's or the ground point.
    """

    number: int
    ends: tuple[End, ...]
    wires: tuple[Wire, ...]
    hub: Terminal | None

    @property
    def roles(self) -> tuple[str, ...]:
        """What its wires are for, each role once."""
        return tuple(dict.fromkeys(role for wire in self.wires for role in wire.roles))

    @property
    def groups(self) -> frozenset[str]:
        """The groups of its wires."""
        return frozenset(wire.group for wire in self.wires)


@dataclass(frozen=True, slots=True, eq=False)
class Piece:
    """Those ends of one planned net that the list joins to each other.

    Attributes:
        net: The planned net.
        ends: In the order of the net; a splice that the list does not name is with most of its neighbours.
        whole: Number of the set of ends that the list joins and that holds the piece.
    """

    net: Net
    ends: tuple[End, ...]
    whole: int

    @property
    def terminals(self) -> tuple[Terminal, ...]:
        """Its ends without splices."""
        return tuple(end for end in self.ends if isinstance(end, Terminal))

    @property
    def cut(self) -> tuple[Wire, ...]:
        """The planned wires between the piece and the rest of its net."""
        inside = set(self.ends)
        return tuple(wire for wire in self.net.wires if (wire.start in inside) != (wire.end in inside))


class Joined:
    """Which ends are one, as pairs come in."""

    def __init__(self, pairs: Iterable[tuple[Hashable, Hashable]] = ()) -> None:
        self._leader: dict[Hashable, Hashable] = {}
        for one, other in pairs:
            self.join(one, other)

    def first(self, end: Hashable) -> Hashable:
        """The end that stands for all that are joined to this one."""
        path = []
        while (leader := self._leader.setdefault(end, end)) != end:
            path.append(end)
            end = leader
        self._leader.update(dict.fromkeys(path, end))
        return end

    def join(self, one: Hashable, other: Hashable) -> bool:
        """Join two ends; False where they were one already."""
        first, second = self.first(one), self.first(other)
        self._leader[second] = first
        return first != second


def planned_nets(wires: Sequence[Wire]) -> tuple[Net, ...]:
    """What the wires join, in the order of the wires."""
    joined = Joined((wire.start, wire.end) for wire in wires)
    together: dict[Hashable, list[Wire]] = {}
    for wire in wires:
        together.setdefault(joined.first(wire.start), []).append(wire)
    return tuple(
        Net(number, tuple(dict.fromkeys(end for wire in met for end in (wire.start, wire.end))), tuple(met), _hub(met))
        for number, met in enumerate(together.values())
    )


def _hub(wires: list[Wire]) -> Terminal | None:
    starts = [wire.start for wire in wires if isinstance(wire.start, Terminal)]
    ends = [wire.end for wire in wires if isinstance(wire.end, Terminal)]
    return next(iter([*starts, *ends]), None)


def pieces_of(nets: Sequence[Net], pairs: Iterable[Pair]) -> tuple[list[Piece], list[tuple[int, list[Terminal]]]]:
    """How a list of pairs parts and joins what the plan joins.

    Returns:
        The pieces of all nets, in the order of the nets; and of each set of ends that the list joins, its number and
        the places in it that no planned wire reaches, where there are any, by name.
    """
    told = list(pairs)
    joined = Joined(told)
    home = {end: net for net in nets for end in net.ends}
    named = dict.fromkeys(end for pair in told for end in pair)
    numbers: dict[Hashable, int] = {}

    def whole(end: End) -> int:
        return numbers.setdefault(joined.first(end), len(numbers))

    pieces = []
    for net in nets:
        parts: dict[int, list[End]] = {}
        for end in net.ends:
            if isinstance(end, Terminal) or end in named:
                parts.setdefault(whole(end), []).append(end)
        for end in net.ends:
            if isinstance(end, SplicePoint) and end not in named:
                parts[_with_most(net, end, parts)].append(end)
        pieces += [Piece(net, tuple(ends), number) for number, ends in parts.items()]
    strangers: dict[int, list[Terminal]] = {}
    for end in sorted((end for end in named if end not in home and isinstance(end, Terminal)), key=_by_name):
        strangers.setdefault(whole(end), []).append(end)
    return pieces, list(strangers.items())


def _by_name(end: Terminal) -> tuple[str, str, str]:
    return end.device, end.housing, end.cavity


def _with_most(net: Net, splice: SplicePoint, parts: dict[int, list[End]]) -> int:
    """The part that holds most of a splice's neighbours; a splice beside splices alone goes with the largest."""
    votes = dict.fromkeys(parts, 0)
    near = {wire.end if wire.start == splice else wire.start for wire in net.wires if splice in (wire.start, wire.end)}
    for number, ends in parts.items():
        votes[number] = len(near.intersection(ends))
    return max(parts, key=lambda number: (votes[number], len(parts[number])))
