"""The pedal moved on the page: at each of the travel's positions what is drawn, what is read, and what is said.

Everything is made here, rounded where a document rounds; the page's script only shows one position or another.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from conversion.description import Missing
from conversion.drawings.scales import steps_across_square
from conversion.linkage.turning import Array
from conversion.pack.motion_charts import Line, SmallChart, small_chart
from conversion.pack.motion_fit import Nearness, in_the_way, nearnesses
from conversion.pack.motion_picture import Picture, side_picture
from conversion.pack.motion_rows import Row, clearance_row, force_rows, how_taken, linkage_rows, sensing_rows
from conversion.pack.moving import Moving
from conversion.plan import POSITIONS, Plan, travel_positions

_MOST_LINES = 4


@dataclass(frozen=True)
class Motion:
    """What the page needs to move the pedal.

    Attributes:
        picture: The side view.
        charts: In the order in which they stand.
        rows: The figures.
        clearances: To each obstacle, the part that is nearest in place of the band.
        notes: What is wrong at each position, as sentences; mostly empty.
        gaps: What is left out, and why.
        positions: As ``treadle travel --json`` gives them.
    """

    picture: Picture
    charts: tuple[SmallChart, ...]
    rows: tuple[Row, ...]
    clearances: tuple[Row, ...]
    notes: tuple[str, ...]
    gaps: tuple[str, ...]
    positions: list[dict[str, Any]]

    @property
    def shapes(self) -> list[Moving]:
        """All that moves, in the order in which the page holds it."""
        return [*self.picture.shapes, *(shape for chart in self.charts for shape in chart.moving)]

    def as_json(self) -> str:
        """The data of the script, safe inside a script element: no text of a description can end it."""
        said = [row for row in self.rows if row.said]
        data = {
            "positions": self.positions,
            "rows": {row.key: {"shown": row.shown, "band": row.band} for row in (*self.rows, *self.clearances)},
            "notes": self.notes,
            "said": [
                " ".join([", ".join(f"{row.name} {row.shown[at]}" for row in said) + ".", self.notes[at]]).strip()
                for at in range(POSITIONS)
            ],
            "shapes": [shape.flat for shape in self.shapes],
        }
        text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
        for sign in "<>&\u2028\u2029":
            text = text.replace(sign, f"\\u{ord(sign):04x}")
        return text


def gather_motion(plan: Plan) -> Motion | None:
    """The moving pedal of a plan; None where the travel cannot be computed."""
    positions, lacking = travel_positions(plan)
    if not positions:
        return None
    gaps = [_gap("The volts and the per cent", missing) for missing in lacking]
    rows = [*linkage_rows(positions)]
    charts = [*_linkage_charts(plan)]
    if not lacking:
        rows += sensing_rows(plan, positions)
        charts[1:1] = _sensing_charts(plan)
    try:
        rows += force_rows(plan)
        charts.append(_force_chart(plan))
    except Missing as missing:
        gaps.append(_gap("The force at the pad", missing))
    near, behind = _nearnesses(plan, gaps)
    if near:
        charts.append(_clearance_chart(plan, near))
    clearances = tuple(clearance_row(number, each) for number, each in enumerate(near))
    picture = side_picture(plan, behind)
    return Motion(picture, tuple(charts), tuple(rows), clearances, tuple(_notes(plan)), tuple(gaps), positions)


def _nearnesses(plan: Plan, gaps: list[str]) -> tuple[list[Nearness], list[Moving]]:
    """Clearances and outlines of what is in the way; what is not known of it is added to the gaps."""
    try:
        fit = plan.fit
        if fit is None:
            gaps.append("What is in the way is not described, so no clearance is given.")
            return [], []
        near, behind = nearnesses(fit), list(in_the_way(fit))
    except Missing as missing:
        gaps.append(_gap("The clearances", missing))
        return [], []
    gaps += [_gap("A clearance", missing) for missing in fit.unknown]
    return near, behind


def _clearance_chart(plan: Plan, near: Sequence[Nearness]) -> SmallChart:
    lines = [Line(each.name, each.least_mm) for each in near[:_MOST_LINES]]
    some = f", the {_MOST_LINES} nearest" if len(near) > _MOST_LINES else ""
    title = f"Least clearance in space{some} [mm]"
    return small_chart("clearance", title, plan.travel.pad_travel_mm, lines, always=(0.0,))


def _gap(what: str, missing: Missing) -> str:
    return f"{what} cannot be given: {missing.path} {missing.state}; {missing.why}."


def _linkage_charts(plan: Plan) -> Iterator[SmallChart]:
    travel = plan.travel
    pad = travel.pad_travel_mm
    lever = Line(
        "lever", np.degrees(travel.lever_rad), np.degrees(travel.lever_min_rad), np.degrees(travel.lever_max_rad)
    )
    swing = math.degrees(travel.geometry.swing_rad[0])
    yield small_chart("lever", "Lever angle between the module's own stops [°]", pad, [lever], (0.0, swing))
    yield small_chart(
        "ratio", "Ratio: lever angle gained per pedal angle", pad, [Line("ratio", travel.ratio)], always=(0.0,)
    )
    ends = (("at the lever", travel.transmission_lever_rad), ("at the pedal", travel.transmission_pedal_rad))
    lines = [
        Line(name, angle, breaks=tuple(steps_across_square(angle).tolist()))
        for name, angle in ((name, np.degrees(angle)) for name, angle in ends)
        if np.any(np.isfinite(angle))
    ]
    if lines:
        where = f" {lines[0].name}" if len(lines) == 1 else ""
        yield small_chart("transmission", f"Transmission angle{where}, best at 90° [°]", pad, lines, (90.0,))


def _sensing_charts(plan: Plan) -> list[SmallChart]:
    pad, sweep = plan.travel.pad_travel_mm, plan.pedal
    volts = [Line(f"track {name}", each.volts, each.volts_min, each.volts_max) for name, each in sweep.tracks.items()]
    charts = [small_chart("volts", "Volts at the control unit [V]", pad, volts, always=(0.0,))]
    percent = [
        Line(f"from track {name}", each.percent, *plan.study.worst(f"percent.{name}"))
        for name, each in sweep.tracks.items()
        if np.any(np.isfinite(each.percent))
    ]
    if percent:
        taken = Line("taken" + how_taken(plan, ": {}"), sweep.percent)
        charts.append(
            small_chart("percent", "Per cent as the control unit computes [%]", pad, [*percent, taken], (0.0, 100.0))
        )
    return charts


def _force_chart(plan: Plan) -> SmallChart:
    study = plan.returns
    lines = [Line("pressing", study.pad_force_pressing_n), Line("coming back", study.pad_force_releasing_n)]
    return small_chart("force", "Force at the pad [N]", plan.travel.pad_travel_mm, lines, always=(0.0,))


def _notes(plan: Plan) -> Iterator[str]:
    travel = plan.travel
    swing, motion = travel.geometry.swing_rad[0], travel.solution
    for closes, holds, angle in zip(motion.exists, motion.holds, _known(travel.lever_rad), strict=True):
        if not closes:
            yield "The linkage cannot be put together here."
        elif not holds:
            yield "The lever is still on its rest stop: the link has not taken hold."
        elif angle > swing + 1e-9:
            yield "The module's own full stop has ended the travel before this."
        else:
            yield ""


def _known(values: Array) -> Array:
    return np.where(np.isfinite(values), values, -math.inf)
