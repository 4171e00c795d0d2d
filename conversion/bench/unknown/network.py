"""Resistances between the terminals of a few potentiometer tracks that share terminals, many arrangements at once.

A track is a star inside the module: from the place where the wiper touches to one end, to the other, and to the
wiper's terminal.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Index = npt.NDArray[np.intp]

LEAST_OHM = 1e-3
"""No arm of a star is taken as less, so that every conductance is finite."""


@dataclass(frozen=True)
class Tracks:
    """Arrangements of as many tracks on as many terminals.

    Attributes:
        terminals: How many terminals there are.
        wired: (arrangements, tracks, 3): terminal of the first end, of the second end, of the wiper.
    """

    terminals: int
    wired: Index

    @property
    def count(self) -> int:
        """Tracks of each arrangement."""
        return int(self.wired.shape[1])


@dataclass(frozen=True)
class Values:
    """Figures of each arrangement.

    Attributes:
        track_ohm: (arrangements, tracks), end to end. [Ω]
        wiper_ohm: (arrangements, tracks), between track and wiper terminal. [Ω]
        share: (arrangements, tracks, positions), of the track between first end and wiper, 0 to 1.
    """

    track_ohm: Array
    wiper_ohm: Array
    share: Array

    def flat(self) -> Array:
        """(arrangements, values): tracks, wipers, then shares, track by track."""
        return np.concatenate([self.track_ohm, self.wiper_ohm, self.share.reshape(len(self.share), -1)], axis=1)

    def of(self, arrangements: Index) -> Values:
        """Those of some arrangements."""
        return Values(self.track_ohm[arrangements], self.wiper_ohm[arrangements], self.share[arrangements])

    @staticmethod
    def unflat(flat: Array, tracks: int) -> Values:
        """The other way round."""
        return Values(
            flat[:, :tracks], flat[:, tracks : 2 * tracks], flat[:, 2 * tracks :].reshape(len(flat), tracks, -1)
        )


def resistances(tracks: Tracks, values: Values) -> tuple[Array, Array]:
    r"""Resistance between each two terminals, and how it changes with each figure.

    With one ampere from terminal i to terminal j, the resistance between them grows with the resistance of an element
    by the square of the current through the element:

    .. math:: \partial R_{ij} / \partial r_e = i_e^2

    Returns:
        (arrangements, positions, pairs) in the order of combinations [Ω], and its derivatives by the figures in the
        order of :meth:`Values.flat`, (arrangements, positions, pairs, values).

    Note:
        All terminals of an arrangement must hang together.

    References:
        The derivative follows from Tellegen's theorem: B. D. H. Tellegen, A general network theorem, with applications,
        Philips Research Reports 7 (1952), 259–269 (from memory).
    """
    count, ends = tracks.count, tracks.wired
    positions = values.share.shape[2]
    arms = _arms_ohm(values)  # (arrangements, tracks, arms, positions)
    centre = np.broadcast_to(tracks.terminals + np.arange(count)[None, :, None], ends.shape)
    kept = np.maximum(arms, LEAST_OHM)
    conductance = np.moveaxis(1.0 / kept, 3, 1).reshape(len(ends), positions, -1)
    first, second = ends.reshape(len(ends), -1), centre.reshape(len(ends), -1)
    inverse = _inverse(tracks.terminals + count, first, second, conductance)
    i, j = np.array(list(itertools.combinations(range(tracks.terminals), 2)), dtype=np.intp).reshape(-1, 2).T
    ohm = inverse[..., i, i] + inverse[..., j, j] - 2.0 * inverse[..., i, j]
    rows = np.arange(len(ends))[:, None]
    # (arrangements, elements, positions, nodes): difference of potentials across each element, a column a node.
    across = inverse.transpose(0, 2, 1, 3)[rows, first] - inverse.transpose(0, 2, 1, 3)[rows, second]
    current = (across[..., i] - across[..., j]) * conductance.transpose(0, 2, 1)[..., None]
    squares = (current**2).reshape(len(ends), count, 3, positions, len(i))
    return ohm, _by_values(squares, values)


def _arms_ohm(values: Values) -> Array:
    track, wiper = values.track_ohm[..., None], values.wiper_ohm[..., None]
    return np.stack([track * values.share, track * (1.0 - values.share), wiper + 0.0 * values.share], axis=2)


def _inverse(nodes: int, first: Index, second: Index, conductance: Array) -> Array:
    """Of the conductance matrix, the last node held at zero; its row and column are zero."""
    shape = (*conductance.shape[:2], nodes, nodes)
    matrix = np.zeros(shape)
    rows = np.arange(shape[0])
    for element in range(first.shape[1]):
        a, b, g = first[:, element], second[:, element], conductance[:, :, element]
        for one, other, sign in ((a, a, 1.0), (b, b, 1.0), (a, b, -1.0), (b, a, -1.0)):
            matrix[rows, :, one, other] += sign * g
    inverse = np.zeros(shape)
    inverse[..., :-1, :-1] = np.linalg.inv(matrix[..., :-1, :-1])
    return inverse


def _by_values(squares: Array, values: Values) -> Array:
    """From the derivatives by the arms to those by the figures."""
    count, positions = squares.shape[1], squares.shape[3]
    to_first, to_second, to_wiper = (squares[:, :, arm].transpose(0, 2, 3, 1) for arm in range(3))
    share = values.share.transpose(0, 2, 1)[:, :, None, :]
    by_track = to_first * share + to_second * (1.0 - share)
    by_share = np.zeros((*by_track.shape, positions))
    change = (to_first - to_second) * values.track_ohm[:, None, None, :]
    for position in range(positions):
        by_share[:, position, :, :, position] = change[:, position]
    flat = by_share.reshape(*by_track.shape[:3], count * positions)
    return np.concatenate([by_track, to_wiper, flat], axis=3)
