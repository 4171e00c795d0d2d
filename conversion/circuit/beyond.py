r"""The linear parts beyond the one that holds without a change: bends turned, outputs that lost their rails.

Each turned bend is one more unknown current, as is the one through the added conductance. With U their directions, W
what they depend on and z the inverse without any of it, they follow from a system as small as their number:

.. math:: (T^{-1} + W z U) \, y = W V_0 + c, \qquad V = V_0 - z U y

where T holds g for the conductance, 1 for a bend turned on and −1 for one turned off or an output taken away.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.full_solve import SWAYED, wrong_bends
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.small_system import Asked, Scattered, alike, rows_at, small_system

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

ALL_AT_ONCE = 5
"""How often all bends that are wrong are turned together; then one by one, since together they may go in a circle."""
TURNS = 14
"""How often bends are turned before a case is solved in full."""
LOST_DIGITS = 1e8
"""Where a sum comes out smaller than its terms by this factor, a case is solved in full."""


@dataclass(frozen=True)
class Beyond:
    """What was found for each item.

    Attributes:
        answers: (items, rows)
        swayed: Moved by an output without rails; (items, rows).
        settled: Whether the bends are where their voltages say; (items,).
        on: Bends that carry; (items, bends).
        powered: Followers with their rails; (items, followers).
    """

    answers: Array
    swayed: Flags
    settled: Flags
    on: Flags
    powered: Flags


def look_beyond(base: Operating, asked: Asked, items: Scattered) -> Beyond:
    """Answer with the linear part that the items ask for, then with what follows from that."""
    bends, rails = base.assembled.bends, base.assembled.followers
    first = len(asked.rows) - len(bends.names) - len(rails.out)
    last = first + len(bends.names)
    shape = (len(items.pair), len(asked.rows))
    answers, swayed, settled = np.zeros(shape), np.zeros(shape, dtype=bool), np.zeros(shape[0], dtype=bool)
    of_follower = bends.follower >= 0
    alive = base.solved.alive[items.position]
    on, powered = items.on.copy(), items.powered.copy()
    todo = np.arange(shape[0])
    for turn in range(TURNS):
        alive[:, of_follower] &= powered[:, bends.follower[of_follower]]
        on &= alive
        found, moved = _answer(base, asked, items, todo, on[todo], powered[todo])
        sound = np.isfinite(found).all(axis=1)
        wrong = alive[todo] & wrong_bends(found[:, first:last], on[todo])
        if turn >= ALL_AT_ONCE:
            wrong &= np.cumsum(wrong, axis=1) == 1
        bent: Flags = np.any(wrong, axis=1)
        # Rails are judged once the bends are where they belong, as in the full solution.
        starved = powered[todo] & (found[:, last:] < rails.least_v) & ~bent[:, None]
        done = sound & ~bent & ~starved.any(axis=1)
        answers[todo[done]], swayed[todo[done]], settled[todo[done]] = found[done], moved[done], True
        on[todo] = bends.turned(on[todo], bends.to_turn(wrong))
        powered[todo] &= ~starved
        todo = todo[~done & sound]
        if not len(todo):
            break
    return Beyond(answers, swayed, settled, on, powered)


@dataclass(frozen=True)
class Slopes:
    """How answers go on from a conductance with the bends and rails as they are.

    Attributes:
        answers: At the conductance; (items, rows).
        moves: For each unit of further weight h = Δg / (1 + Δg z) they fall by this; (items, rows).
        ohm: z, the resistance then seen between the two nodes; (items,). [Ω]
    """

    answers: Array
    moves: Array
    ohm: Array


def go_on(base: Operating, asked: Asked, items: Scattered) -> Slopes:
    """What further conductance does from the one that each item has, finite and not 0."""
    shape = (len(items.pair), len(asked.rows))
    slopes = Slopes(np.empty(shape), np.empty(shape), np.empty(shape[0]))
    for members, signs, without in alike(base, items.position, items.on, items.powered):
        small = small_system(base, asked, items, members, signs, without)
        current = small.inverse @ small.right[:, :, 0, None]
        # What one ampere into one node and out of the other does, with all of this in the network.
        asks = np.concatenate([small.ohm[:, None], small.system[:, 1:, 0]], axis=1)
        unit = small.inverse @ asks[..., None]
        push = small.push[:, :, 0] - (small.push @ unit)[:, :, 0]
        slopes.answers[members] = rows_at(base, asked, small.at) - (small.push @ current)[:, :, 0]
        slopes.moves[members] = push * (current[:, 0] / items.siemens[members, None])
        across = np.concatenate([small.ohm[:, None], small.system[:, 0, 1:]], axis=1)
        slopes.ohm[members] = small.ohm - np.einsum("is,is->i", across, unit[:, :, 0])
    return slopes


def _answer(
    base: Operating, asked: Asked, items: Scattered, chosen: Indices, on: Flags, powered: Flags
) -> tuple[Array, Flags]:
    """Answers and swayed rows, for items of the same bends and rails together."""
    answers = np.empty((len(chosen), len(asked.rows)))
    swayed = np.zeros(answers.shape, dtype=bool)
    for members, signs, without in alike(base, items.position[chosen], on, powered):
        answers[members], swayed[members] = _solve_small(base, asked, items, chosen[members], signs, without)
    return answers, swayed


def _solve_small(
    base: Operating, asked: Asked, items: Scattered, chosen: Indices, signs: Array, without: Indices
) -> tuple[Array, Flags]:
    """Answers, NaN where digits are lost, and the rows that an output without rails moves."""
    small = small_system(base, asked, items, chosen, signs, without)
    part, rails, at, size = base.linear, base.assembled.followers, small.at, small.system.shape[1]
    pair, g = items.pair[chosen], items.siemens[chosen]
    currents = small.inverse @ small.right
    # Of each unknown, its own row summed without signs, against what is left once the others are eliminated.
    own = np.abs(small.system[:, range(1, size), range(1, size)]) + 2.0
    terms = np.concatenate([(np.abs(1.0 / g) + small.ohm)[:, None], own], axis=1)
    lost = np.abs(small.inverse[:, range(size), range(size)]) * terms
    moved = small.push @ currents
    answers = rows_at(base, asked, at) - moved[:, :, 0]
    answers[lost.max(axis=1) > LOST_DIGITS] = np.nan
    swayed = np.zeros(answers.shape, dtype=bool)
    for k, number in enumerate(without, start=1):
        out = rails.out[number]
        column = part.inverse[asked.rows[:, None], out, at].T - moved[:, :, k]
        to_out = _push_at(base, asked, out, pair, at, small.features)
        own_ohm = part.inverse[out, out, at] - np.einsum("is,is->i", to_out, currents[:, :, k])
        swayed |= column > SWAYED * (1.0 / rails.siemens[at, number] + own_ohm)[:, None]
    return answers, swayed


def _push_at(base: Operating, asked: Asked, node: int, pair: Indices, at: Indices, features: Indices) -> Array:
    """What each unknown current does to one node; (items, currents)."""
    part = base.linear
    fault = part.inverse[node, asked.a[pair], at] - part.inverse[node, asked.b[pair], at]
    return np.concatenate([fault[:, None], part.into[node][features][:, at].T], axis=1)
