"""The paper that circuits are drawn on: conductors below, symbols above them, terminals and words on top.

The symbols of the standard parts come from the circuit library. Words never go through it: its labels read ``$`` as
mathematics and stumble over ``&``, so they are set with those of all other drawings.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from xml.etree import ElementTree

from conversion.drawings.drawing import Drawing
from conversion.drawings.labels import shortened
from conversion.drawings.lever_icon import Icon
from conversion.drawings.svg import BLACK, WHITE, Anchor, Canvas, Pen, Point

WIDTH_MM = 180.0
"""Printed width of every sheet. [mm]"""

MOST_HEIGHT_MM = 240.0
"""No sheet is higher. [mm]"""

TEXT_MM = 2.5
"""Text size of tags, references and headings. [mm]"""

SMALL_MM = 2.2
"""Text size of everything else. [mm]"""

LEADING_MM = 3.0
"""From base line to base line of small text. [mm]"""

CONDUCTOR = Pen(0.3)
OUTLINE = Pen(0.2, (3.0, 0.9, 0.3, 0.9))
LINK = Pen(0.2, (1.2, 0.8))
SYMBOL = Pen(0.3)

_LONG_NUMBER = re.compile(r"-?\d+\.\d{4,}(?:e-?\d+)?")


class Sheet:
    """One sheet under way; every position is in millimetres from its upper left corner, y down."""

    def __init__(self) -> None:
        # The library is loaded only where a circuit is drawn: most commands draw none.
        import schemdraw
        from schemdraw import elements

        self._elements = elements
        self._parts = schemdraw.Drawing(
            canvas="svg", show=False, inches_per_unit=1 / 72, margin=0.0, unit=1.0, lw=SYMBOL.width_mm, ls="none"
        )
        self.below = Canvas()
        self.above = Canvas()

    def line(self, *points: Point, pen: Pen = CONDUCTOR) -> None:
        """A conductor, or another line, through two or more points."""
        self.below.polyline(points, pen)

    def frame(self, left: float, top: float, right: float, bottom: float) -> None:
        """The outline of a device."""
        self.below.rect((left, top), right - left, bottom - top, OUTLINE)

    def dot(self, at: Point) -> None:
        """Lines are joined here."""
        self.above.circle(at, 0.65, None, BLACK)

    def terminal(self, at: Point) -> None:
        """The circle of a terminal."""
        self.above.circle(at, 0.8, SYMBOL, WHITE)

    def icon(self, icon: Icon, at: Point) -> None:
        """A small picture, its upper left corner at the point."""
        self.above.place(icon.body, *at)

    def two_ended(self, kind: str, start: Point, end: Point, body_mm: float, **options: bool) -> None:
        """A symbol of the library with a lead at each end.

        Args:
            kind: The library's name for it.
            start: Where one lead begins.
            end: Where the other lead ends; right of or below the start.
            body_mm: Length of the symbol itself. [mm]
            options: What the library's symbol lets be chosen.
        """
        made = getattr(self._elements, kind)(**options)
        self._parts.add(made.endpoints(_up(start), _up(end)).scale(body_mm).fill("white"))

    def hanging(self, kind: str, at: Point, scale_mm: float) -> None:
        """A symbol of the library that hangs from a point."""
        self._parts.add(getattr(self._elements, kind)(lead=False).at(_up(at)).theta(0).scale(scale_mm))

    def text(
        self,
        at: Point,
        words: str,
        *,
        room_mm: float = WIDTH_MM,
        size_mm: float = SMALL_MM,
        anchor: Anchor = "start",
        bold: bool = False,
    ) -> None:
        """One line of words on its base line, shortened to its room."""
        shown = shortened(words, size_mm, room_mm, bold)
        if shown:
            # White around the letters: a line that has to cross them stops short of them.
            self.above.text(at, shown, size_mm, anchor, bold=bold, halo=True)

    def texts(self, at: Point, lines: Sequence[str], anchor: Anchor = "start", room_mm: float = WIDTH_MM) -> None:
        """Lines of small text below one another, the first one's base line at the point."""
        for number, words in enumerate(lines):
            self.text((at[0], at[1] + number * LEADING_MM), words, anchor=anchor, room_mm=room_mm)

    def finish(self, name: str, title: str, caption: str, height_mm: float) -> Drawing:
        """The finished sheet, as wide as the paper."""
        page = Canvas()
        page.place(self.below.body, 0.0, 0.0)
        if self._parts.elements:
            page.place(self._drawn_parts(), 0.0, 0.0)
        page.place(self.above.body, 0.0, 0.0)
        height = round(height_mm, 1)
        return Drawing(name, title, caption, page.document(WIDTH_MM, height, title, caption), WIDTH_MM, height)

    def _drawn_parts(self) -> str:
        figure = self._parts.draw(show=False)
        pieces = (ElementTree.tostring(piece, encoding="unicode") for piece in figure.getsvg())
        # The last digits of a turned symbol differ from machine to machine.
        return "".join(_LONG_NUMBER.sub(lambda match: f"{float(match[0]):.3f}", piece) + "\n" for piece in pieces)


def _up(point: Point) -> Point:
    """The library counts upward."""
    return (point[0], -point[1])
