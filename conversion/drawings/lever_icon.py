"""Small drawings of what moves a sensor: the module's lever and the throttle plate, to stand beside its tracks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from conversion.description import Missing
from conversion.drawings.svg import BLACK, FINE, WHITE, Canvas, Pen, Point
from conversion.plan import Plan
from conversion.quantities import Quantity, show

_REST = Pen(0.3)
_FULL = Pen(0.3, (1.6, 0.8))
_BETWEEN = Pen(0.3, (0.3, 0.7))
_WIDTH, _HEIGHT = 36.0, 32.0
_TEXT = 2.5


@dataclass(frozen=True, slots=True)
class Icon:
    """A picture to be placed inside a drawing, its origin at its upper left corner.

    Attributes:
        body: SVG elements in millimetres; text needs the drawing's font family.
        width_mm: Room that it takes, text included. [mm]
        height_mm: Room that it takes, text included. [mm]
    """

    body: str
    width_mm: float
    height_mm: float


def lever_icon(plan: Plan) -> Icon:
    """The module's lever with its pedal at rest (solid) and at full (dashed), between the module's own stops.

    Angles are true; where the travel is not known the lever is drawn at the module's stops, without figures.
    """
    module = plan.description.pedal_module
    described = module[1].lever.swing if module else None
    swing = described.nominal if described else math.radians(20.0)
    try:
        travel = plan.travel
        rest, full = travel.lever_at_rest_rad[0], travel.lever_at_full_rad[0]
    except Missing:
        rest = full = math.nan
    canvas = Canvas()
    pivot = (_WIDTH / 2, 25.0)

    def at(angle: float, radius: float) -> Point:
        # A swing of more than half a turn is drawn as half a turn, so that its ends stay apart.
        turn = (angle - swing / 2) * min(1.0, 2.8 / swing)
        return pivot[0] + radius * math.sin(turn), pivot[1] - radius * math.cos(turn)

    canvas.wall(at(-0.09, 13.0), at(-0.09, 17.0), _REST)
    canvas.wall(at(swing + 0.09, 17.0), at(swing + 0.09, 13.0), _REST)
    full_drawn = full if math.isfinite(full) else swing
    rest_drawn = rest if math.isfinite(rest) else 0.0
    canvas.capsule(pivot, at(full_drawn, 16.0), 1.0, _FULL, "none")
    canvas.capsule(pivot, at(rest_drawn, 16.0), 1.0, _REST, WHITE)
    canvas.circle(at(rest_drawn, 16.0), 0.45, None, BLACK)
    canvas.circle(pivot, 1.7, _REST, WHITE)
    canvas.circle(pivot, 0.45, None, BLACK)
    arc = [at(rest_drawn + (full_drawn - rest_drawn) * step / 12, 19.0) for step in range(13)]
    canvas.polyline(arc, FINE)
    canvas.arrow_head(arc[-1], arc[-3], 1.5)
    canvas.text((0.5, 30.5), f"rest {_known(rest)}".strip(), _TEXT)
    canvas.text((_WIDTH - 0.5, 30.5), f"full {_known(full)}".strip(), _TEXT, "end")
    if described:
        canvas.text((_WIDTH / 2, 3.0), f"swing {show(swing, 'angle')}", _TEXT, "middle")
    return Icon(canvas.body, _WIDTH, _HEIGHT)


def plate_icon(plan: Plan) -> Icon:
    """The throttle plate closed (solid), open (dashed) and where its springs leave it (dotted). Not to scale."""
    body = plan.description.throttle_body
    unpowered = body[1].unpowered if body else None
    opening: Quantity | None = unpowered.opening if unpowered else None
    canvas = Canvas()
    centre, reach = (_WIDTH / 2, 13.0), 7.6

    def ends(share: float) -> tuple[Point, Point]:
        turn = math.radians(8.0 + 82.0 * share)
        x, y = reach * math.sin(turn), -reach * math.cos(turn)
        return (centre[0] - x, centre[1] - y), (centre[0] + x, centre[1] + y)

    for side in (-1, 1):
        wall = centre[1] + side * reach
        canvas.line((4.0, wall), (_WIDTH - 4.0, wall), _REST)
        canvas.hatch((4.0, wall - (1.2 if side < 0 else 0.0)), _WIDTH - 8.0, 1.2, 0.9)
    canvas.capsule(*ends(1.0), 0.4, _FULL, "none")
    if opening is not None:
        canvas.line(*ends(opening.nominal), _BETWEEN)
    canvas.capsule(*ends(0.0), 0.4, _REST, WHITE)
    canvas.circle(centre, 0.9, _REST, WHITE)
    canvas.text((0.5, 26.0), "closed 0 %", _TEXT)
    canvas.text((_WIDTH - 0.5, 26.0), "open 100 %", _TEXT, "end")
    left = f"without power {show(opening.nominal, 'ratio')}" if opening is not None else "without power: not known"
    canvas.text((_WIDTH / 2, 30.5), left, _TEXT, "middle")
    return Icon(canvas.body, _WIDTH, _HEIGHT)


def _known(angle_rad: float) -> str:
    return show(angle_rad, "angle") if math.isfinite(angle_rad) else ""
