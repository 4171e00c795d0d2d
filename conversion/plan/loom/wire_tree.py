"""Which wires lie between two ends that wires join."""

from __future__ import annotations

from conversion.wiring import End, Wiring


class WireTree:
    """The wires as trees, one for each conductor.

    Attributes:
        beside: Tags of wires that close a ring, so that nobody can say what part of a current they take.
    """

    def __init__(self, wiring: Wiring) -> None:
        self._parent: dict[End, tuple[End, str]] = {}
        self._depth: dict[End, int] = {}
        self._root: dict[End, End] = {}
        within: set[str] = set()
        for first in wiring.wires:
            if first.start in self._depth:
                continue
            self._depth[first.start], self._root[first.start] = 0, first.start
            front = [first.start]
            while front:
                following: list[End] = []
                for end in front:
                    for wire in wiring.at(end):
                        far = wire.end if wire.start == end else wire.start
                        if far in self._depth:
                            continue
                        self._parent[far] = end, wire.tag
                        self._depth[far], self._root[far] = self._depth[end] + 1, first.start
                        within.add(wire.tag)
                        following.append(far)
                front = following
        self.beside = frozenset(wire.tag for wire in wiring.wires) - within

    def joined(self, one: End, other: End) -> bool:
        """Whether wires lead from one end to the other."""
        return one in self._root and other in self._root and self._root[one] == self._root[other]

    def between(self, one: End, other: End) -> tuple[str, ...]:
        """Tags of the wires from one end to another, in order; empty where none lead there."""
        if not self.joined(one, other):
            return ()
        from_one: list[str] = []
        from_other: list[str] = []
        while one != other:
            if self._depth[one] >= self._depth[other]:
                one, tag = self._parent[one]
                from_one.append(tag)
            else:
                other, tag = self._parent[other]
                from_other.append(tag)
        return (*from_one, *reversed(from_other))
