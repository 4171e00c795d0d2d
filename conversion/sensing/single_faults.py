"""What an input reads when one conductor of its track is open or shorted: the cases that the valid range must catch.

A track that stays a voltage divider can be computed; what a Hall or inductive output does without its ground or its
supply depends on its circuit, and is left out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from conversion.sensing.track_model import PullTo, Span, TrackModel


@dataclass(frozen=True, slots=True)
class FaultReading:
    """One fault and the volts that the input reads then.

    Attributes:
        fault: As the beginning of a sentence goes on: ``its signal wire is open``.
        least_v: Over all tolerances and positions. [V]
        most_v: Likewise. [V]
    """

    fault: str
    least_v: float
    most_v: float


def open_signal(model: TrackModel) -> FaultReading | None:
    """The signal wire broken: only the control unit's pull resistor is left; None without one, the input floats."""
    if model.unit_pull is None:
        return None
    low, high = (0.0, 0.0) if model.unit_pull.to == "ground" else (model.supply_v.low, model.supply_v.high)
    return FaultReading("its signal wire is open", low, high)


def shorted_signal(model: TrackModel) -> tuple[FaultReading, FaultReading]:
    """The signal wire on ground and on the sensor supply."""
    return (
        FaultReading("its signal wire touches ground", 0.0, 0.0),
        FaultReading("its signal wire touches the sensor supply", model.supply_v.low, model.supply_v.high),
    )


def open_feed(model: TrackModel) -> tuple[FaultReading, ...]:
    """A potentiometer without its supply, and without its ground: the whole track hangs on the other end.

    The resistor divider of the remaining end and the control unit's pull resistor; a strong pull resistor may
    bring the reading back into the valid range. Without such a resistor the input reads what the remaining end is.
    """
    if model.track_ohm.nominal <= 0.0 or model.module_pull is not None:
        return ()
    readings = []
    for fault, supplied in (("its supply wire is open", False), ("its ground wire is open", True)):
        volts = [
            _divided(supply if supplied else 0.0, ohm, model.unit_pull, pull, supply)
            for supply, ohm, pull in product(model.supply_v.ends, _path_ohm(model, supplied), _pull_ends(model))
        ]
        readings.append(FaultReading(fault, min(volts), max(volts)))
    return tuple(readings)


def _path_ohm(model: TrackModel, supplied: bool) -> tuple[float, float]:
    """Least and greatest resistance from the remaining end of the track to the control unit's input. [Ω]"""
    share = 1.0 - model.ratio if supplied else model.ratio
    inner = (model.source_ohm.low + model.series_ohm.low, model.source_ohm.high + model.series_ohm.high)
    return (
        float(np.min(share)) * model.track_ohm.low + inner[0],
        float(np.max(share)) * model.track_ohm.high + inner[1],
    )


def _pull_ends(model: TrackModel) -> tuple[float, ...]:
    return (model.unit_pull.ohm if model.unit_pull else Span.exact(np.inf)).ends


def _divided(end_v: float, ohm: float, pull: PullTo | None, pull_ohm: float, supply_v: float) -> float:
    if pull is None:
        return end_v
    pull_v = supply_v if pull.to == "supply" else 0.0
    return (end_v * pull_ohm + pull_v * ohm) / (ohm + pull_ohm)
