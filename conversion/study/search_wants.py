"""What a search wants: what every result keeps to, and what makes one better than another."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf, pi, radians

import numpy as np
from numpy.typing import NDArray

from conversion.study.sampling import Array

MEASURES = ("feel", "sweep", "margin", "transmission", "force")
# What counts as one step of each measure in the order of the results: about what a builder would call clearly
# better. Choices of ours, no source; the weights of a description change them.
SCALE: Mapping[str, float] = {
    "feel": 0.05, "sweep": 0.05, "margin": radians(1.0), "transmission": radians(20.0), "force": 20.0,
}  # fmt: skip
# Results that are closer together than this in a measure cannot be told apart once built, or felt.
CELL: Mapping[str, float] = {
    "feel": 0.0025, "sweep": 0.005, "margin": radians(0.1), "transmission": radians(1.0), "force": 1.0,
}  # fmt: skip

Window = tuple[float, float]
ANY: Window = (-inf, inf)


@dataclass(frozen=True)
class Wants:
    """What a result has to keep to.

    Attributes:
        lever_at_rest_rad: Lever angle with the pedal at rest. [rad]
        below_full_rad: Swing left in the module with the pedal at its full stop. [rad]
        margin_rad: Least way to either of the module's stops, the settings at the worse end of their tolerance. [rad]
        pad_travel_mm: Pad travel at the full stop. [mm]
        pad_shares: Shares of the pad's travel, 0 … 1, rising, (points,).
        lever_shares: Share of the sweep that is wanted at each, (points,); straight between.
        feel_within: Greatest distance from that, as a share of the sweep.
        transmission_rad: Least transmission angle, counted from the nearer dead centre. [rad]
        force_n: Force at the pad while pressing. [N]
        weights: Of each of :data:`MEASURES`.
    """

    lever_at_rest_rad: Window = (radians(0.3), radians(3.0))
    below_full_rad: Window = (radians(0.5), radians(3.0))
    margin_rad: float = radians(0.2)
    pad_travel_mm: Window = (35.0, 75.0)
    pad_shares: Array = field(default_factory=lambda: np.array([0.0, 1.0]))
    lever_shares: Array = field(default_factory=lambda: np.array([0.0, 1.0]))
    feel_within: float = 0.15
    transmission_rad: float = radians(40.0)
    force_n: Window = ANY
    weights: Mapping[str, float] = field(default_factory=lambda: dict.fromkeys(MEASURES, 1.0))


@dataclass(frozen=True)
class Looked:
    """What was seen of many candidates; (samples,) each.

    Seen at all positions these are the figures themselves. Seen at some of them, rest and full among these, each is
    a bound on the favourable side, since every one is a greatest or least value over positions: ``off_feel`` and
    ``force_most_n`` can only rise, ``transmission_rad`` and ``force_least_n`` only fall, ``goes_on`` only become
    False when more positions are looked at. The rest is of the ends alone and is exact.

    Attributes:
        goes_on: Whether the link closes and the lever goes on at every position.
        lever_at_rest_rad: [rad]
        below_full_rad: Swing left in the module at full. [rad]
        sweep: Of the lever from rest to full, as a share of the module's swing.
        pad_travel_mm: At the full stop. [mm]
        rod_mm: Length of the rod; nan where there is none that is set. [mm]
        rod_fits: Whether that is among the lengths that there are.
        off_feel: Greatest distance from the wanted feel, as a share of the sweep.
        margin_rad: To the nearer of the module's stops, the settings at the worse end of their tolerance. [rad]
        transmission_rad: Least transmission angle, counted from the nearer dead centre; π/2 where the kind has
            none. [rad]
        force_least_n: At the pad while pressing; nan where it is not known. [N]
        force_most_n: Likewise the greatest. [N]
    """

    goes_on: NDArray[np.bool_]
    lever_at_rest_rad: Array
    below_full_rad: Array
    sweep: Array
    pad_travel_mm: Array
    rod_mm: Array
    rod_fits: NDArray[np.bool_]
    off_feel: Array
    margin_rad: Array
    transmission_rad: Array
    force_least_n: Array
    force_most_n: Array


def power_of(half: float) -> tuple[Array, Array]:
    """A feel that reaches a share of the sweep at half of the travel, s = x^k, as points.

    Example:
        >>> pad, lever = power_of(0.25)
        >>> float(lever[pad == 0.5][0]), float(lever[pad == 0.25][0])
        (0.25, 0.0625)
    """
    pad = np.linspace(0.0, 1.0, 41)
    return pad, pad ** (np.log(half) / np.log(0.5))


def missed(wants: Wants, looked: Looked) -> dict[str, NDArray[np.bool_]]:
    """Which candidates miss which want, by name; what is not a number misses."""

    def outside(value: Array, window: Window) -> NDArray[np.bool_]:
        return ~((value >= window[0] - 1e-12) & (value <= window[1] + 1e-12))

    found = {
        "goes_on": ~looked.goes_on,
        "lever_at_rest": outside(looked.lever_at_rest_rad, wants.lever_at_rest_rad),
        "below_full": outside(looked.below_full_rad, wants.below_full_rad),
        "margin": outside(looked.margin_rad, (wants.margin_rad, inf)),
        "pad_travel": outside(looked.pad_travel_mm, wants.pad_travel_mm),
        "rod": ~looked.rod_fits,
        "feel_within": outside(looked.off_feel, (0.0, wants.feel_within)),
        "transmission": outside(looked.transmission_rad, (wants.transmission_rad, pi)),
    }
    if wants.force_n != ANY:
        found["force"] = outside(looked.force_least_n, (wants.force_n[0], inf)) | outside(
            looked.force_most_n, (-inf, wants.force_n[1])
        )
    return found


def judged(looked: Looked) -> Array:
    """What is traded off, in whole :data:`CELL`, less is better, (samples, measures); nan counts as zero.

    Every column rises or stays when more positions are looked at, so what is seen at some positions is a bound from
    below.
    """
    columns = {
        "feel": looked.off_feel,
        "sweep": 1.0 - looked.sweep,
        "margin": -looked.margin_rad,
        "transmission": pi / 2 - looked.transmission_rad,
        "force": looked.force_most_n,
    }
    cells = [np.floor(columns[name] / CELL[name] + 1e-9) for name in MEASURES]
    return np.nan_to_num(np.stack(cells, axis=1))


def score(wants: Wants, cells: Array) -> Array:
    """One figure for the order of the results, less is better: rises with every measure, (samples,)."""
    factors = np.array([wants.weights[name] * CELL[name] / SCALE[name] for name in MEASURES])
    return cells @ factors
