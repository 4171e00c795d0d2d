"""An offset of a supply or ground line that several tracks share: how far it goes before a described check notices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.description.parts import SensorInput
from conversion.sensing.checks import noticed
from conversion.sensing.sweep import SensorSweep, taken_percent

Line = Literal["supply", "ground"]

_STEPS = 251


@dataclass(frozen=True, slots=True)
class UnnoticedOffset:
    """The offset that moves what is acted on the farthest while every described check stays silent.

    Attributes:
        offset_v: Loss of the supply line, or rise of the ground line. [V]
        error_percent: What is acted on less what the sound sensor gives; zero where each offset is noticed.
        index: Position in the sweep at which that happens.
    """

    offset_v: float
    error_percent: float
    index: int


def worst_unnoticed_offset(
    sweep: SensorSweep, accepts: SensorInput, supply_v: Mapping[str, float], line: Line
) -> UnnoticedOffset:
    r"""Offset a shared line from nothing to the whole supply, at every position, and find the worst that passes.

    .. math:: V' = V + \delta (1 - V / V_s) \quad \text{(ground)}, \qquad
        V' = V (1 - \delta / V_s) \quad \text{(supply)}

    Args:
        sweep: The sound sensor; its per cent must be known.
        accepts: The described checks.
        supply_v: Supply of each track that shares the line. [V]
        line: Which line is offset.

    Returns:
        The worst unnoticed offset, in steps of 0.4 % of the supply.

    Note:
        The outputs are taken as ratiometric and pull resistors as without effect. Times are left out.
    """
    # Offset as a share of the supply, (steps, 1), against positions, (positions,).
    share = np.linspace(0.0, 1.0, _STEPS)[:, None]
    volts = {}
    for name, track in sweep.tracks.items():
        if name not in supply_v:
            volts[name] = np.broadcast_to(track.volts, (_STEPS, track.volts.size))
        elif line == "ground":
            volts[name] = track.volts + share * (supply_v[name] - track.volts)
        else:
            volts[name] = track.volts * (1.0 - share)
    percents = {name: sweep.tracks[name].percent_of(read) for name, read in volts.items()}
    error = taken_percent(percents, accepts) - sweep.percent
    passing = np.where(noticed(volts, sweep, accepts), 0.0, error)
    step, index = np.unravel_index(int(np.argmax(np.abs(passing))), passing.shape)
    most = max(supply_v.values(), default=0.0)
    return UnnoticedOffset(float(share[step, 0]) * most, float(passing[step, index]), int(index))
