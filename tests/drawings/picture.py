"""Reads a drawing back: its texts with the room that they take, and its lines, in millimetres of the page."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass
from itertools import combinations

from conversion.drawings.font_widths import text_width_mm

SVG = "{http://www.w3.org/2000/svg}"
# Capitals and figures stand 0.73 high, tails hang 0.24 deep.
_ABOVE, _BELOW = 0.73, 0.24


@dataclass(frozen=True)
class Box:
    left: float
    top: float
    right: float
    bottom: float

    @property
    def middle(self) -> tuple[float, float]:
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2

    def meets(self, other: Box, slack: float = 0.05) -> bool:
        return (
            self.left + slack < other.right
            and other.left + slack < self.right
            and self.top + slack < other.bottom
            and other.top + slack < self.bottom
        )


@dataclass(frozen=True)
class Text:
    words: str
    box: Box
    bold: bool


@dataclass(frozen=True)
class Shape:
    kind: str
    points: tuple[tuple[float, float], ...]
    attributes: dict[str, str]


class Picture:
    """A drawing without transforms, as all but the icons are."""

    def __init__(self, svg: str) -> None:
        self.root = ET.fromstring(svg)
        _, _, self.width, self.height = (float(part) for part in self.root.attrib["viewBox"].split())
        assert not list(self.root.iter(f"{SVG}g"))
        self.texts = [_text(element) for element in self.root.iter(f"{SVG}text")]
        self.shapes = [
            _shape(element)
            for kind in ("line", "polyline", "polygon", "circle", "rect", "path")
            for element in self.root.iter(f"{SVG}{kind}")
        ]

    def shapes_of(self, kind: str, **attributes: str) -> list[Shape]:
        wanted = {key.replace("_", "-"): value for key, value in attributes.items()}
        return [
            shape
            for shape in self.shapes
            if shape.kind == kind and all(shape.attributes.get(key) == value for key, value in wanted.items())
        ]

    def find(self, words: str) -> Text:
        found = [text for text in self.texts if text.words == words]
        assert len(found) == 1, (words, [text.words for text in self.texts])
        return found[0]

    def overlapping(self) -> list[tuple[str, str]]:
        return [(one.words, other.words) for one, other in combinations(self.texts, 2) if one.box.meets(other.box)]

    def outside(self) -> list[str]:
        """Texts and shapes that stick out of the page by more than half a line's width."""
        page = Box(-0.3, -0.3, self.width + 0.3, self.height + 0.3)
        words = [
            text.words
            for text in self.texts
            if text.box.left < page.left
            or text.box.right > page.right
            or text.box.top < page.top
            or text.box.bottom > page.bottom
        ]
        return words + [
            f"{shape.kind} {shape.points}"
            for shape in self.shapes
            if any(not (page.left <= x <= page.right and page.top <= y <= page.bottom) for x, y in shape.points)
        ]

    def colours(self) -> set[str]:
        found = set()
        for element in self.root.iter():
            found |= {element.attrib.get(key, "none") for key in ("fill", "stroke")}
        return found - {"none"}


def _text(element: ET.Element) -> Text:
    words, size = "".join(element.itertext()), float(element.attrib["font-size"])
    bold = element.attrib.get("font-weight") == "bold"
    width = text_width_mm(words, size, bold)
    x, y = float(element.attrib["x"]), float(element.attrib["y"])
    left = x - {"start": 0.0, "middle": width / 2, "end": width}[element.attrib.get("text-anchor", "start")]
    return Text(words, Box(left, y - _ABOVE * size, left + width, y + _BELOW * size), bold)


def _shape(element: ET.Element) -> Shape:
    kind = element.tag.removeprefix(SVG)
    at = element.attrib
    number = {key: float(value) for key, value in at.items() if re.fullmatch(r"-?[\d.]+", value)}
    if kind == "line":
        points = [(number["x1"], number["y1"]), (number["x2"], number["y2"])]
    elif kind == "circle":
        points = [(number["cx"], number["cy"])]
    elif kind == "rect":
        x, y = number["x"], number["y"]
        points = [(x, y), (x + number["width"], y + number["height"])]
    elif kind == "path":
        pairs = re.findall(r"[MLA ](-?[\d.]+) (-?[\d.]+)(?=[MLAZ]|$)", at["d"])
        points = [(float(x), float(y)) for x, y in pairs]
    else:
        points = [(float(x), float(y)) for x, y in (pair.split(",") for pair in at["points"].split())]
    return Shape(kind, tuple(points), dict(at))
