r"""The worst that a fault does over all its resistances, exactly and without a ladder.

With a conductance g added between two nodes of a linear network every volt is :math:`V_0 + g\,\Delta / (1 + g z)`.
All have one denominator, so that :math:`u = g / (1 + g z)` makes each a straight line in u: while a fault grows from
nothing to a dead short (or to an open), what the inputs read moves along a straight line from a start to an end. Every
check is a straight boundary, and the per cent taken is straight between the places where two inputs believe the same.
So the worst case lies at the start, at the end or on a boundary, and all of these are solved.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np

from conversion.faults.believing import Array, Believer, Flags, Indices

_NOTHING = 1e-12
_BLOCK = 512
"""Rows that are looked at together: few enough for their places to stay in the processor's own memory."""


@dataclass(frozen=True)
class Rows:
    """Many straight ways of the inputs' volts, each at one position of pedal or plate.

    Attributes:
        start: Volts where each way begins; (rows, tracks). [V]
        end: Volts where it ends; (rows, tracks). [V]
        sound: Per cent of the sound sensor there; (rows,).
        at_rest: Where the pedal is released, or the plate closed; (rows,).
        at_full: Where the plate stands at its full stop; (rows,).
    """

    start: Array
    end: Array
    sound: Array
    at_rest: Flags
    at_full: Flags

    def __len__(self) -> int:
        return len(self.sound)

    def chosen(self, which: Indices | slice) -> Rows:
        """Some of them."""
        return Rows(*(getattr(self, field.name)[which] for field in fields(self)))

    def at(self, share: Array) -> Array:
        """Volts at a share of the way, (rows,) or (rows, n); (..., tracks). [V]"""
        share = np.asarray(share)
        if share.ndim == 1:
            return self.start + share[:, None] * (self.end - self.start)
        return self.start[:, None] + share[..., None] * (self.end - self.start)[:, None]


@dataclass(frozen=True)
class Worst:
    """The worst on each way that nothing notices; arrays are (rows,).

    Attributes:
        rise: Greatest rise, in points of per cent; -inf where each point of the way is noticed.
        share: Share of the way at which it is.
    """

    rise: Array
    share: Array


def worst_on_lines(believer: Believer, rows: Rows) -> Worst:
    """The greatest unnoticed rise on each way.

    Example:
        One input, 1 V to 4 V as 0 % to 100 %, valid up to 4.5 V; a fault lifts it from 1 V to 5 V:

        >>> from conversion.faults.believing import range_check
        >>> unit = Believer(("a",), np.array([[1.0, 4.0]]), "a", (range_check(("a",), "a", 0.5, 4.5, 0.1),))
        >>> no = np.array([False])
        >>> worst = worst_on_lines(unit, Rows(np.array([[1.0]]), np.array([[5.0]]), np.array([0.0]), no, no))
        >>> [round(float(worst.rise[0]), 3), round(float(worst.share[0]), 3)]
        [116.667, 0.875]
    """
    rise, share = np.empty(len(rows)), np.empty(len(rows))
    for first in range(0, len(rows), _BLOCK):
        block = slice(first, first + _BLOCK)
        rise[block], share[block] = _worst_of_all(believer, rows.chosen(block))
    return Worst(rise, share)


def _worst_of_all(believer: Believer, rows: Rows) -> tuple[Array, Array]:
    share = _places(believer, rows)
    volts = rows.at(share)
    rise = believer.rise(volts, rows.sound[:, None], rows.at_full[:, None])
    rise = np.where(believer.silent(volts, rows.at_rest[:, None]), rise, -np.inf)
    # Of equal rises the first counts, which is the start, so that a fault that changes nothing is said to be nothing.
    best = np.argmax(rise, axis=1)[:, None]
    return np.take_along_axis(rise, best, axis=1)[:, 0], np.take_along_axis(share, best, axis=1)[:, 0]


def rise_at_most(believer: Believer, rows: Rows) -> Array:
    """A rise that no place on a way surpasses, whatever the checks say; (rows,).

    What is taken never falls as one input rises, so that each input at its own higher end bounds it from above.
    """
    ends = [believer.percent(volts)[:, : believer.own] for volts in (rows.start, rows.end)]
    if believer.plate:
        return np.asarray(rows.sound - np.clip(believer.combined(np.minimum(*ends)), 0.0, 100.0))
    return np.asarray(believer.combined(np.maximum(*ends)) - rows.sound)


def worst_above(believer: Believer, rows: Rows, least: float) -> Worst:
    """As :func:`worst_on_lines`, but solved only where a rise above a least one can be; elsewhere -inf."""
    can = np.flatnonzero(rise_at_most(believer, rows) > least)
    rise, share = np.full(len(rows), -np.inf), np.zeros(len(rows))
    if can.size:
        found = worst_on_lines(believer, rows.chosen(can))
        rise[can], share[can] = found.rise, found.share
    return Worst(rise, share)


def silent_until(believer: Believer, rows: Rows) -> Array:
    """Share of each way up to which no check notices, from its start on; (rows,). Zero where the start is noticed.

    Between two neighbouring boundaries nothing changes, so that one look in the middle tells for all between them.
    """
    share = np.sort(_places(believer, rows), axis=1)
    middle = (share[:, 1:] + share[:, :-1]) / 2.0
    silent = believer.silent(rows.at(middle), rows.at_rest[:, None])
    # Two boundaries that lie on one another have nothing between them.
    silent |= share[:, 1:] - share[:, :-1] < _NOTHING
    first = np.argmin(silent, axis=1)
    limit = np.where(silent.all(axis=1), 1.0, np.take_along_axis(share, first[:, None], axis=1)[:, 0])
    return np.where(believer.silent(rows.start, rows.at_rest), limit, 0.0)


def _places(believer: Believer, rows: Rows) -> Array:
    """Shares at which the worst can be: both ends and every boundary between them; (rows, places)."""
    weights, offsets = believer.boundaries()
    value = rows.start @ weights.T + offsets
    change = (rows.end - rows.start) @ weights.T
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = -value / change
    crossing = np.where((crossing > 0.0) & (crossing < 1.0), crossing, 0.0)
    ends = np.broadcast_to(np.array([0.0, 1.0]), (len(rows), 2))
    return np.hstack([ends[:, :1], crossing, ends[:, 1:]])
