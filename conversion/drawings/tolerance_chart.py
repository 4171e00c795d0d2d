"""Charts of the tolerance study: where nine in ten samples lie, inside what the worst case allows."""

from __future__ import annotations

import numpy as np

from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import STYLES, Curve, Level, Mark, Panel, Window
from conversion.drawings.panel_sheet import chart
from conversion.drawings.scales import Array
from conversion.plan import Plan
from conversion.plan.study.travel import TravelStudy
from conversion.quantities import show
from conversion.sensing import GatheredTrack

_PAD = "Pad travel along its arc [mm]"
_BANDS = (
    "Dark: between the 5 % and the 95 % mark of the samples. Pale: worst case of all tolerances together. Line: as "
    "planned."
)


def tolerance_chart(plan: Plan) -> list[Drawing]:
    """Bands of the lever angle, and of each track's volts where they are known."""
    found = plan.study
    marks = _marks(plan)
    drawings = [_lever(plan, found, marks)]
    if found.tracks:
        drawings.append(_volts(plan, found, marks))
    return drawings


def _lever(plan: Plan, found: TravelStudy, marks: tuple[Mark, ...]) -> Drawing:
    swing = plan.travel.geometry.swing_rad[0]
    degrees = float(np.degrees(1.0))
    stops = (
        Level(0.0, "module's own rest stop, 0.0°", STYLES[4], "below"),
        Level(float(np.degrees(swing)), f"module's own full stop, {show(swing, 'angle')}", STYLES[4], "above"),
    )
    lever = _curve(found, "lever_rad", "lever angle", 0, degrees)
    planned = lever.y
    off = Curve(
        "as planned", lever.x, planned - planned, STYLES[0], *(_less(row, planned) for row in _edges(lever))
    )  # fmt: skip
    return chart(
        "tolerance-lever",
        "Tolerances: lever angle",
        f"{_BANDS} Above: the angle itself; hatched are the module's own stops. Below: how far it is off the plan. The "
        "full stop, where it is set by the lever, holds the lever at the end.",
        [
            Panel(_PAD, "Lever angle from the module's own rest stop [°]", (lever,), stops, marks, height_mm=66.0),
            Panel(_PAD, "Lever angle less the planned one [°]", (off,), show_y=(0.0,), height_mm=44.0),
        ],
    )


def _volts(plan: Plan, found: TravelStudy, marks: tuple[Mark, ...]) -> Drawing:
    curves = tuple(_curve(found, f"volts.{name}", f"track {name}", at, 1.0) for at, name in enumerate(found.tracks))
    windows = tuple(window for name in found.tracks for window in _windows(name, plan.pedal_tracks[name]))
    accepted = " Brackets: what the control unit accepts at rest (left) and at full (right)." if windows else ""
    panel = Panel(
        _PAD, "Volts at the control unit [V]", curves, (), marks, windows, show_y=(0.0,), height_mm=78.0
    )  # fmt: skip
    return chart("tolerance-volts", "Tolerances: volts of the pedal's tracks", _BANDS + accepted, [panel])


def _curve(found: TravelStudy, output: str, label: str, style: int, factor: float) -> Curve:
    band, corners = found.study.bands[output], found.study.corners
    rows = (corners.least[output], corners.most[output], band.p05, band.p95)
    pen = STYLES[style % len(STYLES)]
    return Curve(label, found.study.positions, factor * band.nominal, pen, *(factor * row for row in rows))


def _edges(curve: Curve) -> tuple[Array | None, ...]:
    return curve.low, curve.high, curve.inner_low, curve.inner_high


def _less(row: Array | None, planned: Array) -> Array | None:
    return None if row is None else row - planned


def _windows(name: str, track: GatheredTrack) -> list[Window]:
    if track.accepts is None:
        return []
    sides = (("left", track.accepts.rest), ("right", track.accepts.full))
    return [Window(side, *window.limits, name) for side, window in sides if window is not None]  # type: ignore[arg-type]


def _marks(plan: Plan) -> tuple[Mark, ...]:
    full = float(plan.travel.pad_travel_mm[-1])
    return Mark(0.0, "pedal's rest stop", STYLES[4]), Mark(full, f"planned full stop {show(full, 'length')}", STYLES[4])
