"""The tolerance study as plain data, for programs that read it."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from conversion.plan.study.case import VariedFigure
from conversion.plan.study.text import AT_STOPS, SINGLE, spread_of, words_of
from conversion.plan.study.travel import TravelStudy
from conversion.quantities import unit_of


def study_json(found: TravelStudy) -> dict[str, Any]:
    """The study as plain data, units in the names."""
    study = found.study
    at_stops = {SINGLE[name][0]: _plain(spread_of(found, name), SINGLE[name][2]) for name in SINGLE}
    tracks = {
        track: {f"{kind}_v": _plain(spread_of(found, f"{kind}.{track}"), "voltage") for kind in AT_STOPS}
        for track in found.tracks
    }
    return {
        "samples": study.samples,
        "seed": study.seed,
        "figures": [_figure(figure) for figure in found.figures],
        "positions": [_position(found, index) for index in range(len(study.positions))],
        "at_stops": at_stops | {"tracks": tracks},
        "chances": [
            {
                "event": event.partition(".")[0],
                "track": event.partition(".")[2] or None,
                "happened": chance.happened,
                "least": chance.least,
                "most": chance.most,
                "confidence": chance.confidence,
                "worst_case": study.corners.happens[event],
            }
            for event, chance in study.chances.items()
        ],
        "corners": {"method": study.corners.method, "count": study.corners.corners},
        "rankings": [
            {
                "of": words_of(output),
                "method": ranking.method,
                "r_squared": _finite(ranking.r_squared),
                "samples": ranking.samples,
                "shares": {found.figure(name).name: _finite(share) for name, share in ranking.share.items()},
            }
            for output, ranking in found.rankings.items()
        ],
        "lacking": [
            {"path": missing.path, "place": str(missing.place), "why": missing.why} for missing in found.lacking
        ],
        "idle_shapes": list(found.idle_shapes),
    }


def _figure(figure: VariedFigure) -> dict[str, Any]:
    limits = _plain({"nominal": figure.nominal, "low": figure.low, "high": figure.high}, figure.dimension)
    unit = {"angle": "deg", "ratio": "%"}.get(figure.dimension, unit_of(figure.dimension))
    return {"name": figure.name, **limits, "unit": unit, "shape": figure.drawn.shape}


def _position(found: TravelStudy, index: int) -> dict[str, Any]:
    bands = found.study.bands
    entry: dict[str, Any] = {
        "pad_travel_mm": _finite(found.study.positions[index]),
        "lever_deg": _plain(spread_of(found, "lever_rad", index), "angle"),
        "tracks": {
            track: {"volts": _plain(spread_of(found, f"volts.{track}", index), "voltage")} for track in found.tracks
        },
    }
    if "percent" in bands:
        entry["percent"] = _plain(spread_of(found, "percent", index), "percent")
    return entry


def _plain(values: dict[str, float], dimension: str) -> dict[str, float | None]:
    factor = {"angle": 180.0 / np.pi, "ratio": 100.0}.get(dimension, 1.0)
    return {name: _finite(factor * value) for name, value in values.items()}


def _finite(value: float) -> float | None:
    return round(float(value), 9) if math.isfinite(value) else None
