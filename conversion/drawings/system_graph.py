"""The system as a graph for the layout engine, in several ways, from plain to narrow to folded together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.drawings.labels import wrapped
from conversion.drawings.system_wires import SPLICE, Between, Functions, kinds_of, stations_of_splices, wires_between
from conversion.drawings.system_words import kind_words
from conversion.plan import Plan

if TYPE_CHECKING:
    import graphviz

FONT_PT = 7.0
FONT_MM = FONT_PT * 25.4 / 72.0
_MOST_LINES = 5
_MOST_TAGS = 4

_SHAPES: dict[str, dict[str, str]] = {
    "supply": {"shape": "tab"},
    "fuse": {"shape": "box", "style": "rounded", "margin": "0.09,0.03"},
    "relay": {"shape": "box", "peripheries": "2"},
    "ignition-switch": {"shape": "note"},
    "stop-switch": {"shape": "note"},
    "brake-switch": {"shape": "note"},
    "clutch-switch": {"shape": "note"},
    "pedal-module": {"shape": "ellipse"},
    "throttle-body": {"shape": "ellipse"},
    "control-unit": {"shape": "box", "penwidth": "2"},
    "warning-lamp": {"shape": "octagon"},
    "ground-point": {"shape": "invtrapezium"},
    "earth-point": {"shape": "invtrapezium"},
    "other": {"shape": "box"},
    SPLICE: {"shape": "circle", "margin": "0.01"},
}
_FOLDED = "Devices of one kind {where} share a shape."


@dataclass(frozen=True, slots=True)
class Way:
    """A way to lay the drawing out.

    Attributes:
        key: What devices, given name and kind, must have in common to share a shape.
        least: How many must have it in common.
        note: What the caption says of it.
        room_mm: Width of the words in a shape. [mm]
        apart_in: Least distance of two shapes side by side, in the engine's inches.
        brief: Whether titles and places are cut to what says most.
    """

    key: Callable[[str, str], tuple[str, ...]]
    least: int
    note: str
    room_mm: float
    apart_in: float
    brief: bool


def ways(plan: Plan) -> list[list[Way]]:
    """Ways to lay it out, those of equal folding together, from none to the most."""
    devices = plan.description.conversion.devices
    splices = stations_of_splices(plan)

    def by_station(name: str, kind: str) -> tuple[str, ...]:
        return kind, splices[name] if name in splices else devices[name].station or devices[name].place

    def by_kind(name: str, kind: str) -> tuple[str, ...]:
        return (kind,)

    def alone(name: str, kind: str) -> tuple[str, ...]:
        return (name,)

    here, anywhere = (_FOLDED.format(where=where) for where in ("at one station", "wherever they sit"))
    # The second is narrower and higher, the third lower.
    sizes = ((27.0, 0.12, False), (21.0, 0.06, False), (27.0, 0.06, True))
    folds = ((alone, 2, ""), (by_station, 5, here), (by_station, 2, here), (by_kind, 2, anywhere))
    return [[Way(key, least, note, *size) for size in sizes] for key, least, note in folds]


def groups_of(plan: Plan, way: Way) -> list[list[str]]:
    """The devices and splices of each shape."""
    found: dict[tuple[str, ...], list[str]] = defaultdict(list)
    for name, kind in kinds_of(plan).items():
        found[way.key(name, kind)].append(name)
    return [
        part
        for names in found.values()
        for part in ([names] if len(names) >= way.least else [[name] for name in names])
    ]


def graph_of(plan: Plan, way: Way, groups: list[list[str]]) -> graphviz.Digraph:
    """The graph whose nodes are the groups."""
    # Loaded here since most commands draw no graph.
    import graphviz

    from conversion.drawings.graph_engine import escape_label

    kinds = kinds_of(plan)
    shape_of = {name: f"n{number}" for number, names in enumerate(groups) for name in names}
    between = wires_between(plan, shape_of)
    graph = graphviz.Digraph(
        graph_attr={"rankdir": "TB", "nodesep": f"{way.apart_in:g}", "ranksep": "0.1", "margin": "0.03"},
        node_attr={"fontsize": f"{FONT_PT:g}", "margin": "0.05,0.03", "height": "0.2", "width": "0.3"},
        edge_attr={"fontsize": f"{FONT_PT:g}", "dir": "none"},
    )
    quiet: set[tuple[str, str]] = set()
    for names in groups:
        shape, kind = shape_of[names[0]], kinds[names[0]]
        label = "\\n".join(escape_label(line) for line in _inside(plan, kind, names, way))
        graph.node(shape, label=label, **_SHAPES[kind])
        if kind == SPLICE:
            quiet |= _quiet(shape, between)
    for pair, functions in between.items():
        # Blanks at both ends keep the words off the lines beside them.
        words = (f"\u00a0{escape_label(line)}\u00a0" for line in _beside(functions, pair in quiet))
        graph.edge(*pair, label="\\n".join(words))
    return graph


def _quiet(splice: str, between: Between) -> set[tuple[str, str]]:
    """The lines at a splice of one function that need not name it again: all but the one that leads to it."""
    met = [pair for pair in between if splice in pair]
    if len({function for pair in met for function in between[pair]}) != 1:
        return set()
    leading = next((pair for pair in met if pair[1] == splice), met[0])
    return set(met) - {leading}


def _inside(plan: Plan, kind: str, names: list[str], way: Way) -> list[str]:
    """What is written in a shape."""
    if kind == SPLICE:
        return wrapped(", ".join(names), FONT_MM, 9.0, 2)
    devices = plan.description.conversion.devices
    if len(names) == 1:
        title, place = plan.description.parts[names[0]].title, devices[names[0]].place
        most = (2, 1) if way.brief else (3, 2)
        return [
            names[0],
            *wrapped(title, FONT_MM, way.room_mm, most[0]),
            *wrapped(place, FONT_MM, way.room_mm, most[1]),
        ]
    places = {devices[name].station or devices[name].place for name in names}
    where = wrapped(places.pop(), FONT_MM, way.room_mm, 1) if len(places) == 1 else []
    listed = f"{names[0]}, {names[1]}" if len(names) == 2 else f"{names[0]} … {names[-1]}"
    return [listed, f"{len(names)} × {kind_words(kind)}", *where]


def _beside(functions: Functions, quiet: bool) -> list[str]:
    """What stands beside a line: what its wires are for, and their tags."""
    if quiet:
        return [_wires(tags) for tags in functions.values()]
    if len(functions) == 1:
        return [text for function, tags in functions.items() for text in (function, _wires(tags))]
    words = [f"{function} · {_wires(tags)}" for function, tags in functions.items()]
    if len(words) > _MOST_LINES:
        rest = [tag for tags in list(functions.values())[_MOST_LINES - 1 :] for tag in tags]
        words = [*words[: _MOST_LINES - 1], f"others · {_wires(rest)}"]
    return words


def _wires(tags: list[str]) -> str:
    """The tags; their number, where there are too many to be read."""
    return " ".join(tags) if len(tags) <= _MOST_TAGS else f"{len(tags)} wires"
