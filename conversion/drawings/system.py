"""The system drawing: every device as a plain shape in words, and which wires of which function join two of them.

Feeds run down the page: the battery at the top, then fuses and switches, sensors and the control unit, what it
drives, and the ground points at the bottom. Where there are too many devices to be read on one page, those of one
kind at one station share a shape.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from html import unescape

from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.system_graph import FONT_MM, Way, graph_of, groups_of, ways
from conversion.plan import Plan

WIDTH_MM, MOST_HEIGHT_MM = 180.0, 235.0
_MM_PER_PT = 25.4 / 72.0
_GOOD_TEXT_MM, _LEAST_TEXT_MM = 2.2, 2.0
_MOST_SHAPES = 26

_SIZE = re.compile(r'width="([\d.]+)pt" height="([\d.]+)pt"')
_TEXT = re.compile(r"<text\b([^>]*)>(.*?)</text>\n", re.DOTALL)
_PLACE = re.compile(r'\b(x|y|font-size)="(-?[\d.]+)"')

_CAPTION = (
    "A line stands for all wires between two places, with their tags by function. Ellipses are the pedal module and "
    "the throttle body, the heavy box the control unit, boxes with a folded corner switches, double boxes relays, "
    "rounded boxes fuses, circles splices, trapeziums ground points."
)


@dataclass(frozen=True, slots=True)
class _Trial:
    """The drawing laid out in one way: its picture, its size as laid out, and the scale at which it fits the page."""

    svg: str
    width_mm: float
    height_mm: float
    scale: float
    note: str


def system_drawing(plan: Plan) -> Drawing:
    """The whole system on one page; devices are folded together only where the text would become too small."""
    best: _Trial | None = None
    levels = ways(plan)
    for level in levels:
        if len(groups_of(plan, level[0])) > _MOST_SHAPES and level is not levels[-1]:
            continue
        for way in level:
            trial = _try(plan, way)
            if best is None or trial.scale > best.scale:
                best = trial
            if best.scale * FONT_MM >= _GOOD_TEXT_MM:
                break
        if best is not None and best.scale * FONT_MM >= _LEAST_TEXT_MM:
            break
    assert best is not None, "the last level is always tried"
    width, height = round(best.width_mm * best.scale, 1), round(best.height_mm * best.scale, 1)
    caption = f"{_CAPTION} {best.note}".strip()
    return Drawing("system", "Devices and what joins them", caption, _printed(best.svg, width, height), width, height)


def _try(plan: Plan, way: Way) -> _Trial:
    from conversion.drawings.graph_engine import render_svg

    svg = render_svg(graph_of(plan, way, groups_of(plan, way)))
    match = _SIZE.search(svg)
    assert match is not None, "the engine states the size in points"
    width, height = float(match[1]) * _MM_PER_PT, float(match[2]) * _MM_PER_PT
    return _Trial(svg, width, height, min(1.0, WIDTH_MM / width, MOST_HEIGHT_MM / height), way.note)


def _printed(svg: str, width_mm: float, height_mm: float) -> str:
    """The picture at its printed size, its words on top of all lines and with white behind them."""
    sized = _SIZE.sub(f'width="{width_mm:g}mm" height="{height_mm:g}mm"', svg, count=1)
    words = [match[0] for match in _TEXT.finditer(sized)]
    boxes = [_box_behind(match) for match in _TEXT.finditer(sized)]
    head, end, tail = _TEXT.sub("", sized).rpartition("</g>\n</svg>")
    return head + "".join([*boxes, *words]) + end + tail


def _box_behind(text: re.Match[str]) -> str:
    """A white box as large as one line of words, so that no line runs through them."""
    place = {name: float(value) for name, value in _PLACE.findall(text[1])}
    size, words = place["font-size"], unescape(text[2]).strip()
    width = text_width_mm(words, size)
    left = place["x"] - width * (0.5 if 'text-anchor="middle"' in text[1] else 0.0)
    return (
        f'<rect x="{left:.2f}" y="{place["y"] - 0.75 * size:.2f}" width="{width:.2f}" height="{0.95 * size:.2f}" '
        'fill="#ffffff"/>\n'
    )
