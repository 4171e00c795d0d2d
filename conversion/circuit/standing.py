"""How much of a change the linear part that holds without it stands, before a bend or a rail says otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.full_solve import ROUNDING_A, wrong_bends
from conversion.circuit.linear_part import Responses, weights
from conversion.circuit.network import Array, Flags, Indices

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating


@dataclass(frozen=True)
class Standing:
    """Bounds of the weight g / (1 + g z), for each pair of nodes at each position; (pairs, positions). [S]

    Attributes:
        low: Below it some bend turns, or an output loses a rail.
        high: Above it likewise.
        fed_low: Below it an output without rails gets them back.
        fed_high: Above it likewise.
    """

    low: Array
    high: Array
    fed_low: Array
    fed_high: Array


def find_standing(base: Operating, seen: Responses) -> Standing:
    """Each current that decides on a bend moves in proportion to the weight, so each has its bound.

    Args:
        base: The operating point.
        seen: Responses whose last rows decide on bends, then on rails.
    """
    part, solved, rails = base.linear, base.solved, base.assembled.followers
    first = len(seen.push) - part.bends - len(rails.out)
    shape = seen.between.shape
    standing = Standing(
        np.full(shape, -np.inf), np.full(shape, np.inf), np.full(shape, -np.inf), np.full(shape, np.inf)
    )
    for bend in range(part.bends):
        sign = np.where(solved.on[:, bend], 1.0, -1.0) * solved.alive[:, bend]
        room = np.maximum(sign * part.level[part.nodes + bend] + ROUNDING_A, 0.0)
        _narrow(standing.low, standing.high, sign * seen.push[first + bend] * seen.between, room)
    for number, least_v in enumerate(rails.least_v):
        powered = solved.reach.powered[:, number]
        fed = solved.reach.fed[:, rails.plus[number]] & solved.reach.fed[:, rails.minus[number]]
        row = part.bends + number
        moves, over = seen.push[first + row] * seen.between, part.level[part.nodes + row] - least_v
        _narrow(standing.low, standing.high, moves * powered, np.maximum(over, 0.0))
        if not powered.all():
            _narrow(standing.fed_low, standing.fed_high, -moves * (fed & ~powered), np.maximum(-over, 0.0))
    return standing


def _narrow(low: Array, high: Array, moves: Array, room: Array) -> None:
    """Where what moves by ``moves`` for each unit of weight has used up its room."""
    with np.errstate(divide="ignore", invalid="ignore"):
        bound = room / moves
    np.minimum(high, bound, out=high, where=moves > 0.0)
    np.maximum(low, bound, out=low, where=moves < 0.0)


def outside(weight: Array, low: Array, high: Array) -> Flags:
    """Weights that the linear part does not stand."""
    return np.asarray((weight > high) | (weight < low))


def wrong_at(base: Operating, seen: Responses, pair: Indices, position: Indices, siemens: Array) -> Flags:
    """The bends that turn with these conductances; (items, bends)."""
    part, solved = base.linear, base.solved
    first = len(seen.push) - part.bends - len(base.assembled.followers.out)
    step = weights(seen.ohm[pair, position], siemens) * seen.between[pair, position]
    over = part.level[part.nodes : part.nodes + part.bends, position]
    over = over - seen.push[first : first + part.bends, pair, position] * step
    return np.asarray(solved.alive[position] & wrong_bends(over.T, solved.on[position]))


def meets_air(base: Operating, a: Indices, b: Indices) -> Flags:
    """Pairs of which one node hangs in the air, or only one is fed; (pairs, positions)."""
    reach = base.solved.reach
    return (~reach.held[:, a] | ~reach.held[:, b] | (reach.fed[:, a] != reach.fed[:, b])).T
