"""Ways over the runs that are open to a kind of wires: against networkx, and laws that hold for every loom."""

from __future__ import annotations

from itertools import combinations, pairwise
from typing import Any

import networkx
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.loom import find_routes
from conversion.loom.allowed import bans_of
from conversion.loom.lifting import to_lift
from conversion.loom.ways import Ways
from tests.loom.made_looms import ROLE_OF_KIND, described, loom_texts, made_loom, multigraph, relabelled, wire

KINDS = tuple(ROLE_OF_KIND)


def shortest_mm(text: dict[str, Any], kind: str, start: str, end: str) -> int | None:
    """What networkx finds over the open runs, closed stations between the ends taken out."""
    loom = made_loom(**text)
    bans = bans_of(loom, kind)
    graph = multigraph(loom, frozenset(bans.runs))
    graph.remove_nodes_from(set(bans.stations) - {start, end})
    try:
        return networkx.shortest_path_length(graph, start, end, weight="weight")
    except networkx.NetworkXNoPath:
        return None


@settings(max_examples=60, deadline=None)
@given(text=loom_texts())
def test_every_way_is_as_short_as_networkx_finds_it_over_what_is_open(text: dict[str, Any]) -> None:
    loom = made_loom(**text)
    pairs = [(one, other, kind) for one, other in combinations(loom.stations, 2) for kind in KINDS]
    wires = [wire(f"W{number}", *pair) for number, pair in enumerate(pairs)]
    routes = find_routes(described(loom), wires)
    for number, (one, other, kind) in enumerate(pairs):
        route = routes[f"W{number}"]
        assert route.length_mm == shortest_mm(text, kind, one, other)
        taken = [loom.runs[run] for run in route.runs]
        assert sum(run.length.nominal for run in taken if run.length) == (route.length_mm or 0.0)
        assert not set(route.runs) & set(bans_of(loom, kind).runs)
        assert all(set(run.between) == set(pair) for run, pair in zip(taken, steps(route.stations), strict=True))


def steps(stations: tuple[str, ...]) -> list[tuple[str, str]]:
    return list(pairwise(stations))


@settings(max_examples=60, deadline=None)
@given(text=loom_texts(), seed=st.integers(0, 10**6))
def test_other_names_and_another_order_change_no_way(text: dict[str, Any], seed: int) -> None:
    stations = list(text["stations"])
    names = {name: f"n{(7 * number + seed) % 101:03}" for number, name in enumerate(stations)}
    other = relabelled(text, names, seed)
    pairs = list(combinations(stations, 2))
    for kind in ("sensors", "other"):
        first = find_routes(described(made_loom(**text)), [wire(f"W{n}", *pair, kind) for n, pair in enumerate(pairs)])
        second = find_routes(
            described(made_loom(**other)),
            # From the other end too.
            [wire(f"W{n}", names[b], names[a], kind) for n, (a, b) in enumerate(pairs)],
        )
        for tag, route in first.items():
            assert second[tag].runs == route.runs[::-1]
            assert second[tag].stations == tuple(names[name] for name in route.stations[::-1])
            assert sorted(second[tag].lift) == sorted(route.lift)


@settings(max_examples=80, deadline=None)
@given(text=loom_texts())
def test_what_is_to_be_lifted_opens_a_way_and_no_single_thing_would_do_where_several_are_named(
    text: dict[str, Any],
) -> None:
    loom = made_loom(**text)
    ways = Ways(loom)
    for one, other in combinations(loom.stations, 2):
        for kind in ("sensors", "motor"):
            lift = to_lift(ways, (one, other), kind)
            plain, allowed = ways.plain((one, other)), ways.allowed((one, other), kind)
            if plain is None or allowed is not None:
                assert lift == ()
                continue
            opened = ways.allowed((one, other), kind, lift)
            assert opened is not None
            bans = ways.bans(kind)
            alone = {
                ban: way
                for each in (*bans.runs.values(), *bans.stations.values())
                for ban in each
                if (way := ways.allowed((one, other), kind, (ban,))) is not None
            }
            assert (len(lift) == 1) == bool(alone)
            assert all(opened.weight <= way.weight for way in alone.values())


@settings(max_examples=40, deadline=None)
@given(text=loom_texts(zones=False))
def test_a_longer_run_never_shortens_a_way(text: dict[str, Any]) -> None:
    before = Ways(made_loom(**text))
    longer = {**text, "runs": {name: {**run} for name, run in text["runs"].items()}}
    longer["runs"]["r0"]["length"] = "1000 mm"
    after = Ways(made_loom(**longer))
    for one, other in combinations(text["stations"], 2):
        old, new = before.plain((one, other)), after.plain((one, other))
        assert (old is None) == (new is None)
        if old is not None and new is not None:
            assert (after.length_mm(new) or 0.0) >= (before.length_mm(old) or 0.0)


def test_a_run_of_unknown_length_is_taken_where_nothing_else_leads_there() -> None:
    runs = {
        "known-1": {"between": ["a", "b"], "length": "9000 mm"},
        "known-2": {"between": ["b", "c"], "length": "9000 mm"},
        "unknown": {"between": ["a", "c"], "length": "unknown"},
        "only": {"between": ["c", "d"], "length": "unknown"},
    }
    ways = Ways(made_loom("abcd", runs))
    way = ways.plain(("a", "c"))
    assert way is not None and way.runs == ("known-1", "known-2") and ways.length_mm(way) == 18000.0
    further = ways.plain(("a", "d"))
    assert further is not None and further.runs == ("known-1", "known-2", "only")
    assert ways.length_mm(further) is None


def test_of_two_ways_of_one_length_the_one_with_fewer_runs_is_taken() -> None:
    runs = {
        "a1": {"between": ["a", "m"], "length": "150 mm"},
        "a2": {"between": ["m", "b"], "length": "150 mm"},
        "z": {"between": ["a", "b"], "length": "300 mm"},
    }
    way = Ways(made_loom("abm", runs)).plain(("b", "a"))
    assert way is not None and way.runs == ("z",)


def test_tenths_of_a_millimetre_add_up_to_equal_ways() -> None:
    # 0.1 + 0.2 is not 0.3 in binary fractions; as lengths on a tape they are the same.
    runs = {
        "one": {"between": ["a", "m"], "length": "0.1 mm"},
        "two": {"between": ["m", "b"], "length": "0.2 mm"},
        "straight": {"between": ["a", "b"], "length": "0.3 mm"},
    }
    way = Ways(made_loom("abm", runs)).plain(("a", "b"))
    assert way is not None and way.runs == ("straight",)
