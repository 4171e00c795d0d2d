r"""The linear part that holds at an operating point, and what one added conductance does to it.

With z the inverse of the matrix, e the vector that is 1 at a and −1 at b, and V the volts before, a conductance g
between a and b gives (Sherman and Morrison)

.. math:: V(g) = V - z e \, \frac{g}{1 + g \, e^T z e} \, e^T V

so that every voltage, and every current that decides on a bend, is a hyperbola in g.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.circuit.assembly import Assembled
from conversion.circuit.full_solve import Items, Solved
from conversion.circuit.network import Array, Indices

SMALLEST_OHM = 1e-9
"""Between nodes that are joined by less, a change changes nothing: they are one node. [Ω]"""


@dataclass(frozen=True)
class LinearPart:
    """Rows of answers: volts of each node, then amps of each bend past its beginning, then volts between rails.

    Attributes:
        inverse: What a unit current into each node does to each row; (rows, nodes, positions). [Ω] or [1]
        into: What a unit current of each bend, then of each follower, does to each row; (rows, features, positions).
        level: Each row without any change; (rows, positions). [V] or [A]
        matrix: (positions, size, size) [S]
        nodes: Number of nodes.
        bends: Number of bends.
        probe: Volts -> rows, the factors; (positions, rows, nodes).
        offset: Volts -> rows, what is added; (positions, rows).
    """

    inverse: Array
    into: Array
    level: Array
    matrix: Array
    nodes: int
    bends: int
    probe: Array
    offset: Array


@dataclass(frozen=True)
class Responses:
    """What a conductance between each of several pairs of nodes would do.

    Attributes:
        push: z e, for each row; (rows, pairs, positions). [Ω] or [1]
        ohm: eᵀ z e, the resistance seen between the two nodes; (pairs, positions). [Ω]
        between: eᵀ V, the volts between them without it; (pairs, positions). [V]
    """

    push: Array
    ohm: Array
    between: Array


def probes(assembled: Assembled, position: Indices, nodes: int) -> tuple[Array, Array]:
    """Rows of answers as functions of the volts: slope (items, rows, nodes) and offset (items, rows)."""
    bends, rails = assembled.bends, assembled.followers
    followers = np.arange(len(rails.out))
    between = np.zeros((len(followers), nodes))
    between[followers, rails.plus] += 1.0
    between[followers, rails.minus] -= 1.0
    count = len(position)
    slope = np.concatenate(
        [
            np.broadcast_to(np.eye(nodes), (count, nodes, nodes)),
            bends.slope[position],
            np.broadcast_to(between, (count, *between.shape)),
        ],
        axis=1,
    )
    offset = np.concatenate(
        [np.zeros((count, nodes)), bends.offset[position], np.zeros((count, len(followers)))], axis=1
    )
    return slope, offset


def linear_part(assembled: Assembled, items: Items, solved: Solved) -> LinearPart:
    """Invert what was solved, once a position."""
    nodes = solved.volts.shape[1]
    slope, offset = probes(assembled, items.position, nodes)
    inverse = invert_each(solved.matrix)[:, :nodes, :nodes]
    inverse *= carried(solved)[:, None, :]
    of_rows = slope @ inverse
    rails = assembled.followers
    given = np.zeros((len(rails.out), nodes))
    every = np.arange(len(rails.out))
    given[every, rails.minus] += 1.0
    given[every, rails.out] -= 1.0
    directions = np.concatenate([assembled.bends.into, given])
    level = np.einsum("prn,pn->rp", slope, solved.volts) + offset.T
    return LinearPart(
        np.ascontiguousarray(np.moveaxis(of_rows, 0, 2)),
        np.ascontiguousarray(np.moveaxis(of_rows @ directions.T, 0, 2)),
        level,
        solved.matrix,
        nodes,
        len(assembled.bends.names),
        slope,
        offset,
    )


def carried(solved: Solved) -> Array:
    """1 for nodes that a current can be put into, 0 for the reference and for what hangs in the air."""
    found = solved.reach.held.astype(float)
    found[:, 0] = 0.0
    return found


def invert_each(matrix: Array) -> Array:
    """Invert each matrix; NaN where one has no inverse."""
    try:
        return np.asarray(np.linalg.inv(matrix))
    except np.linalg.LinAlgError:
        found = np.full(matrix.shape, np.nan)
        for index, one in enumerate(matrix):
            try:
                found[index] = np.linalg.inv(one)
            except np.linalg.LinAlgError:
                continue
        return found


def responses(part: LinearPart, a: Indices, b: Indices, rows: Indices) -> Responses:
    """From the inverse: for conductances that are added."""
    z = part.inverse
    push = np.empty((len(rows), len(a), z.shape[2]))
    for number, row in enumerate(rows):
        np.subtract(z[row][a], z[row][b], out=push[number])
    ohm = (z[a, a] - z[b, a]) - (z[a, b] - z[b, b])
    return Responses(push, ohm, part.level[a] - part.level[b])


def exact_responses(part: LinearPart, solved: Solved, a: Indices, b: Indices, rows: Indices) -> Responses:
    """Solved for each pair: for conductances that are taken away.

    A contact of a few milliohms stands among kilohms. What is seen across it is a small difference of large numbers
    in the inverse; solved for, a current that goes in on one side and out on the other leaves it exact.
    """
    unit = np.zeros((*part.matrix.shape[:2], len(a)))
    every = np.arange(len(a))
    can = carried(solved)
    unit[:, a, every] += can[:, a]
    unit[:, b, every] -= can[:, b]
    moved = np.linalg.solve(part.matrix, unit)[:, : part.nodes]
    push = np.moveaxis(part.probe[:, rows] @ moved, 0, 2)
    ohm = (moved[:, a, every] - moved[:, b, every]).T
    return Responses(np.ascontiguousarray(push), np.ascontiguousarray(ohm), part.level[a] - part.level[b])


def weights(ohm: Array, siemens: Array) -> Array:
    """g / (1 + g z), also for g without bound; 0 between nodes that are one already. [S]"""
    with np.errstate(divide="ignore", invalid="ignore"):
        found = np.where(np.isinf(siemens), 1.0 / ohm, siemens / (1.0 + siemens * ohm))
    return np.where(ohm > SMALLEST_OHM, found, 0.0)
