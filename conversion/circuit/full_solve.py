"""The full solution: matrices built from pairs of nodes, bends found by iteration, followers without rails dropped."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.circuit.assembly import Assembled
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.reach import Reach, find_reach
from conversion.circuit.walk import walk

SWAYED = 1e-3
"""A node that an output without rails moves by more than this share of its own movement is undetermined with it."""
ROUNDING_A = 1e-10
"""By which a bend may be on the wrong side of its beginning and still be where it is said to be. [A]"""
TURNS = 10
"""How often bends are turned before the operating point is walked to."""


@dataclass(frozen=True)
class Shorts:
    """Nodes joined without any resistance, the same ones at each item.

    Attributes:
        a: (shorts,)
        b: (shorts,)
    """

    a: Indices
    b: Indices

    @classmethod
    def none(cls) -> Shorts:
        """No short."""
        return cls(np.zeros(0, dtype=np.intp), np.zeros(0, dtype=np.intp))

    def also(self, a: int, b: int) -> Shorts:
        """With one more, unless the two are one node already."""
        one = {a}
        for _ in self.a:
            for first, second in zip(self.a.tolist(), self.b.tolist(), strict=True):
                if first in one or second in one:
                    one |= {first, second}
        if b in one:
            return self
        return Shorts(np.append(self.a, a), np.append(self.b, b))


@dataclass(frozen=True)
class Items:
    """What is to be solved: a position each, and what joins the nodes there.

    Attributes:
        position: (items,)
        pairs: Conductance between each two nodes, of resistors and sources; (items, nodes, nodes). [S]
        shorts: Dead shorts.
    """

    position: Indices
    pairs: Array
    shorts: Shorts


@dataclass(frozen=True)
class Solved:
    """The operating points.

    Attributes:
        volts: 0 for what hangs in the air, NaN where there is no solution; (items, nodes). [V]
        undetermined: (items, nodes)
        on: Bends that carry current; (items, bends).
        alive: Bends that may; (items, bends).
        reach: What is held, what is powered.
        matrix: Of the linear network that holds there, bordered by the shorts; (items, size, size). [S]
        right: Its right-hand side; (items, size). [A]
    """

    volts: Array
    undetermined: Flags
    on: Flags
    alive: Flags
    reach: Reach
    matrix: Array
    right: Array


def solve_items(assembled: Assembled, items: Items) -> Solved:
    """Solve each item in full."""
    nodes, followers = items.pairs.shape[1], assembled.followers
    allowed = np.ones((len(items.position), len(followers.out)), dtype=bool)
    joined = joined_nodes(items.pairs > 0.0, items.shorts)
    knees = assembled.knees[items.position] > 0.0
    while True:
        reach = find_reach(assembled, joined, knees, allowed)
        linear, amps = _linear(assembled, items, reach)
        alive = _alive_bends(assembled, reach)
        matrix, right, found, on = _settle(assembled, items.position, linear, amps, alive)
        between = found[:, followers.plus] - found[:, followers.minus]
        starved = reach.powered & (between < followers.least_v)
        if not starved.any():
            break
        allowed &= ~starved
    volts = found[:, :nodes]
    volts[:, 0] = 0.0
    undetermined = ~reach.held | np.isnan(volts)
    for number, out in enumerate(followers.out):
        without = ~reach.powered[:, number]
        if without.any():
            ohm = 1.0 / followers.siemens[items.position[without], number]
            undetermined[without] |= swayed_nodes(matrix[without], int(out), ohm, nodes)
    return Solved(np.where(reach.held, volts, 0.0), undetermined, on, alive, reach, matrix, right)


def joined_nodes(conducting: Flags, shorts: Shorts) -> Flags:
    """Nodes that a resistor or source joins, or a short; (items, nodes, nodes)."""
    joined = conducting.copy()
    joined[:, shorts.a, shorts.b] = joined[:, shorts.b, shorts.a] = True
    return joined


def swayed_nodes(matrix: Array, out: int, ohm: Array, nodes: int) -> Flags:
    """Nodes that move with the unknown voltage behind an output without rails; (items, nodes)."""
    push = np.zeros((len(matrix), matrix.shape[1]))
    push[:, out] = 1.0
    moved = solve_each(matrix, push)[:, :nodes]
    return moved > SWAYED * (ohm + moved[:, out])[:, None]


def _linear(assembled: Assembled, items: Items, reach: Reach) -> tuple[Array, Array]:
    """Matrix and right-hand side of the network with every bend off."""
    count, nodes = items.pairs.shape[:2]
    size = nodes + len(items.shorts.a)
    both = items.pairs + assembled.knees[items.position]
    matrix, right = np.zeros((count, size, size)), np.zeros((count, size))
    matrix[:, :nodes, :nodes] = -both
    every = np.arange(nodes)
    matrix[:, every, every] = both.sum(axis=2)
    right[:, :nodes] = assembled.amps[items.position]
    rails = assembled.followers
    for number, (out, plus, minus) in enumerate(zip(rails.out, rails.plus, rails.minus, strict=True)):
        g = np.where(reach.powered[:, number], rails.siemens[items.position, number], 0.0)
        ratio = rails.ratio[items.position, number]
        for row, sign in ((out, -1.0), (minus, 1.0)):
            matrix[:, row, plus] += sign * g * ratio
            matrix[:, row, minus] += sign * g * (1.0 - ratio)
            matrix[:, row, out] -= sign * g
    for start, end, amps in assembled.drains:
        flows = np.where(reach.held[:, start] & reach.held[:, end], amps[items.position], 0.0)
        right[:, start] -= flows
        right[:, end] += flows
    # The reference, and what hangs in the air, keep a row of their own that says nothing.
    apart = ~reach.held
    apart[:, 0] = True
    item, node = np.nonzero(apart)
    matrix[item, node, :] = 0.0
    matrix[item, node, node] = 1.0
    right[item, node] = 0.0
    for number, (a, b) in enumerate(zip(items.shorts.a, items.shorts.b, strict=True)):
        current = nodes + number
        loose = apart[:, a] & apart[:, b]
        matrix[:, a, current] = np.where(apart[:, a], 0.0, 1.0)
        matrix[:, b, current] = np.where(apart[:, b], 0.0, -1.0)
        matrix[:, current, a] = np.where(loose, 0.0, 1.0)
        matrix[:, current, b] = np.where(loose, 0.0, -1.0)
        matrix[:, current, current] = np.where(loose, 1.0, 0.0)
    return matrix, right


def _alive_bends(assembled: Assembled, reach: Reach) -> Flags:
    """Bends all of whose nodes are held, and whose follower, if it is one, has its rails; (items, bends)."""
    bends = assembled.bends
    alive = ~np.any(bends.touched & ~reach.held[:, None, :], axis=2)
    of_follower = bends.follower >= 0
    alive[:, of_follower] &= reach.powered[:, bends.follower[of_follower]]
    return alive


def _settle(
    assembled: Assembled, position: Indices, linear: Array, amps: Array, alive: Flags
) -> tuple[Array, Array, Array, Flags]:
    """Turn bends on and off until each is where its own voltage says; (matrix, right-hand side, volts, on)."""
    bends, size = assembled.bends, linear.shape[1]
    nodes = bends.into.shape[1]
    into = np.zeros((len(bends.names), size))
    into[:, :nodes] = bends.into
    into[:, 0] = 0.0
    slope = np.zeros((len(position), len(bends.names), size))
    slope[:, :, :nodes] = bends.slope[position]
    offset = bends.offset[position]
    on = np.zeros(alive.shape, dtype=bool)
    matrix, right = linear.copy(), amps.copy()
    volts = solve_each(matrix, right)

    def put(which: Indices) -> None:
        carrying = on[which][:, :, None] * into
        matrix[which] = linear[which] + np.swapaxes(carrying, 1, 2) @ slope[which]
        right[which] = amps[which] - np.einsum("fj,fjn->fn", np.where(on[which], offset[which], 0.0), carrying)
        volts[which] = solve_each(matrix[which], right[which])

    start, todo = volts.copy(), np.arange(len(position))
    for _ in range(TURNS):
        over = np.einsum("fjn,fn->fj", slope[todo], volts[todo]) + offset[todo]
        wrong = alive[todo] & wrong_bends(over, on[todo])
        moved = wrong.any(axis=1)
        todo = todo[moved]
        if not len(todo):
            break
        on[todo] = bends.turned(on[todo], bends.to_turn(wrong[moved]))
        put(todo)
    for item in sorted({*todo.tolist(), *np.flatnonzero(np.isnan(volts).any(axis=1)).tolist()}):
        found = walk(linear[item], amps[item], (into, slope[item], offset[item]), alive[item], start[item])
        if found is None:
            volts[item] = np.nan
            continue
        on[item] = found
        put(np.array([item]))
    return matrix, right, volts, on


def wrong_bends(over: Array, on: Flags) -> Flags:
    """Bends that are on below their beginning, or off above it; by how much each is over it is given. [A]"""
    return np.where(on, over < -ROUNDING_A, over > ROUNDING_A)


def solve_each(matrix: Array, right: Array) -> Array:
    """Solve each system, for one right-hand side or several; NaN where one has no solution."""
    if right.ndim < matrix.ndim:
        return solve_each(matrix, right[..., None])[..., 0]
    try:
        return np.asarray(np.linalg.solve(matrix, right))
    except np.linalg.LinAlgError:
        found = np.full(right.shape, np.nan)
        for index, (one, wanted) in enumerate(zip(matrix, right, strict=True)):
            try:
                found[index] = np.linalg.solve(one, wanted)
            except np.linalg.LinAlgError:
                continue
        return found
