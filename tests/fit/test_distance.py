"""Distances that can be done in the head, and against a general minimiser."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from conversion.fit import Body, Kind, Poses, box, capsule, clearance_of_fixed, half_space, joined, prism
from conversion.fit.polytope import Polytope
from tests.fit.cases import any_body, frame, seeds

UNIT = np.eye(3)


def between(one: Body, two: Body) -> float:
    return clearance_of_fixed([one], [two])[0].distance_mm


def bar(start: list[float], end: list[float], radius: float = 1.0) -> Body:
    return capsule("bar", Kind.LINK, start, end, radius)


def cube(centre: list[float], half: float = 10.0) -> Body:
    return box("cube", Kind.OTHER, centre, UNIT, [half] * 3)


FLOOR = half_space("floor", Kind.FLOOR, [0, 0, -5], [0, 0, 2])

HAND = {
    "crossed bars": (bar([-50, 0, 0], [50, 0, 0]), bar([0, -50, 12], [0, 50, 12], 2.0), 9.0),
    "parallel bars": (bar([0, 0, 0], [50, 0, 0]), bar([20, 3, 4], [80, 3, 4]), 3.0),
    "bars end to end": (bar([0, 0, 0], [50, 0, 0]), bar([60, 0, 0], [80, 0, 0]), 8.0),
    "bars in line that overlap": (bar([0, 0, 0], [50, 0, 0]), bar([40, 0, 0], [80, 0, 0]), -2.0),
    "bars through each other": (bar([-50, 0, 0], [50, 0, 0], 3.0), bar([0, -50, 0], [0, 50, 0], 4.0), -7.0),
    "bar beside a face": (bar([-50, 0, 16], [50, 0, 16]), cube([0, 0, 0]), 5.0),
    "bar beside an edge": (bar([-50, 13, 14], [50, 13, 14]), cube([0, 0, 0]), 4.0),
    "bar at a corner": (bar([12, 12, 11], [50, 50, 50]), cube([0, 0, 0]), 2.0),
    "bar through a box": (bar([-50, 0, 6], [50, 0, 6]), cube([0, 0, 0]), -5.0),
    "bar inside a box": (bar([-1, 0, 0], [1, 0, 0]), cube([0, 0, 0]), -11.0),
    "boxes face to face": (cube([0, 0, 0]), cube([27, 3, -4]), 7.0),
    "boxes edge to edge": (cube([0, 0, 0]), cube([23, 24, 0]), 5.0),
    "boxes corner to corner": (cube([0, 0, 0]), cube([22, 22, 21]), 3.0),
    "boxes that overlap": (cube([0, 0, 0]), cube([17, 12, 5]), -3.0),
    "box within a box": (cube([0, 0, 0]), cube([0, 0, 0], 2.0), -12.0),
    "boxes that touch": (cube([0, 0, 0]), cube([20, 0, 0]), 0.0),
    "bar above a floor": (bar([0, 0, 10], [50, 0, 3]), FLOOR, 7.0),
    "bar through a floor": (bar([0, 0, 10], [50, 0, -9]), FLOOR, -5.0),
    "box on a floor": (cube([0, 0, 5]), FLOOR, 0.0),
}


@pytest.mark.parametrize("case", HAND)
def test_by_hand(case: str) -> None:
    one, two, wanted = HAND[case]
    assert between(one, two) == pytest.approx(wanted, abs=1e-9)
    if "floor" not in case:
        assert between(two, one) == pytest.approx(wanted, abs=1e-9)


def test_a_box_on_its_edge_and_another_on_its_corner() -> None:
    edge = np.array([[1, 0, 1], [0, np.sqrt(2), 0], [-1, 0, 1]]) / np.sqrt(2)
    assert between(box("a", Kind.OTHER, [0, 0, 20], edge, [10] * 3), FLOOR) == pytest.approx(25 - 10 * np.sqrt(2))
    # Its axes all rise alike, so it stands on a corner.
    one, two = np.array([2, 0, np.sqrt(2)]) / np.sqrt(6), np.array([-1, np.sqrt(3), np.sqrt(2)]) / np.sqrt(6)
    standing = np.array([one, two, np.cross(one, two)])
    assert standing[:, 2] == pytest.approx([1 / np.sqrt(3)] * 3)
    tip = box("b", Kind.OTHER, [0, 0, 30], standing, [10] * 3)
    assert between(tip, FLOOR) == pytest.approx(35 - 10 * np.sqrt(3))


def test_a_hook_reaches_into_a_notch_without_touching() -> None:
    channel = prism(
        "channel",
        Kind.CROSS_MEMBER,
        [[0, 0], [60, 0], [60, 40], [50, 40], [50, 10], [10, 10], [10, 40], [0, 40]],
        0,
        50,
    )
    assert between(bar([30, -100, 25], [30, 100, 25], 3.0), channel) == pytest.approx(12.0)
    # The polygon's own hull would be run through here.
    assert between(bar([30, -100, 38], [30, 100, 38], 3.0), channel) == pytest.approx(17.0)


def test_points_are_on_both_and_the_distance_apart() -> None:
    found = clearance_of_fixed([bar([-50, 0, 16], [50, 0, 16])], [cube([0, 0, 0])])[0]
    assert found.on_body_mm[2] == pytest.approx(15.0)
    assert found.on_obstacle_mm[2] == pytest.approx(10.0)
    assert np.linalg.norm(found.on_body_mm - found.on_obstacle_mm) == pytest.approx(found.distance_mm)


def closest_by_search(one: Polytope, two: Polytope) -> float:
    """Distance of two hulls as a minimum over weights of their corners, by a general minimiser."""
    a, b = one.corners_mm, two.corners_mm

    def apart(weights: np.ndarray) -> tuple[float, np.ndarray]:
        off = weights[: len(a)] @ a - weights[len(a) :] @ b
        return float(off @ off), 2 * np.concatenate([a @ off, -(b @ off)])

    start = np.concatenate([np.full(len(a), 1 / len(a)), np.full(len(b), 1 / len(b))])
    found = minimize(
        apart,
        start,
        jac=True,
        method="SLSQP",
        bounds=[(0, 1)] * len(start),
        constraints=[
            {"type": "eq", "fun": lambda w: np.sum(w[: len(a)]) - 1},
            {"type": "eq", "fun": lambda w: np.sum(w[len(a) :]) - 1},
        ],
        options={"ftol": 1e-12, "maxiter": 500},
    )
    return float(np.sqrt(max(found.fun, 0.0))) - one.radius_mm - two.radius_mm


@settings(max_examples=60)
@given(seeds)
def test_against_a_general_minimiser(seed: int) -> None:
    rng = np.random.default_rng(seed)
    one, two = any_body(rng), any_body(rng)
    found = between(one, two)
    assume(found > 0.5)
    wanted = min(
        closest_by_search(a, b)
        for a in one.pieces
        for b in two.pieces
        if isinstance(a, Polytope) and isinstance(b, Polytope)
    )
    # The minimiser stops a little above the least, and keeps its weights within about 1e-8.
    assert wanted - 5e-3 <= found <= wanted + 1e-4


@given(seeds)
def test_no_direction_shows_a_wider_gap(seed: int) -> None:
    """The distance is the widest gap between parallel planes, so none of many directions may beat it."""
    rng = np.random.default_rng(seed)
    one, two = any_body(rng, 20.0), any_body(rng, 20.0)
    found = between(one, two)
    ways = rng.normal(size=(4000, 3))
    ways /= np.linalg.norm(ways, axis=-1, keepdims=True)
    gaps = []
    for a in one.pieces:
        for b in two.pieces:
            assert isinstance(a, Polytope) and isinstance(b, Polytope)
            wide = np.min(ways @ b.corners_mm.T, axis=-1) - np.max(ways @ a.corners_mm.T, axis=-1)
            gaps.append(np.max(wide) - a.radius_mm - b.radius_mm)
    assert found >= min(gaps) - 1e-9


@given(seeds)
def test_either_way_round_mirrored_and_moved_it_is_the_same(seed: int) -> None:
    rng = np.random.default_rng(seed)
    one, two = any_body(rng), any_body(rng)
    found = between(one, two)
    assert between(two, one) == pytest.approx(found, abs=1e-7)
    axes, shift = frame(rng), rng.uniform(-500, 500, 3)

    def moved(body: Body, turn: np.ndarray, by: np.ndarray) -> Body:
        pieces = []
        for piece in body.pieces:
            assert isinstance(piece, Polytope)
            loops = [triangle.tolist() for triangle in piece.triangles]
            pieces.append(Polytope.of_loops(piece.corners_mm @ turn.T + by, loops, piece.radius_mm))
        return Body(body.name, body.kind, tuple(pieces))

    assert between(moved(one, axes, shift), moved(two, axes, shift)) == pytest.approx(found, abs=1e-7)
    mirror = np.diag([1.0, -1.0, 1.0])
    assert between(moved(one, mirror, np.zeros(3)), moved(two, mirror, np.zeros(3))) == pytest.approx(found, abs=1e-7)


@given(seeds, st.floats(0.0, 20.0))
def test_a_bigger_obstacle_never_gives_more_clearance(seed: int, more_mm: float) -> None:
    rng = np.random.default_rng(seed)
    body = any_body(rng)
    axes, centre, half = frame(rng), rng.uniform(-60, 60, 3), rng.uniform(3, 30, 3)
    small = box("small", Kind.OTHER, centre, axes, half)
    grown = half + more_mm * np.array([1.0, 0.3, 0.0])
    assert between(body, box("big", Kind.OTHER, centre, axes, grown)) <= between(body, small) + 1e-9
    with_more = joined("more", Kind.OTHER, [small, any_body(rng)])
    assert between(body, with_more) <= between(body, small) + 1e-9


def test_a_body_without_end_is_only_an_obstacle() -> None:
    with pytest.raises(ValueError, match="only be the obstacle"):
        clearance_of_fixed([FLOOR], [cube([0, 0, 0])])
    with pytest.raises(ValueError, match="always meet"):
        clearance_of_fixed([FLOOR], [FLOOR])
    assert len(Poses.still()) == 1
