"""The loom on its board: true lengths, a straight trunk, readable angles, and nothing over anything."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.loom.board import BoardRun, BoardTree, Layout, Leaf, find_loop, lay_board
from conversion.loom.board.layout import BORDER_MM
from conversion.loom.board.tree import trunk_of
from tests.loom.board_cases import clashes, comb, length_of, random_tree

CROSS = BoardTree(
    ("left", "middle", "right", "up", "down"),
    (
        BoardRun("one", ("left", "middle"), 500.0),
        BoardRun("two", ("middle", "right"), 700.0),
        BoardRun("three", ("up", "middle"), 300.0),
        BoardRun("four", ("middle", "down"), 200.0),
    ),
    tuple(
        Leaf(f"K{number}", station, 150.0) for number, station in enumerate(("left", "right", "up", "down", "middle"))
    ),
)


def assert_true_to_scale(tree: BoardTree, layout: Layout) -> None:
    for run in tree.runs:
        points = layout.runs[run.name]
        assert length_of(points) == pytest.approx(run.length_mm, abs=1e-6)
        np.testing.assert_allclose(points[0], layout.stations[run.between[0]], atol=1e-6)
        np.testing.assert_allclose(points[-1], layout.stations[run.between[1]], atol=1e-6)
    for leaf in tree.leaves:
        points = layout.tails[leaf.name]
        assert length_of(points) == pytest.approx(leaf.tail_mm, abs=1e-6)
        np.testing.assert_allclose(points[0], layout.stations[leaf.station], atol=1e-6)
    ends = np.concatenate([*layout.runs.values(), *layout.tails.values(), *np.split(_corners(layout), 1)])
    assert np.all(ends >= BORDER_MM - 1e-6)
    assert np.all(ends <= [layout.width_mm - BORDER_MM + 1e-6, layout.height_mm - BORDER_MM + 1e-6])


def _corners(layout: Layout) -> np.ndarray:
    return np.array(list(layout.boxes.values())).reshape(-1, 2)


def test_a_cross_lies_as_one_would_draw_it() -> None:
    layout = lay_board(CROSS)
    assert layout.trunks == (("left", "middle", "right"),)
    assert layout.folds == () and layout.over == () and not layout.small and layout.fits
    left, middle, right = (layout.stations[name] for name in ("left", "middle", "right"))
    assert left[1] == middle[1] == right[1]
    assert (middle[0] - left[0], right[0] - middle[0]) == pytest.approx((500.0, 700.0))
    # The two branches leave the trunk squarely, on its two sides.
    up, down = (layout.stations[name] - middle for name in ("up", "down"))
    assert up[0] == pytest.approx(0.0, abs=1e-9) and down[0] == pytest.approx(0.0, abs=1e-9)
    assert up[1] * down[1] < 0.0
    assert_true_to_scale(CROSS, layout)
    assert not clashes(CROSS, layout)


def test_the_look_of_the_test_sees_what_lies_over_something() -> None:
    layout = lay_board(CROSS)
    moved = replace(layout, tails={**layout.tails, "K4": layout.tails["K0"] + 30.0})
    assert ("K4", "K4") in clashes(CROSS, moved)
    folded = replace(layout, runs={**layout.runs, "three": layout.runs["two"][::-1] * [0.9, 1.0]})
    assert ("two", "three") in clashes(CROSS, folded)
    boxes = replace(layout, boxes={**layout.boxes, "K4": layout.boxes["K0"] + 5.0})
    assert ("K0", "K4") in clashes(CROSS, boxes)


@pytest.mark.parametrize("seed", range(6))
def test_nothing_crosses_in_a_loom_of_thirty_runs(seed: int) -> None:
    tree = random_tree(30, seed)
    layout = lay_board(tree)
    assert layout.over == ()
    assert_true_to_scale(tree, layout)
    assert not clashes(tree, layout)


def test_nothing_crosses_in_a_loom_of_three_hundred_runs() -> None:
    tree = comb(101)
    assert len(tree.runs) >= 300
    layout = lay_board(tree)
    assert layout.over == () and layout.folds == ()
    assert_true_to_scale(tree, layout)
    assert not clashes(tree, layout)


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 12), st.integers(0, 10_000), st.floats(30.0, 300.0), st.integers(0, 3))
def test_every_length_is_true_and_what_lies_over_something_is_told(
    runs: int, seed: int, shortest_mm: float, housings: int
) -> None:
    tree = random_tree(runs, seed, (shortest_mm, 3 * shortest_mm), housings)
    layout = lay_board(tree)
    assert_true_to_scale(tree, layout)
    told = set(layout.over)
    assert all(told & set(pair) for pair in clashes(tree, layout))


@settings(max_examples=25, deadline=None)
@given(st.integers(1, 12), st.integers(0, 10_000))
def test_the_trunk_is_straight_and_branches_have_readable_angles(runs: int, seed: int) -> None:
    tree = random_tree(runs, seed)
    layout = lay_board(tree)
    (trunk,) = layout.trunks
    heights = [layout.stations[station][1] for station in trunk]
    assert heights == pytest.approx([heights[0]] * len(heights))
    bent = {fold.what for fold in layout.folds}
    for name, points in (*layout.runs.items(), *layout.tails.items()):
        if name not in bent:
            (x, y) = points[-1] - points[0]
            turns = np.degrees(np.arctan2(y, x)) / 15.0
            assert turns == pytest.approx(round(turns), abs=1e-6)


@given(st.integers(2, 10), st.integers(0, 10_000), st.randoms(use_true_random=False))
@settings(max_examples=15, deadline=None)
def test_other_names_change_nothing(runs: int, seed: int, chosen) -> None:  # type: ignore[no-untyped-def]
    tree = random_tree(runs, seed)
    numbers = list(range(len(tree.stations)))
    chosen.shuffle(numbers)
    names = {station: f"x{number}" for station, number in zip(tree.stations, numbers, strict=True)}
    renamed = BoardTree(
        tuple(names[station] for station in tree.stations),
        tuple(replace(run, between=(names[run.between[0]], names[run.between[1]])) for run in tree.runs),
        tuple(replace(leaf, station=names[leaf.station]) for leaf in tree.leaves),
    )
    layout, other = lay_board(tree), lay_board(renamed)
    for name, points in layout.runs.items():
        np.testing.assert_array_equal(points, other.runs[name])
    for station, at in layout.stations.items():
        np.testing.assert_array_equal(at, other.stations[names[station]])


def test_thirty_housings_hang_on_one_station() -> None:
    leaves = tuple(Leaf(f"P{number}", "b", 150.0, (68.0, 26.0), (15.0, 8.0)) for number in range(1, 31))
    tree = BoardTree(("a", "b"), (BoardRun("ab", ("a", "b"), 500.0),), leaves)
    layout = lay_board(tree)
    assert layout.over == () and layout.folds == ()
    assert_true_to_scale(tree, layout)
    assert not clashes(tree, layout)


def test_a_trunk_that_no_board_takes_is_not_folded_a_thousand_times() -> None:
    tree = BoardTree(("a", "b"), (BoardRun("ab", ("a", "b"), 900_000.0),), (Leaf("K1", "a", 150.0),))
    layout = lay_board(tree, 2400.0, 1200.0)
    assert not layout.fits and layout.folds == ()
    assert_true_to_scale(tree, layout)


def test_the_trunk_is_the_longest_way() -> None:
    stations, runs = trunk_of(random_tree(25, 3))
    tree = random_tree(25, 3)
    total = sum(run.length_mm for run in runs)
    for start in tree.stations:
        assert max(_far(tree, start).values()) <= total + 1e-9
    assert _far(tree, stations[0])[stations[-1]] == pytest.approx(total)


def _far(tree: BoardTree, start: str) -> dict[str, float]:
    far = {start: 0.0}
    while len(far) < len(tree.stations):
        for run in tree.runs:
            for one, other in (run.between, run.between[::-1]):
                if one in far and other not in far:
                    far[other] = far[one] + run.length_mm
    return far


def test_a_trunk_longer_than_its_board_lies_in_rows_and_says_so() -> None:
    runs = tuple(BoardRun(f"r{n}", (f"s{n}", f"s{n + 1}"), 700.0) for n in range(6))
    stations = tuple(f"s{n}" for n in range(7))
    tree = BoardTree(stations, runs, tuple(Leaf(f"K{n}", f"s{n}", 150.0) for n in range(7)))
    layout = lay_board(tree, 2400.0, 1200.0)
    assert layout.fits and (layout.width_mm, layout.height_mm) == (2400.0, 1200.0)
    assert layout.over == () and layout.folds
    assert_true_to_scale(tree, layout)
    assert not clashes(tree, layout)
    # Every bend in a run is told, at its place.
    bends = [tuple(point) for points in layout.runs.values() for point in points[1:-1]]
    assert sorted(bends) == sorted(tuple(fold.at_mm) for fold in layout.folds)
    assert all(abs(fold.turn_deg) == pytest.approx(90.0) for fold in layout.folds)


def test_a_board_that_is_large_enough_needs_no_fold() -> None:
    layout = lay_board(CROSS, 2400.0, 1200.0)
    assert layout.fits and layout.folds == ()
    assert (layout.width_mm, layout.height_mm) == (2400.0, 1200.0)


def test_a_board_that_is_too_small_is_taken_larger_and_says_so() -> None:
    layout = lay_board(CROSS, 400.0, 300.0)
    assert not layout.fits and layout.fits is False
    assert layout.height_mm > 300.0
    assert_true_to_scale(CROSS, layout)
    assert not clashes(CROSS, layout)


def test_pieces_that_no_run_joins_lie_one_below_the_other() -> None:
    apart = BoardTree(
        ("a", "b", "c", "d", "lone"),
        (BoardRun("ab", ("a", "b"), 300.0), BoardRun("cd", ("c", "d"), 400.0)),
        (Leaf("K1", "a", 100.0), Leaf("K2", "d", 100.0), Leaf("K3", "lone", 120.0), Leaf("K4", "lone", 130.0)),
    )
    layout = lay_board(apart)
    assert [trunk[0] for trunk in layout.trunks] == ["a", "c", "lone"]
    assert layout.stations["a"][1] > layout.stations["c"][1] > layout.stations["lone"][1]
    assert_true_to_scale(apart, layout)
    assert not clashes(apart, layout)


def test_a_station_with_thirty_housings_has_room_for_all() -> None:
    leaves = tuple(Leaf(f"K{n}", "b", 150.0) for n in range(30))
    tree = BoardTree(("a", "b", "c"), (BoardRun("ab", ("a", "b"), 500.0), BoardRun("bc", ("b", "c"), 700.0)), leaves)
    layout = lay_board(tree)
    assert layout.over == ()
    assert_true_to_scale(tree, layout)
    assert not clashes(tree, layout)


def test_what_has_no_place_is_told_and_still_true() -> None:
    leaves = tuple(Leaf(f"K{n}", "b", 60.0) for n in range(45))
    tree = BoardTree(("a", "b"), (BoardRun("ab", ("a", "b"), 500.0),), leaves)
    layout = lay_board(tree)
    assert 0 < len(layout.over) < 45
    assert_true_to_scale(tree, layout)


def test_nothing_to_lay() -> None:
    with pytest.raises(ValueError, match="nothing to lay"):
        lay_board(BoardTree(("a", "b"), (), ()))


def test_a_loop_is_found_wherever_it_is_and_names_the_run_to_open() -> None:
    tree = random_tree(12, 5)
    assert find_loop(tree.runs) == ()
    busy = tuple(replace(run, wires=9) for run in tree.runs)
    more = BoardRun("more", ("s2", "s11"), 10.0, wires=3)
    loop = find_loop((*busy, more))
    assert loop[0].name == "more" and len(loop) > 2
    for one, other in pairwise((*loop, loop[0])):
        assert set(one.between) & set(other.between)
    # Taken out, what is left has none.
    assert find_loop(busy) == ()


def test_two_runs_between_the_same_stations_are_a_loop() -> None:
    runs = (BoardRun("long", ("a", "b"), 200.0, wires=2), BoardRun("short", ("b", "a"), 100.0, wires=2))
    assert [run.name for run in find_loop(runs)] == ["long", "short"]
