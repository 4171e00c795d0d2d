"""What an opened conductor leaves hanging in the air."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit.assembly import Assembled
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
        lost: Nodes that hang in the air, where nothing but resistors is among them; (cases, positions, nodes).
        plain: Nothing but resistors is lost, so that no other voltage changes; (cases, positions).
        unpowered: Followers that lose a rail while everything is still held; (cases, positions, followers).
        full: More hangs in the air than resistors; (cases, positions).
    """

    lost: Flags
    plain: Flags
    unpowered: Flags
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
    lost = np.zeros((count, positions, nodes), dtype=bool)
    plain, full = np.zeros((2, count, positions), dtype=bool)
    unpowered = np.zeros((count, positions, base.solved.reach.powered.shape[1]), dtype=bool)
    nothing = left == 0.0
    full[nothing.any(axis=1) & ~nothing.all(axis=1)] = True
    cases = np.flatnonzero(nothing.all(axis=1))
    if not len(cases):
        return Opened(lost, plain, unpowered, full)
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
        return was[kinds][None] & ~now.reshape(len(pairs), len(kinds), -1)

    gone = change(before.held, reach.held)
    unfed = change(before.fed, reach.fed)
    rails = change(before.powered, reach.powered)
    # What is still held by a drain alone is solved with the rest, as long as nothing is lost altogether.
    more = gone.any(axis=2) & (
        np.any(unfed != gone, axis=2) | np.any(gone & _active(base.assembled), axis=2) | rails.any(axis=2)
    )
    lost[cases] = (gone & ~more[:, :, None])[back][:, kind_of]
    full[cases] = more[back][:, kind_of]
    unpowered[cases] = (rails & ~more[:, :, None])[back][:, kind_of]
    plain[cases] = (gone.any(axis=2) & ~more)[back][:, kind_of]
    return Opened(lost, plain, unpowered, full)


def _active(assembled: Assembled) -> Flags:
    """Nodes that anything but a resistor stands at; (nodes,)."""
    rails = assembled.followers
    active = np.any(assembled.amps != 0.0, axis=0) | np.any(assembled.knees > 0.0, axis=(0, 1))
    active |= np.any(assembled.bends.touched, axis=0)
    active[np.concatenate([rails.out, rails.plus, rails.minus])] = True
    for start, end, _ in assembled.drains:
        active[[start, end]] = True
    return np.asarray(active)
