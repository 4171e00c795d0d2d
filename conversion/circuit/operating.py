"""A network's operating points, and what becomes of them with a change."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from conversion.circuit.assembly import Assembled, assemble
from conversion.circuit.full_solve import Items, Shorts, Solved, solve_items
from conversion.circuit.network import Array, Flags, Indices, Network

Nodes = Sequence[str] | Indices
"""By name, or by number as in ``Network.nodes``."""
NOTHING_LEFT = 1e-9
"""A share of a conductance so small that, what was taken away from it apart, nothing is left."""


@dataclass(frozen=True)
class Operating:
    """The solution of a network at each position.

    Attributes:
        network: What was solved.
        volts: NaN where undetermined; (positions, nodes). [V]
        undetermined: Nodes that hang in the air, or are driven by an output without its rails; (positions, nodes).
    """

    network: Network
    volts: Array
    undetermined: Flags
    _assembled: Assembled
    _items: Items
    _solved: Solved

    def at(self, node: str) -> Array:
        """Volts of one node, NaN where undetermined; (positions,). [V]"""
        return np.asarray(self.volts[:, self.network.index(node)])

    def changed(self, a: Nodes, b: Nodes, siemens: ArrayLike, observe: Nodes | None = None) -> Array:
        """What becomes of the volts with one conductance added, for each of many changes.

        Args:
            a: One node of each change; (changes,).
            b: The other.
            siemens: Added between them; (changes,) or (changes, positions). Negative: so much less of what joins the
                two nodes, down to nothing, which opens it. Infinite: a dead short. [S]
            observe: The nodes that are asked for, all where None.

        Returns:
            NaN where undetermined; (changes, positions, observed). [V]

        Raises:
            ValueError: more is taken away than joins the two nodes.
        """
        first, second = self.network.indices(a), self.network.indices(b)
        added = np.asarray(siemens, dtype=float)
        added = np.broadcast_to(added[:, None] if added.ndim == 1 else added, (len(first), self.network.positions))
        rows = slice(None) if observe is None else self.network.indices(observe)
        return np.stack(
            [self._one(one, other, g).volts[:, rows] for one, other, g in zip(first, second, added, strict=True)]
        )

    def after(self, a: str, b: str, siemens: ArrayLike) -> Operating:
        """The operating point with one change in it, ready for a second one; ``siemens`` () or (positions,)."""
        added = np.broadcast_to(np.asarray(siemens, dtype=float), self.network.positions)
        return self._one(self.network.index(a), self.network.index(b), added)

    def changed_twice(
        self, first: tuple[Nodes, Nodes, Array], second: tuple[Nodes, Nodes, Array], observe: Nodes | None = None
    ) -> Iterator[Array]:
        """For each first change the volts with every second one; (second, positions, observed) each time."""
        for a, b, g in zip(self.network.indices(first[0]), self.network.indices(first[1]), first[2], strict=True):
            yield self.after(self.network.nodes[a], self.network.nodes[b], g).changed(*second, observe=observe)

    def _one(self, a: int, b: int, added: Array) -> Operating:
        items = self._items
        if np.isinf(added).any():
            if not np.isinf(added).all():
                raise ValueError("a dead short at some positions only")
            items = Items(items.position, items.pairs, items.shorts.also(a, b) if a != b else items.shorts)
        else:
            pairs = items.pairs.copy()
            total = pairs[:, a, b] + added
            least = NOTHING_LEFT * np.abs(added)
            if np.any(total < -least):
                raise ValueError(
                    f"less than nothing would be left between {self.network.nodes[a]} and {self.network.nodes[b]}"
                )
            pairs[:, a, b] = pairs[:, b, a] = np.where(total > least, total, 0.0) if a != b else 0.0
            items = Items(items.position, pairs, items.shorts)
        return _operating(self.network, self._assembled, items)


def solve(network: Network) -> Operating:
    """Find the operating point at each position.

    Returns:
        The volts, and what is needed to say what becomes of them with a change.
    """
    assembled = assemble(network)
    return _operating(network, assembled, Items(np.arange(network.positions), assembled.pairs, Shorts.none()))


def _operating(network: Network, assembled: Assembled, items: Items) -> Operating:
    solved = solve_items(assembled, items)
    volts = np.where(solved.undetermined, np.nan, solved.volts)
    return Operating(network, volts, solved.undetermined, assembled, items, solved)
