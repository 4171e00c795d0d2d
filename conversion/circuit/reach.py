"""What hangs in the air: which nodes a chain of conductors holds to the reference, which outputs have both rails.

A voltage is never made up for the others: they are *undetermined*.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.circuit.assembly import Assembled
from conversion.circuit.network import Flags, Indices


@dataclass(frozen=True)
class Reach:
    """For each of a number of items (a position, or a case at a position).

    Attributes:
        held: Nodes with a way to the reference through anything that conducts; (items, nodes).
        fed: Of those, the ones with a way that is more than the leak of a drain; (items, nodes).
        powered: Followers both of whose rails are fed; (items, followers).
    """

    held: Flags
    fed: Flags
    powered: Flags


def find_reach(assembled: Assembled, joined: Flags, knees: Flags, allowed: Flags) -> Reach:
    """Follow the conductors from the reference outwards.

    Args:
        assembled: For its followers.
        joined: Nodes that a resistor or source joins; (items, nodes, nodes).
        knees: Nodes that a drain below its knee joins; (items, nodes, nodes).
        allowed: Followers that may be powered; (items, followers).
    """
    # At most positions, and for most cases, the same nodes are joined: each distinct arrangement is followed once.
    first, back = distinct(joined, knees, allowed)
    joined, knees, allowed = joined[first], knees[first], allowed[first]
    rails = assembled.followers
    fed = np.zeros(joined.shape[:2], dtype=bool)
    fed[:, 0] = True
    while True:
        powered = allowed & fed[:, rails.plus] & fed[:, rails.minus]
        grown = _grown(fed, joined)
        for number, out in enumerate(rails.out):
            grown[:, out] |= powered[:, number]
        if np.array_equal(grown, fed):
            break
        fed = grown
    held, either = fed, joined | knees
    while True:
        grown = _grown(held, either)
        if np.array_equal(grown, held):
            break
        held = grown
    return Reach(held[back], fed[back], powered[back])


def distinct(*flags: Flags) -> tuple[Indices, Indices]:
    """The first item of each that differs from all before it, and for each item which of those it is like.

    Example:
        >>> distinct(np.array([[True, False], [True, True], [True, False]]))
        (array([0, 1]), array([0, 1, 0]))
    """
    items = np.packbits(np.concatenate([each.reshape(len(each), -1) for each in flags], axis=1), axis=1)
    known: dict[bytes, int] = {}
    like = [known.setdefault(row.tobytes(), len(known)) for row in items]
    back = np.array(like, dtype=np.intp)
    return np.unique(back, return_index=True)[1], back


def _grown(reached: Flags, joined: Flags) -> Flags:
    met = joined.astype(np.float32) @ reached.astype(np.float32)[:, :, None]
    return np.asarray(reached | (met[:, :, 0] > 0.0))
