"""Drawings made from a plan; they decide nothing.

The modules behind each drawing are only loaded when something is drawn.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from importlib import import_module
from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.drawings.drawing import Drawing
from conversion.plan import Plan

if TYPE_CHECKING:
    from conversion.fit import TemplateSheet  # loads solid geometry, which not every description needs

__all__ = ["Drawing", "Drawings", "draw_all"]


@dataclass(frozen=True, slots=True)
class Drawings:
    """The pictures of a plan.

    Attributes:
        drawings: In the order in which documents show them.
        left_out: Title of each drawing that rests on a figure that is not known, with the reason.
        templates: What is cut and drilled, at true scale.
        templates_left_out: What there is no template of, with the reason.
    """

    drawings: tuple[Drawing, ...]
    left_out: tuple[tuple[str, str], ...]
    templates: tuple[TemplateSheet, ...] = ()
    templates_left_out: tuple[tuple[str, str], ...] = ()


def draw_all(plan: Plan) -> Drawings:
    """Every drawing that a plan allows; one that lacks a figure is left out, and the reason is kept.

    Raises:
        conversion.drawings.graph_engine.EngineError: the system drawing could not be laid out.
    """
    drawings: list[Drawing] = []
    left_out: list[tuple[str, str]] = []
    for title, draw in _drawers():
        try:
            drawn = draw(plan)
        except Missing as missing:
            left_out.append((title, str(missing)))
            continue
        drawings += [drawn] if isinstance(drawn, Drawing) else drawn
    return Drawings(tuple(drawings), tuple(left_out), *_templates(plan))


def _templates(plan: Plan) -> tuple[tuple[TemplateSheet, ...], tuple[tuple[str, str], ...]]:
    if plan.description.conversion.fit is None:
        return (), ()
    from conversion.drawings.templates import plan_templates

    try:
        found = plan_templates(plan)
    except Missing as missing:
        return (), (("Templates", str(missing)),)
    return found.sheets, found.left_out


def _of_fit(module: str, name: str) -> Callable[[Plan], Sequence[Drawing]]:
    """What draws a picture of the fit; solid geometry is loaded only for a description that has one."""

    def draw(plan: Plan) -> Sequence[Drawing]:
        if plan.description.conversion.fit is None:
            return ()
        found: Sequence[Drawing] = getattr(import_module(f"conversion.drawings.{module}"), name)(plan)
        return found

    return draw


def _board(plan: Plan) -> Sequence[Drawing]:
    """The reduced board; what lays it out is loaded only for a description that has a loom."""
    if plan.description.conversion.loom is None:
        return ()
    from conversion.drawings.board import board_overview

    return (board_overview(plan),)


def _drawers() -> tuple[tuple[str, Callable[[Plan], Drawing | Sequence[Drawing]]], ...]:
    """What draws each picture, under the title that stands where the picture cannot be drawn."""
    from conversion.drawings import charts, circuits, fault_chart, housing_face, side_view, system, tolerance_chart

    return (
        ("Linkage from the side and from above", side_view.side_view),
        ("Clearances from the side and from above", _of_fit("fit_view", "fit_view")),
        ("Recess", _of_fit("recess_view", "recess_views")),
        ("Members of the bracket", _of_fit("bracket_view", "bracket_view")),
        ("Pad travel and lever angle", charts.lever_angle_chart),
        ("Pad travel, ratio and transmission angle", charts.ratio_chart),
        ("Pad travel and volts of the pedal's tracks", charts.pedal_volts_chart),
        ("Pad travel, per cent and agreement of the tracks", charts.percent_chart),
        ("Tolerances", tolerance_chart.tolerance_chart),
        ("Pad travel and pad force", charts.force_chart),
        ("Returning moment, one failure at a time", charts.return_chart),
        ("Throttle opening and volts of its tracks", charts.throttle_volts_chart),
        ("Devices and what joins them", system.system_drawing),
        ("Circuit drawings", circuits.circuit_drawings),
        ("The loom on its board", _board),
        ("Faces of the housings", housing_face.face_drawings),
        ("Faults of the pedal that nothing notices", fault_chart.pedal_fault_chart),
        ("Faults of the throttle that nothing notices", fault_chart.throttle_fault_chart),
    )
