"""From a solved circuit to the ways of its inputs' volts under faults between two nodes.

Where a clamp, a current limit or an output stage changes over, or a rail is lost, the way turns a corner: all corners
are known, and between two it is straight, exactly. A way that ties to a node in the air is followed in short pieces
instead, each solved in full at its ends.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from conversion.circuit import Corners, Operating
from conversion.faults.believing import Array, Flags
from conversion.faults.fault import Joined, Weakened
from conversion.faults.ways import Indices, Ways, grown_share, join_ways

_ALL = 1.0 - 1e-9
"""Share of an element's conductance that counts as all of it."""
_RUNGS, _COARSE = 17, 9
"""Places at which a way is solved from its first bend on."""
_LEAST_OHM, _MOST_OHM = 1e-2, 1e7
"""A bridge of less is a dead short; more in series is an open. [Ω]"""
_JUST_BEYOND = 1.02
_NEAR = 1e-6
"""Share of a corner's resistance by which it is looked at on either side."""
_MUCH = 1e5
"""By which a scale without bound is greater than what it is compared with."""


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
    end = operating.changed(made.a, made.b, made.grown_siemens, observe=made.place)
    floats = np.isnan(end)
    start = np.broadcast_to(operating.volts[:, made.place], end.shape)
    end = np.where(floats, start, end)
    start = np.where(made.only_open[:, None, None], end, start)
    one = np.ones(made.scale_ohm.shape)
    index = np.arange(len(changes))
    begun = np.where(made.only_open[:, None], one, 0.0)
    ways = Ways(index, np.nan_to_num(start), np.nan_to_num(end), begun, one, made.scale_ohm, made.series)
    bends = made.bends() & ~made.only_open
    bent = np.flatnonzero(bends)
    if bent.size:
        straight = ways.chosen(np.flatnonzero(~bends))
        corners = made.corners(bent)
        known = made.knows_all(corners)
        pieces = [straight]
        if known.any():
            pieces += _cornered(made, ways.chosen(bent[known]), _chosen(corners, known))
        if not known.all():
            pieces += _followed(made, ways.chosen(bent[~known]), _COARSE if coarse else _RUNGS)
        ways = join_ways(pieces)
    return CircuitWays(ways, np.nan_to_num(end), floats)


def grown_siemens(change: Joined | Weakened) -> float:
    """Change of the conductance between a fault's nodes once it is fully grown. [S]"""
    return -1.0 / change.element_ohm if isinstance(change, Weakened) else float("inf")


def _chosen(corners: Corners, which: Flags) -> Corners:
    return Corners(corners.siemens[:, which], corners.ohm[:, which])


def _cornered(made: _Changes, of: Ways, corners: Corners) -> list[Ways]:
    """Bent ways from corner to corner; where a position has fewer than others, it stands at the end of its own."""
    series = of.series[:, None]
    zero = np.zeros(of.grown_start.shape)
    begins, volts, lost = zero, of.start, np.zeros(zero.shape, dtype=bool)
    pieces = []
    for number in range(len(corners.ohm)):
        scale = made.scale_of(of.fault, begins, corners.ohm[number])
        stops = corners.siemens[number] if number < len(corners.siemens) else np.full(zero.shape, np.nan)
        last = np.isnan(stops)
        here = np.where(last, 0.0, stops)
        ohm = made.ohm_of(of.fault, here)
        less, more = (made.with_ohm(of.fault, ohm * factor) for factor in (1.0 - _NEAR, 1.0 + _NEAR))
        before, beyond = np.where(series[..., None], (less, more), (more, less))
        before = np.where(last[..., None], of.end, before)
        # What floats once a rail is lost may read anything: the last that is known stands.
        before = np.where(lost[..., None] | np.isnan(before), volts, before)
        over = np.isnan(begins)
        grown = [grown_share(made.ohm_of(of.fault, g), scale, series) for g in (begins, here)]
        grown_start, grown_end = np.where(over, 1.0, grown[0]), np.where(over | last, 1.0, grown[1])
        pieces.append(
            replace(of, start=volts, end=before, grown_start=grown_start, grown_end=grown_end, scale_ohm=scale)
        )
        lost |= ~last & np.isnan(beyond).any(axis=2)
        volts = np.where((last | lost)[..., None] | np.isnan(beyond), before, beyond)
        begins = stops
    return pieces


def _followed(made: _Changes, of: Ways, rungs: int) -> list[Ways]:
    """Bent ways: straight to the first bend, then in short pieces."""
    series = of.series[:, None]
    ohm, volts = made.at_bound(of.fault)
    volts = np.where(np.isnan(volts), of.start, volts)
    pieces = [replace(of, end=volts, grown_end=grown_share(ohm, of.scale_ohm, series))]
    # Where a rail is lost at the bend, nothing is read beyond that could be followed; what floats may read anything.
    beyond = made.with_ohm(of.fault, np.where(series, ohm * _JUST_BEYOND, ohm / _JUST_BEYOND))
    lost = np.logical_or.reduce(np.isnan(beyond), axis=2)
    goes_on = np.flatnonzero(~np.logical_and.reduce(lost, axis=1))
    if goes_on.size:
        pieces += _beyond(made, of.chosen(goes_on), ohm[goes_on], volts[goes_on], rungs)
    return pieces


def _beyond(made: _Changes, of: Ways, ohm: Array, volts: Array, rungs: int) -> list[Ways]:
    """Pieces from the first bend to the end, each place a factor from the last."""
    series = of.series[:, None]
    step = (np.log(np.where(series, _MOST_OHM, _LEAST_OHM)) - np.log(ohm)) / (rungs - 1)
    places = [ohm * np.exp(step * number) for number in range(rungs)]
    # All places at once, since the circuit is prepared once for each call.
    each = made.with_ohm(np.tile(of.fault, rungs - 1), np.concatenate(places[1:]))
    corners = [volts, *each.reshape(rungs - 1, *volts.shape)]
    for number in range(1, rungs):
        # An input that hangs in the air at a place is not followed there: the last that is known stands.
        corners[number] = np.where(np.isnan(corners[number]), corners[number - 1], corners[number])
    pieces = []
    for number in range(0, rungs - 2, 2):
        scale = _fitted_scale(places[number : number + 3], corners[number : number + 3])
        for at in (number, number + 1):
            begun, ended = (grown_share(places[i], scale, series) for i in (at, at + 1))
            pieces.append(Ways(of.fault, corners[at], corners[at + 1], begun, ended, scale, of.series))
    pieces.append(replace(of, start=corners[-1], grown_start=grown_share(places[-1], of.scale_ohm, series)))
    return pieces


def _fitted_scale(ohm: list[Array], volts: list[Array]) -> Array:
    r"""The scale with which :math:`1 / (z + R)` runs through three places; (ways, positions). [Ω]"""
    moved = volts[2] - volts[0]
    most = np.argmax(np.abs(moved), axis=2)[..., None]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (np.take_along_axis(volts[1] - volts[0], most, 2) / np.take_along_axis(moved, most, 2))[..., 0]
        upper, whole = ohm[0] - ohm[1], share * (ohm[0] - ohm[2])
        scale = (upper * ohm[2] - whole * ohm[1]) / (whole - upper)
    return np.where(np.isfinite(scale) & (scale > 0.0), scale, ohm[1])


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
        self.grown_siemens = np.array([grown_siemens(change) for change in changes])
        self.hyperbola = operating.hyperbola(self.a, self.b, self.place)

    @property
    def scale_ohm(self) -> Array:
        """Of a bridge the network between its nodes, of a weakened element its loop; (changes, positions). [Ω]"""
        own, seen = self.own_ohm[:, None], self.hyperbola.ohm
        with np.errstate(divide="ignore", invalid="ignore"):
            loop = own * own / np.maximum(own - seen, 0.0)
        return np.where(self.series[:, None], loop, seen)

    def bends(self) -> Flags:
        """Where a clamp, a limit or an output changes over, or a rail is lost, before a fault is fully grown."""
        least, most = self.hyperbola.least, self.hyperbola.most
        over = np.where(self.series[:, None], least > -_ALL / self.own_ohm[:, None], most < np.inf)
        return np.asarray(np.logical_or.reduce(over, axis=1))

    def corners(self, which: Indices) -> Corners:
        """Every place where a bend turns or a rail is lost."""
        return self.operating.corners(self.a[which], self.b[which], self.grown_siemens[which])

    def knows_all(self, corners: Corners) -> Flags:
        """Ways that are followed to their ends; (ways,)."""
        begins = np.concatenate([np.zeros((1, *corners.siemens.shape[1:])), corners.siemens])
        return np.asarray(~np.any(np.isfinite(begins) & np.isnan(corners.ohm), axis=(0, 2)))

    def scale_of(self, which: Indices, siemens: Array, ohm: Array) -> Array:
        """Scale of the piece that begins at a conductance, from what is seen there; (which, positions). [Ω]"""
        own = self.own_ohm[which][:, None]
        g = np.nan_to_num(siemens)
        with np.errstate(divide="ignore", invalid="ignore"):
            # As if the piece reached back to nothing; behind a limit that may be without bound, where much will do.
            most = np.where(g > 0.0, _MUCH / g, _MOST_OHM)
            seen = ohm / np.maximum(1.0 - g * ohm, 0.0)
            loop = own * own / np.maximum(own - seen, own / _MUCH)
        scale = np.where(self.series[which][:, None], loop, np.minimum(seen, most))
        return np.where(np.isnan(scale), self.scale_ohm[which], scale)

    def ohm_of(self, which: Indices, siemens: Array) -> Array:
        """Resistance of a bridge, or added in series, from the conductance that it changes; (which, positions). [Ω]"""
        own, series = self.own_ohm[which][:, None], self.series[which][:, None]
        g = np.nan_to_num(siemens)
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(series, -own * own * g / (1.0 + own * g), 1.0 / g)

    def at_bound(self, which: Indices) -> tuple[Array, Array]:
        """Where the first bend is: resistance (which, positions) [Ω] and volts (which, positions, tracks) [V]."""
        own, series = self.own_ohm[which][:, None], self.series[which][:, None]
        g = np.where(series, self.hyperbola.least[which], self.hyperbola.most[which])
        with np.errstate(divide="ignore", invalid="ignore"):
            ohm = np.where(series, -own * own * g / (1.0 + own * g), 1.0 / g)
            ohm = np.where(np.isfinite(ohm), ohm, np.where(series, _MOST_OHM, _LEAST_OHM))
        ohm = np.clip(ohm, _LEAST_OHM, _MOST_OHM)
        weight = self._siemens(which, ohm)
        weight = weight / (1.0 + weight * self.hyperbola.ohm[which])
        return ohm, np.asarray(self.hyperbola.start + weight[..., None] * self.hyperbola.slope[which])

    def with_ohm(self, which: Indices, ohm: Array) -> Array:
        """Volts of the inputs with faults of such resistances; ohm (which, positions). [V]"""
        return self.operating.changed(self.a[which], self.b[which], self._siemens(which, ohm), observe=self.place)

    def _siemens(self, which: Indices, ohm: Array) -> Array:
        own, series = self.own_ohm[which][:, None], self.series[which][:, None]
        with np.errstate(divide="ignore", invalid="ignore"):
            return np.where(series, -ohm / (own * (own + ohm)), 1.0 / ohm)
