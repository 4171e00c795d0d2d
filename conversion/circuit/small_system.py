"""The small system of the currents that a change and whatever it turns make unknown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.linear_part import SMALLEST_OHM, Responses, invert_each
from conversion.circuit.network import Array, Flags, Indices

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

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


@dataclass(frozen=True)
class Small:
    """The system of the unknown currents of items that turn the same; the fault's own comes first.

    Attributes:
        at: Position of each; (items,).
        ohm: Between the nodes of each change, without any of it; (items,). [Ω]
        system: (items, currents, currents)
        inverse: Its inverse; (items, currents, currents).
        right: For the volts, then for each output without rails; (items, currents, columns).
        push: What each current does to each row; (items, rows, currents).
        features: Bends and followers that the others are; (currents − 1,).
    """

    at: Indices
    ohm: Array
    system: Array
    inverse: Array
    right: Array
    push: Array
    features: Indices


def small_system(
    base: Operating, asked: Asked, items: Scattered, chosen: Indices, signs: Array, without: Indices
) -> Small:
    """The system of items that turn the same.

    Args:
        base: Without the changes.
        asked: The pairs of nodes and the rows.
        items: The changes.
        chosen: Those that turn the same.
        signs: +1 or −1 for each bend, then each follower, that is turned; (bends + followers,).
        without: Followers without their rails.
    """
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
    return Small(at, ohm, system, invert_each(system), right, push, features)


def alike(base: Operating, position: Indices, on: Flags, powered: Flags) -> Iterator[tuple[Indices, Array, Indices]]:
    """Items that turn the same: their numbers, +1 or −1 for each bend and follower turned, followers without rails."""
    turned = np.concatenate(
        [
            on.astype(np.int8) - base.solved.on[position],
            powered.astype(np.int8) - base.solved.reach.powered[position],
            ~powered,
        ],
        axis=1,
    )
    first, group = _grouped(turned + 1)
    features = turned.shape[1] - powered.shape[1]
    for number, one in enumerate(first):
        yield np.flatnonzero(group == number), turned[one, :features].astype(float), np.flatnonzero(~powered[one])


def _grouped(codes: Array) -> tuple[Indices, Indices]:
    """Rows that are alike, of small numbers: the first of each group, and the group of each."""
    group = np.zeros(len(codes), dtype=np.int64)
    first = np.zeros(1, dtype=np.intp)
    for start in range(0, codes.shape[1], 16):
        word = codes[:, start : start + 16].astype(np.int64)
        key = (group << 32) + word @ (4 ** np.arange(word.shape[1]))
        _, first, group = np.unique(key, return_index=True, return_inverse=True)
    return first, group


def rows_at(base: Operating, asked: Asked, at: Indices) -> Array:
    """The rows without any of it; (items, rows)."""
    return base.linear.level[asked.rows[:, None], at].T
