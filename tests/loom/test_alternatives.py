"""Ways that are not taken: against every simple path that networkx lists, best first."""

from __future__ import annotations

from itertools import combinations, islice
from pathlib import Path
from typing import Any

import networkx
from hypothesis import given, settings

from conversion.loom.alternatives import find_other_ways
from conversion.loom.routes import find_routes
from conversion.loom.ways import Ways
from tests.loom.made_looms import described, loom_texts, made_loom, wire
from tests.rules.patching import patched_plan


@settings(max_examples=40, deadline=None)
@given(text=loom_texts(zones=False))
def test_the_next_best_way_is_the_second_of_all_paths(text: dict[str, Any]) -> None:
    loom = made_loom(**text)
    ways = Ways(loom)
    halves = networkx.Graph()
    halves.add_nodes_from(loom.stations)
    for name, run in loom.runs.items():
        assert run.length is not None
        for station in run.between:
            halves.add_edge(station, ("run", name), weight=run.length.nominal / 2)
    for one, other in combinations(loom.stations, 2):
        best = ways.plain((one, other))
        if best is None:
            continue
        listed = networkx.shortest_simple_paths(halves, one, other, weight="weight")
        lengths = [networkx.path_weight(halves, path, "weight") for path in islice(listed, 2)]
        assert ways.length_mm(best) == lengths[0]
        second = ways.next_best(best, (one, other), "other")
        assert (second is None) == (len(lengths) < 2)
        if second is not None:
            assert second.runs != best.runs and ways.length_mm(second) == lengths[1]


def test_a_closed_way_and_the_next_open_one_are_told() -> None:
    text = {
        "stations": {name: name for name in "abc"},
        "runs": {
            "short": {"between": ["a", "b"], "length": "300 mm", "closed_to": ["motor"]},
            "middle": {"between": ["a", "b"], "length": "500 mm"},
            "ac": {"between": ["a", "c"], "length": "400 mm"},
            "cb": {"between": ["c", "b"], "length": "425 mm"},
        },
    }
    description = described(made_loom(**text))
    wires = [wire("W1", "a", "b", "motor"), wire("W2", "b", "a", "motor"), wire("W3", "a", "b", "sensors")]
    told = find_other_ways(description, wires, find_routes(description, wires))
    assert [(each.tags, each.runs, each.allowed, each.why_not) for each in told] == [
        (("W1",), ("short",), False, "run 'short' is closed to the motor's wires"),
        (("W1",), ("ac", "cb"), True, "it is 325.0 mm longer"),
        (("W2",), ("short",), False, "run 'short' is closed to the motor's wires"),
        (("W2",), ("cb", "ac"), True, "it is 325.0 mm longer"),
        (("W3",), ("middle",), True, "it is 200.0 mm longer"),
    ]


def test_a_tree_has_no_other_ways(tmp_path: Path) -> None:
    assert patched_plan(tmp_path, []).other_ways == ()


def test_a_run_beside_another_is_told_with_what_it_costs(tmp_path: Path) -> None:
    beside = "conversion: loom.runs.round-about = {between: [board, panel], length: 510 mm}"
    plan = patched_plan(tmp_path, [beside])
    told = plan.other_ways
    assert told and all("round-about" in each.runs and each.allowed for each in told)
    assert {each.why_not for each in told} == {"it is 30.0 mm longer"}
    [lamp] = plan.wiring.of_role("lamp.drive")
    assert any(lamp.tag in each.tags for each in told)
