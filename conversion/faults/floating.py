"""What an input that hangs in the air may read: anything that its converter can, and the worst of that counts."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from conversion.faults.believing import Array, Believer, Flags
from conversion.faults.circuit_ways import CircuitWays
from conversion.faults.ways import Indices, Ways, join_ways, still_ways


def floating_ways(found: CircuitWays, fault: Indices, believer: Believer, ceiling_v: Array, percent: Array) -> Ways:
    """Further ways of faults that leave inputs in the air, so that the worst reading lies on one of them.

    Args:
        found: The faults, with what floats.
        fault: Number of each of them.
        believer: The inputs and checks.
        ceiling_v: Full scale of each input; (tracks,). [V]
        percent: Of the sound sensor; (positions,).

    Returns:
        One input in the air takes one way, from nothing to its full scale. Of several the corners are solved that
        their boundaries make at each position, and the way leads to the worst of them.
    """
    ways = []
    for index in np.flatnonzero(found.floats.any(axis=(1, 2))):
        grown, floats = found.grown_v[index], found.floats[index]
        low, high = np.where(floats, 0.0, grown), np.where(floats, ceiling_v, grown)
        several = np.flatnonzero(floats.sum(axis=1) > 1)
        for position in several:
            at_full = np.array(position == len(percent) - 1)
            high[position] = low[position] = _worst_corner(
                believer, grown[position], floats[position], ceiling_v, float(percent[position]), position == 0, at_full
            )
        ways.append(still_ways(fault[[index]], low[None], high[None]))
    return (
        join_ways(ways) if ways else still_ways(np.zeros(0, dtype=np.intp), *np.zeros((2, 0, *found.grown_v.shape[1:])))
    )


def _worst_corner(
    believer: Believer, volts: Array, floats: Flags, ceiling_v: Array, sound: float, at_rest: bool, at_full: Flags
) -> Array:
    """The worst reading, of one position, of several inputs that may each read anything; (tracks,)."""
    free = np.flatnonzero(floats)
    weights, offsets = believer.boundaries()
    edges = np.zeros((2 * len(free), len(volts)))
    edges[np.arange(2 * len(free)), np.tile(free, 2)] = 1.0
    weights = np.concatenate([weights, edges])
    offsets = np.concatenate([offsets, np.zeros(len(free)), -ceiling_v[free]])
    # What the inputs that do not float contribute is fixed.
    fixed = offsets + weights[:, ~floats] @ volts[~floats]
    corners = []
    for rows in combinations(range(len(weights)), len(free)):
        matrix = weights[list(rows)][:, free]
        if abs(np.linalg.det(matrix)) > 1e-12:
            corners.append(np.linalg.solve(matrix, -fixed[list(rows)]))
    read = np.tile(volts, (len(corners), 1))
    read[:, free] = corners
    inside = np.all((read[:, free] >= -1e-9) & (read[:, free] <= ceiling_v[free] + 1e-9), axis=1)
    silent = believer.silent(read, np.array(at_rest))
    rise = np.where(inside & silent, believer.rise(read, np.array(sound), at_full), -np.inf)
    return np.asarray(np.clip(read[int(np.argmax(rise))], 0.0, ceiling_v))
