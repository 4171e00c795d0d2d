"""Reads a drawing of nested groups back: where its texts lie on the page, and how big they are."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from conversion.drawings.font_widths import text_width_mm
from tests.drawings.picture import SVG, Box

_TRANSLATE = re.compile(r"translate\((-?[\d.]+)[ ,](-?[\d.]+)\)")
# Capitals and figures stand 0.73 high, tails hang 0.24 deep.
_ABOVE, _BELOW = 0.73, 0.24


@dataclass(frozen=True)
class Placed:
    """One text: its words, its room on the page and its size, in the units of the drawing's view box."""

    words: str
    box: Box
    size: float
    bold: bool


def placed_texts(svg: str) -> list[Placed]:
    """Every text of a drawing, in the order drawn."""
    return list(_walk(ET.fromstring(svg), 0.0, 0.0))


def _walk(element: ET.Element, x: float, y: float) -> Iterator[Placed]:
    match = _TRANSLATE.search(element.get("transform", ""))
    if match:
        x, y = x + float(match[1]), y + float(match[2])
    if element.tag == f"{SVG}text":
        words, size = "".join(element.itertext()).strip(), float(element.attrib["font-size"])
        bold = element.get("font-weight") == "bold"
        width = text_width_mm(words, size, bold)
        left = (
            x + float(element.attrib["x"]) - {"middle": width / 2, "end": width}.get(element.get("text-anchor", ""), 0)
        )
        base = y + float(element.attrib["y"])
        yield Placed(words, Box(left, base - _ABOVE * size, left + width, base + _BELOW * size), size, bold)
    for child in element:
        yield from _walk(child, x, y)


def overlapping(texts: list[Placed], slack: float = 0.05) -> list[tuple[str, str]]:
    """Pairs of texts of which one lies over the other."""
    return [(one.words, other.words) for one, other in combinations(texts, 2) if one.box.meets(other.box, slack)]


def outside(svg: str) -> list[str]:
    """Texts that stick out of the view box."""
    left, top, width, height = (float(part) for part in ET.fromstring(svg).attrib["viewBox"].split())
    return [
        text.words
        for text in placed_texts(svg)
        if text.box.left < left or text.box.right > left + width or text.box.top < top or text.box.bottom > top + height
    ]
