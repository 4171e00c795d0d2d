"""Many changes at once: each one conductance added to a network that is solved already.

Most are one update of the linear part. Where that would push a bend past its beginning, the linear part beyond is
taken instead and judged again; where it does not settle, where an opened conductor leaves more than resistors hanging
in the air, or where digits would be lost, the changed network is solved in full.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.beyond import Asked, Scattered, look_beyond
from conversion.circuit.full_solve import ROUNDING_A, SWAYED, Items, solve_items
from conversion.circuit.linear_part import Responses, exact_responses, responses, weights, wrong_bends
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.opening import Opened, judge_openings, remaining

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

BLOCK = 512
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
    part, reach = base.linear, base.solved.reach
    pairs, back = np.unique(cases.a * part.nodes + cases.b, return_inverse=True)
    a, b = pairs // part.nodes, pairs % part.nodes
    rows = np.concatenate([observed, np.arange(part.nodes, len(part.level))])
    seen = exact_responses(part, base.solved, a, b, rows) if opening else responses(part, a, b, rows)
    weight = weights(seen.ohm[back], cases.siemens)
    full = _meets_air(base, a, b)[back] & (cases.siemens != 0.0)
    opened: Opened | None = None
    if opening:
        opened = judge_openings(base, cases.a, cases.b, remaining(base, cases.a, cases.b, cases.siemens))
        apart = opened.plain | opened.starved
        weight[apart] = 0.0
        full |= opened.full | (~apart & (1.0 + cases.siemens * seen.ohm[back] < LOST_DIGITS))
    full |= ~np.isfinite(weight) | np.isnan(base.solved.volts).any(axis=1)
    weight[full] = 0.0
    step = weight * seen.between[back]
    answers = np.empty((len(rows), *step.shape))
    for number, row in enumerate(rows):
        np.multiply(seen.push[number][back], step, out=answers[number])
        np.subtract(part.level[row], answers[number], out=answers[number])
    undetermined = np.repeat(~reach.held.T[observed][:, None, :], len(step), axis=1)
    if opened is not None:
        undetermined |= np.moveaxis(opened.lost[:, :, observed], 2, 0)
    _sway(base, seen, back, weight, (a, b), observed, undetermined)
    _mend(base, Asked(a, b, rows, seen), (back, cases.siemens), answers, undetermined, opened, full)
    found = answers[: len(observed)]
    found[undetermined] = np.nan
    if full.any():
        case, position = np.nonzero(full)
        found[:, case, position] = in_full(base, cases, case, position)[:, observed].T
    return found


def _meets_air(base: Operating, a: Indices, b: Indices) -> Flags:
    """Pairs of which one node hangs in the air, or only one is fed; (pairs, positions)."""
    reach = base.solved.reach
    return (~reach.held[:, a] | ~reach.held[:, b] | (reach.fed[:, a] != reach.fed[:, b])).T


def _sway(
    base: Operating, seen: Responses, back: Indices, weight: Array, pairs: tuple[Indices, Indices], observed: Indices,
    undetermined: Flags,
) -> None:  # fmt: skip
    """Mark what an output without rails drives."""
    part, rails = base.linear, base.assembled.followers
    for number, out in enumerate(rails.out):
        without = ~base.solved.reach.powered[:, number]
        if not without.any():
            continue
        a, b = pairs
        column = (part.inverse[a, out] - part.inverse[b, out])[back] * weight
        ohm = 1.0 / rails.siemens[:, number]
        own = part.inverse[out, out] - (part.inverse[out][a] - part.inverse[out][b])[back] * column
        for place, node in enumerate(observed):
            moved = part.inverse[node, out] - seen.push[place][back] * column
            undetermined[place] |= without & (moved > SWAYED * (ohm + own))


def _mend(
    base: Operating, asked: Asked, cases: tuple[Indices, Array], answers: Array, undetermined: Flags,
    opened: Opened | None, full: Flags,
) -> None:  # fmt: skip
    """Where a bend or a rail is not where it was said to be, answer from beyond, or leave it to the full solution."""
    part, solved, rails = base.linear, base.solved, base.assembled.followers
    observed = len(undetermined)
    last = observed + part.bends
    wrong = np.zeros((part.bends, *full.shape), dtype=bool)
    for bend in range(part.bends):
        wrong[bend] = solved.alive[:, bend] & wrong_bends(answers[observed + bend], solved.on[:, bend], ROUNDING_A)
    differs = wrong.any(axis=0)
    for number, least_v in enumerate(rails.least_v):
        powered = solved.reach.powered[:, number]
        fed = solved.reach.fed[:, rails.plus[number]] & solved.reach.fed[:, rails.minus[number]]
        starved = answers[last + number] < least_v
        differs |= powered & starved
        # It gets its rails back.
        full |= ~powered & fed & ~starved
    if opened is not None:
        wrong[:, opened.starved] = False
        differs = (differs & ~opened.plain) | opened.starved
    case, position = np.nonzero(differs & ~full)
    if not len(case):
        return
    powered = solved.reach.powered[position]
    bends = base.assembled.bends
    on = bends.turned(solved.on[position], bends.to_turn(wrong[:, case, position].T))
    if opened is not None:
        powered = powered & ~opened.unpowered[case, position]
        on &= ~opened.idle[case, position]
    pair, siemens = cases
    items = Scattered(position, pair[case], siemens[case, position], on, powered)
    beyond = look_beyond(base, asked, items)
    answers[:, case, position] = beyond.answers.T
    undetermined[:, case, position] = ~solved.reach.held[position][:, asked.rows[:observed]].T
    undetermined[:, case, position] |= beyond.swayed[:, :observed].T
    full[case, position] = ~beyond.settled


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
    for one in np.unique(case[short]):
        chosen = short[case[short] == one]
        shorts = base.items.shorts.also(int(cases.a[one]), int(cases.b[one]))
        found[chosen] = _solved_volts(base, Items(position[chosen], base.items.pairs[position[chosen]], shorts))
    return found


def _solved_volts(base: Operating, items: Items) -> Array:
    solved = solve_items(base.assembled, items)
    return np.where(solved.undetermined, np.nan, solved.volts)
