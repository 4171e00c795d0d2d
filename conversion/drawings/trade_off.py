"""The chart of a search: what every further per cent of sweep costs in each of the other measures."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import STYLES, Curve, Mark, Panel, Whisker
from conversion.drawings.panel_sheet import chart
from conversion.drawings.scales import Array
from conversion.plan.searching import SearchOutcome

# Measures over the sweep: title, label of its line, the sign that makes less better, height of its panel.
_HEIGHT_MM = 38.0


def trade_off_chart(outcome: SearchOutcome) -> Drawing:
    """Each measure over the sweep that is used, of every candidate that no other one beats in all."""
    sweep = 100.0 * outcome.front.sweep
    marks = _marks(outcome)
    panels = [
        Panel(
            "Sweep used, as a share of the module's swing [%]",
            title,
            (Curve(label, *_best_left(sweep, values, sign), STYLES[0]),),
            marks=marks,
            whiskers=tuple(Whisker(float(x), float(y), float(y)) for x, y in zip(sweep, values, strict=True)),
            height_mm=_HEIGHT_MM,
        )
        for title, label, sign, values in _measures(outcome)
    ]
    return chart(
        "trade-off",
        "Trade-off of the search",
        "Each dash is a setting that no other one beats in everything. The line is the best that can be had with at "
        "least so much sweep. Upright lines: the settings that are worked out, by their numbers.",
        panels,
    )


def _measures(outcome: SearchOutcome) -> Iterator[tuple[str, str, float, Array]]:
    front = outcome.front
    yield "Margin to the nearer of the module's stops [°]", "widest margin", -1.0, np.degrees(front.margin_rad)
    yield "Greatest distance from the wanted feel [% of the sweep]", "nearest feel", 1.0, 100.0 * front.off_feel
    yield "Least transmission angle [°]", "squarest link", -1.0, np.degrees(front.transmission_rad)
    if np.all(np.isfinite(front.force_most_n)):
        yield "Greatest force at the pad [N]", "lightest pedal", 1.0, front.force_most_n


def _best_left(sweep: Array, values: Array, sign: float) -> tuple[Array, Array]:
    """A line of steps: from each sweep, the best value among all that use at least as much."""
    order = np.argsort(-sweep, kind="stable")
    x, best = sweep[order], sign * np.minimum.accumulate(sign * values[order])
    across, up = np.repeat(x, 2)[1:], np.repeat(best, 2)[:-1]
    return across[::-1], up[::-1]


def _marks(outcome: SearchOutcome) -> tuple[Mark, ...]:
    places: dict[float, list[str]] = {}
    for place, setting in enumerate(outcome.settings, 1):
        places.setdefault(round(100.0 * float(setting.looked.sweep[0]), 2), []).append(str(place))
    return tuple(Mark(x, ", ".join(names)) for x, names in sorted(places.items()))
