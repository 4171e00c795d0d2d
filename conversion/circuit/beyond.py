"""The linear parts beyond the one that holds without a change: bends turned, and the change judged again."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.full_solve import ROUNDING_A
from conversion.circuit.linear_part import carried, invert_each, weights, wrong_bends
from conversion.circuit.network import Array, Flags, Indices

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

TURNS = 5
"""How often bends are turned before a case is solved in full."""
_LARGEST_OHM = 1e9


@dataclass(frozen=True)
class Beyond:
    """What was found for each item.

    Attributes:
        answers: (items, rows)
        settled: Whether the bends are where their voltages say; (items,).
    """

    answers: Array
    settled: Flags


@dataclass(frozen=True)
class Scattered:
    """Cases at positions: one change each; (items,)."""

    position: Indices
    a: Indices
    b: Indices
    siemens: Array


def look_beyond(base: Operating, items: Scattered, on: Flags, alive: Flags, rows: Indices) -> Beyond:
    """Answer with the linear part in which the bends are as given, then with what follows from that.

    Args:
        base: Without the changes.
        items: The changes.
        on: Bends that the first answer asks for; (items, bends).
        alive: Bends that may carry current; (items, bends).
        rows: Of the linear part; the last ones are those that decide on bends, then the rails.
    """
    answers, settled = np.zeros((len(items.a), len(rows))), np.zeros(len(items.a), dtype=bool)
    deciding = np.flatnonzero((rows >= base.linear.nodes) & (rows < base.linear.nodes + base.linear.bends))
    todo, on = np.arange(len(items.a)), on.copy()
    for _ in range(TURNS):
        if not len(todo):
            break
        found, sound = _answer(base, items, todo, on[todo], rows)
        wrong = alive[todo] & wrong_bends(found[:, deciding], on[todo], ROUNDING_A)
        answers[todo] = found
        settled[todo] = sound & ~wrong.any(axis=1)
        on[todo] = base.assembled.bends.turned(on[todo], wrong)
        todo = todo[wrong.any(axis=1) & sound]
    return Beyond(answers, settled)


def _answer(base: Operating, items: Scattered, chosen: Indices, on: Flags, rows: Indices) -> tuple[Array, Flags]:
    """One update each, of the linear part that belongs to its bends."""
    part, solved, bends = base.linear, base.solved, base.assembled.bends
    keys = np.concatenate([items.position[chosen, None].view(np.uint8).reshape(len(chosen), -1), on], axis=1)
    _, first, group = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    group = group.reshape(-1)
    at = items.position[chosen[first]]
    turned = on[first].astype(float) - solved.on[at]
    nodes, size = part.nodes, part.matrix.shape[1]
    into = turned[:, :, None] * bends.into
    into[:, :, 0] = 0.0
    matrix, right = part.matrix[at].copy(), solved.right[at].copy()
    matrix[:, :nodes, :nodes] += np.swapaxes(into, 1, 2) @ bends.slope[at]
    right[:, :nodes] -= np.einsum("qj,qjn->qn", np.where(turned != 0.0, bends.offset[at], 0.0), into)
    full_inverse = invert_each(matrix)
    volts = np.einsum("qnm,qm->qn", full_inverse, right)[:, :nodes]
    inverse = full_inverse[:, :nodes, :nodes] * carried(solved)[at][:, None, :]
    probe = part.probe[at][:, rows]
    of_rows = probe @ inverse
    level = np.einsum("qrn,qn->qr", probe, volts) + part.offset[at][:, rows]
    a, b = items.a[chosen], items.b[chosen]
    push = of_rows[group, :, a] - of_rows[group, :, b]
    ohm = (inverse[group, a, a] - inverse[group, b, a]) - (inverse[group, a, b] - inverse[group, b, b])
    step = weights(ohm, items.siemens[chosen]) * (volts[group, a] - volts[group, b])
    sound = (ohm >= 0.0) & (ohm < _LARGEST_OHM) & (size > 0)
    return level[group] - push * step[:, None], sound
