"""Where the volts turn a corner on their way: each conductance at which a bend turns or an output loses a rail.

Between two of them every volt is a hyperbola in the conductance, and all volts together run along a straight line. So
whatever is greatest on the way, of anything straight in the volts, is at a corner or at an end.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.beyond import go_on, look_beyond
from conversion.circuit.full_solve import ROUNDING_A
from conversion.circuit.hyperbola import siemens_of
from conversion.circuit.linear_part import exact_responses
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.small_system import Asked, Scattered
from conversion.circuit.standing import find_standing, meets_air

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

MOST = 12
"""Corners after which a way is not followed any more."""
_JUST_BEYOND = 1e-7
_ADVANCE = 1e-6


@dataclass(frozen=True)
class Corners:
    """The corners of each of several pairs of nodes at each position, in the order in which they are met.

    Attributes:
        siemens: Conductance of each, NaN where there are no more; (corners, pairs, positions). [S]
        ohm: Resistance seen between the two nodes where each piece begins, with nothing added and then with the
            conductance of each corner: with Δg more than there, all volts run straight in Δg / (1 + Δg · ohm). NaN
            where the way is not followed on, as where a node hangs in the air; (corners + 1, pairs, positions). [Ω]
    """

    siemens: Array
    ohm: Array


def find_corners(base: Operating, a: Indices, b: Indices, toward: Array) -> Corners:
    """The corners between nothing and ``toward``.

    Args:
        base: Without the change.
        a: One node of each pair; (pairs,).
        b: The other.
        toward: Where the way ends, positive or negative; (pairs, positions). [S]
    """
    part = base.linear
    rows = np.arange(part.nodes, len(part.level))
    asked = Asked(a, b, rows, exact_responses(part, base.solved, a, b, rows))
    standing = find_standing(base, asked.seen)
    bound = np.where(toward > 0.0, standing.high, standing.low)
    first_ohm = np.where(meets_air(base, a, b), np.nan, asked.seen.ohm)
    found, ohm = [_within(siemens_of(bound, first_ohm), toward)], [first_ohm]
    pair, position = np.nonzero(np.isfinite(found[0]))
    on = base.solved.on[position]
    powered = base.solved.reach.powered[position]
    while len(pair) and len(found) < MOST:
        here = found[-1][pair, position]
        # A step that is small beside what is there and beside what is left: an opened contact has all its ohms there.
        step = np.sign(here) * np.minimum(np.abs(here), np.abs(toward[pair, position] - here))
        just = Scattered(position, pair, here + _JUST_BEYOND * step, on, powered)
        beyond = look_beyond(base, asked, just)
        pair, position = pair[beyond.settled], position[beyond.settled]
        here, step = here[beyond.settled], step[beyond.settled]
        on, powered = beyond.on[beyond.settled], beyond.powered[beyond.settled]
        rising = toward[pair, position] > 0.0
        next_one, seen = _next(base, asked, Scattered(position, pair, here, on, powered), rising)
        along = np.full(toward.shape, np.nan)
        along[pair, position] = seen
        ohm.append(along)
        more = np.full(toward.shape, np.nan)
        more[pair, position] = np.where(np.abs(next_one - here) > _ADVANCE * np.abs(step), next_one, np.nan)
        more = _within(more, toward)
        going = np.isfinite(more[pair, position])
        pair, position, on, powered = pair[going], position[going], on[going], powered[going]
        found.append(more)
    return Corners(np.array(found[: len(ohm) - 1]).reshape(-1, *toward.shape), np.stack(ohm))


def _within(siemens: Array, toward: Array) -> Array:
    """NaN for what lies at the end of the way or beyond it."""
    inside = np.isfinite(siemens) & (siemens * np.sign(toward) > 0.0) & (np.abs(siemens) < np.abs(toward))
    return np.where(inside, siemens, np.nan)


def _next(base: Operating, asked: Asked, items: Scattered, rising: Flags) -> tuple[Array, Array]:
    """Where the next bend turns or rail is lost, NaN where none does [S], and what is seen between the nodes [Ω]."""
    bends, rails = base.assembled.bends, base.assembled.followers
    slopes = go_on(base, asked, items)
    alive = base.solved.alive[items.position]
    of_follower = bends.follower >= 0
    alive[:, of_follower] &= items.powered[:, bends.follower[of_follower]]
    sign = np.where(items.on, 1.0, -1.0) * alive
    last = len(bends.names)
    room = np.concatenate(
        [sign * slopes.answers[:, :last] + ROUNDING_A, slopes.answers[:, last:] - rails.least_v], axis=1
    )
    moves = np.concatenate([sign * slopes.moves[:, :last], items.powered * slopes.moves[:, last:]], axis=1)
    moves *= np.where(rising, 1.0, -1.0)[:, None]
    with np.errstate(divide="ignore", invalid="ignore"):
        weight = np.where(moves > 0.0, np.maximum(room, 0.0) / moves, np.inf).min(axis=1, initial=np.inf)
        weight = weight * np.where(rising, 1.0, -1.0)
        return items.siemens + siemens_of(weight, slopes.ohm), slopes.ohm
