r"""Ways of the inputs' volts: how far each fault moves them while it grows from nothing to its greatest.

A bridge of R ohms between two nodes of a linear network moves every volt by the share :math:`z / (z + R)` of what a
dead short does, z being the resistance of the network between the two; r ohms added in series to an element move it by
the share :math:`r / (r + q)` of what its opening does, q being the resistance of the loop. So every way is straight in
its share. It is cut where the converter of an input reads no lower or no higher.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from conversion.faults.believing import Array, Flags, Indices


@dataclass(frozen=True)
class Ways:
    """Straight ways of the inputs' volts, each over all positions; several of them may belong to one fault.

    Attributes:
        fault: Which fault each belongs to; (ways,).
        start: Volts as the converters read them where the way begins; (ways, positions, tracks). [V]
        end: Volts where it ends. [V]
        grown_start: How far the fault has grown at the start, 0 nothing, 1 a dead short or an open; (ways, positions).
        grown_end: The same at the end.
        scale_ohm: Of a bridge the network between its nodes, of a series resistance its loop; nan where the fault has
            no resistance; (ways, positions). [Ω]
        series: True where the resistance is added to an element, False for a bridge; (ways,).
    """

    fault: Indices
    start: Array
    end: Array
    grown_start: Array
    grown_end: Array
    scale_ohm: Array
    series: Flags

    def __len__(self) -> int:
        return len(self.fault)

    def grown(self, share: Array) -> Array:
        """How far the fault has grown at a share of each way; (ways, positions)."""
        return self.grown_start + share * (self.grown_end - self.grown_start)

    def ohm(self, share: Array) -> Array:
        """Resistance of the bridge, or added in series, at a share of each way; (ways, positions). [Ω]

        Example:
            A bridge over a network of 1 kΩ is 1 kΩ itself where it does half of what a dead short does:

            >>> no = np.zeros((1, 1, 1))
            >>> one = np.ones((1, 1))
            >>> way = Ways(np.array([0]), no, no, 0.0 * one, one, 1000.0 * one, np.array([False]))
            >>> way.ohm(0.5 * one).tolist()
            [[1000.0]]
        """
        grown = self.grown(share)
        less = np.where(self.series[:, None], grown, 1.0 - grown)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(np.isnan(self.scale_ohm), np.nan, self.scale_ohm * less / np.maximum(1.0 - less, 0.0))

    def chosen(self, which: Indices | Flags) -> Ways:
        """Some of them, by index or by flag."""
        return Ways(*(getattr(self, field.name)[which] for field in fields(self)))


def join_ways(ways: list[Ways]) -> Ways:
    """All ways of several lists, one after the other."""
    return Ways(*(np.concatenate([getattr(way, field.name) for way in ways]) for field in fields(Ways)))


def grown_share(ohm: Array, scale_ohm: Array, series: Flags) -> Array:
    """How far a fault of such a resistance has grown: arrays that go with one another; 0 to 1."""
    with np.errstate(divide="ignore", invalid="ignore"):
        bridge = np.where(ohm <= 0.0, 1.0, scale_ohm / (scale_ohm + ohm))
        added = np.where(np.isinf(ohm), 1.0, ohm / (scale_ohm + ohm))
    return np.nan_to_num(np.where(series, added, bridge))


def still_ways(fault: Indices, start: Array, end: Array) -> Ways:
    """Ways of faults that have no resistance to tell: a supply, a track that stays, something that moved.

    Args:
        fault: (ways,).
        start: (ways, positions, tracks). [V]
        end: The same shape. [V]
    """
    zero = np.zeros(start.shape[:2])
    return Ways(fault, start, end, zero, zero + 1.0, zero + np.nan, np.zeros(len(fault), dtype=bool))


def read_by_converters(ways: Ways, ceiling_v: Array) -> Ways:
    """The ways as the converters see them: cut where an input leaves 0 V to its full scale, and level beyond.

    Args:
        ways: With volts of the nodes.
        ceiling_v: Full scale of each input; (tracks,). [V]

    Returns:
        The same ways, those that leave the scale in pieces; every piece is straight.
    """
    beyond = [(volts < 0.0) | (volts > ceiling_v) for volts in (ways.start, ways.end)]
    leaves = np.any(beyond[0] | beyond[1], axis=(1, 2))
    if not leaves.any():
        return ways
    whole, cut = ways.chosen(~leaves), ways.chosen(leaves)
    change = cut.end - cut.start
    with np.errstate(divide="ignore", invalid="ignore"):
        places = np.concatenate([-cut.start / change, (ceiling_v - cut.start) / change], axis=2)
    places = np.where((places > 0.0) & (places < 1.0), places, 0.0)
    ends = np.zeros((*places.shape[:2], 1))
    places = np.sort(np.concatenate([ends, places, ends + 1.0], axis=2), axis=2)
    pieces = []
    for number in range(places.shape[2] - 1):
        low, high = places[..., number], places[..., number + 1]
        if np.all(high <= low):
            continue
        volts = [np.clip(cut.start + at[..., None] * change, 0.0, ceiling_v) for at in (low, high)]
        pieces.append(Ways(cut.fault, volts[0], volts[1], cut.grown(low), cut.grown(high), cut.scale_ohm, cut.series))
    return join_ways([whole, *pieces])
