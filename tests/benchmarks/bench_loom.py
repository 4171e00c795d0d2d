"""A loom of 2 000 wires over 300 runs, against networkx; its board and the worked conversion's, against the imports."""

from __future__ import annotations

import sys
import tempfile
from functools import cache
from pathlib import Path

import networkx

from conversion.description import Description, read_description
from conversion.loom import find_routes, station_of
from conversion.loom.bundles import find_bundles
from conversion.loom.twists import find_twists
from conversion.plan import Plan
from conversion.plan.loom.board import board_plan
from conversion.plan.loom.sizing import size_loom, with_sizes
from conversion.wiring import Wiring, derive_wires
from tests.benchmarks.bench_commands import IMPORTS, demo
from tests.benchmarks.framework import (
    NotMeasured,
    Times,
    benchmark,
    best_of,
    command_time,
    command_times,
    python,
    times_of,
    treadle,
)
from tests.large_loom import write_large_loom

WIRES, RUNS, LOOPS = 2000, 300, 40


@cache
def large_loom() -> tuple[Description, Wiring]:
    """Read once: what is timed begins with the wires."""
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        description = read_description(write_large_loom(Path(folder), wires=WIRES, runs=RUNS, loops=LOOPS))
    wiring = derive_wires(description)
    loom = description.conversion.loom
    if loom is None or len(loom.runs) < RUNS or len(wiring.wires) < WIRES:
        raise NotMeasured("the loom is smaller than it should be")
    return description, wiring


def forget() -> None:
    """Drop what was kept of looms computed before; tables that do not depend on a loom stay, as imports do."""
    for name, module in list(sys.modules.items()):
        if name.startswith(("conversion.loom", "conversion.plan.loom")):
            for kept in vars(module).values():
                if hasattr(kept, "cache_clear") and kept.__wrapped__.__code__.co_argcount:
                    kept.cache_clear()


@benchmark("loom of 2 000 wires routed, sized and bundled", at_most=5.0, reference="networkx pair by pair")
def lay_large() -> Times:
    description, wiring = large_loom()
    loom = description.conversion.loom
    assert loom is not None
    graph = networkx.Graph()
    for run in loom.runs.values():
        assert run.length is not None
        graph.add_edge(*run.between, weight=run.length.nominal)
    ends = [(station_of(description, wire.start), station_of(description, wire.end)) for wire in wiring.wires]

    def search() -> None:
        for one, other in ends:
            networkx.shortest_path(graph, one, other, weight="weight")

    def lay() -> None:
        forget()
        routes = find_routes(description, wiring.wires)
        sized = with_sizes(wiring, size_loom(description, wiring, routes).choices)
        find_bundles(loom, sized.wires, routes, find_twists(loom, sized.wires))

    return times_of(lay, search, repeats=3)


@benchmark("board of 300 runs laid out, nothing over anything", at_most=30.0, reference=IMPORTS, within_s=10.0)
def lay_board_of_many_runs() -> Times:
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        plan = Plan(read_description(write_large_loom(Path(folder), wires=WIRES, runs=RUNS)))
    if len(plan.bundles) < RUNS or board_plan(plan).layout.over:
        raise NotMeasured("the board has too few runs, or something lies over something")
    return Times(best_of(lambda: board_plan(plan), repeats=2), command_time(python(IMPORTS), repeats=5))


@benchmark("treadle loom, market-van", at_most=5.0, reference=IMPORTS)
def loom_command() -> Times:
    return command_times(treadle("loom", demo()), python(IMPORTS), repeats=5)
