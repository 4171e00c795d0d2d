"""How the strokes of a link are drawn: in front, as what they are; behind, as one line."""

from __future__ import annotations

from collections.abc import Callable

from conversion.drawings.side_link import LinkPose
from conversion.drawings.svg import BLACK, WHITE, Canvas, Pen, Point
from conversion.linkage.turning import Array

_SOLID = Pen(0.3)
_ROD, _CRANK = 0.6, 1.1
_INNER, _FACE = Pen(0.45), Pen(0.7)
_OUTER = (Pen(1.7), Pen(1.1, colour=WHITE))
_GROOVE = Pen(0.35, (0.9, 0.5))


def draw_link(canvas: Canvas, link: LinkPose, at: Callable[[Array], Point]) -> None:
    """The link in front: bars with two edges, a cable in its outer, a roller as a disc."""
    for stroke in link.strokes:
        points = [at(point) for point in stroke.points]
        if stroke.style == "rod":
            canvas.capsule(points[0], points[1], _ROD, _SOLID)
        elif stroke.style == "arm":
            canvas.capsule(points[0], points[1], _CRANK, _SOLID)
        elif stroke.style == "outer":
            for pen in _OUTER:
                canvas.polyline(points, pen)
            for end in (points[0], points[-1]):
                canvas.circle(end, 0.9, _SOLID, BLACK)
        elif stroke.style == "roller":
            canvas.polygon(points[:-1], _SOLID, WHITE)
            middle = (sum(x for x, _ in points[:-1]) / 24, sum(y for _, y in points[:-1]) / 24)
            canvas.circle(middle, 0.5, None, BLACK)
        else:
            canvas.polyline(points, {"inner": _INNER, "groove": _GROOVE, "face": _FACE}[stroke.style])


def draw_link_line(canvas: Canvas, link: LinkPose, pen: Pen, at: Callable[[Array], Point]) -> None:
    """The link behind, in another position; what does not move is left out."""
    for stroke in link.strokes:
        if stroke.style not in ("outer", "groove"):
            canvas.polyline([at(point) for point in stroke.points], pen)
