"""Routes over the described runs, against networkx and by hand."""

from __future__ import annotations

from pathlib import Path

import networkx
import pytest

from tests.rules.patching import patched_plan


def test_a_route_is_the_sum_of_its_runs(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    [wire] = plan.wiring.of_role("pedal.a.signal")
    route = plan.routes[wire.tag]
    assert route.stations == ("controller", "board", "pedal")
    assert route.runs == ("controller-board", "board-pedal")
    assert route.length_mm == pytest.approx(620.0 + 540.0)


def test_every_route_is_as_short_as_networkx_finds_it(tmp_path: Path) -> None:
    extra = "conversion: loom.runs.short-cut = {between: [controller, pedal], length: 700 mm}"
    plan = patched_plan(tmp_path, [extra])
    loom = plan.description.conversion.loom
    assert loom is not None
    graph = networkx.Graph()
    for run in loom.runs.values():
        assert run.length is not None
        graph.add_edge(*run.between, weight=run.length.nominal)
    for route in plan.routes.values():
        shortest = networkx.shortest_path_length(graph, route.stations[0], route.stations[-1], weight="weight")
        assert route.length_mm == pytest.approx(shortest)


def test_a_device_without_a_station_and_an_island_are_told(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path, ["conversion: devices.P1.station removed", "conversion: loom.runs.board-bulkhead removed"]
    )
    [lamp] = plan.wiring.of_role("lamp.drive")
    assert plan.routes[lamp.tag].why_none == "P1 has no station"
    [motor] = plan.wiring.of_role("throttle.motor.plus")
    assert plan.routes[motor.tag].why_none == "no runs lead from controller to engine"


def test_an_unknown_length_is_no_short_cut(tmp_path: Path) -> None:
    extra = "conversion: loom.runs.unknown = {between: [controller, pedal], length: unknown}"
    plan = patched_plan(tmp_path, [extra])
    [wire] = plan.wiring.of_role("pedal.a.signal")
    assert plan.routes[wire.tag].runs == ("controller-board", "board-pedal")
    alone = patched_plan(tmp_path / "alone", ["conversion: loom.runs.board-pedal.length = unknown"])
    assert alone.routes[wire.tag].length_mm is None
