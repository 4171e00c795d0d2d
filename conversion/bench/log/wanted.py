"""What the plan expects of a logged sweep of the pedal."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.plan import Plan
from conversion.sensing import sensor_input

Array = NDArray[np.float64]
Limits = tuple[float, float, float]
"""Nominal, least, greatest."""


@dataclass(frozen=True)
class WantedTrack:
    """One track as planned.

    Attributes:
        rest_v: With the pedal at rest. [V]
        full_v: At its full stop. [V]
        volts: Over the travel, as planned; (positions,). [V]
        low: Least over all tolerances; (positions,). [V]
        high: Greatest; (positions,). [V]
        supply_v: Its supply. [V]
        valid_v: What the control unit takes as valid; None where it is not described. [V]
        rest_window_v: What it accepts at rest. [V]
        full_window_v: What it accepts at full. [V]
        scale_v: Fixed volts of 0 % and 100 %; None where they are learned. [V]
    """

    rest_v: Limits
    full_v: Limits
    volts: Array
    low: Array
    high: Array
    supply_v: Limits
    valid_v: tuple[float, float] | None
    rest_window_v: tuple[float, float] | None
    full_window_v: tuple[float, float] | None
    scale_v: tuple[float, float] | None


@dataclass(frozen=True)
class Wanted:
    """The pedal as planned.

    Attributes:
        pad_mm: Pad travel of the positions; (positions,). [mm]
        tracks: By name.
        percent: What the control unit takes at the positions; (positions,).
        takes: What it takes of the tracks: ``smaller``, ``larger``, ``mean``, ``a``; empty where it reads no pedal.
        compares: ``percent``, ``volts``, or empty where it compares nothing.
        factor: Of b where volts are compared.
        at_most: Greatest difference that passes, in per cent or volts; None where it is not described.
        within_s: Time until it is acted on. [s]
        unit: Reference of the control unit.
    """

    pad_mm: Array
    tracks: dict[str, WantedTrack]
    percent: Array
    takes: str
    compares: str
    factor: float
    at_most: float | None
    within_s: float
    unit: str

    def apart(self, volts_a: Array, volts_b: Array, percent_a: Array, percent_b: Array) -> Array:
        """How far two tracks are apart, as the control unit compares them; in per cent where it does not."""
        if self.compares == "volts":
            return np.abs(volts_a - self.factor * volts_b)
        return np.abs(percent_a - percent_b)


def wanted_of(plan: Plan) -> Wanted:
    """What a plan expects.

    Raises:
        Missing: A figure is not known without which no volts can be computed.
    """
    sweep, gathered, travel = plan.pedal, plan.pedal_tracks, plan.travel
    accepts = sensor_input(plan.description, "pedal")
    agreement = accepts.agreement if accepts else None
    limit = agreement.at_most.nominal if agreement and agreement.at_most else None
    tracks = {}
    for name, track in sweep.tracks.items():
        supply, input_form = gathered[name].model.supply_v, gathered[name].accepts
        valid, at_rest, at_full = (
            getattr(input_form, key).limits if input_form and getattr(input_form, key) else None
            for key in ("valid", "rest", "full")
        )
        rest, full = (
            (float(track.volts[at]), float(track.volts_min[at]), float(track.volts_max[at])) for at in (0, -1)
        )
        tracks[str(name)] = WantedTrack(
            rest, full, track.volts, track.volts_min, track.volts_max, (supply.nominal, supply.low, supply.high),
            valid, at_rest, at_full, track.scale_v if accepts and accepts.scale == "fixed" else None,
        )  # fmt: skip
    return Wanted(
        pad_mm=travel.pad_travel_mm,
        tracks=tracks,
        percent=sweep.percent,
        takes=accepts.takes if accepts else "",
        compares=agreement.of if agreement else "",
        factor=float(agreement.factor) if agreement else 1.0,
        at_most=None if limit is None or agreement is None else (100.0 * limit if agreement.of == "percent" else limit),
        within_s=agreement.within.nominal if agreement and agreement.within else 0.0,
        unit=plan.description.control_unit[0] if plan.description.control_unit else "the control unit",
    )
