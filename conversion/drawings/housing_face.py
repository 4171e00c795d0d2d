"""The faces of housings, each drawn from both sides and each side named in words.

A plain outline of our own: where a place lies among the others is what the builder described; the shape of the
housing, the shape of its places and its keying are not known here.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Literal

from conversion.description.parts import AnyPart, GroundPoint, Housing, Supply
from conversion.drawings.drawing import Drawing
from conversion.drawings.face_layout import (
    BORDER_MM,
    MOST_WIRES,
    ROOM_MM,
    TAG_LINE_MM,
    TAG_MM,
    TALLEST_MM,
    WIDTH_MM,
    FacePlace,
    Layout,
    lay_out,
    rows_of,
)
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened
from conversion.drawings.svg import BLACK, FINE, MIDDLE, PALE, THIN, WHITE, Canvas, Pen, Point
from conversion.plan import Plan

Side = Literal["wire side", "mating side"]

_GAP = 8.0
_UNDESCRIBED = Pen(0.18, (0.7, 0.7))
_SEEN: dict[Side, str] = {
    "wire side": "seen from behind, where the wires go in",
    "mating side": "seen from the front, where the counterpart plugs in",
}


def face_drawings(plan: Plan) -> list[Drawing]:
    """The faces of every housing with more than one place, in the order of the devices; a bolt has none."""
    taken: set[str] = set()
    found: list[Drawing] = []
    for reference, part in plan.description.parts.items():
        for name, housing in part.housings.items():
            if housing.positions > 1 and not isinstance(part, GroundPoint | Supply):
                found += _faces(plan, reference, part, name, housing, taken)
    return found


def _faces(
    plan: Plan, reference: str, part: AnyPart, name: str, housing: Housing, taken: set[str]
) -> Iterator[Drawing]:
    rows = rows_of(plan, reference, name, housing)
    layout = lay_out(rows)
    of = f"{reference}, housing {name}" if len(part.housings) > 1 else reference
    sides: tuple[Side, ...] = ("wire side", "mating side")
    one_height = layout.height + layout.tags_take + 9.0
    beside = 2 * layout.width + _GAP <= ROOM_MM
    sheets = [sides] if beside or 2 * one_height <= TALLEST_MM else [(side,) for side in sides]
    for sheet in sheets:
        canvas = Canvas()
        x, y = 1.0, 0.0
        for side in sheet:
            _draw_face(canvas, housing, rows, layout, side, (x, y))
            if beside:
                x += WIDTH_MM / 2
            else:
                y += one_height
        height = _legend(canvas, rows, one_height if beside else y, shaded=layout.shaded, sealed=housing.sealed)
        title = f"Housing of {of}" if len(sheet) == 2 else f"Housing of {of}, {sheet[0]}"
        stem = f"face-{reference}" + (f"-{name}" if len(part.housings) > 1 else "")
        stem += "" if len(sheet) == 2 else f"-{sheet[0]}"
        caption = _caption(part, housing, layout)
        svg = canvas.document(WIDTH_MM, height, title, caption)
        yield Drawing(_stem(stem, taken), title, caption, svg, WIDTH_MM, height)


def _stem(text: str, taken: set[str]) -> str:
    """A file stem of lower case, digits and hyphens that no other drawing has."""
    plain = re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")
    stem, number = plain, 2
    while stem in taken:
        stem, number = f"{plain}-{number}", number + 1
    taken.add(stem)
    return stem


def _caption(part: AnyPart, housing: Housing, layout: Layout) -> str:
    words = [f"{part.title}. Rows as read from the {housing.seen_from}; the other view is the same mirrored."]
    if housing.rows is None and housing.positions > 2:
        words.append("The rows are not described, so the places stand in one row: look at the housing.")
    if max(map(len, housing.face)) > layout.line:
        words.append(f"A row of more than {layout.line} places goes on in the line below it.")
    if layout.tags == "none":
        words.append("The wires stand in the table.")
    words.append("The notch only shows how the views lie to each other; it is not the housing's keying.")
    return " ".join(words)


def _draw_face(
    canvas: Canvas, housing: Housing, rows: list[list[FacePlace]], layout: Layout, side: Side, corner: Point
) -> None:
    """One side of a housing under its name, from an upper left corner of the page."""
    mirrored = side != housing.seen_from
    left, top = corner
    canvas.text((left, top + 3.0), side.capitalize(), 2.8, bold=True)
    canvas.text((left, top + 6.4), f"{_SEEN[side]}; {'mirrored' if mirrored else 'as described'}", TAG_MM)
    lines = [line for row in rows for line in _lines(row[::-1] if mirrored else row, layout.line)]
    face_top = top + 8.0 + layout.tag_height
    _outline(canvas, (left, face_top), layout, mirrored)
    for number, line in enumerate(lines):
        # Rows that are shorter than the longest stand in its middle.
        start = left + (layout.width - len(line) * layout.cell) / 2
        y = face_top + BORDER_MM + number * layout.cell
        for column, place in enumerate(line):
            at = (start + column * layout.cell, y)
            _draw_place(canvas, place, at, layout)
            if layout.tags == "outside":
                _tags_outside(canvas, place, at[0] + layout.cell / 2, face_top, layout, above=number == 0)


def _lines(row: list[FacePlace], most: int) -> list[list[FacePlace]]:
    return [row[start : start + most] for start in range(0, len(row), most)]


def _outline(canvas: Canvas, corner: Point, layout: Layout, mirrored: bool) -> None:
    left, top = corner
    canvas.rect(corner, layout.width, layout.height, MIDDLE, WHITE, round_by=1.6)
    at = left + layout.width * (0.75 if mirrored else 0.25)
    canvas.polygon([(at - 1.6, top), (at + 1.6, top), (at, top + 1.8)], THIN, BLACK)


def _draw_mark(canvas: Canvas, state: str, corner: Point, size: float, *, shaded: bool) -> None:
    """The square of a place with what shows its state."""
    left, top = corner
    if state == "empty" and not shaded:
        canvas.hatch(corner, size, size, 1.0)
    if state in ("unused", "no wire"):
        canvas.line((left, top), (left + size, top + size), FINE)
    if state == "no wire":
        canvas.line((left, top + size), (left + size, top), FINE)
    pen = _UNDESCRIBED if state == "not described" else THIN
    canvas.rect(corner, size, size, pen, PALE if state == "empty" and shaded else "none")


def _draw_place(canvas: Canvas, place: FacePlace, corner: Point, layout: Layout) -> None:
    cell = layout.cell
    inset = 0.06 * cell
    left, top, size = corner[0] + inset, corner[1] + inset, cell - 2 * inset
    _draw_mark(canvas, place.state, (left, top), size, shaded=layout.shaded)
    text = min(2.8, 0.4 * cell)
    width = text_width_mm(place.name, text, bold=True)
    if width > size - 0.6:
        text = max(1.1, text * (size - 0.6) / width)
    name = shortened(place.name, text, size - 0.4, bold=True)
    inside = layout.tags == "inside" and bool(place.tags)
    middle = (left + size / 2, top + (0.28 if inside else 0.5) * size + 0.36 * text)
    canvas.text(
        middle,
        name,
        text,
        "middle",
        bold=True,
        halo=place.state not in ("wired", "not described") and not layout.shaded,
    )
    if inside:
        tag, colour = place.tags[0]
        more = f" +{len(place.tags) - 1}" if len(place.tags) > 1 else ""
        for step, words in enumerate((f"{tag}{more}", colour)):
            fitted = shortened(words, TAG_MM, size - 0.4)
            canvas.text((middle[0], top + 0.65 * size + TAG_LINE_MM * step), fitted, TAG_MM, "middle")


def _tags_outside(canvas: Canvas, place: FacePlace, x: float, face_top: float, layout: Layout, *, above: bool) -> None:
    words = [word for tag in place.tags[:MOST_WIRES] for word in tag]
    if len(place.tags) > MOST_WIRES:
        words.append(f"+{len(place.tags) - MOST_WIRES}")
    if not words:
        return
    edge = face_top if above else face_top + layout.height
    away = -1.0 if above else 1.0
    canvas.line((x, edge), (x, edge + away * 1.2), FINE)
    first = edge - 2.0 - TAG_LINE_MM * (len(words) - 1) if above else edge + 3.4
    for step, word in enumerate(words):
        fitted = shortened(word, TAG_MM, layout.cell - 0.3)
        canvas.text((x, first + TAG_LINE_MM * step), fitted, TAG_MM, "middle")


def _legend(canvas: Canvas, rows: list[list[FacePlace]], top: float, *, shaded: bool, sealed: bool) -> float:
    """What the marks in the places mean, as far as they occur; returns the sheet's height. [mm]"""
    closed = ": plug" if sealed else ""
    meanings = {
        "empty": f"no terminal in this place{closed}",
        "unused": f"terminal left without a wire, with a reason{closed}",
        "no wire": "terminal without a wire",
        "not described": "place not described",
    }
    states = {place.state for row in rows for place in row}
    x = 1.0
    for state, words in meanings.items():
        if state not in states:
            continue
        # The sample is marked as in the face, where small places are shaded instead of hatched.
        _draw_mark(canvas, state, (x, top + 0.5), 3.6, shaded=shaded)
        canvas.text((x + 5.0, top + 3.4), words, TAG_MM)
        x += 8.0 + text_width_mm(words, TAG_MM)
    return top + (6.0 if x > 1.0 else 0.5)
