"""A small builder of SVG: lines, areas and text in millimetres on paper, the same bytes for the same calls.

Nothing in it has an id, so that several drawings may stand in one page: hatching is drawn as lines and arrow heads
as areas. Text is escaped here and nowhere else. Positions are of the page: x to the right, y down.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from conversion.drawings.font_widths import ASCENT, DESCENT, text_width_mm
from conversion.resources import FONT_FAMILY

Point = tuple[float, float]
Anchor = Literal["start", "middle", "end"]

BLACK = "#000000"
GREY = "#6e6e6e"
PALE = "#dcdcdc"
WHITE = "#ffffff"

# Letters that reach below the base line.
_HANGS = re.compile(r"[^A-Za-fhik-or-xz0-9+\-−–°'\". :]")
_CLEAR = 0.2
_UNPRINTABLE = re.compile("[\x00-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn.

    Attributes:
        width_mm: Of the line. [mm]
        dashes: Lengths of dash and gap in turn; empty for a solid line. [mm]
        colour: ``#rrggbb``.
    """

    width_mm: float = 0.25
    dashes: tuple[float, ...] = ()
    colour: str = BLACK


FINE = Pen(0.13)
THIN = Pen(0.18)
MIDDLE = Pen(0.3)
THICK = Pen(0.5)


def figure(value: float) -> str:
    """A number as the picture holds it: three decimals, no needless zeros.

    Raises:
        ValueError: the number is not finite; a picture must not depend on it.

    Example:
        >>> figure(2.0), figure(-0.0001), figure(1 / 3)
        ('2', '0', '0.333')
    """
    if not math.isfinite(value):
        raise ValueError("a position in a drawing is not a finite number")
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def escaped(text: str) -> str:
    """Any text as one line of character data; what cannot be printed becomes U+FFFD.

    Example:
        >>> escaped('<B1> & "two"\\nlines')
        '&lt;B1&gt; &amp; &quot;two&quot; lines'
    """
    text = _one_line(text).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace('"', "&quot;")


def _one_line(text: str) -> str:
    return _UNPRINTABLE.sub("\ufffd", re.sub(r"[\t\r\n]+", " ", text))


class Canvas:
    """Where a drawing is made, piece by piece; later pieces lie over earlier ones."""

    def __init__(self) -> None:
        self._pieces: list[str] = []

    @property
    def body(self) -> str:
        """The pieces so far as SVG elements, to be placed inside another drawing."""
        return "".join(self._pieces)

    def document(self, width_mm: float, height_mm: float, title: str, description: str) -> str:
        """The whole picture, white behind, with its title and description for those who cannot see it.

        Args:
            width_mm: Of the page of the drawing. [mm]
            height_mm: Of the page of the drawing. [mm]
            title: What it is.
            description: What it shows.

        Returns:
            One ``svg`` element, without a prolog, ending in a line end.
        """
        width, height = figure(width_mm), figure(height_mm)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" '
            f'viewBox="0 0 {width} {height}" font-family="{FONT_FAMILY}, sans-serif" role="img">\n'
            f"<title>{escaped(title)}</title>\n<desc>{escaped(description)}</desc>\n"
            f'<rect x="0" y="0" width="{width}" height="{height}" fill="{WHITE}"/>\n{self.body}</svg>\n'
        )

    def place(self, body: str, x: float, y: float, scale: float = 1.0) -> None:
        """Put the pieces of another canvas here, its origin at a point."""
        scaled = "" if scale == 1.0 else f" scale({figure(scale)})"
        self._pieces.append(f'<g transform="translate({figure(x)} {figure(y)}){scaled}">\n{body}</g>\n')

    def line(self, start: Point, end: Point, pen: Pen = THIN) -> None:
        """One straight line."""
        self._add("line", {"x1": start[0], "y1": start[1], "x2": end[0], "y2": end[1]}, pen)

    def polyline(self, points: Sequence[Point], pen: Pen = THIN) -> None:
        """A line through points; fewer than two points draw nothing."""
        if len(points) > 1:
            self._add("polyline", {"points": _points(points)}, pen, "none")

    def polygon(self, points: Sequence[Point], pen: Pen | None = THIN, fill: str = "none") -> None:
        """A closed area."""
        self._add("polygon", {"points": _points(points)}, pen, fill)

    def circle(self, centre: Point, radius: float, pen: Pen | None = THIN, fill: str = "none") -> None:
        """A circle."""
        self._add("circle", {"cx": centre[0], "cy": centre[1], "r": radius}, pen, fill)

    def rect(
        self,
        corner: Point,
        width: float,
        height: float,
        pen: Pen | None = THIN,
        fill: str = "none",
        round_by: float = 0.0,
    ) -> None:
        """A rectangle from its upper left corner."""
        places: dict[str, float | str] = {"x": corner[0], "y": corner[1], "width": width, "height": height}
        if round_by:
            places["rx"] = round_by
        self._add("rect", places, pen, fill)

    def capsule(self, start: Point, end: Point, radius: float, pen: Pen = THIN, fill: str = WHITE) -> None:
        """A bar with round ends between two points: an arm or a lever."""
        length = math.hypot(end[0] - start[0], end[1] - start[1])
        if length == 0.0:
            self.circle(start, radius, pen, fill)
            return
        across = (-(end[1] - start[1]) / length * radius, (end[0] - start[0]) / length * radius)
        corners = [
            (p[0] + s * across[0], p[1] + s * across[1]) for p, s in ((start, 1), (end, 1), (end, -1), (start, -1))
        ]
        a, b, c, d = (f"{figure(x)} {figure(y)}" for x, y in corners)
        turn = f"A{figure(radius)} {figure(radius)} 0 0 0"
        self.path(f"M{a}L{b}{turn} {c}L{d}{turn} {a}Z", pen, fill)

    def path(self, data: str, pen: Pen | None = THIN, fill: str = "none") -> None:
        """Path data of SVG, for what the other calls cannot say; it must hold no text from outside."""
        self._add("path", {"d": data}, pen, fill)

    def arrow_head(self, tip: Point, away_from: Point, length: float = 1.8) -> None:
        """A filled head at the end of a line that comes from a point."""
        angle = math.atan2(tip[1] - away_from[1], tip[0] - away_from[0])
        back = [
            (tip[0] - length * math.cos(angle + turn), tip[1] - length * math.sin(angle + turn))
            for turn in (0.28, -0.28)
        ]
        self.polygon([tip, *back], None, BLACK)

    def wall(self, start: Point, end: Point, pen: Pen = MIDDLE) -> None:
        """A fixed edge, with short strokes on the left of someone who walks from start to end."""
        self.line(start, end, pen)
        length = math.hypot(end[0] - start[0], end[1] - start[1])
        if length == 0.0:
            return
        x, y = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        count = max(2, round(length / 1.1))
        pieces = []
        for step in range(count + 1):
            foot = (start[0] + x * length * step / count, start[1] + y * length * step / count)
            stroke = (foot[0] + (y - x) * 0.8, foot[1] + (-x - y) * 0.8)
            pieces.append(f"M{figure(foot[0])} {figure(foot[1])}L{figure(stroke[0])} {figure(stroke[1])}")
        self.path("".join(pieces), FINE)

    def hatch(self, corner: Point, width: float, height: float, spacing: float = 1.2, pen: Pen = FINE) -> None:
        """Lines at 45°, rising to the right, that fill a rectangle."""
        left, top = corner
        pieces = []
        offset = spacing / 2
        while offset < width + height:
            start = (left + max(0.0, offset - height), top + min(offset, height))
            end = (left + min(offset, width), top + max(0.0, offset - width))
            pieces.append(f"M{figure(start[0])} {figure(start[1])}L{figure(end[0])} {figure(end[1])}")
            offset += spacing
        if pieces:
            self.path("".join(pieces), pen)

    def text(
        self,
        at: Point,
        text: str,
        size_mm: float = 2.5,
        anchor: Anchor = "start",
        *,
        bold: bool = False,
        halo: bool = False,
        colour: str = BLACK,
        upright: bool = False,
    ) -> None:
        """One line of text on its base line.

        Args:
            at: Where the base line starts, has its middle, or ends.
            text: Anything, for example words from a description.
            size_mm: Text size. [mm]
            anchor: Which part of the text lies at the point.
            bold: Set in the bold face.
            halo: White behind the text, so that no line runs into the letters. A box, since the typesetter strokes
                letter by letter and would cut into the one before.
            colour: ``#rrggbb``.
            upright: Read from the right: turned about the point by 90° anticlockwise. It has no halo.
        """
        if halo and not upright:
            self._clear_behind(at, _one_line(text), size_mm, anchor, bold)
        words = [f'x="{figure(at[0])}" y="{figure(at[1])}" font-size="{figure(size_mm)}"']
        if anchor != "start":
            words.append(f'text-anchor="{anchor}"')
        if bold:
            words.append('font-weight="bold"')
        if colour != BLACK:
            words.append(f'fill="{colour}"')
        if upright:
            words.append(f'transform="rotate(-90 {figure(at[0])} {figure(at[1])})"')
        self._pieces.append(f"<text {' '.join(words)}>{escaped(text)}</text>\n")

    def _clear_behind(self, at: Point, text: str, size_mm: float, anchor: Anchor, bold: bool) -> None:
        width = text_width_mm(text, size_mm, bold)
        left = at[0] - width * {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
        below = DESCENT if _HANGS.search(text) else 0.0
        top, height = at[1] - ASCENT * size_mm, (ASCENT + below) * size_mm
        self.rect((left - _CLEAR, top - _CLEAR), width + 2 * _CLEAR, height + 2 * _CLEAR, None, WHITE)

    def _add(self, name: str, places: dict[str, float | str], pen: Pen | None, fill: str | None = None) -> None:
        words = [f'{key}="{value if isinstance(value, str) else figure(value)}"' for key, value in places.items()]
        if fill is not None:
            words.append(f'fill="{fill}"')
        if pen is not None:
            words.append(f'stroke="{pen.colour}" stroke-width="{figure(pen.width_mm)}"')
            if pen.dashes:
                words.append(f'stroke-dasharray="{" ".join(map(figure, pen.dashes))}"')
            if name != "rect" and name != "circle":
                words.append('stroke-linejoin="round"')
        self._pieces.append(f"<{name} {' '.join(words)}/>\n")


def _points(points: Iterable[Point]) -> str:
    return " ".join(f"{figure(x)},{figure(y)}" for x, y in points)
