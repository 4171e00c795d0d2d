"""From a solved circuit to the ways of its inputs' volts under faults between two nodes.

Where a clamp, a current limit or an output stage changes over on the way, the way is bent; then it is followed in short
pieces, each solved in full.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from conversion.circuit import Operating
from conversion.circuit.linear_part import responses
from conversion.faults.believing import Array, Flags
from conversion.faults.fault import Joined, Weakened
from conversion.faults.ways import Indices, Ways, grown_share, join_ways

BENT_V = 1e-4
"""A way that is off the straight line by more than this in its middle is bent. [V]"""
_LADDER_OHM = np.logspace(7.0, -2.0, 37)
"""Resistances at which a bent way is solved, four a decade; added in series they are taken from below. [Ω]"""
_COARSE_OHM = np.logspace(6.0, -1.0, 11)


@dataclass(frozen=True)
class CircuitWays:
    """Ways of faults in the circuit, and what is read once they are fully grown.

    Attributes:
        ways: With volts of the nodes, which no converter has cut yet.
        grown_v: Fully grown; where it floats as sound; (faults, positions, tracks). [V]
        floats: Inputs that hang in the air then; (faults, positions, tracks).
    """

    ways: Ways
    grown_v: Array
    floats: Flags


def circuit_ways(
    operating: Operating, changes: Sequence[Joined | Weakened], inputs: Sequence[str], *, coarse: bool = False
) -> CircuitWays:
    """The ways of bridges and weakened elements, each from a sound circuit to a dead short or an open.

    Args:
        operating: The circuit, sound or with a first fault in it.
        changes: The faults; each way bears its index.
        inputs: Nodes that the converters read, in the order of the tracks.
        coarse: Follow bent ways in longer pieces, where there are very many.

    Returns:
        The ways; a fault that is nothing but an open starts where it ends.
    """
    made = _Changes(operating, changes, inputs)
    end, scale = made.fully_grown()
    floats = np.isnan(end)
    start = np.broadcast_to(operating.volts[:, made.place], end.shape)
    end = np.where(floats, start, end)
    start = np.where(made.only_open[:, None, None], end, start)
    one = np.ones(scale.shape)
    index = np.arange(len(changes))
    begun = np.where(made.only_open[:, None], one, 0.0)
    ways = Ways(index, np.nan_to_num(start), np.nan_to_num(end), begun, one, scale, made.series)
    halfway = made.with_ohm(index, np.where(np.isfinite(scale), scale, 1.0))
    off = np.abs(np.nan_to_num(halfway - (start + end) / 2.0)).max(axis=(1, 2))
    bent = np.flatnonzero((off > BENT_V) & ~made.only_open)
    if bent.size:
        ways = join_ways(
            [
                ways.chosen(np.setdiff1d(index, bent)),
                *_followed(made, ways, bent, _COARSE_OHM if coarse else _LADDER_OHM),
            ]
        )
    return CircuitWays(ways, np.nan_to_num(end), floats)


def _followed(made: _Changes, ways: Ways, bent: Indices, ladder: Array) -> list[Ways]:
    """Bent ways in short pieces: from every second rung of the ladder to the next but one."""
    of = ways.chosen(bent)
    positions = of.scale_ohm.shape[1]
    rungs = np.where(of.series[:, None], ladder[::-1], ladder)
    # All rungs at once, since the circuit is prepared once for each call.
    ohm_each = np.broadcast_to(rungs.T.reshape(-1, 1), (rungs.size, positions))
    volts = list(made.with_ohm(np.tile(bent, rungs.shape[1]), ohm_each).reshape(rungs.shape[1], *of.start.shape))
    # An input that hangs in the air at a rung is not followed there: the last that is known stands.
    for i, corner in enumerate(volts):
        volts[i] = np.where(np.isnan(corner), volts[i - 1] if i else of.start, corner)
    level = np.ones((1, positions))
    first = rungs[:, [0]] * level
    pieces = [Ways(of.fault, of.start, volts[0], 0.0 * of.scale_ohm, _grown(first, of), of.scale_ohm, of.series)]
    for i in range(0, len(volts) - 2, 2):
        ohm = [rungs[:, [i + j]] * level for j in range(3)]
        scale = _fitted_scale(ohm, volts[i : i + 3])
        for one, other in ((0, 1), (1, 2)):
            piece = Ways(of.fault, volts[i + one], volts[i + other], scale, scale, scale, of.series)
            pieces.append(replace(piece, grown_start=_grown(ohm[one], piece), grown_end=_grown(ohm[other], piece)))
    last = rungs[:, [-1]] * level
    pieces.append(Ways(of.fault, volts[-1], of.end, _grown(last, of), 0.0 * last + 1.0, of.scale_ohm, of.series))
    return pieces


def _grown(ohm: Array, ways: Ways) -> Array:
    return grown_share(ohm, ways.scale_ohm, ways.series[:, None])


def _fitted_scale(ohm: list[Array], volts: list[Array]) -> Array:
    r"""The scale with which :math:`1 / (z + R)` runs through three rungs; (ways, positions). [Ω]"""
    moved = volts[2] - volts[0]
    most = np.argmax(np.abs(moved), axis=2)[..., None]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (np.take_along_axis(volts[1] - volts[0], most, 2) / np.take_along_axis(moved, most, 2))[..., 0]
        upper, whole = ohm[0] - ohm[1], share * (ohm[0] - ohm[2])
        scale = (upper * ohm[2] - whole * ohm[1]) / (whole - upper)
    return np.where(np.isfinite(scale) & (scale > 0.0), scale, ohm[1])


def grown_siemens(change: Joined | Weakened) -> float:
    """Change of the conductance between a fault's nodes once it is fully grown. [S]"""
    return -1.0 / change.element_ohm if isinstance(change, Weakened) else float("inf")


class _Changes:
    """The faults as arrays, beside the circuit that they happen in."""

    def __init__(self, operating: Operating, changes: Sequence[Joined | Weakened], inputs: Sequence[str]) -> None:
        self.operating = operating
        self.a = operating.network.indices([change.a for change in changes])
        self.b = operating.network.indices([change.b for change in changes])
        self.place = operating.network.indices(list(inputs))
        self.series = np.array([isinstance(change, Weakened) for change in changes], dtype=bool)
        self.only_open = np.array([isinstance(change, Weakened) and change.is_open for change in changes], dtype=bool)
        self.own_ohm = np.array([c.element_ohm if isinstance(c, Weakened) else np.inf for c in changes])

    def fully_grown(self) -> tuple[Array, Array]:
        """What is read then, and the scale of each way.

        Returns:
            Volts, nan where undetermined (changes, positions, tracks) [V]; of a bridge the resistance of the network
            between its nodes, of a weakened element that of its loop (changes, positions) [Ω].
        """
        bridge, series = np.flatnonzero(~self.series), np.flatnonzero(self.series)
        scale = responses(self.operating.linear, self.a, self.b, np.zeros(0, dtype=np.intp)).ohm.copy()
        end = np.empty((len(self.a), self.operating.network.positions, len(self.place)))
        if bridge.size:
            shorted = np.full(bridge.size, np.inf)
            end[bridge] = self.operating.changed(self.a[bridge], self.b[bridge], shorted, observe=self.place)
        if series.size:
            a, b, own = self.a[series], self.b[series], self.own_ohm[series]
            full = self.operating.changed(a, b, -1.0 / own)
            end[series] = full[:, :, self.place]
            each = np.arange(series.size)
            across = (self.operating.volts[:, a] - self.operating.volts[:, b]).T
            opened = full[each, :, a] - full[each, :, b]
            with np.errstate(divide="ignore", invalid="ignore"):
                scale[series] = np.abs(opened) * own[:, None] / np.abs(across)
        return end, scale

    def with_ohm(self, which: Indices, ohm: Array) -> Array:
        """Volts of the inputs with faults of such resistances; ohm (which, positions). [V]"""
        own, series = self.own_ohm[which][:, None], self.series[which][:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            siemens = np.where(series, -ohm / (own * (own + ohm)), 1.0 / ohm)
        siemens = np.where(np.isfinite(siemens), siemens, 0.0)
        return self.operating.changed(self.a[which], self.b[which], siemens, observe=self.place)
