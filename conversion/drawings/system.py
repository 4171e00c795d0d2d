"""The system drawing: every device as a plain shape in words, and how many wires of which function join two of them.

Feeds run down the page: the battery at the top, then fuses and switches, sensors and the control unit, what it
drives, and the ground points at the bottom. Where there are too many devices to be read on one page, those of one
kind at one station share a shape.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from html import unescape

from conversion.drawings.drawing import Drawing
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened, wrapped
from conversion.drawings.system_words import function_of, kind_words
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire

WIDTH_MM, MOST_HEIGHT_MM = 180.0, 235.0
_FONT_PT = 7.0
_MM_PER_PT = 25.4 / 72.0
_FONT_MM = _FONT_PT * _MM_PER_PT
_LEAST_TEXT_MM = 2.0
_MOST_SHAPES = 26
_NARROW = (21.0, 0.06)
_MOST_LINES = 5

_SIZE = re.compile(r'width="([\d.]+)pt" height="([\d.]+)pt"')
_TEXT = re.compile(r"<text\b([^>]*)>(.*?)</text>\n", re.DOTALL)
_PLACE = re.compile(r'\b(x|y|font-size)="(-?[\d.]+)"')

# Kind of device -> (level on the page, shape). A wire between two levels runs downward.
_LEVELS: dict[str, tuple[int, dict[str, str]]] = {
    "supply": (0, {"shape": "tab"}),
    "fuse": (1, {"shape": "box", "style": "rounded", "margin": "0.09,0.03"}),
    "ignition-switch": (1, {"shape": "note"}),
    "stop-switch": (1, {"shape": "note"}),
    "relay": (2, {"shape": "box", "peripheries": "2"}),
    "brake-switch": (2, {"shape": "note"}),
    "clutch-switch": (2, {"shape": "note"}),
    "pedal-module": (2, {"shape": "ellipse"}),
    "splice": (2, {"shape": "point", "width": "0.06"}),
    "control-unit": (3, {"shape": "box", "penwidth": "2"}),
    "throttle-body": (4, {"shape": "ellipse"}),
    "warning-lamp": (4, {"shape": "octagon"}),
    "other": (4, {"shape": "box"}),
    "ground-point": (5, {"shape": "invtrapezium"}),
    "earth-point": (5, {"shape": "invtrapezium"}),
}
_CAPTION = (
    "A line stands for all wires between two places, with their number by function. Ellipses are the pedal module and "
    "the throttle body, the heavy box the control unit, boxes with a folded corner switches, double boxes relays, "
    "rounded boxes fuses, dots splices, trapeziums ground points."
)
_FOLDED = "Devices of one kind {where} share a shape."


@dataclass(frozen=True, slots=True)
class _Way:
    """A way to lay the drawing out.

    Attributes:
        key: What devices, given name and kind, must have in common to share a shape.
        least: How many must have it in common.
        note: What the caption says of it.
        room_mm: Width of the words in a shape. [mm]
        apart_in: Least distance of two shapes side by side, in the engine's inches.
    """

    key: Callable[[str, str], tuple[str, ...]]
    least: int
    note: str
    room_mm: float = 27.0
    apart_in: float = 0.12


def system_drawing(plan: Plan) -> Drawing:
    """The whole system on one page; devices are folded together only where the text would become too small."""
    from conversion.drawings.graph_engine import render_svg

    best: tuple[float, str, float, float, str] | None = None
    ways = _ways(plan)
    for way in ways:
        groups = _grouped(plan, way)
        if len(groups) > _MOST_SHAPES and way is not ways[-1]:
            continue
        svg = render_svg(_graph(plan, way, groups))
        width, height = _size_mm(svg)
        scale = min(1.0, WIDTH_MM / width, MOST_HEIGHT_MM / height)
        if best is None or scale > best[0]:
            best = (scale, svg, width, height, way.note)
        if scale * _FONT_MM >= _LEAST_TEXT_MM:
            break
    assert best is not None, "the last way is always tried"
    scale, svg, width, height, note = best
    width, height = round(width * scale, 1), round(height * scale, 1)
    caption = f"{_CAPTION} {note}".strip()
    return Drawing("system", "Devices and what joins them", caption, _printed(svg, width, height), width, height)


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


def _ways(plan: Plan) -> list[_Way]:
    """Ways to lay it out, from the widest without folding to the one that folds the most."""
    devices = plan.description.conversion.devices
    splices = _splices(plan)

    def by_station(name: str, kind: str) -> tuple[str, ...]:
        return kind, splices[name] if name in splices else devices[name].station or devices[name].place

    def by_kind(name: str, kind: str) -> tuple[str, ...]:
        return (kind,)

    here, anywhere = (_FOLDED.format(where=where) for where in ("at one station", "wherever they sit"))
    return [
        _Way(by_kind, 100_000, ""),
        _Way(by_kind, 100_000, "", *_NARROW),
        _Way(by_station, 5, here),
        _Way(by_station, 5, here, *_NARROW),
        _Way(by_station, 2, here, *_NARROW),
        _Way(by_kind, 2, anywhere, *_NARROW),
    ]


def _kinds(plan: Plan) -> dict[str, str]:
    """Kind of every device and splice."""
    return {name: part.kind for name, part in plan.description.parts.items()} | dict.fromkeys(_splices(plan), "splice")


def _grouped(plan: Plan, way: _Way) -> list[list[str]]:
    """The devices and splices of each shape."""
    groups: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for name, kind in _kinds(plan).items():
        groups[way.key(name, kind)].append(name)
    return [
        part
        for names in groups.values()
        for part in ([names] if len(names) >= way.least else [[name] for name in names])
    ]


def _graph(plan: Plan, way: _Way, groups: list[list[str]]):  # type: ignore[no-untyped-def]
    # Loaded here since most commands draw no graph.
    import graphviz

    from conversion.drawings.graph_engine import escape_label

    kinds = _kinds(plan)
    key_of = {name: f"n{number}" for number, names in enumerate(groups) for name in names}
    graph = graphviz.Digraph(
        graph_attr={"rankdir": "TB", "nodesep": f"{way.apart_in:g}", "ranksep": "0.22", "margin": "0.03"},
        node_attr={"fontsize": f"{_FONT_PT:g}", "margin": "0.05,0.03", "height": "0.2", "width": "0.3"},
        edge_attr={"fontsize": f"{_FONT_PT:g}", "dir": "none"},
    )
    between = _lines_between(plan, kinds, key_of)
    told: set[str] = set()
    for names in groups:
        key, kind = key_of[names[0]], kinds[names[0]]
        lines = _lines(plan, kind, names, way.room_mm)
        if kind == "splice":
            met = {function for pair, functions in between.items() if key in pair for function in functions}
            if len(met) == 1:
                told.add(key)
                lines += met
        label = "\\n".join(escape_label(line) for line in lines)
        place = {"label": "", "xlabel": label} if kind == "splice" else {"label": label}
        graph.node(key, **place, **_LEVELS[kind][1])
    for (start, end), functions in between.items():
        words = _words(functions, at_splice=start in told or end in told)
        # Blanks at both ends keep the words off the lines beside them.
        graph.edge(start, end, label="\\n".join(f"\u00a0{escape_label(line)}\u00a0" for line in words))
    return graph


def _words(functions: Counter[str], *, at_splice: bool) -> list[str]:
    """What stands beside a line. A splice that serves one function says so itself, and its single wires say nothing."""
    if at_splice:
        return [_wires(number) for number in functions.values() if number > 1]
    if len(functions) == 1:
        return [text for function, number in functions.items() for text in (function, _wires(number))]
    words = [f"{function} · {_wires(number)}" for function, number in functions.items()]
    if len(words) > _MOST_LINES:
        rest = sum(list(functions.values())[_MOST_LINES - 1 :])
        words = [*words[: _MOST_LINES - 1], f"others · {_wires(rest)}"]
    return words


def _wires(number: int) -> str:
    return "1 wire" if number == 1 else f"{number} wires"


def _lines(plan: Plan, kind: str, names: list[str], room_mm: float) -> list[str]:
    """What is written in a shape."""
    if kind == "splice":
        return [shortened(", ".join(names), _FONT_MM, room_mm)]
    devices = plan.description.conversion.devices
    if len(names) == 1:
        title, place = plan.description.parts[names[0]].title, devices[names[0]].place
        return [names[0], *wrapped(title, _FONT_MM, room_mm, 3), *wrapped(place, _FONT_MM, room_mm, 2)]
    places = {devices[name].station or devices[name].place for name in names}
    where = wrapped(places.pop(), _FONT_MM, room_mm, 1) if len(places) == 1 else []
    listed = f"{names[0]}, {names[1]}" if len(names) == 2 else f"{names[0]} … {names[-1]}"
    return [listed, f"{len(names)} × {kind_words(kind)}", *where]


def _lines_between(plan: Plan, kinds: dict[str, str], key_of: dict[str, str]) -> dict[tuple[str, str], Counter[str]]:
    """Wires by function between every two shapes, from the upper to the lower one."""
    found: dict[tuple[str, str], Counter[str]] = defaultdict(Counter)
    for wire in plan.wiring.wires:
        start, end = _downward(plan, wire, kinds)
        pair = key_of[start], key_of[end]
        if (pair[1], pair[0]) in found:
            pair = pair[1], pair[0]
        if pair[0] != pair[1]:
            found[pair][function_of(wire)] += 1
    return found


def _downward(plan: Plan, wire: Wire, kinds: dict[str, str]) -> tuple[str, str]:
    start, end = _name(wire.start), _name(wire.end)
    if wire.group == "feed":
        # A feed comes from what feeds; a wire of a splice may be written either way round.
        return (end, start) if _feeds(plan, wire.end) else (start, end)
    return (end, start) if _LEVELS[kinds[start]][0] > _LEVELS[kinds[end]][0] else (start, end)


def _feeds(plan: Plan, end: End) -> bool:
    if isinstance(end, SplicePoint):
        return False
    return "feed.out" in plan.description.parts[end.device].housings[end.housing].cavities[end.cavity].roles


def _name(end: End) -> str:
    return end.name if isinstance(end, SplicePoint) else end.device


def _splices(plan: Plan) -> dict[str, str]:
    """Station of every splice at which wires meet."""
    ends = (end for wire in plan.wiring.wires for end in (wire.start, wire.end))
    return {end.name: end.station for end in ends if isinstance(end, SplicePoint)}


def _size_mm(svg: str) -> tuple[float, float]:
    match = _SIZE.search(svg)
    assert match is not None, "the engine states the size in points"
    return float(match[1]) * _MM_PER_PT, float(match[2]) * _MM_PER_PT
