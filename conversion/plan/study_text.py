"""The tolerance study in words, as lines of text, and as plain data for programs that read it."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import numpy as np

from conversion.plan.plan import Plan
from conversion.plan.study_case import VariedFigure
from conversion.plan.studying import TravelStudy
from conversion.quantities import number, show, unit_of
from conversion.study import Chance, Ranking

# Shares of the variance below this say nothing beside chance and rounding.
WORTH_SAYING = 0.01

_EVENTS = {
    "module-full-stop-first": "the module's own full stop is met before the pedal's",
    "module-rest-stop-first": "the module's own rest stop is met before the pedal's",
    "does-not-close": "the link does not reach, or the full stop is out of reach",
    "rest-window-missed": "track {} lies outside its window at rest",
    "full-window-missed": "track {} lies outside its window at full",
    "valid-range-left": "track {} leaves the range that is taken as valid",
    "tracks-disagree": "the tracks differ by more than the control unit lets pass",
}
_RANKED = {
    "lever_at_full_rad": "lever angle at full",
    "margin_rad": "swing left in the module at full",
    "volts_at_full": "volts of track {} at full",
}
_SINGLE = {
    "lever_at_rest_rad": ("lever_at_rest_deg", "lever angle at rest", "angle"),
    "lever_at_full_rad": ("lever_at_full_deg", "lever angle at full", "angle"),
    "margin_rad": ("margin_deg", "swing left in the module at full", "angle"),
    "pad_at_full_mm": ("pad_at_full_mm", "pad travel at full", "length"),
}
_AT_STOPS = {"volts_at_rest": "volts of track {} at rest", "volts_at_full": "volts of track {} at full"}


def words_of(output: str) -> str:
    """What an event or a figure of the study is called.

    Example:
        >>> words_of("full-window-missed.b"), words_of("margin_rad")
        ('track b lies outside its window at full', 'swing left in the module at full')
    """
    kind, _, track = output.partition(".")
    return (_EVENTS | _RANKED)[kind].format(track)


def chance_words(chance: Chance) -> str:
    """How often something happened, and the chance that it stands for, rounded away from certainty.

    Example:
        >>> from conversion.study import chance
        >>> chance_words(chance(0, 4000))
        '0 of 4 000; with 95 % confidence below 0.093 %'
        >>> chance_words(chance(1260, 4000))
        '1 260 of 4 000, 31.5 %; with 95 % confidence between 30.0 % and 33.0 %'
    """
    counted = f"{grouped(chance.happened)} of {grouped(chance.samples)}"
    confidence = f"with {100 * chance.confidence:.0f} % confidence"
    least, most = _percent(chance.least, math.floor), _percent(chance.most, math.ceil)
    if not chance.happened:
        return f"{counted}; {confidence} below {most}"
    if chance.happened == chance.samples:
        return f"{counted}; {confidence} above {least}"
    return f"{counted}, {_percent(chance.share, round)}; {confidence} between {least} and {most}"


def method_words(ranking: Ranking) -> str:
    """How a ranking was made, in a few words."""
    if ranking.method == "none":
        return "it does not vary"
    r_squared = f"R² {number(ranking.r_squared, 'plain')}"
    if ranking.method == "regression":
        return f"squared standardised regression coefficients, {r_squared}"
    return f"first-order shares of the variance by bins, since a straight line explains too little ({r_squared})"


def leading(found: TravelStudy, ranking: Ranking, most: int) -> list[tuple[VariedFigure, float]]:
    """The figures that make the most of something, the first of them first, with their shares of the variance."""
    worth = [(name, share) for name, share in ranking.share.items() if share >= WORTH_SAYING]
    return [(found.figure(name), share) for name, share in worth[:most]]


def spread_of(found: TravelStudy, output: str, position: int = 0) -> dict[str, float]:
    """Nominal value, percentiles, sampled and worst-case limits of an output at one position, in its unit."""
    band, corners = found.study.bands[output], found.study.corners
    return {
        "nominal": float(band.nominal[position]),
        "p05": float(band.p05[position]),
        "p50": float(band.p50[position]),
        "p95": float(band.p95[position]),
        "least": float(band.least[position]),
        "greatest": float(band.most[position]),
        "worst_least": float(corners.least[output][position]),
        "worst_greatest": float(corners.most[output][position]),
    }


def single_figures(found: TravelStudy) -> Iterator[tuple[str, str, str]]:
    """Output, words and dimension of every figure that stands once and not over the travel."""
    for output, (_, words, dimension) in _SINGLE.items():
        yield output, words, dimension
    for kind, words in _AT_STOPS.items():
        for track in found.tracks:
            yield f"{kind}.{track}", words.format(track), "voltage"


def study_lines(plan: Plan, samples: int | None = None, seed: int | None = None) -> Iterator[str]:
    """What a reader at a terminal is told.

    Raises:
        Missing: the travel rests on a figure that is not known.
    """
    found = _asked(plan, samples, seed)
    study = found.study
    yield f"{grouped(study.samples)} samples of {len(found.figures)} figures, seed {study.seed}; worst case of " + (
        f"{'all' if study.corners.method == 'all' else 'the telling'} {grouped(study.corners.corners)} corners."
    )
    yield ""
    heads = ("", "planned", "5 %", "50 %", "95 %", "worst case")
    rows = [heads, *(_row(found, *single) for single in single_figures(found))]
    widths = [max(len(row[column]) for row in rows) for column in range(len(heads))]
    for row in rows:
        yield "  ".join((row[0].ljust(widths[0]), *(c.rjust(w) for c, w in zip(row[1:], widths[1:], strict=True))))
    yield ""
    yield "How often:"
    for event, chance in study.chances.items():
        yield f"  {words_of(event)}: {chance_words(chance)}" + (
            "; but a worst case does it" if not chance.happened and study.corners.happens[event] else ""
        )
    for output, ranking in found.rankings.items():
        yield ""
        yield f"What matters most for: {words_of(output)} ({method_words(ranking)})"
        for figure, share in leading(found, ranking, 5):
            yield f"  {show(share, 'ratio'):>7}  {figure.name}"
    for missing in found.lacking:
        yield f"Not judged: {missing}"
    for name in found.idle_shapes:
        yield f"Without effect: study.shapes names {name}, which moves nothing here."


def study_json(plan: Plan, samples: int | None = None, seed: int | None = None) -> dict[str, Any]:
    """The study as plain data, units in the names.

    Raises:
        Missing: the travel rests on a figure that is not known.
    """
    found = _asked(plan, samples, seed)
    study = found.study
    at_stops = {_SINGLE[name][0]: _plain(spread_of(found, name), _SINGLE[name][2]) for name in _SINGLE}
    tracks = {
        track: {f"{kind}_v": _plain(spread_of(found, f"{kind}.{track}"), "voltage") for kind in _AT_STOPS}
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


def _asked(plan: Plan, samples: int | None, seed: int | None) -> TravelStudy:
    return plan.study if samples is None and seed is None else plan.sampled_study(samples, seed)


def _row(found: TravelStudy, output: str, words: str, dimension: str) -> tuple[str, ...]:
    spread = spread_of(found, output)
    unit = unit_of(dimension)
    worst = f"{number(spread['worst_least'], dimension)} to {number(spread['worst_greatest'], dimension)}"
    return (f"{words} [{unit}]", *(number(spread[key], dimension) for key in ("nominal", "p05", "p50", "p95")), worst)


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


def _percent(share: float, rounded: Any) -> str:
    """A share in per cent, with two telling figures near either end."""
    percent = 100.0 * share
    rest = min(percent, 100.0 - percent)
    decimals = max(1, 1 - math.floor(math.log10(rest))) if rest > 0.0 else 1
    return f"{rounded(percent * 10**decimals) / 10**decimals:.{decimals}f} %"


def grouped(count: int) -> str:
    """A count with its thousands apart."""
    return f"{count:,}".replace(",", " ")
