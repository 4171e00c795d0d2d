"""What a control unit makes of volts: the per cent that it takes, and the checks that it is described with.

Everything is a straight line in the volts: a range is a band of one input's volts, an agreement a band of the
difference of two, a per cent a line from rest to full. That makes the worst case of a fault exact (see ``worst``).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from itertools import combinations
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]
Indices = NDArray[np.intp]
Takes = Literal["smaller", "larger", "mean", "a"]
CheckKind = Literal["range", "agreement", "rest"]

_ROUNDING = 1e-9
"""Share of a boundary by which a value on it may have been rounded past it."""


@dataclass(frozen=True)
class Check:
    """One described check: a weighted sum of the inputs' volts that has to lie in a band, or outside of it.

    Attributes:
        kind: Which of the checks.
        subject: What it looks at, such as ``track a`` or ``tracks a and b``.
        weights: Of each input's volts; (tracks,).
        low: Lower end of the band.
        high: Upper end.
        outside: True where what lies strictly inside the band is noticed, not what lies outside.
        at_rest: True where it is made only with the pedal released.
        within_s: Time after which it acts; nan where that is not described. [s]
        of_other: Name of the other sensor whose check it is; empty for one of the sensor's own.
    """

    kind: CheckKind
    subject: str
    weights: Array
    low: float
    high: float
    outside: bool = False
    at_rest: bool = False
    within_s: float = float("nan")
    of_other: str = ""

    def passes(self, volts: Array) -> Flags:
        """Whether it stays silent; volts (..., tracks), result (...). A boundary itself passes."""
        value = volts @ self.weights
        slack = _ROUNDING * max(1.0, *(abs(end) for end in (self.low, self.high) if np.isfinite(end)))
        if self.outside:
            return np.asarray((value <= self.low + slack) | (value >= self.high - slack))
        return np.asarray((value >= self.low - slack) & (value <= self.high + slack))


@dataclass(frozen=True)
class Believer:
    """The inputs of one position sensor as the control unit uses them.

    Attributes:
        tracks: Names of the inputs, in the order of every array: the sensor's own, then those of the other sensor.
        scale_v: Volts that count as 0 % and as 100 %; (tracks, 2). [V]
        takes: Which per cent is acted on.
        checks: The described checks.
        plate: True for the throttle: the controller moves the plate until it believes what it asks, so that an
            input that reads low opens the plate farther.
        own: How many of the inputs are the sensor's own, of which the per cent is taken; None if all.
    """

    tracks: tuple[str, ...]
    scale_v: Array
    takes: Takes
    checks: tuple[Check, ...]
    plate: bool = False
    own: int | None = None

    def percent(self, volts: Array) -> Array:
        """Per cent of each input, never clipped; volts (..., tracks), result the same shape."""
        rest, full = self.scale_v[:, 0], self.scale_v[:, 1]
        return np.asarray(100.0 * (volts - rest) / (full - rest))

    def taken(self, volts: Array) -> Array:
        """The per cent that is acted on where nothing is noticed; volts (..., tracks), result (...)."""
        return self.combined(self.percent(volts)[..., : self.own])

    def combined(self, percent: Array) -> Array:
        """The per cent that is acted on, of those of the sensor's own inputs (..., own); never falls as one rises."""
        if self.takes == "a":
            return np.asarray(percent[..., self.tracks.index("a")])
        if self.takes == "mean":
            return np.asarray(percent.mean(axis=-1))
        # One input after the other: a reduction over so short an axis takes several times as long.
        one_of = np.minimum if self.takes == "smaller" else np.maximum
        return np.asarray(reduce(one_of, np.moveaxis(percent, -1, 0)))

    def silent(self, volts: Array, at_rest: Flags) -> Flags:
        """Whether no check notices; volts (..., tracks), at_rest broadcast against (...)."""
        passing = np.ones(volts.shape[:-1], dtype=bool)
        for check in self.checks:
            passing &= self.passes(check, volts, at_rest)
        return passing

    def passes(self, check: Check, volts: Array, at_rest: Flags) -> Flags:
        """Whether one check stays silent, or is not made; volts (..., tracks), at_rest broadcast against (...)."""
        passing = check.passes(volts)
        return passing | ~at_rest if check.at_rest else passing

    def quickest_first(self) -> tuple[Check, ...]:
        """The checks in the order of their times; those without a time last."""
        return tuple(sorted(self.checks, key=lambda c: (not np.isfinite(c.within_s), c.within_s)))

    def rise(self, volts: Array, sound: Array, at_full: Flags) -> Array:
        """How much farther the engine opens than the foot asks, in points of per cent; -inf where it cannot stay so.

        Args:
            volts: (..., tracks). [V]
            sound: Per cent of the sound sensor there; broadcast against (...).
            at_full: Where the plate stands at its full stop; broadcast against (...).

        Returns:
            For the pedal what is taken less what is sound. For the plate its opening less what is believed, which is
            what was asked; nothing below 0 % is ever asked, so that a plate that is believed below moves on.
        """
        taken = self.taken(volts)
        if not self.plate:
            return np.asarray(taken - sound)
        stays = at_full | (taken >= -_ROUNDING * 100.0)
        return np.where(stays, sound - np.clip(taken, 0.0, 100.0), -np.inf)

    def boundaries(self) -> tuple[Array, Array]:
        """Every straight boundary in the volts: weights (boundaries, tracks) and offsets; zero on the boundary.

        The ends of each check's band, where two inputs believe the same, and where an input (or the mean) believes 0 %.
        """
        weights, offsets = [], []
        for check in self.checks:
            for end in (check.low, check.high):
                if np.isfinite(end):
                    weights.append(check.weights)
                    offsets.append(-end)
        slope = 100.0 / (self.scale_v[:, 1] - self.scale_v[:, 0])
        lines = np.diag(slope)[: self.own]
        zeros = (-slope * self.scale_v[:, 0])[: self.own]
        if self.takes in ("smaller", "larger"):
            for one, other in combinations(range(len(lines)), 2):
                weights.append(lines[one] - lines[other])
                offsets.append(zeros[one] - zeros[other])
        if self.plate:
            weights.extend([*lines, lines.mean(axis=0)])
            offsets.extend([*zeros, zeros.mean()])
        if not weights:
            return np.zeros((0, len(self.tracks))), np.zeros(0)
        return np.array(weights), np.array(offsets)


def with_other(own: Believer, other: Believer, name: str) -> Believer:
    """The believer of one sensor with the checks of the other one, which is read beside it.

    Args:
        own: Of the sensor that is judged.
        other: Of the other sensor.
        name: What the other sensor is called.
    """
    before, after = len(own.tracks), len(other.tracks)
    checks = [replace(check, weights=np.pad(check.weights, (0, after))) for check in own.checks]
    checks += [replace(check, weights=np.pad(check.weights, (before, 0)), of_other=name) for check in other.checks]
    return replace(
        own,
        tracks=(*own.tracks, *(f"{name} {track}" for track in other.tracks)),
        scale_v=np.concatenate([own.scale_v, other.scale_v]),
        checks=tuple(checks),
        own=before,
    )


def range_check(tracks: tuple[str, ...], name: str, low: float, high: float, within_s: float) -> Check:
    """The valid range of one input."""
    return Check("range", f"track {name}", _unit(tracks, name), low, high, within_s=within_s)


def rest_check(tracks: tuple[str, ...], scale_v: Array, name: str, at_most: float, within_s: float) -> Check:
    """One input may read so many per cent at most while the pedal is released, or the plate left to its springs."""
    index = tracks.index(name)
    slope = 100.0 / (scale_v[index, 1] - scale_v[index, 0])
    high = at_most + slope * scale_v[index, 0]
    return Check("rest", f"track {name}", slope * _unit(tracks, name), -np.inf, high, at_rest=True, within_s=within_s)


def percent_agreement(
    tracks: tuple[str, ...], scale_v: Array, pair: tuple[str, str], at_most: float, within_s: float
) -> Check:
    """Two inputs may differ by so many points of per cent."""
    one, other = (tracks.index(name) for name in pair)
    weights, zero = np.zeros(len(tracks)), 0.0
    for index, sign in ((one, 1.0), (other, -1.0)):
        slope = sign * 100.0 / (scale_v[index, 1] - scale_v[index, 0])
        weights[index] = slope
        zero += slope * scale_v[index, 0]
    subject = f"tracks {pair[0]} and {pair[1]}"
    return Check("agreement", subject, weights, zero - at_most, zero + at_most, within_s=within_s)


def volts_agreement(
    tracks: tuple[str, ...], pair: tuple[str, str], factor: float, limits: tuple[float | None, float | None],
    within_s: float,
) -> tuple[Check, ...]:  # fmt: skip
    """The volts a - factor·b: how much they differ at least, where that is looked at, and at most (``limits``)."""
    weights = _unit(tracks, pair[0]) - factor * _unit(tracks, pair[1])
    subject = f"tracks {pair[0]} and {pair[1]}"
    least, most = limits
    found = []
    if most is not None:
        found.append(Check("agreement", subject, weights, -most, most, within_s=within_s))
    if least is not None:
        found.append(Check("agreement", subject, weights, -least, least, outside=True, within_s=within_s))
    return tuple(found)


def _unit(tracks: tuple[str, ...], name: str) -> Array:
    return np.array([1.0 if track == name else 0.0 for track in tracks])
