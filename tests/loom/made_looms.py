"""Looms made up for tests: stations, runs and wires without a file."""

from __future__ import annotations

import random
from collections.abc import Mapping
from types import SimpleNamespace
from typing import Any, cast

import networkx
from hypothesis import strategies as st

from conversion.description import Description, Place, Terminal
from conversion.description.loom_forms import Loom
from conversion.wiring import End, SplicePoint, Wire

ROLE_OF_KIND = {
    "sensors": "pedal.a.signal",
    "motor": "throttle.motor.plus",
    "feeds": "feed.15",
    "grounds": "ground.31",
    "other": "brake.make",
}


def made_loom(stations: Any, runs: Mapping[str, Mapping[str, Any]], **others: Any) -> Loom:
    """A loom from stations (names, or names with their forms) and runs as a description writes them."""
    forms = stations if isinstance(stations, dict) else {name: f"place {name}" for name in stations}
    return Loom.model_validate({"stations": forms, "runs": runs, **others})


def described(loom: Loom) -> Description:
    """A description with a device D-STATION at each station of a loom."""
    devices = {f"D-{name}": SimpleNamespace(station=name) for name in loom.stations}
    return cast(Description, SimpleNamespace(conversion=SimpleNamespace(loom=loom, devices=devices)))


def wire(
    tag: str, start: str, end: str, kind: str = "other", *, size_mm2: float = 1.0, via: tuple[str, ...] = ()
) -> Wire:
    """A wire between two stations, or with ``*Z1`` for an end at splice Z1."""
    role = ROLE_OF_KIND[kind]
    return Wire(tag, _end(start), _end(end), (role,), "", "", "WH", size_mm2, False, None, Place("x", 1, 1), via)


def _end(name: str) -> End:
    return SplicePoint(name[1:], "") if name.startswith("*") else Terminal(f"D-{name}", "A", "1", f"D-{name}.1")


def multigraph(loom: Loom, closed: frozenset[str] = frozenset()) -> networkx.MultiGraph:
    """The open runs of known length as networkx has them; lengths in whole millimetres."""
    graph = networkx.MultiGraph()
    graph.add_nodes_from(loom.stations)
    for name, run in loom.runs.items():
        if name not in closed and run.length is not None:
            graph.add_edge(*run.between, key=name, weight=round(run.length.nominal))
    return graph


def relabelled(loom: dict[str, Any], names: Mapping[str, str], seed: int) -> dict[str, Any]:
    """The same loom with other names for its stations, and everything in another order."""
    shuffle = random.Random(seed)
    stations = [(names[name], form) for name, form in loom["stations"].items()]
    runs = [
        (name, {**run, "between": shuffle.sample([names[each] for each in run["between"]], 2)})
        for name, run in loom["runs"].items()
    ]
    shuffle.shuffle(stations)
    shuffle.shuffle(runs)
    return {**loom, "stations": dict(stations), "runs": dict(runs)}


@st.composite
def loom_texts(draw: st.DrawFn, *, zones: bool = True, most_stations: int = 7) -> dict[str, Any]:
    """Looms as a description writes them, with many runs of the same length, parallel ones among them."""
    count = draw(st.integers(2, most_stations))
    stations = {f"s{number}": {"place": "somewhere"} for number in range(count)}
    if zones:
        for name in stations:
            zone = draw(st.sampled_from([None, None, None, "hot", "wet", "cabin"]))
            if zone:
                stations[name]["zone"] = zone
    runs = {}
    for number in range(draw(st.integers(1, 2 * count))):
        one = draw(st.integers(0, count - 1))
        other = draw(st.integers(0, count - 2))
        run: dict[str, Any] = {
            "between": [f"s{one}", f"s{other if other < one else other + 1}"],
            "length": f"{draw(st.sampled_from([100, 100, 200, 300, 450]))} mm",
        }
        if zones:
            run["zone"] = draw(st.sampled_from(["cabin", "cabin", "cabin", "hot", "moving"]))
            run["closed_to"] = draw(st.sampled_from([[], [], ["sensors"], ["motor", "feeds"]]))
        runs[f"r{number}"] = run
    return {"stations": stations, "runs": runs}
