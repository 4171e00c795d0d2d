"""The chart of a search: what every further per cent of sweep costs in each of the other measures."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import STYLES, Curve, Mark, Panel, Whisker
from conversion.drawings.panel_sheet import chart
from conversion.drawings.scales import Array
from conversion.plan.searching.search import SearchOutcome
from conversion.study.search_wants import CELL

CAPTION = (
    "Each dash is a setting that no other one beats in everything. The line is the best that can be had with at least "
    "so much sweep. Upright lines: the settings that are worked out, by their numbers."
)

_HEIGHT_MM = 38.0
# An axis reaches over as many cells, in which nothing can be told apart, so that nothing looks like a cliff.
_LEAST_CELLS = 6.0


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
            show_y=_reach(values, cell),
            height_mm=_HEIGHT_MM,
        )
        for title, label, sign, values, cell in _measures(outcome)
    ]
    return chart(
        "trade-off",
        "Trade-off of the search",
        CAPTION,
        panels,
    )


def _measures(outcome: SearchOutcome) -> Iterator[tuple[str, str, float, Array, float]]:
    """Title, label of the line, the sign that makes less better, the figures, and how far they are apart if at all."""
    front, turn = outcome.front, float(np.degrees(1.0))
    margin, square = turn * front.margin_rad, turn * front.transmission_rad
    feel = 100.0 * front.off_feel
    yield "Margin to the nearer of the module's stops [°]", "widest margin", -1.0, margin, turn * CELL["margin"]
    yield "Greatest distance from the wanted feel [% of the sweep]", "nearest feel", 1.0, feel, 100.0 * CELL["feel"]
    yield "Least transmission angle [°]", "squarest link", -1.0, square, turn * CELL["transmission"]
    if np.all(np.isfinite(front.force_most_n)):
        yield "Greatest force at the pad [N]", "lightest pedal", 1.0, front.force_most_n, CELL["force"]


def _reach(values: Array, cell: float) -> tuple[float, float]:
    """Figures that the upright axis has to reach: half a cell beyond all, and wide enough altogether."""
    low, high = float(np.min(values)) - cell / 2, float(np.max(values)) + cell / 2
    lacking = max(0.0, _LEAST_CELLS * cell - (high - low)) / 2
    bottom = max(0.0, low - lacking)
    return bottom, max(high + lacking, bottom + _LEAST_CELLS * cell)


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
