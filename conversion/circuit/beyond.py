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
from conversion.circuit.linear_part import SMALLEST_OHM, Responses, invert_each
from conversion.circuit.network import Array, Flags, Indices

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

ALL_AT_ONCE = 5
"""How often all bends that are wrong are turned together; then one by one, since together they may go in a circle."""
TURNS = 14
"""How often bends are turned before a case is solved in full."""
LOST_DIGITS = 1e8
"""Where a sum comes out smaller than its terms by this factor, a case is solved in full."""
_ONE_NODE = 1e30


@dataclass(frozen=True)
class Scattered:
    """Cases at positions, one change each, and what holds there.

    Attributes:
        position: (items,)
        pair: Which of the responses; (items,).
        siemens: (items,) [S]
        on: Bends that carry; (items, bends).
        powered: Followers with their rails; (items, followers).
    """

    position: Indices
    pair: Indices
    siemens: Array
    on: Flags
    powered: Flags


@dataclass(frozen=True)
class Beyond:
    """What was found for each item.

    Attributes:
        answers: (items, rows)
        swayed: Moved by an output without rails; (items, rows).
        settled: Whether the bends are where their voltages say; (items,).
    """

    answers: Array
    swayed: Flags
    settled: Flags


@dataclass(frozen=True)
class Asked:
    """Pairs of nodes and what they answer.

    Attributes:
        a: (pairs,)
        b: (pairs,)
        rows: Of the linear part; the last ones decide on bends, then come the rails.
        seen: What a conductance between each pair would do to these rows.
    """

    a: Indices
    b: Indices
    rows: Indices
    seen: Responses


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
    return Beyond(answers, swayed, settled)


def _answer(
    base: Operating, asked: Asked, items: Scattered, chosen: Indices, on: Flags, powered: Flags
) -> tuple[Array, Flags]:
    """Answers and swayed rows, for items of the same bends and rails together."""
    answers = np.empty((len(chosen), len(asked.rows)))
    swayed = np.zeros(answers.shape, dtype=bool)
    turned = np.concatenate(
        [
            on.astype(np.int8) - base.solved.on[items.position[chosen]],
            powered.astype(np.int8) - base.solved.reach.powered[items.position[chosen]],
            ~powered,
        ],
        axis=1,
    )
    first, group = _grouped(turned + 1)
    features = len(turned[0]) - powered.shape[1]
    for number, one in enumerate(first):
        members = np.flatnonzero(group == number)
        signs = turned[one, :features].astype(float)
        without = np.flatnonzero(~powered[one])
        answers[members], swayed[members] = _solve_small(base, asked, items, chosen[members], signs, without)
    return answers, swayed


def _grouped(codes: Array) -> tuple[Indices, Indices]:
    """Rows that are alike, of small numbers: the first of each group, and the group of each."""
    group = np.zeros(len(codes), dtype=np.int64)
    first = np.zeros(1, dtype=np.intp)
    for start in range(0, codes.shape[1], 16):
        word = codes[:, start : start + 16].astype(np.int64)
        key = (group << 32) + word @ (4 ** np.arange(word.shape[1]))
        _, first, group = np.unique(key, return_index=True, return_inverse=True)
    return first, group


def _solve_small(
    base: Operating, asked: Asked, items: Scattered, chosen: Indices, signs: Array, without: Indices
) -> tuple[Array, Flags]:
    part, bends, rails, seen = base.linear, base.assembled.bends, base.assembled.followers, asked.seen
    at, pair, g = items.position[chosen], items.pair[chosen], items.siemens[chosen]
    features = np.flatnonzero(signs)
    decides = np.concatenate([np.arange(len(bends.names)), np.flatnonzero(bends.follower >= 0)])[features]
    rows_first = len(asked.rows) - len(bends.names) - len(rails.out)
    a, b = asked.a[pair], asked.b[pair]
    size = 1 + len(features)
    system = np.empty((len(chosen), size, size))
    ohm = seen.ohm[pair, at]
    with np.errstate(divide="ignore"):
        system[:, 0, 0] = np.where(ohm > SMALLEST_OHM, 1.0 / g + ohm, _ONE_NODE)
    right = np.zeros((len(chosen), size, 1 + len(without)))
    right[:, 0, 0] = seen.between[pair, at]
    push = np.empty((len(chosen), len(asked.rows), size))
    push[:, :, 0] = seen.push[:, pair, at].T
    for k, feature in enumerate(features, start=1):
        system[:, 0, k] = part.into[a, feature, at] - part.into[b, feature, at]
        push[:, :, k] = part.into[asked.rows[:, None], feature, at].T
    for j, row in enumerate(decides, start=1):
        system[:, j, 0] = seen.push[rows_first + row, pair, at]
        system[:, j, 1:] = push[:, rows_first + row, 1:]
        system[:, j, j] += signs[features[j - 1]]
        right[:, j, 0] = part.level[part.nodes + row, at]
        for k, number in enumerate(without, start=1):
            right[:, j, k] = part.inverse[part.nodes + row, rails.out[number], at]
    for k, number in enumerate(without, start=1):
        out = rails.out[number]
        right[:, 0, k] = part.inverse[a, out, at] - part.inverse[b, out, at]
    inverse = invert_each(system)
    currents = inverse @ right
    # Of each unknown, its own row summed without signs, against what is left once the others are eliminated.
    terms = np.concatenate(
        [(np.abs(1.0 / g) + ohm)[:, None], np.abs(system[:, range(1, size), range(1, size)]) + 2.0], 1
    )
    lost = np.abs(inverse[:, range(size), range(size)]) * terms
    moved = push @ currents
    answers = part.level[asked.rows[:, None], at].T - moved[:, :, 0]
    answers[lost.max(axis=1) > LOST_DIGITS] = np.nan
    swayed = np.zeros(answers.shape, dtype=bool)
    for k, number in enumerate(without, start=1):
        out = rails.out[number]
        column = part.inverse[asked.rows[:, None], out, at].T - moved[:, :, k]
        own = part.inverse[out, out, at] - np.einsum(
            "is,is->i", _push_at(base, asked, out, pair, at, features), currents[:, :, k]
        )
        ohm_out = 1.0 / rails.siemens[at, number]
        swayed |= column > SWAYED * (ohm_out + own)[:, None]
    return answers, swayed


def _push_at(base: Operating, asked: Asked, node: int, pair: Indices, at: Indices, features: Indices) -> Array:
    """What each unknown current does to one node; (items, currents)."""
    part = base.linear
    fault = part.inverse[node, asked.a[pair], at] - part.inverse[node, asked.b[pair], at]
    return np.concatenate([fault[:, None], part.into[node][features][:, at].T], axis=1)
