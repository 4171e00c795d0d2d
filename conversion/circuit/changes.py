"""Many changes at once: each one conductance added to a network that is solved already.

Most are one update of the linear part. Where that would push a bend past its beginning, the linear part beyond is
taken instead and judged again; where it does not settle, where an opened conductor leaves more than resistors hanging
in the air, or where digits would be lost, the changed network is solved in full.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.beyond import look_beyond
from conversion.circuit.full_solve import SWAYED, Items, solve_items
from conversion.circuit.linear_part import SMALLEST_OHM, exact_responses, responses, weights
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.opening import Opened, judge_openings, remaining
from conversion.circuit.small_system import Asked, Scattered
from conversion.circuit.standing import find_standing, meets_air, outside, wrong_at

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

BLOCK = 1024
"""Changes that are worked on together: few enough for a processor's own memory."""
LOST_DIGITS = 1e-8
"""Below this share of what was there, an opened conductor is solved in full."""


@dataclass(frozen=True)
class Cases:
    """Changes, one conductance each.

    Attributes:
        a: (cases,)
        b: (cases,)
        siemens: Added; (cases, positions). [S]
    """

    a: Indices
    b: Indices
    siemens: Array

    def chosen(self, which: Indices) -> Cases:
        """Some of them."""
        return Cases(self.a[which], self.b[which], self.siemens[which])


def change_many(base: Operating, cases: Cases, observed: Indices) -> Array:
    """Volts of the observed nodes with each change; NaN where undetermined; (cases, positions, observed)."""
    found = np.empty((len(observed), len(cases.a), base.network.positions))
    taken = np.any(cases.siemens < 0.0, axis=1)
    for which, opening in ((np.flatnonzero(~taken), False), (np.flatnonzero(taken), True)):
        for start in range(0, len(which), BLOCK):
            chosen = which[start : start + BLOCK]
            found[:, chosen] = _block(base, cases.chosen(chosen), observed, opening)
    return np.moveaxis(found, 0, 2)


def _block(base: Operating, cases: Cases, observed: Indices, opening: bool) -> Array:
    """(observed, cases, positions)"""
    part = base.linear
    pairs, back = np.unique(cases.a * part.nodes + cases.b, return_inverse=True)
    a, b = pairs // part.nodes, pairs % part.nodes
    rows = np.concatenate([observed, np.arange(part.nodes, len(part.level))])
    seen = exact_responses(part, base.solved, a, b, rows) if opening else responses(part, a, b, rows)
    asked = Asked(a, b, rows, seen)
    standing = find_standing(base, seen)
    weight = weights(seen.ohm[back], cases.siemens)
    full = (meets_air(base, a, b) | (seen.ohm < -SMALLEST_OHM))[back] & (cases.siemens != 0.0)
    beyond = outside(weight, standing.low[back], standing.high[back])
    opened: Opened | None = None
    if opening:
        opened = judge_openings(base, cases.a, cases.b, remaining(base, cases.a, cases.b, cases.siemens))
        apart = opened.plain | opened.starved
        weight[apart] = 0.0
        beyond = (beyond & ~opened.plain) | opened.starved
        full |= opened.full | (~apart & (1.0 + cases.siemens * seen.ohm[back] < LOST_DIGITS))
    full |= ~np.isfinite(weight) | np.isnan(base.solved.volts).any(axis=1)
    if not base.solved.reach.powered.all():
        full |= outside(weight, standing.fed_low[back], standing.fed_high[back])
    weight[full] = 0.0
    step = weight * seen.between[back]
    found = np.empty((len(observed), *step.shape))
    for number, row in enumerate(observed):
        np.multiply(seen.push[number][back], step, out=found[number])
        np.subtract(part.level[row], found[number], out=found[number])
    _hide(base, asked, (back, weight), opened, found)
    case, position = np.nonzero(beyond & ~full)
    if len(case):
        answers, settled = _from_beyond(
            base, asked, (back[case], cases.siemens[case, position]), opened, case, position
        )
        found[:, case, position] = answers[:, : len(observed)].T
        full[case, position] = ~settled
    if full.any():
        case, position = np.nonzero(full)
        found[:, case, position] = in_full(base, cases, case, position)[:, observed].T
    return found


def _hide(
    base: Operating, asked: Asked, change: tuple[Indices, Array], opened: Opened | None, found: Array
) -> None:  # fmt: skip
    """Take the volts away from what hangs in the air, and from what an output without rails drives."""
    part, reach, rails = base.linear, base.solved.reach, base.assembled.followers
    back, weight = change
    observed = asked.rows[: len(found)]
    for place, node in enumerate(observed):
        found[place][:, ~reach.held[:, node]] = np.nan
        if opened is not None:
            found[place][opened.lost[:, :, node]] = np.nan
    for number in np.flatnonzero(~reach.powered.all(axis=0)):
        out, without = rails.out[number], ~reach.powered[:, number]
        column = (part.inverse[asked.a, out] - part.inverse[asked.b, out])[back] * weight
        own = part.inverse[out, out] - (part.inverse[out][asked.a] - part.inverse[out][asked.b])[back] * column
        least = SWAYED * (1.0 / rails.siemens[:, number] + own)
        for place, node in enumerate(observed):
            moved = part.inverse[node, out] - asked.seen.push[place][back] * column
            found[place][without & (moved > least)] = np.nan


def _from_beyond(
    base: Operating, asked: Asked, change: tuple[Indices, Array], opened: Opened | None, case: Indices,
    position: Indices,
) -> tuple[Array, Flags]:  # fmt: skip
    """Answers of other linear parts, NaN where undetermined (items, rows), and whether they are settled."""
    solved, bends = base.solved, base.assembled.bends
    pair, siemens = change
    powered = solved.reach.powered[position]
    wrong = np.zeros((len(case), len(bends.names)), dtype=bool)
    plain = np.arange(len(case)) if opened is None else np.flatnonzero(~opened.starved[case, position])
    wrong[plain] = wrong_at(base, asked.seen, pair[plain], position[plain], siemens[plain])
    on = bends.turned(solved.on[position], bends.to_turn(wrong))
    if opened is not None:
        powered = powered & ~opened.unpowered[case, position]
        on &= ~opened.idle[case, position]
    beyond = look_beyond(base, asked, Scattered(position, pair, siemens, on, powered))
    nodes = base.linear.nodes
    hidden = beyond.swayed
    hidden[:, asked.rows < nodes] |= ~solved.reach.held[position][:, asked.rows[asked.rows < nodes]]
    return np.where(hidden, np.nan, beyond.answers), beyond.settled


def in_full(base: Operating, cases: Cases, case: Indices, position: Indices) -> Array:
    """Solve these cases at these positions without any update; NaN where undetermined; (items, nodes)."""
    found = np.empty((len(case), len(base.network.nodes)))
    endless = np.isinf(cases.siemens[case, position])
    for start in range(0, len(case), 2 * BLOCK):
        chosen = np.arange(start, min(start + 2 * BLOCK, len(case)))
        chosen = chosen[~endless[chosen]]
        if len(chosen):
            a, b, at = cases.a[case[chosen]], cases.b[case[chosen]], position[chosen]
            left = np.diagonal(remaining(base, a, b, cases.siemens[case[chosen]])[:, at])
            pairs = base.items.pairs[at]
            every = np.arange(len(chosen))
            pairs[every, a, b] = pairs[every, b, a] = np.where(a == b, 0.0, left)
            found[chosen] = _solved_volts(base, Items(at, pairs, base.items.shorts))
    short = np.flatnonzero(endless)
    for one in sorted(set(case[short].tolist())):
        chosen = short[case[short] == one]
        shorts = base.items.shorts.also(int(cases.a[one]), int(cases.b[one]))
        found[chosen] = _solved_volts(base, Items(position[chosen], base.items.pairs[position[chosen]], shorts))
    return found


def _solved_volts(base: Operating, items: Items) -> Array:
    solved = solve_items(base.assembled, items)
    return np.where(solved.undetermined, np.nan, solved.volts)
