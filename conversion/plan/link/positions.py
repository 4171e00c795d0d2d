"""The travel as plain data: one entry a position, units in the names, for programs that read it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from conversion.description import Missing
from conversion.plan.plan import Plan


def travel_positions(plan: Plan) -> tuple[list[dict[str, Any]], list[Missing]]:
    """Every position of the travel, and what could not be computed for want of a figure.

    ``transmission_deg`` is the one of the link's two ends that lies farther from 90°; both are given beside it.
    Values that do not exist, such as the lever angle where the linkage cannot close, or the transmission angle of a
    module's own pedal, are None.

    Returns:
        Positions from the pedal's rest stop to its full stop, empty where the linkage cannot be solved; and the
        reasons for what is missing.
    """
    try:
        travel = plan.travel
    except Missing as missing:
        return [], [missing]
    lacking: list[Missing] = []
    sweep = None
    try:
        sweep = plan.pedal
    except Missing as missing:
        lacking.append(missing)
    lever_end, pedal_end = np.degrees(travel.transmission_lever_rad), np.degrees(travel.transmission_pedal_rad)
    # A cable has no such angle at its quadrant: the pedal's counts there.
    lever_worse = np.isnan(pedal_end) | (np.abs(lever_end - 90.0) >= np.abs(pedal_end - 90.0))
    worse = np.where(lever_worse, lever_end, pedal_end)
    positions = []
    for index, pad_travel in enumerate(travel.pad_travel_mm):
        positions.append(
            {
                "pad_travel_mm": _plain(pad_travel),
                "pedal_deg": _plain(np.degrees(travel.pedal_rad[index])),
                "lever_deg": _plain(np.degrees(travel.lever_rad[index])),
                "lever_min_deg": _plain(np.degrees(travel.lever_min_rad[index])),
                "lever_max_deg": _plain(np.degrees(travel.lever_max_rad[index])),
                "ratio": _plain(travel.ratio[index]),
                "transmission_deg": _plain(worse[index]),
                "transmission_lever_deg": _plain(lever_end[index]),
                "transmission_pedal_deg": _plain(pedal_end[index]),
                "tracks": {
                    name: {
                        "volts": _plain(track.volts[index]),
                        "volts_min": _plain(track.volts_min[index]),
                        "volts_max": _plain(track.volts_max[index]),
                    }
                    for name, track in (sweep.tracks if sweep else {}).items()
                },
                "percent": _plain(sweep.percent[index]) if sweep else None,
            }
        )
    return positions, lacking


def _plain(value: float) -> float | None:
    """A number that JSON can hold; rounded far below anything that could be measured, so that it reads."""
    return round(float(value), 9) if math.isfinite(value) else None
