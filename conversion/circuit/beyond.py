"""The linear parts beyond the one that holds without a change.

A bend turned, or an output that lost its rails, makes another linear part. It is inverted once for each position at
which some change asks for it, and the changes are judged again with it, until each is where its own voltages say.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.full_solve import ROUNDING_A, SWAYED
from conversion.circuit.linear_part import carried, invert_each, weights, wrong_bends
from conversion.circuit.network import Array, Flags, Indices

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

TURNS = 8
"""How often bends are turned before a case is solved in full."""
DIGITS = 1e-9
"""What rounding may be of a conductance's effect before a case is solved in full."""
_EPSILON = float(np.finfo(float).eps)


@dataclass(frozen=True)
class Scattered:
    """Cases at positions, one change each, and what holds there.

    Attributes:
        position: (items,)
        a: (items,)
        b: (items,)
        siemens: (items,) [S]
        on: Bends that carry; (items, bends).
        powered: Followers with their rails; (items, followers).
    """

    position: Indices
    a: Indices
    b: Indices
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


def look_beyond(base: Operating, items: Scattered, rows: Indices) -> Beyond:
    """Answer with the linear part that the items ask for, then with what follows from that.

    Args:
        base: Without the changes.
        items: The changes.
        rows: Of the linear part; the last ones are those that decide on bends, then the rails.
    """
    bends, rails = base.assembled.bends, base.assembled.followers
    first = len(rows) - len(bends.names) - len(rails.out)
    last = first + len(bends.names)
    shape = (len(items.a), len(rows))
    answers, swayed, settled = np.zeros(shape), np.zeros(shape, dtype=bool), np.zeros(shape[0], dtype=bool)
    of_follower = bends.follower >= 0
    alive = base.solved.alive[items.position]
    on, powered = items.on.copy(), items.powered.copy()
    todo = np.arange(shape[0])
    for _ in range(TURNS):
        alive[:, of_follower] &= powered[:, bends.follower[of_follower]]
        on &= alive
        found, moved, sound = _answer(base, items, todo, on[todo], powered[todo], rows)
        wrong = alive[todo] & wrong_bends(found[:, first:last], on[todo], ROUNDING_A)
        bent = wrong.any(axis=1)
        # Rails are judged once the bends are where they belong, as in the full solution.
        starved = powered[todo] & (found[:, last:] < rails.least_v) & ~bent[:, None]
        done = sound & ~bent & ~starved.any(axis=1)
        answers[todo[done]], swayed[todo[done]], settled[todo[done]] = found[done], moved[done], True
        on[todo] = bends.turned(on[todo], wrong)
        powered[todo] &= ~starved
        todo = todo[~done & sound]
        if not len(todo):
            break
    return Beyond(answers, swayed, settled)


def _answer(
    base: Operating, items: Scattered, chosen: Indices, on: Flags, powered: Flags, rows: Indices
) -> tuple[Array, Flags, Flags]:
    """One update each, of the linear part that belongs to it: answers, swayed rows, whether digits are kept."""
    part, rails = base.linear, base.assembled.followers
    first, group = _grouped(items.position[chosen], np.concatenate([on, powered], axis=1))
    at = items.position[chosen[first]]
    matrix, right = _matrices(base, at, on[first], powered[first])
    whole = invert_each(matrix)
    nodes = part.nodes
    volts = np.einsum("qnm,qm->qn", whole, right)[:, :nodes]
    inverse = whole[:, :nodes, :nodes] * carried(base.solved)[at][:, None, :]
    probe = part.probe[at][:, rows]
    of_rows = np.swapaxes(probe @ inverse, 1, 2)
    level = np.einsum("qrn,qn->qr", probe, volts) + part.offset[at][:, rows]
    a, b, g = items.a[chosen], items.b[chosen], items.siemens[chosen]
    push = of_rows[group, a] - of_rows[group, b]
    ohm = (inverse[group, a, a] - inverse[group, b, a]) - (inverse[group, a, b] - inverse[group, b, b])
    weight = weights(ohm, g)
    rounding = _EPSILON * (np.abs(inverse[group, a, a]) + np.abs(inverse[group, b, b])) * np.abs(weight)
    sound = np.isfinite(weight) & (ohm >= 0.0) & (rounding < DIGITS)
    weight[~sound] = 0.0
    swayed = np.zeros(push.shape, dtype=bool)
    for number, out in enumerate(rails.out):
        without = np.flatnonzero(~powered[:, number])
        if len(without):
            q, one, other = group[without], a[without], b[without]
            column = (inverse[q, one, out] - inverse[q, other, out]) * weight[without]
            own = inverse[q, out, out] - (inverse[q, out, one] - inverse[q, out, other]) * column
            moved = of_rows[q, out] - push[without] * column[:, None]
            ohm_out = 1.0 / rails.siemens[items.position[chosen[without]], number]
            swayed[without] |= moved > SWAYED * (ohm_out + own)[:, None]
    answers = level[group] - push * (weight * (volts[group, a] - volts[group, b]))[:, None]
    return answers, swayed, sound & np.isfinite(answers).all(axis=1)


def _grouped(position: Indices, flags: Flags) -> tuple[Indices, Indices]:
    """Items that share position and flags: the first of each group, and the group of each."""
    group = position
    first = np.arange(len(position))
    for start in range(0, flags.shape[1], 32):
        word = flags[:, start : start + 32]
        key = (group << 32) + word @ (1 << np.arange(word.shape[1]))
        _, first, group = np.unique(key, return_index=True, return_inverse=True)
    return first, group


def _matrices(base: Operating, at: Indices, on: Flags, powered: Flags) -> tuple[Array, Array]:
    """Matrix and right-hand side with these bends on and these followers powered."""
    part, solved, bends, rails = base.linear, base.solved, base.assembled.bends, base.assembled.followers
    nodes = part.nodes
    turned = on.astype(float) - solved.on[at]
    into = turned[:, :, None] * bends.into
    into[:, :, 0] = 0.0
    matrix, right = part.matrix[at].copy(), solved.right[at].copy()
    matrix[:, :nodes, :nodes] += np.swapaxes(into, 1, 2) @ bends.slope[at]
    right[:, :nodes] -= np.einsum("qj,qjn->qn", np.where(turned != 0.0, bends.offset[at], 0.0), into)
    for number, (out, plus, minus) in enumerate(zip(rails.out, rails.plus, rails.minus, strict=True)):
        g = np.where(solved.reach.powered[at, number] & ~powered[:, number], rails.siemens[at, number], 0.0)
        ratio = rails.ratio[at, number]
        for row, sign in ((out, 1.0), (minus, -1.0)):
            if row:
                matrix[:, row, plus] += sign * g * ratio
                matrix[:, row, minus] += sign * g * (1.0 - ratio)
                matrix[:, row, out] -= sign * g
    return matrix, right
