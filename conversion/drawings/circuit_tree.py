"""Paths of current as trees: from where they begin, along wires and through devices, to where they end."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Literal

from conversion.description import Description, Terminal
from conversion.description.parts import ControlUnit
from conversion.description.roles import meaning_of
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire

Symbol = Literal["fuse", "open contact", "closed contact", "coil", "lamp"]
ROOT_MM, WIRE_MM, SYMBOL_MM, END_MM, CUT_MM, RIGHT_MM = 24.0, 20.5, 23.0, 24.0, 14.0, 178.0
MOST_PATHS = 12
"""Paths on one sheet, and ends that one tree may have."""


@dataclass(frozen=True, slots=True)
class Through:
    """A way through a device: its symbol and the terminals at which it comes out, at least one."""

    symbol: Symbol
    exits: tuple[Terminal, ...]


@dataclass
class Node:
    """Where a wire leads to, and what follows from there.

    Attributes:
        end: The terminal or splice; None where a symbol begins at a terminal that is drawn already, or at none.
        words: What it is, for beginnings and ends.
        symbol: Of the device that the path passes through here; None for a splice, a beginning or an end.
        exit: Terminal at which the path leaves the symbol.
        branches: What follows: a wire and where it leads; no wire where both are the same metal.
        cut: The path goes on in a tree of its own.
        continued: The tree goes on with a path that was cut.
    """

    end: End | None
    words: str = ""
    symbol: Symbol | None = None
    exit: Terminal | None = None
    branches: list[tuple[Wire | None, Node]] = field(default_factory=list)
    cut: bool = False
    continued: bool = False

    def ends(self) -> int:
        """How many rows the tree takes."""
        return max(1, sum(node.ends() for _, node in self.branches))

    def wires(self) -> Iterable[Wire]:
        """Every wire of the tree."""
        for wire, node in self.branches:
            if wire is not None:
                yield wire
            yield from node.wires()


Passage = Callable[[Description, Terminal], tuple[Through, ...]]
"""The ways on from a terminal that a path arrives at; empty where it ends there."""


class Forest:
    """Trees that hold each wire once. A path that is too long for the paper, or too full, goes on in the next tree.

    Args:
        plan: Whose wires are followed.
        passage: Which devices are passed through.
        only: Tags of the wires that may be followed; default: all.
    """

    def __init__(self, plan: Plan, passage: Passage, only: set[str] | None = None) -> None:
        self._description, self._wiring = plan.description, plan.wiring
        self._passage, self._only = passage, only
        self._passed: set[Terminal] = set()
        self._waiting: list[Node] = []
        self.drawn: set[str] = set()
        self.trees: list[Node] = []

    def grow(self, start: End) -> None:
        """Follow everything from a beginning; nothing is added where no wire leaves it that is not drawn yet."""
        self._waiting.append(Node(start, self._words(start)))
        self._work_off()

    def enter(self, way: Through, start: Terminal | None, words: str = "") -> None:
        """Begin at a device itself, whose terminal no wire leads to."""
        root, inside = Node(start, words or (self._words(start) if start else "")), Node(None)
        root.branches.append((None, inside))
        self._enter(inside, way, ROOT_MM)
        self._plant(root)
        self._work_off()

    def _work_off(self) -> None:
        while self._waiting:
            root = self._waiting.pop(0)
            assert root.end is not None, "a path is cut at a place"
            self._follow(root, root.end, ROOT_MM)
            self._plant(root)

    def _plant(self, root: Node) -> None:
        for group in _in_sheets(root.branches):
            self.trees.append(Node(root.end, root.words, branches=group, continued=root.continued))

    def _follow(self, node: Node, end: End, x: float) -> None:
        """Add what the wires at an end lead to, as far as the paper goes."""
        leaving = [
            (wire, wire.end if wire.start == end else wire.start)
            for wire in self._wiring.at(end)
            if wire.tag not in self.drawn and (self._only is None or wire.tag in self._only)
        ]
        room = RIGHT_MM - x - WIRE_MM
        full = len(leaving) > MOST_PATHS or any(self._room_for(other) > room for _, other in leaving)
        if full and x > ROOT_MM:
            node.cut = True
            self._waiting.append(Node(end, self._words(end), continued=True))
            return
        self.drawn.update(wire.tag for wire, _ in leaving)
        for wire, other in leaving:
            following = Node(other, self._words(other))
            node.branches.append((wire, following))
            self._pass(following, x + WIRE_MM)
        if x > ROOT_MM and node.ends() > MOST_PATHS:
            # Too much for one sheet: what was found stays together, in a tree that begins here.
            self._plant(Node(end, self._words(end), branches=node.branches, continued=True))
            node.branches, node.cut = [], True

    def _room_for(self, end: End) -> float:
        """What must fit behind a wire, at least."""
        if isinstance(end, SplicePoint):
            return CUT_MM
        return SYMBOL_MM + CUT_MM if self._ways(end) else END_MM

    def _ways(self, end: Terminal) -> tuple[Through, ...]:
        return () if end in self._passed else self._passage(self._description, end)

    def _pass(self, node: Node, x: float) -> None:
        if isinstance(node.end, SplicePoint):
            self._follow(node, node.end, x)
            return
        assert node.end is not None, "a wire leads somewhere"
        ways = self._ways(node.end)
        self._passed.add(node.end)
        if len(ways) == 1:
            self._enter(node, ways[0], x)
            return
        for way in ways:
            inside = Node(None)
            node.branches.append((None, inside))
            self._enter(inside, way, x)

    def _enter(self, node: Node, way: Through, x: float) -> None:
        node.symbol, node.exit = way.symbol, way.exits[0]
        self._passed.update(way.exits)
        self._follow(node, way.exits[0], x + SYMBOL_MM)
        for terminal in way.exits[1:]:
            if self._wiring.at(terminal):
                outlet = Node(terminal)
                self._follow(outlet, terminal, x + SYMBOL_MM)
                node.branches.append((None, outlet))

    def _words(self, end: End) -> str:
        if isinstance(end, SplicePoint):
            return "splice"
        part = self._description.parts[end.device]
        if not isinstance(part, ControlUnit):
            return part.title
        form = part.housings[end.housing].cavities[end.cavity]
        return "; ".join(meaning_of(role) for role in form.roles) or part.title


def _in_sheets(branches: list[tuple[Wire | None, Node]]) -> Iterable[list[tuple[Wire | None, Node]]]:
    """Neighbouring branches as long as they fit on one sheet."""
    group: list[tuple[Wire | None, Node]] = []
    for branch in branches:
        if group and sum(node.ends() for _, node in group) + branch[1].ends() > MOST_PATHS:
            yield group
            group = []
        group.append(branch)
    if group:
        yield group
