"""One sensor track with what loads it, as plain numbers: from a position to the volts at the control unit.

The track is a voltage source behind a resistance: for a potentiometer the divider's own, for a Hall or inductive
output the one described. The module's pull resistor, the series resistor and the control unit's pull resistor
load it in that order. Of the loom only what it takes of the supply and lifts the ground by is counted, where that is
given.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Span:
    """A figure with its limits, in its base unit."""

    nominal: float
    low: float
    high: float

    @classmethod
    def exact(cls, value: float) -> Span:
        """A figure without tolerance."""
        return cls(value, value, value)

    @property
    def ends(self) -> tuple[float, ...]:
        """Its two limits, or its value where both are the same."""
        return (self.nominal,) if self.low == self.high else (self.low, self.high)


@dataclass(frozen=True, slots=True)
class PullTo:
    """A resistor from the signal to ground or to the track's supply."""

    to: Literal["ground", "supply"]
    ohm: Span


@dataclass(frozen=True)
class TrackModel:
    """A track as numbers.

    Attributes:
        position: Where the output is known, rising, in radians of the lever or as a share of the opening; (points,).
        ratio: Output there as a share of the supply; (points,).
        ratio_low: Least output there; (points,).
        ratio_high: Greatest output there; (points,).
        stretch: Tolerance of the last position as a factor, such as 0.98 to 1.02.
        supply_v: Supply of the track. [V]
        track_ohm: Potentiometer end to end; zero for other principles. [Ω]
        source_ohm: In the signal path inside the module. [Ω]
        module_pull: Pull resistor at the module.
        series_ohm: Series resistor in the signal wire. [Ω]
        unit_pull: Pull resistor in the control unit.
        supply_drop_v: What the loom takes of the supply on its way to the track. [V]
        ground_rise_v: What the loom lifts the track's ground by. [V]
    """

    position: Array
    ratio: Array
    ratio_low: Array
    ratio_high: Array
    stretch: Span
    supply_v: Span
    track_ohm: Span
    source_ohm: Span
    module_pull: PullTo | None
    series_ohm: Span
    unit_pull: PullTo | None
    supply_drop_v: float = 0.0
    ground_rise_v: float = 0.0

    def output_ratio(self, position: Array) -> Array:
        """Unloaded output as a share of the supply; beyond the ends it stays, as the stops hold it there."""
        return np.interp(position, self.position, self.ratio)

    def volts(self, position: Array) -> Array:
        """Nominal volts at the control unit; same shape as position. [V]"""
        return loaded_volts(self.output_ratio(position), self._resistors(nominal=True)[0])[0]

    def source_at_input_ohm(self, position: Array) -> Array:
        """Resistance of the signal as the control unit's input meets it, loads included. [Ω]"""
        return loaded_volts(self.output_ratio(position), self._resistors(nominal=True)[0])[1]

    def corner_volts(self, position: Array) -> Array:
        """Volts at the control unit for every corner of the electrical tolerances; (corners, positions). [V]"""
        ratios = self._corner_ratios(position)
        resistors = self._resistors(nominal=False)
        return np.concatenate([np.atleast_2d(loaded_volts(ratios, chosen)[0]) for chosen in resistors])

    def _corner_ratios(self, position: Array) -> Array:
        """Output with rest and full each at either end of its tolerance, at either end of the stretch."""
        corners = []
        first, last = self.position[0], self.position[-1]
        for stretch, at_rest, at_full in product(self.stretch.ends, (False, True), (False, True)):
            where = first + (position - first) / stretch
            share = np.clip((where - first) / (last - first), 0.0, 1.0)
            rest = np.interp(where, self.position, self.ratio_high if at_rest else self.ratio_low)
            full = np.interp(where, self.position, self.ratio_high if at_full else self.ratio_low)
            corners.append((1.0 - share) * rest + share * full)
        return np.array(corners)

    def _resistors(self, *, nominal: bool) -> list[Loads]:
        spans = [
            self.supply_v, self.track_ohm, self.source_ohm, self.series_ohm,
            self.module_pull.ohm if self.module_pull else Span.exact(np.inf),
            self.unit_pull.ohm if self.unit_pull else Span.exact(np.inf),
        ]  # fmt: skip
        choices = [(span.nominal,) if nominal else span.ends for span in spans]
        module_up = bool(self.module_pull and self.module_pull.to == "supply")
        unit_up = bool(self.unit_pull and self.unit_pull.to == "supply")
        return [
            Loads(
                supply, track, source, series, module_pull, unit_pull, module_up, unit_up,
                self.supply_drop_v, self.ground_rise_v,
            )
            for supply, track, source, series, module_pull, unit_pull in product(*choices)
        ]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Loads:
    """One choice of the resistances around a track. [V], [Ω]; an absent pull resistor is infinite.

    Each may be an array that goes with the output ratios, for many choices at once.
    """

    supply_v: float | Array
    track_ohm: float | Array
    source_ohm: float | Array
    series_ohm: float | Array
    module_pull_ohm: float | Array
    unit_pull_ohm: float | Array
    module_pull_to_supply: bool
    unit_pull_to_supply: bool
    supply_drop_v: float = 0.0
    ground_rise_v: float = 0.0


def loaded_volts(ratio: Array, loads: Loads) -> tuple[Array, Array]:
    r"""Volts at the control unit's input, and the resistance behind them.

    .. math:: V = V_g + k (V_s - V_d - V_g), \qquad R = k (1 - k) R_{track} + R_{source}, \qquad
        V' = \frac{V / R + V_p / R_p}{1 / R + 1 / R_p}, \quad R' = \frac{1}{1 / R + 1 / R_p}

    the last pair once for each pull resistor, with the series resistor added to R between the two. The loom lifts the
    track's ground by V_g and takes V_d of its supply.

    Args:
        ratio: Unloaded output k as a share of the supply, any shape.
        loads: Supply and resistances.

    Returns:
        Volts [V] and source resistance [Ω], each in the shape of ratio.

    Example:
        A 1 kΩ potentiometer at its middle, 5 V, loaded with 1 kΩ to ground:

        >>> volts, _ = loaded_volts(np.array([0.5]), Loads(5.0, 1000.0, 0.0, 0.0, np.inf, 1000.0, False, False))
        >>> volts.round(6).tolist()
        [2.0]

    References:
        Thévenin's theorem; the loaded potentiometer as in any textbook of circuit theory.
    """
    volts = loads.ground_rise_v + ratio * (loads.supply_v - loads.supply_drop_v - loads.ground_rise_v)
    ohm = ratio * (1.0 - ratio) * loads.track_ohm + loads.source_ohm
    volts, ohm = _pulled(volts, ohm, loads.module_pull_ohm, loads.supply_v if loads.module_pull_to_supply else 0.0)
    ohm = ohm + loads.series_ohm
    return _pulled(volts, ohm, loads.unit_pull_ohm, loads.supply_v if loads.unit_pull_to_supply else 0.0)


def _pulled(volts: Array, ohm: Array, pull_ohm: float | Array, pull_v: float | Array) -> tuple[Array, Array]:
    if not np.all(np.isfinite(pull_ohm)):
        return volts, ohm
    return (volts * pull_ohm + pull_v * ohm) / (ohm + pull_ohm), ohm * pull_ohm / (ohm + pull_ohm)
