"""The search: what it looks at, what it may reject, and that nothing better was left."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import radians

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.linkage import find_events, pedal_angle_for_lever, rest_position, solve
from conversion.study.search import BLOCK, Found, run_search, seen_in_full
from conversion.study.search_case import ALL, COARSE, SearchCase, has_event, look, made
from conversion.study.search_front import Front
from conversion.study.search_grid import Axis, Grid, drawn
from conversion.study.search_motion import over_travel, pedal_at_lever, rods_of
from conversion.study.search_moves import moved, picked
from conversion.study.search_obstacle import obstacles
from conversion.study.search_wants import MEASURES, Wants, judged, missed, power_of, score
from tests.study.search_cases import ROD, axis, case_of, other_kinds, rod_axes, threaded

KINDS = {"rod": case_of(axes=rod_axes(4)), "threaded rod": threaded(axes=rod_axes(4))} | other_kinds()
EACH_KIND = pytest.mark.parametrize("case", KINDS.values(), ids=KINDS)


def front_by_hand(case: SearchCase) -> set[tuple[float, ...]]:
    """The measures of every candidate of the grid that keeps to all wants and is not beaten, without any short cut."""
    numbers = np.arange(case.grid.size)
    candidates = made(case, numbers)
    looked, _ = look(case, candidates, ALL)
    good = ~np.any(list(missed(case.wants, looked).values()), axis=0)
    cells = judged(looked)
    kept = [index for index in np.flatnonzero(good) if not has_event(case, candidates, index)]
    return {
        tuple(cells[one])
        for one in kept
        if not any(np.all(cells[other] <= cells[one]) and np.any(cells[other] < cells[one]) for other in kept)
    }


# What is looked at.


@given(st.integers(1, 3000), st.integers(0, 5))
@settings(deadline=None, max_examples=60)
def test_a_draw_has_every_number_once(size: int, seed: int) -> None:
    halves = [drawn(size, 0, size // 2, seed), drawn(size, size // 2, size - size // 2, seed)]
    assert sorted(np.concatenate(halves).tolist()) == list(range(size))


def test_draws_of_other_seeds_are_others() -> None:
    assert not np.array_equal(drawn(10**9, 0, 100, 1), drawn(10**9, 0, 100, 2))


def test_numbers_and_settings_are_the_same_thing() -> None:
    grid = Grid((Axis("a", [1.0, 2.0]), Axis("b", [10.0, 20.0, 30.0]), Axis("c", [5.0])))
    everything = np.arange(grid.size)
    assert np.array_equal(grid.numbers(grid.places(everything)), everything)
    rows = list(zip(*grid.settings(everything).values(), strict=True))
    assert rows == list(product([1.0, 2.0], [10.0, 20.0, 30.0], [5.0]))


def test_neighbours_are_one_step_away_in_one_or_two_axes() -> None:
    grid = Grid((axis("a", 0, 4, 5), axis("b", 0, 4, 5), axis("c", 0, 4, 5)))
    middle = int(grid.numbers(np.array([[2], [2], [2]]))[0])
    near = grid.places(grid.neighbours(middle)) - 2
    assert near.shape[1] == 6 + 12
    assert set(np.abs(near).sum(axis=0).tolist()) == {1, 2} and np.abs(near).max() == 1


def test_a_grid_that_cannot_be_numbered_is_refused() -> None:
    with pytest.raises(ValueError, match="more than can be searched"):
        Grid(tuple(axis(name, 0, 1, 10_000) for name in "abcd"))


def test_holes_and_places_go_where_they_are_said_to() -> None:
    settings_ = {"lever_hole_mm": np.array([50.0]), "module_x_mm": np.array([150.0]), "pedal_hole_mm": np.array([80.0])}
    one = picked(moved(ROD, settings_, None, None), 0)
    assert one.module_pivot.tolist() == [150.0, -48.0, -20.0]
    assert one.lever_radius_mm == pytest.approx(50.0) and one.pedal_radius_mm == pytest.approx(80.0)
    before = (ROD.lever_pin_at_rest_stop - ROD.module_pivot) / ROD.lever_radius_mm
    after = (one.lever_pin_at_rest_stop - one.module_pivot) / 50.0
    assert after[[0, 2]] == pytest.approx(before[[0, 2]])


def test_a_rod_is_only_as_long_as_its_thread_can_make_it_and_judged_so() -> None:
    case = threaded()
    candidates = made(case, np.arange(case.grid.size))
    turns = (candidates.rod_mm - 140.0) / 0.5
    assert np.allclose(turns, np.round(turns))
    looked, _ = look(case, candidates, ALL)
    closes = np.isfinite(looked.lever_at_rest_rad)
    assert np.allclose(looked.lever_at_rest_rad[closes], rest_position(candidates.linkage)[closes])
    assert np.ptp(looked.lever_at_rest_rad[closes]) > radians(1.0)


# The short way through the closure against the general one.


def test_rods_by_numbers_are_rods_in_space() -> None:
    case = case_of(axes=rod_axes(6))
    numbers = drawn(case.grid.size, 0, 800, 3)
    linkage = moved(case.linkage, case.grid.settings(numbers), None, np.full(800, 0.02))
    rods = rods_of(linkage, 800)  # type: ignore[arg-type]
    pedal = np.linspace(0.0, 1.0, 800)[:, None] * np.linspace(0.0, 1.0, 9)
    short, long = over_travel(linkage, rods, pedal), solve(linkage, pedal)
    assert 0.0 < np.isnan(long.lever_angle_rad).mean() < 0.9
    assert np.array_equal(np.isnan(short.lever_rad), np.isnan(long.lever_angle_rad))
    square = np.sin(long.transmission_lever_rad), np.sin(long.transmission_pedal_rad)
    # Near a dead centre both sides divide by next to nothing.
    clear = np.nan_to_num(square[0]) > 1e-3
    turn = np.angle(np.exp(1j * (short.lever_rad - long.lever_angle_rad)))
    assert np.max(np.abs(turn[clear])) < 1e-9
    assert np.allclose(short.ratio[clear], long.ratio[clear], rtol=1e-6)
    assert np.allclose(short.square_lever[clear], square[0][clear])
    assert np.allclose(short.square_pedal[clear], square[1][clear])


def test_the_pedal_angle_of_a_lever_angle_is_the_general_one() -> None:
    case = case_of(axes=rod_axes(6))
    numbers = drawn(case.grid.size, 0, 500, 4)
    linkage = moved(case.linkage, case.grid.settings(numbers), None, np.full(500, 0.02))
    wanted = np.full(500, radians(20.0))
    short = pedal_at_lever(linkage, rods_of(linkage, 500), wanted)  # type: ignore[arg-type]
    long = pedal_angle_for_lever(linkage, wanted[:, None])[:, 0]
    assert np.isfinite(long).sum() > 300
    assert np.array_equal(np.isfinite(short), np.isfinite(long))
    assert np.nanmax(np.abs(short - long)) < 1e-9


@pytest.mark.parametrize("kind", other_kinds())
def test_other_kinds_are_brought_to_a_lever_angle_as_in_general(kind: str) -> None:
    case = other_kinds()[kind]
    linkage = made(case, np.arange(case.grid.size)).linkage
    for degrees_ in (0.2, 4.0, 15.0, 23.0, 60.0):
        wanted = np.full(case.grid.size, radians(degrees_))
        short = pedal_at_lever(linkage, None, wanted)
        long = np.broadcast_to(pedal_angle_for_lever(linkage, wanted[:, None])[..., 0], short.shape)
        # Behind rest there is no full stop, so only what lies ahead is asked for.
        ahead = long >= 0.0
        assert np.all(np.isfinite(short[ahead])) and np.allclose(short[ahead], long[ahead], atol=1e-9)
        assert not np.any(short[np.isnan(long)] >= 0.0)


# What the first look may reject.


@EACH_KIND
def test_the_first_look_is_a_bound(case: SearchCase) -> None:
    size = case.grid.size
    candidates = made(case, np.arange(size) if size < 2000 else drawn(size, 0, 2000, 5))
    coarse, full = look(case, candidates, COARSE)[0], look(case, candidates, ALL)[0]
    rejected = np.any(list(missed(case.wants, coarse).values()), axis=0)
    bad = np.any(list(missed(case.wants, full).values()), axis=0)
    assert not np.any(rejected & ~bad)
    closes = full.goes_on
    assert closes.any()
    assert np.all(judged(coarse)[closes] <= judged(full)[closes])


@given(st.data())
@settings(deadline=None, max_examples=30)
def test_the_first_look_never_rejects_a_good_one(data: st.DataObject) -> None:
    window = st.tuples(st.floats(0.1, 1.0), st.floats(0.5, 3.0))
    (rest, rest_wide), (full, full_wide) = data.draw(window), data.draw(window)
    wants = Wants(
        lever_at_rest_rad=(radians(rest), radians(rest + rest_wide)),
        below_full_rad=(radians(full), radians(full + full_wide)),
        feel_within=data.draw(st.floats(0.001, 0.2)),
        transmission_rad=radians(data.draw(st.floats(5.0, 85.0))),
        force_n=(data.draw(st.floats(0.0, 18.0)), data.draw(st.floats(19.0, 40.0))),
        pad_travel_mm=(20.0, 120.0),
    )
    case = threaded(wants=wants)
    candidates = made(case, drawn(case.grid.size, 0, 200, data.draw(st.integers(0, 9))))
    coarse, full = (missed(wants, look(case, candidates, positions)[0]) for positions in (COARSE, ALL))
    for want in full:
        assert not np.any(coarse[want] & ~full[want]), want


def test_what_is_proven_free_of_events_is_so() -> None:
    wide = Wants(transmission_rad=0.0, pad_travel_mm=(1.0, 400.0), feel_within=1.0)
    case = case_of(axes=rod_axes(7), wants=wide)
    candidates = made(case, drawn(case.grid.size, 0, 1500, 6))
    looked, certain = look(case, candidates, ALL)
    assert certain.sum() > 500 and not certain.all()
    for index in np.flatnonzero(certain)[::25]:
        end = float(candidates.pedal_full_rad[index])
        assert find_events(picked(candidates.linkage, int(index)), end) == []
    # And the other way round: whatever has an event is never called certain.
    for index in np.flatnonzero(looked.goes_on & ~certain):
        assert has_event(case, candidates, int(index))


# What is found.


@EACH_KIND
def test_the_trade_off_is_that_of_all_candidates_looked_at_one_by_one(case: SearchCase) -> None:
    found = run_search(case)
    assert found.whole_grid and found.counts.looked_at == case.grid.size
    assert {tuple(row) for row in found.front.cells} == front_by_hand(case) != set()
    assert found.front.scores.tolist() == sorted(found.front.scores.tolist())


@pytest.mark.parametrize("candidates", [300, 10**6], ids=["drawn", "all"])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_best_is_at_least_as_good_as_a_thousand_random_ones(candidates: int, seed: int) -> None:
    case = threaded(axes=rod_axes(9))
    found = run_search(case, candidates=candidates if candidates > 300 else 4000, seed=seed)
    numbers = np.random.default_rng(seed + 50).integers(0, case.grid.size, 1000)
    looked = seen_in_full(case, numbers)
    good = ~np.any(list(missed(case.wants, looked).values()), axis=0)
    assert good.sum() > 100
    assert found.front.scores[0] <= score(case.wants, judged(looked)[good]).min() + 1e-9
    if found.whole_grid:
        assert np.all(found.front.covers(judged(looked)[good]))


@EACH_KIND
@given(st.data())
@settings(deadline=None, max_examples=12)
def test_nothing_anybody_could_pick_is_better_than_what_is_found(case: SearchCase, data: st.DataObject) -> None:
    """Whatever is wanted and whatever weighs how much, over the whole grid."""
    weights = {name: data.draw(st.floats(0.0, 3.0), label=name) for name in MEASURES}
    wants = Wants(
        lever_at_rest_rad=(radians(data.draw(st.floats(0.0, 1.0))), radians(data.draw(st.floats(1.0, 4.0)))),
        below_full_rad=(0.0, radians(data.draw(st.floats(1.0, 6.0)))),
        margin_rad=radians(data.draw(st.floats(0.0, 0.5))),
        pad_travel_mm=(data.draw(st.floats(10.0, 45.0)), data.draw(st.floats(60.0, 200.0))),
        feel_within=data.draw(st.floats(0.02, 0.5)),
        transmission_rad=radians(data.draw(st.floats(0.0, 70.0))),
        weights=weights,
    )
    asked = replace(case, wants=wants)
    found = run_search(asked)
    picks = np.unique(data.draw(st.lists(st.integers(0, case.grid.size - 1), min_size=5, max_size=25)))
    candidates = made(asked, picks)
    looked, _ = look(asked, candidates, ALL)
    good = ~np.any(list(missed(wants, looked).values()), axis=0)
    for index in np.flatnonzero(good):
        if has_event(asked, candidates, int(index)):
            continue
        cells = judged(looked)[index : index + 1]
        assert found.front.covers(cells)[0]
        assert found.front.scores[0] <= score(wants, cells)[0] + 1e-9


def test_the_answer_is_the_same_whatever_the_number_of_workers() -> None:
    case = threaded(axes=rod_axes(9))
    assert case.grid.size > 4 * BLOCK

    def said(found: Found) -> tuple[object, ...]:
        return found.front.numbers.tolist(), found.front.cells.tolist(), found.counts

    assert said(run_search(case, workers=1)) == said(run_search(case, workers=3))
    assert said(run_search(case, 6000, 4, workers=1)) == said(run_search(case, 6000, 4, workers=2))


def test_looking_nearby_only_makes_it_better() -> None:
    case = threaded(axes=rod_axes(9))
    best = run_search(case).front.scores[0]
    gained = []
    for seed in range(6):
        few = run_search(case, candidates=60, seed=seed)
        looked = seen_in_full(case, drawn(case.grid.size, 0, 60, seed))
        good = ~np.any(list(missed(case.wants, looked).values()), axis=0)
        assert few.counts.looked_at > 60 and few.front.scores[0] >= best - 1e-9
        gained.append(score(case.wants, judged(looked)[good]).min() - few.front.scores[0])
    assert min(gained) > -1e-9 and max(gained) > 0.1


def test_progress_is_told_up_to_the_end() -> None:
    told: list[tuple[int, int]] = []
    case = case_of(axes=rod_axes(8))
    run_search(case, progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (case.grid.size, case.grid.size) and [done for done, _ in told] == sorted(
        {done for done, _ in told}
    )


def test_a_wanted_feel_is_searched_for() -> None:
    pad, lever = power_of(0.44)
    axes = (axis("lever_hole_mm", 30, 60, 7), axis("pedal_hole_mm", 50, 100, 7), axis("module_z_mm", -80, 60, 15))
    weights = dict.fromkeys(MEASURES, 0.0) | {"feel": 1.0}
    even = run_search(case_of(axes=axes, wants=Wants(pad_travel_mm=(20.0, 150.0), feel_within=0.5, weights=weights)))
    progressive = replace(even.case, wants=replace(even.case.wants, pad_shares=pad, lever_shares=lever))
    found = run_search(progressive)
    middles = [
        float(np.interp(0.5, np.linspace(0, 1, 41), _shares(each, int(each.front.numbers[0]))))
        for each in (even, found)
    ]
    assert middles[1] < middles[0] - 0.01


def _shares(found: Found, number: int) -> np.ndarray:
    candidates = made(found.case, np.array([number]))
    pedal = np.linspace(0.0, float(candidates.pedal_full_rad[0]), 41)
    lever = solve(picked(candidates.linkage, 0), pedal).lever_angle_rad
    shares: np.ndarray = (lever - lever[0]) / (lever[-1] - lever[0])
    return shares


def test_weights_move_the_order() -> None:
    light = {name: float(name == "force") for name in MEASURES}
    case = threaded(axes=rod_axes(7))
    by_force = run_search(replace(case, wants=replace(case.wants, weights=light)))
    force = seen_in_full(case, by_force.front.numbers).force_most_n
    assert np.floor(force[0] + 1e-9) == np.floor(force.min() + 1e-9)


# Where nothing is found.


@pytest.mark.parametrize(
    ("want", "changes"),
    [
        ("pad_travel", {"pad_travel_mm": (300.0, 310.0)}),
        ("transmission", {"transmission_rad": radians(89.99)}),
        ("force", {"force_n": (1000.0, 1100.0)}),
        ("lever_at_rest", {"lever_at_rest_rad": (radians(2.0), radians(2.1))}),
        ("below_full", {"below_full_rad": (radians(5.0), radians(6.0))}),
        ("margin", {"margin_rad": radians(4.0)}),
    ],
)
def test_the_want_in_the_way_is_named(want: str, changes: dict[str, object]) -> None:
    case = case_of(wants=replace(Wants(), **changes))  # type: ignore[arg-type]
    found = run_search(case)
    assert not len(found.front.numbers)
    first, *others = obstacles(case)
    assert first.want == want and first.looked_at == case.grid.size
    assert first.alone > 0 and all(each.alone == 0 for each in others)
    assert np.isfinite(first.nearest)


def test_what_cannot_be_searched_is_refused() -> None:
    with pytest.raises(ValueError, match="may move"):
        case_of(axes=(axis("groove_radius_mm", 20, 30, 3),))
    with pytest.raises(ValueError, match="full_rad or full_mm"):
        case_of(full_rad=None)
    with pytest.raises(ValueError, match="at least one candidate"):
        run_search(case_of(), candidates=0)
    with pytest.raises(ValueError, match="one name"):
        Grid((axis("a", 0, 1, 2), axis("a", 0, 1, 2)))


# The front itself.


@given(st.lists(st.tuples(*[st.integers(0, 4)] * 3), min_size=1, max_size=40), st.integers(1, 7))
def test_a_front_is_the_same_in_one_go_and_in_pieces(rows: list[tuple[int, ...]], piece: int) -> None:
    cells = np.array(rows, dtype=float)
    numbers, scores = np.arange(len(rows)), cells.sum(axis=1)
    whole = Front.empty(3).joined(numbers, cells, scores)
    parts = Front.empty(3)
    for start in range(0, len(rows), piece):
        at = slice(start, start + piece)
        parts = parts.joined(numbers[at], cells[at], scores[at])
    assert whole.numbers.tolist() == parts.numbers.tolist()
    assert np.all(whole.covers(cells))
    for one in whole.cells:
        assert not np.any(np.all(whole.cells <= one, axis=1) & np.any(whole.cells < one, axis=1))
