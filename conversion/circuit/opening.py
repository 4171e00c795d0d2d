"""What an opened conductor leaves hanging in the air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.full_solve import joined_nodes
from conversion.circuit.network import Array, Flags, Indices
from conversion.circuit.reach import find_reach

if TYPE_CHECKING:
    from conversion.circuit.operating import Operating

NOTHING_LEFT = 1e-9
"""A share of what is taken away so small that nothing is left."""


@dataclass(frozen=True)
class Opened:
    """For each case.

    Attributes:
        lost: Nodes that hang in the air, with every element that stands at them; (cases, positions, nodes).
        plain: Some are lost in that way, so that no other voltage changes; (cases, positions).
        starved: Something is held by a drain alone; (cases, positions).
        unpowered: Followers that lose a rail to that; (cases, positions, followers).
        idle: Bends that such a node stands at, and that begin without current; (cases, positions, bends).
        full: An element stands at nodes that are lost and at others; (cases, positions).
    """

    lost: Flags
    plain: Flags
    starved: Flags
    unpowered: Flags
    idle: Flags
    full: Flags


def remaining(base: Operating, a: Indices, b: Indices, added: Array) -> Array:
    """What is left between the nodes of each case; 0 where nothing is; (cases, positions). [S]

    Raises:
        ValueError: more is taken away than there is.
    """
    total = base.items.pairs[:, a, b].T + added
    with np.errstate(invalid="ignore"):
        least = np.where(added < 0.0, -NOTHING_LEFT * added, 0.0)
        below = total < -least
    if below.any():
        case = int(np.flatnonzero(below.any(axis=1))[0])
        one, other = base.network.nodes[a[case]], base.network.nodes[b[case]]
        raise ValueError(f"more conductance is taken away than there is between {one} and {other}")
    return np.where(total > least, total, 0.0)


def judge_openings(base: Operating, a: Indices, b: Indices, left: Array) -> Opened:
    """Follow the conductors again where nothing is left between two nodes."""
    positions, nodes = base.volts.shape
    count = len(a)

    def none(*more: int) -> Flags:
        return np.zeros((count, positions, *more), dtype=bool)

    found = Opened(
        none(nodes), none(), none(), none(base.solved.reach.powered.shape[1]), none(base.solved.on.shape[1]), none()
    )
    nothing = left == 0.0
    found.full[nothing.any(axis=1) & ~nothing.all(axis=1)] = True
    cases = np.flatnonzero(nothing.all(axis=1))
    if not len(cases):
        return found
    kinds, kind_of = base.arrangements
    pairs, back = np.unique(a[cases] * nodes + b[cases], return_inverse=True)
    one, other = pairs // nodes, pairs % nodes
    conducting = np.repeat(base.items.pairs[kinds][None] > 0.0, len(pairs), axis=0)
    each = np.arange(len(pairs))
    conducting[each, :, one, other] = conducting[each, :, other, one] = False
    flat = (len(pairs) * len(kinds), nodes, nodes)
    before = base.solved.reach
    reach = find_reach(
        base.assembled,
        joined_nodes(conducting.reshape(flat), base.items.shorts),
        np.tile(base.assembled.knees[kinds] > 0.0, (len(pairs), 1, 1)),
        np.tile(before.powered[kinds], (len(pairs), 1)),
    )

    def change(was: Flags, now: Flags) -> Flags:
        return np.asarray(was[kinds][None] & ~now.reshape(len(pairs), len(kinds), -1))

    gone = change(before.held, reach.held)
    unfed = change(before.fed, reach.fed)
    rails = change(before.powered, reach.powered)
    ties = base.assembled.coupled
    apart = (gone @ ties.T) & (~gone @ ties.T)
    full: Flags = np.any(apart, axis=2) | (np.any(gone, axis=2) & np.any(unfed & ~gone, axis=2))
    starved: Flags = np.any(unfed, axis=2) & ~np.any(gone, axis=2)
    found.lost[cases] = (gone & ~full[:, :, None])[back][:, kind_of]
    found.plain[cases] = (np.any(gone, axis=2) & ~full)[back][:, kind_of]
    found.starved[cases] = starved[back][:, kind_of]
    found.unpowered[cases] = (rails & starved[:, :, None])[back][:, kind_of]
    found.idle[cases] = ((unfed @ base.assembled.bends.touched.T) & starved[:, :, None])[back][:, kind_of]
    found.full[cases] |= full[back][:, kind_of]
    return found
