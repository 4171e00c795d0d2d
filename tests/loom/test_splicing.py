"""Where splices lie: against trying every place by hand, and what may not be."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import Any

import networkx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.loom import SplicePlace, place_splices
from conversion.loom.allowed import splice_bans, station_zones
from tests.loom.made_looms import described, loom_texts, made_loom, multigraph, relabelled, wire
from tests.rules.patching import patched_plan

SIZES = st.sampled_from([0.5, 0.5, 0.75, 1.0, 1.5])


@st.composite
def spliced(draw: st.DrawFn) -> tuple[dict[str, Any], list[tuple[str, float]]]:
    """A loom with a splice of up to five wires: where each of them leads, and its size."""
    text = draw(loom_texts(zones=False))
    ends = draw(st.lists(st.tuples(st.sampled_from(sorted(text["stations"])), SIZES), min_size=2, max_size=5))
    return text, ends


def placed(text: dict[str, Any], ends: list[tuple[str, float]], **splice: Any) -> SplicePlace:
    loom = made_loom(**text, splices={"Z1": {"joins": ["feed.15"], **splice}})
    wires = [wire(f"W{n}", "*Z1", end, "feeds", size_mm2=size) for n, (end, size) in enumerate(ends)]
    return place_splices(described(loom), wires)["Z1"]


def copper_mm3(graph: networkx.MultiGraph, at: str, ends: list[tuple[str, float]]) -> float | None:
    """By networkx, wire by wire; None where a wire finds no way."""
    try:
        return sum(networkx.shortest_path_length(graph, at, end, weight="weight") * size for end, size in ends)
    except networkx.NetworkXNoPath:
        return None


@settings(max_examples=80, deadline=None)
@given(case=spliced())
def test_no_station_costs_less_copper(case: tuple[dict[str, Any], list[tuple[str, float]]]) -> None:
    text, ends = case
    graph = multigraph(made_loom(**text))
    by_hand = {station: copper_mm3(graph, station, ends) for station in text["stations"]}
    possible = {station: cost for station, cost in by_hand.items() if cost is not None}
    place = placed(text, ends)
    if not possible:
        assert place.station is None and all(other.why_not for other in place.others)
        return
    assert place.station is not None
    assert place.copper_mm3 == pytest.approx(by_hand[place.station])
    assert place.copper_mm3 == pytest.approx(min(possible.values()))
    told = {other.station: other.copper_mm3 for other in place.others}
    assert set(told) == set(by_hand) - {place.station}
    for station, cost in told.items():
        assert cost == (None if by_hand[station] is None else pytest.approx(by_hand[station]))
    costs = [other.copper_mm3 for other in place.others if other.copper_mm3 is not None]
    assert costs == sorted(costs)


@settings(max_examples=40, deadline=None)
@given(case=spliced())
def test_no_place_within_a_run_costs_less_than_the_stations(
    case: tuple[dict[str, Any], list[tuple[str, float]]],
) -> None:
    """Hakimi's theorem, tried: every run is cut into five, and none of the cuts is better."""
    text, ends = case
    place = placed(text, ends)
    cut = networkx.Graph()
    for name, run in text["runs"].items():
        one, other = run["between"]
        points = [one, *(f"{name}/{number}" for number in range(4)), other]
        for pair in pairwise(points):
            cut.add_edge(*pair, weight=float(run["length"].split()[0]) / 5)
    cut.add_nodes_from(text["stations"])
    within = [copper_mm3(cut, point, ends) for point in cut if "/" in point]
    if place.copper_mm3 is not None:
        assert all(cost is None or cost >= place.copper_mm3 - 1e-6 for cost in within)


@settings(max_examples=40, deadline=None)
@given(case=spliced(), seed=st.integers(0, 10**6))
def test_other_names_and_another_order_move_no_splice(
    case: tuple[dict[str, Any], list[tuple[str, float]]], seed: int
) -> None:
    text, ends = case
    names = {name: f"n{(7 * number + seed) % 101:03}" for number, name in enumerate(text["stations"])}
    first = placed(text, ends)
    second = placed(relabelled(text, names, seed), [(names[end], size) for end, size in ends])
    assert second.station == (None if first.station is None else names[first.station])
    assert second.copper_mm3 == first.copper_mm3


LINE = {
    "stations": {"a": "a", "b": "b", "c": "c", "d": "d"},
    "runs": {
        "ab": {"between": ["a", "b"], "length": "100 mm"},
        "bc": {"between": ["b", "c"], "length": "100 mm"},
        "cd": {"between": ["c", "d"], "length": "100 mm"},
    },
}
ENDS = [("a", 1.0), ("c", 1.0), ("d", 1.0)]


def line(**changes: Any) -> dict[str, Any]:
    """The line of four stations with some of its runs or stations described otherwise."""
    stations = {name: changes.get(name, form) for name, form in LINE["stations"].items()}
    runs = {name: {**run, **changes.get(name, {})} for name, run in LINE["runs"].items()}
    return {"stations": stations, "runs": runs}


def test_of_three_wires_on_a_line_the_middle_one_has_the_splice() -> None:
    place = placed(line(), ENDS)
    assert (place.station, place.copper_mm3) == ("c", 300.0)
    assert [tuple(other) for other in place.others] == [("b", 400.0, None), ("d", 400.0, None), ("a", 500.0, None)]


def test_a_thick_wire_draws_the_splice_to_its_end() -> None:
    assert placed(line(), [("a", 6.0), ("c", 1.0), ("d", 1.0)]).station == "a"


def test_where_stations_cost_the_same_the_one_nearest_to_the_first_wire_is_taken() -> None:
    assert placed(line(), [("d", 1.0), ("a", 1.0)]).station == "d"
    assert placed(line(), [("a", 1.0), ("d", 1.0)]).station == "a"


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"c": {"place": "c", "zone": "hot"}}, "it lies in zone 'hot'"),
        ({"c": {"place": "c", "zone": "wet"}}, "it lies in zone 'wet'"),
        ({"c": {"place": "c", "zone": "moving"}}, "it lies in zone 'moving'"),
        ({"c": {"place": "c", "through": "grommet"}}, "the loom passes a grommet there"),
        ({"c": {"place": "c", "through": "hinge", "zone": "cabin"}}, "the loom passes a hinge there"),
        ({"cd": {"zone": "wet"}}, "run 'cd' in zone 'wet' ends there"),
        (
            {"bc": {"zone": "wet"}, "cd": {"zone": "hot"}, "b": {"place": "b", "zone": "cabin"}},
            "run 'cd' in zone 'hot'",
        ),
    ],
)
def test_a_splice_keeps_out_of_heat_water_hinges_and_grommets(changes: dict[str, Any], why: str) -> None:
    place = placed(line(**changes), ENDS)
    assert place.station == "b" and place.copper_mm3 == 400.0
    [told] = [other for other in place.others if other.station == "c"]
    assert told.copper_mm3 == 300.0 and told.why_not is not None and why in told.why_not


def test_a_described_zone_counts_more_than_the_runs_that_meet_there() -> None:
    sealed_box = {"place": "sealed box", "zone": "cabin"}
    assert placed(line(c=sealed_box, bc={"zone": "wet"}, cd={"zone": "hot"}), ENDS).station == "c"


def test_a_described_station_is_kept_and_what_is_wrong_with_it_told() -> None:
    text = line(c={"place": "c", "through": "grommet"})
    place = placed(text, ENDS, station="c")
    assert place.said and place.station == "c" and place.why_not == "the loom passes a grommet there"
    assert place.others[0] == ("b", 400.0, None)
    assert placed(text, ENDS, station="d").why_not is None


def test_a_station_to_which_a_wire_may_not_go_is_none_for_its_splice() -> None:
    place = placed(line(bc={"closed_to": ["feeds"]}), ENDS)
    assert place.station is None and place.copper_mm3 is None
    assert dict((other.station, other.why_not) for other in place.others)["a"] == (
        "W1 has no allowed way from there to c"
    )


def test_unknown_lengths_are_avoided_first() -> None:
    place = placed(line(ab={"length": "unknown"}), [("a", 1.0), ("c", 1.0), ("d", 1.0)])
    # Two wires against one over the run that nobody measured.
    assert place.station == "c" and place.copper_mm3 is None


def test_zones_of_stations_are_the_severest_that_meet() -> None:
    loom = made_loom(**line(ab={"zone": "wet"}, bc={"zone": "engine bay"}, d={"place": "d", "zone": "moving"}))
    assert station_zones(loom) == {"a": "wet", "b": "wet", "c": "engine bay", "d": "moving"}
    assert set(splice_bans(loom)) == {"a", "b", "d"}


def test_a_splice_without_a_station_has_one_in_the_plan(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.splices.Z1 = {joins: [feed.15]}"])
    assert plan.written.conversion.loom is not None and plan.written.conversion.loom.splices["Z1"].station is None
    place = plan.splice_places["Z1"]
    assert not place.said and place.station == "board"
    ends = [wire for wire in plan.wiring.wires if wire.tag in place.tags]
    assert len(ends) == 5
    assert all(plan.routes[each.tag].stations[0] == "board" for each in ends)
    assert {other.station for other in place.others} | {"board"} == set(plan.written.conversion.loom.stations)
    habit_mm2 = 1.0
    lengths_mm = [plan.routes[each.tag].length_mm or 0.0 for each in ends]
    assert place.copper_mm3 == pytest.approx(habit_mm2 * sum(lengths_mm)) and sum(lengths_mm) > 0.0


def test_the_hub_of_a_splice_moves_it(tmp_path: Path) -> None:
    nearer = ["conversion: devices.F2.station = panel", "conversion: devices.S2.station removed"]
    plan = patched_plan(tmp_path, ["conversion: loom.splices.Z1 = {joins: [feed.15]}", *nearer])
    place = plan.splice_places["Z1"]
    assert len(place.not_counted) == 1
    # Two of four ends now lie at the panel: every station from there to the fuse board costs the same.
    assert place.station == "panel"


def test_a_splice_that_no_station_will_take_leaves_its_wires_without_a_way(tmp_path: Path) -> None:
    closed = ["conversion: loom.runs.controller-board.closed_to = [feeds]"]
    plan = patched_plan(tmp_path, ["conversion: loom.splices.Z1 = {joins: [feed.15]}", *closed])
    assert plan.splice_places["Z1"].station is None
    assert all(plan.routes[tag].why_none == "splice Z1 has no station" for tag in plan.splice_places["Z1"].tags)
