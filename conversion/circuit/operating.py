"""A network's operating points, and what becomes of them with a change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from conversion.circuit.assembly import Assembled, assemble
from conversion.circuit.changes import Cases, change_many
from conversion.circuit.corners import Corners, find_corners
from conversion.circuit.full_solve import Items, Shorts, Solved, solve_items
from conversion.circuit.hyperbola import Hyperbola, find_hyperbola
from conversion.circuit.linear_part import LinearPart, linear_part
from conversion.circuit.network import Array, Flags, Indices, Network
from conversion.circuit.opening import remaining
from conversion.circuit.reach import distinct

Nodes = Sequence[str] | Indices
"""By name, or by number as in ``Network.nodes``."""


@dataclass(frozen=True)
class Operating:
    """The solution of a network at each position.

    Attributes:
        network: What was solved.
        volts: NaN where undetermined; (positions, nodes). [V]
        undetermined: Nodes that hang in the air, or are driven by an output without its rails; (positions, nodes).
        assembled: The network as arrays.
        items: Those arrays with the changes that are in it.
        solved: The matrices behind the volts.
    """

    network: Network
    volts: Array
    undetermined: Flags
    assembled: Assembled
    items: Items
    solved: Solved

    @cached_property
    def linear(self) -> LinearPart:
        """The linear part that holds, inverted once a position."""
        return linear_part(self.assembled, self.items, self.solved)

    @cached_property
    def arrangements(self) -> tuple[Indices, Indices]:
        """Positions that stand for all at which the same nodes are joined and powered, and which for each position."""
        return distinct(self.items.pairs > 0.0, self.assembled.knees > 0.0, self.solved.reach.powered)

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
        return change_many(self, self.cases(a, b, siemens), self.observed(observe))

    def hyperbola(self, a: Nodes, b: Nodes, observe: Nodes | None = None) -> Hyperbola:
        """The volts as functions of the conductance that is added between each of several pairs of nodes.

        Args:
            a: One node of each pair; (pairs,).
            b: The other.
            observe: As in ``changed``.

        Returns:
            Exact between its bounds; where a node of the pair hangs in the air both bounds are 0.
        """
        return find_hyperbola(self, self.network.indices(a), self.network.indices(b), self.observed(observe))

    def corners(self, a: Nodes, b: Nodes, toward: ArrayLike) -> Corners:
        """The conductances at which the volts turn a corner, of each of several pairs of nodes.

        Args:
            a: One node of each pair; (pairs,).
            b: The other.
            toward: Where the way that begins at nothing ends, as ``siemens`` of ``changed``. [S]
        """
        cases = self.cases(a, b, toward)
        return find_corners(self, cases.a, cases.b, cases.siemens)

    def after(self, a: str, b: str, siemens: ArrayLike) -> Operating:
        """The operating point with one change in it, solved in full and ready for a second one.

        So of two changes one is in the network that is solved, and the other an update of it.

        Args:
            a: One node.
            b: The other.
            siemens: As in ``changed``; () or (positions,), without bound at all positions or at none. [S]
        """
        added = np.broadcast_to(np.asarray(siemens, dtype=float), self.network.positions)
        one, other = self.network.index(a), self.network.index(b)
        items = self.items
        if np.isinf(added).all():
            items = Items(items.position, items.pairs, items.shorts.also(one, other))
        elif np.isinf(added).any():
            raise ValueError("a dead short at some positions only")
        elif one != other:
            pairs = items.pairs.copy()
            left = remaining(self, np.array([one]), np.array([other]), added[None])[0]
            pairs[:, one, other] = pairs[:, other, one] = left
            items = Items(items.position, pairs, items.shorts)
        return _operating(self.network, self.assembled, items)

    def cases(self, a: Nodes, b: Nodes, siemens: ArrayLike) -> Cases:
        """Changes as arrays."""
        added = np.asarray(siemens, dtype=float)
        first, second = self.network.indices(a), self.network.indices(b)
        if added.ndim == 1:
            added = added[:, None]
        return Cases(first, second, np.broadcast_to(added, (len(first), self.network.positions)))

    def observed(self, observe: Nodes | None) -> Indices:
        """Numbers of the nodes that are asked for."""
        return np.arange(len(self.network.nodes)) if observe is None else self.network.indices(observe)


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
