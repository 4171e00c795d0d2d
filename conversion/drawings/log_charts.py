"""The pictures of a logged sweep: volts over time, over the pedal's way, difference of the tracks, release."""

from __future__ import annotations

import numpy as np

from conversion.bench.log.curve import planned_volts
from conversion.bench.log.events import Array
from conversion.bench.log.judge import LogVerdict
from conversion.bench.log.releases import BACK_PERCENT, Release
from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import LIMIT, STYLES, Curve, Level, Mark, Panel
from conversion.drawings.panel_sheet import chart
from conversion.drawings.svg import Pen
from conversion.quantities import show

_MOST_POINTS = 450
"""About four to a millimetre of the chart: more cannot be seen."""
_MOST_RELEASES = 4
_UNDER = STYLES[4]
_PLANNED = STYLES[6]
_PRESSED = Pen(1.3, colour="#8c8c8c")
"""Wide and grey, so that the way back can be seen where it lies on it."""


def log_charts(verdict: LogVerdict, prefix: str = "record") -> tuple[Drawing, ...]:
    """Every picture that a log allows, in the order in which documents show them."""
    drawings = [_over_time(verdict, prefix), _over_way(verdict, prefix), _difference(verdict, prefix)]
    if verdict.record.releases:
        drawings.append(_release(verdict, prefix))
    return tuple(drawings)


def _over_time(verdict: LogVerdict, prefix: str) -> Drawing:
    record = verdict.record
    time = record.buckets.time_s - record.clock.first_s
    curves, levels = [], []
    for (name, track), pen in zip(record.tracks.items(), STYLES, strict=False):
        mean, least, greatest = (
            record.of(which, name) for which in (record.buckets.mean, record.buckets.least, record.buckets.greatest)
        )
        spread = _thinned(time, mean, least, greatest)
        curves.append(Curve(f"track {name}", spread[0], spread[1], pen, spread[2], spread[3]))
        valid = verdict.wanted.tracks[name].valid_v
        if track.outside.count and valid:
            levels += [Level(edge, f"valid limit {name}, {show(edge, 'voltage')}", LIMIT) for edge in valid]
    panel = Panel("Time from the first row [s]", "Volts as logged [V]", tuple(curves), tuple(levels), show_y=(0.0,))
    return chart(
        f"{prefix}-volts",
        "Logged volts over time",
        "Lines: means without drop-outs. Grey: least and greatest of what each dot of the line stands for.",
        [panel],
    )


def _thinned(time: Array, mean: Array, least: Array, greatest: Array) -> tuple[Array, Array, Array, Array]:
    """The same curve with few enough points, without losing a least or greatest figure."""
    size = -(-len(time) // _MOST_POINTS)
    starts = np.arange(0, len(time), size)
    known = np.isfinite(mean)
    count = np.add.reduceat(known.astype(np.float64), starts)
    total = np.add.reduceat(np.where(known, mean, 0.0), starts)
    middle = np.divide(total, count, out=np.full(len(starts), np.nan), where=count > 0)
    low = np.minimum.reduceat(np.where(np.isfinite(least), least, np.inf), starts)
    high = np.maximum.reduceat(np.where(np.isfinite(greatest), greatest, -np.inf), starts)
    clock = np.minimum.reduceat(np.where(np.isfinite(time), time, np.inf), starts)
    return tuple(np.where(np.isfinite(row), row, np.nan) for row in (clock, middle, low, high))  # type: ignore[return-value]


def _over_way(verdict: LogVerdict, prefix: str) -> Drawing:
    record, curve = verdict.record, verdict.curve
    planned = planned_volts(curve, verdict.wanted)
    curves = []
    for name, pen in zip(record.tracks, STYLES, strict=False):
        middle, low, high = planned[name]
        curves.append(Curve(f"track {name} as planned", curve.way, middle, _PLANNED, low, high))
        rest, full = record.tracks[name].scale_v
        for words, percent, style in (("pressed", curve.down[name], _PRESSED), ("coming back", curve.up[name], pen)):
            curves.append(Curve(f"track {name}, {words}", curve.way, rest + percent / 100.0 * (full - rest), style))
    title = "Pad travel as logged [% of the planned travel]" if curve.by_pad else "Mean per cent of the tracks [%]"
    panel = Panel(title, "Volts [V]", tuple(curves), show_y=(0.0,), height_mm=84.0)
    return chart(
        f"{prefix}-sweep",
        "Logged volts over the pedal's way",
        "Grey: as planned, worst case of all tolerances together. The ways down and back should lie on each other.",
        [panel],
    )


def _difference(verdict: LogVerdict, prefix: str) -> Drawing:
    record, wanted = verdict.record, verdict.wanted
    mean = record.buckets.mean
    time = record.buckets.time_s - record.clock.first_s
    curves = []
    for pair, pen in zip(record.apart, STYLES, strict=False):
        one, other = (record.of(mean, name) for name in pair)
        apart = wanted.apart(one, other, record.percent(pair[0], one), record.percent(pair[1], other))
        thin = _thinned(time, apart, apart, apart)
        curves.append(Curve(f"tracks {pair[0]} and {pair[1]}", thin[0], thin[1], pen, thin[2], thin[3]))
    factor, unit, dimension = (1.0, "V", "voltage") if wanted.compares == "volts" else (0.01, "%", "ratio")
    levels: tuple[Level, ...] = ()
    if wanted.at_most is not None:
        text = f"at most {show(factor * wanted.at_most, dimension)}"
        levels = (Level(wanted.at_most, text, _UNDER, "above"),)
    title = f"Difference between the tracks [{unit}]"
    panel = Panel("Time from the first row [s]", title, tuple(curves), levels, show_y=(0.0,), height_mm=44.0)
    return chart(
        f"{prefix}-difference",
        "Difference of the logged tracks",
        "As the control unit compares them; drop-outs are left out here and stand among the findings.",
        [panel],
    )


def _release(verdict: LogVerdict, prefix: str) -> Drawing:
    shown = verdict.record.releases[:_MOST_RELEASES]
    curves = tuple(
        Curve(f"let go at {release.start_s:.1f} s", *_near(release, verdict.limit_s), pen)
        for release, pen in zip(shown, STYLES, strict=False)
    )
    marks = (Mark(verdict.limit_s, f"allowed {show(verdict.limit_s, 'time')}"),)
    levels = (Level(BACK_PERCENT, f"back within {BACK_PERCENT:.0f} %", LIMIT),)
    panel = Panel("Time from letting go [s]", "Mean per cent of the tracks [%]", curves, levels, marks, show_y=(0.0,))
    return chart(
        f"{prefix}-release",
        "Return of the pedal",
        "From the last row before the pedal fell. The foot must have left it at once.",
        [panel],
    )


def _near(release: Release, limit_s: float) -> tuple[Array, Array]:
    """From shortly before letting go to shortly after what is allowed."""
    near = (release.time_s >= -0.2 * limit_s) & (release.time_s <= 1.3 * limit_s)
    return release.time_s[near], release.percent[near]
