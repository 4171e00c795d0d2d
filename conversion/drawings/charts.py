"""The charts of a plan: what pad travel and throttle opening make of lever angle, volts, per cent and force."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import numpy as np

from conversion.description.parts import Agreement
from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import LIMIT, OVERLAID, STYLES, UNDERLAID, Curve, Level, Mark, Panel, Whisker, Window
from conversion.drawings.panel_sheet import chart
from conversion.drawings.scales import Array, steps_across_square
from conversion.linkage.returns import ReturnCase
from conversion.plan import Plan, Travel
from conversion.quantities import Quantity, show
from conversion.sensing import GatheredTrack, SensorSweep, sensor_input

_PAD = "Pad travel along its arc [mm]"
_BAND = "Grey: worst case of all tolerances together."
# Common textbook guidance for the transmission angle.
_TRANSMISSION_DEG = (40.0, 140.0)
_MOST_CASES = 12


def lever_angle_chart(plan: Plan) -> Drawing:
    """Lever angle over pad travel, between the module's own stops and the pedal's."""
    travel = plan.travel
    swing = travel.geometry.swing_rad[0]
    curve = Curve(
        "lever angle", travel.pad_travel_mm, np.degrees(travel.lever_rad), STYLES[0],
        np.degrees(travel.free_min_rad), np.degrees(travel.lever_max_rad),
    )  # fmt: skip
    whiskers = [
        Whisker(float(travel.pad_travel_mm[index]), *np.degrees(angles[1:]).tolist())
        for index, angles in ((0, travel.lever_at_rest_rad), (-1, travel.lever_at_full_rad))
        if np.all(np.isfinite(angles)) and angles[2] > angles[1]
    ]
    stops = (
        Level(0.0, "module's own rest stop, 0.0°", STYLES[4], "below"),
        Level(float(np.degrees(swing)), f"module's own full stop, {show(swing, 'angle')}", STYLES[4], "above"),
    )
    panel = Panel(
        _PAD, "Lever angle from the module's own rest stop [°]", (curve,), stops, _stop_marks(travel), (),
        tuple(whiskers), height_mm=74.0,
    )  # fmt: skip
    return chart(
        "chart-lever-angle",
        "Pad travel and lever angle",
        f"{_BAND} Bars: the spread at the pedal's rest and full stops. Hatched: the module's own stops, which the "
        "lever must not meet.",
        [panel],
    )


def ratio_chart(plan: Plan) -> Drawing:
    """How smoothly the lever follows, and how squarely the link pulls at either end."""
    travel = plan.travel
    pad = travel.pad_travel_mm
    ratio = Panel(
        _PAD, "Lever angle gained per pedal angle", (Curve("ratio", pad, travel.ratio, STYLES[0]),),
        marks=_stop_marks(travel), show_y=(0.0,), height_mm=42.0,
    )  # fmt: skip
    # A cable has no such angle at its quadrant, and a module's own pedal has none at all.
    ends = tuple(
        Curve(f"at the {end}'s pin", *_stepped(pad, np.degrees(angle)), style)
        for end, angle, style in (
            ("lever", travel.transmission_lever_rad, STYLES[0]),
            ("pedal", travel.transmission_pedal_rad, STYLES[1]),
        )
        if np.any(np.isfinite(angle))
    )
    least, most = _TRANSMISSION_DEG
    limits = (
        Level(least, f"least {least:.0f}°", STYLES[4], "below"),
        Level(90.0, "best 90°"),
        Level(most, f"greatest {most:.0f}°", STYLES[4], "above"),
    )
    transmission = Panel(_PAD, "Angle between the link and the arm that it turns [°]", ends, limits, height_mm=56.0)
    if not ends:
        even = "A level line means that the lever follows the pedal evenly."
        return chart("chart-ratio", "Pad travel and ratio", even, [ratio])
    return chart(
        "chart-ratio",
        "Pad travel, ratio and transmission angle",
        "Above: a level line means that the lever follows the pedal evenly. Below: 90° is best; the limits are common "
        "textbook guidance. A link that leans sideways cannot reach 90°, so its line jumps across.",
        [ratio, transmission],
    )


def pedal_volts_chart(plan: Plan) -> Drawing:
    """Volts of each pedal track over pad travel, with what the control unit accepts."""
    sweep, travel = plan.pedal, plan.travel
    panel = _volts_panel(_PAD, travel.pad_travel_mm, sweep, plan.pedal_tracks, _stop_marks(travel))
    return chart("chart-pedal-volts", "Pad travel and volts of the pedal's tracks", _volts_caption(panel), [panel])


def throttle_volts_chart(plan: Plan) -> Drawing:
    """Volts of each throttle track over the opening, with what the control unit accepts."""
    sweep = plan.throttle
    body = plan.description.throttle_body
    unpowered = body[1].unpowered if body else None
    opening = unpowered.opening if unpowered else None
    marks = (Mark(100.0 * opening.nominal, f"without power {show(opening.nominal, 'ratio')}"),) if opening else ()
    panel = _volts_panel("Throttle opening [%]", 100.0 * sweep.position, sweep, plan.throttle_tracks, marks)
    return chart(
        "chart-throttle-volts", "Throttle opening and volts of its tracks", _volts_caption(panel), [panel]
    )  # fmt: skip


def percent_chart(plan: Plan) -> Drawing:
    """Per cent that the control unit computes from each pedal track, and what it takes of them."""
    sweep, travel = plan.pedal, plan.travel
    pad = travel.pad_travel_mm
    curves = [
        Curve(f"track {name}", pad, track.percent, pen, *plan.study.worst(f"percent.{name}"))
        for (name, track), pen in zip(sweep.tracks.items(), OVERLAID, strict=False)
    ]
    accepts = sensor_input(plan.description, "pedal")
    if accepts is not None:
        words = {"smaller": "the smaller", "larger": "the larger", "mean": "the mean", "a": "track a"}
        curves.insert(0, Curve(f"taken: {words[accepts.takes]}", pad, sweep.percent, UNDERLAID))
    title = "Per cent as the control unit computes, not clipped [%]"
    panels = [Panel(_PAD, title, tuple(curves), marks=_stop_marks(travel), show_y=(0.0, 100.0), height_mm=74.0)]
    if accepts is not None and accepts.agreement is not None and sweep.differences:
        panels.append(_difference_panel(pad, sweep, accepts.agreement))
    return chart(
        "chart-pedal-percent",
        "Pad travel, per cent and agreement of the tracks",
        f"{_BAND} Below: how far the tracks are apart as the control unit compares them.",
        panels,
    )


def force_chart(plan: Plan) -> Drawing:
    """Force at the pad while it is pressed and while it comes back."""
    study, travel = plan.returns, plan.travel
    curves = (
        Curve("pressing", travel.pad_travel_mm, study.pad_force_pressing_n, STYLES[0]),
        Curve("coming back", travel.pad_travel_mm, study.pad_force_releasing_n, STYLES[1]),
    )
    panel = Panel(_PAD, "Force at the pad along its arc [N]", curves, marks=_stop_marks(travel), show_y=(0.0,))
    return chart(
        "chart-pad-force", "Pad travel and pad force", "All springs in. Friction lies between the lines.", [panel]
    )


def return_chart(plan: Plan) -> Drawing:
    """What is left of the returning moment after friction, with everything in and with one thing failed."""
    study, travel = plan.returns, plan.travel
    # Where there are many springs the worst cases are drawn; all stand in the table.
    cases = sorted((case for case in study.cases if case.half != "module"), key=_worst_first)
    drawn = [case for case in study.cases if case in cases[:_MOST_CASES]]
    curves = tuple(
        Curve(_case_label(case), travel.pad_travel_mm, case.moment_nm - case.friction_nm, STYLES[number % len(STYLES)])
        for number, case in enumerate(drawn)
    )
    floor = Level(0.0, "below: no return", STYLES[4], "below")
    title = "Returning moment less friction [N·m]"
    panels = [Panel(_PAD, f"{title}, about the pedal's axis", curves, (floor,), _stop_marks(travel), height_mm=60.0)]
    for case in study.cases:
        if case.half == "module":
            curve = Curve(_case_label(case), np.degrees(case.angle_rad), case.moment_nm - case.friction_nm, STYLES[0])
            x_title = "Lever angle from the module's own rest stop [°]"
            panels.append(Panel(x_title, f"{title}, about the lever's axis", (curve,), (floor,), height_mm=34.0))
    some = f" Drawn are the {_MOST_CASES} worst cases of {len(cases)}." if len(cases) > _MOST_CASES else ""
    return chart(
        "chart-return",
        "Returning moment, one failure at a time",
        f"Every line has to stay above zero over the whole travel.{some}",
        panels,
    )


def _stepped(x: Array, angle_deg: Array) -> tuple[Array, Array]:
    """The curve of a transmission angle, broken where it steps across 90° between two positions."""
    at = steps_across_square(angle_deg)
    return np.insert(x, at, x[at]), np.insert(angle_deg, at, np.nan)


def _stop_marks(travel: Travel) -> tuple[Mark, ...]:
    """The pedal's stops, and where the module's own stop would end the travel if that comes about there."""
    full = float(travel.pad_travel_mm[-1])
    found = [
        Mark(0.0, "pedal's rest stop", STYLES[4]),
        Mark(full, f"pedal's full stop {show(full, 'length')}", STYLES[4]),
    ]
    if 0.0 < travel.module_stop_mm < full:
        stop = travel.module_stop_mm
        found.insert(1, Mark(stop, f"module stops first, {show(stop, 'length')}", STYLES[5]))
    return tuple(found)


def _volts_panel(
    x_title: str, x: Array, sweep: SensorSweep, gathered: Mapping[str, GatheredTrack], marks: tuple[Mark, ...]
) -> Panel:
    curves = tuple(
        Curve(f"track {name}", x, track.volts, pen, track.volts_min, track.volts_max)
        for (name, track), pen in zip(sweep.tracks.items(), STYLES, strict=False)
    )
    windows = []
    valid: dict[float, list[str]] = {}
    for name, track in gathered.items():
        if track.accepts is None:
            continue
        for side, window in (("left", track.accepts.rest), ("right", track.accepts.full)):
            if window is not None:
                windows.append(Window(side, *window.limits, name))  # type: ignore[arg-type]
        for limit in _edges(track.accepts.valid):
            valid.setdefault(limit, []).append(name)
    levels = tuple(
        Level(limit, f"valid limit {' and '.join(names)}, {show(limit, 'voltage')}", LIMIT)
        for limit, names in valid.items()
    )
    return Panel(
        x_title, "Volts at the control unit [V]", curves, levels, marks, tuple(windows), show_y=(0.0,), height_mm=84.0
    )  # fmt: skip


def _difference_panel(pad: Array, sweep: SensorSweep, agreement: Agreement) -> Panel:
    """How far the tracks are apart over the travel, against the limits described."""
    factor, unit, dimension = (100.0, "%", "ratio") if agreement.of == "percent" else (1.0, "V", "voltage")
    curves = tuple(
        Curve(f"tracks {' and '.join(one.tracks)}", pad, np.abs(one.nominal), pen, one.least, one.most)
        for one, pen in zip(sweep.differences, STYLES, strict=False)
    )
    levels = []
    if agreement.at_most is not None:
        most = agreement.at_most.nominal
        levels.append(Level(factor * most, f"at most {show(most, dimension)}", STYLES[4], "above"))
    if agreement.at_least is not None:
        least = agreement.at_least.nominal
        levels.append(Level(factor * least, f"at least {show(least, dimension)}", STYLES[4], "below"))
    return Panel(_PAD, f"Difference between the tracks [{unit}]", curves, tuple(levels), show_y=(0.0,), height_mm=40.0)


def _volts_caption(panel: Panel) -> str:
    if not (panel.windows or panel.levels):
        return f"{_BAND} The control unit's windows are not described."
    return (
        f"{_BAND} Brackets: what the control unit accepts at rest (left) and at full (right), for each track. Dashed: "
        "what it takes as valid."
    )


def _edges(window: Quantity | None) -> Iterable[float]:
    return window.limits if window is not None else ()


def _case_label(case: ReturnCase) -> str:
    if case.kind == "all-in":
        return "all springs in"
    if case.kind == "spring-out":
        return f"without spring {case.spring_out}"
    return "link parted, pedal alone" if case.half == "pedal" else "link parted, lever alone"


def _worst_first(case: ReturnCase) -> float:
    """Key that puts an unknown margin before every known one."""
    return case.margin_nm if np.isfinite(case.margin_nm) else -np.inf
