"""What two pieces certainly keep between them is never more than what they do keep, and which of equals counts."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from conversion.fit import Body, Kind, box, clearances, half_space, joined
from conversion.fit.bodies import Placed
from conversion.fit.bounds import between_balls, between_planes, over_travel
from conversion.fit.distance import gap
from tests.fit.cases import any_body, pedal_poses, seeds

UNIT = np.eye(3)


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_never_more_than_the_distance(seed: int) -> None:
    rng = np.random.default_rng(seed)
    poses = pedal_poses(count=4)
    moving = Body("moving", Kind.PEDAL, any_body(rng).pieces, "pedal").placed(poses)
    still = any_body(rng).placed(poses) + half_space("wall", Kind.BULKHEAD, rng.normal(size=3), [1, 2, 3]).placed(poses)
    for one in moving:
        for two in still:
            assert isinstance(one, Placed)
            distance = gap(one, two).distance_mm
            assert np.all(between_balls(one, two) <= distance + 1e-9)
            assert np.all(between_planes(one, two) <= distance + 1e-9)


@settings(max_examples=40, deadline=None)
@given(seeds)
def test_never_more_than_between_the_positions(seed: int) -> None:
    rng = np.random.default_rng(seed)
    poses = pedal_poses(rng.uniform(0.1, 1.0), 7)
    moving = Body("moving", Kind.PEDAL, any_body(rng).pieces, "pedal")
    still = any_body(rng)
    fine = poses.at(np.linspace(0, 6, 121))
    for one, dense in zip(moving.placed(poses), moving.placed(fine), strict=True):
        for two, other in zip(still.placed(poses), still.placed(fine), strict=True):
            assert isinstance(one, Placed) and isinstance(dense, Placed)
            assert over_travel(one, two) <= float(np.min(gap(dense, other).distance_mm)) + 1e-9


def test_along_the_axis_of_a_turn_nothing_is_taken_off() -> None:
    poses = pedal_poses()
    (one,) = box("pad", Kind.PEDAL, [-5, 0, -250], UNIT, [30, 20, 20], "pedal").placed(poses)
    (two,) = box("w", Kind.OTHER, [0, 60, -250], UNIT, [400, 7, 100]).placed(poses)
    assert isinstance(one, Placed)
    assert over_travel(one, two) == pytest.approx(33.0, abs=1e-12)


def test_planes_tell_the_distance_of_boxes_face_to_face() -> None:
    poses = pedal_poses(count=2)
    (one,) = box("a", Kind.OTHER, [0, 0, 0], UNIT, [10] * 3).placed(poses)
    (two,) = box("b", Kind.OTHER, [27, 3, -4], UNIT, [10] * 3).placed(poses)
    assert isinstance(one, Placed)
    assert between_planes(one, two) == pytest.approx(7.0)
    assert np.all(between_balls(one, two) < 0.0)


def test_of_equally_near_positions_the_first_counts() -> None:
    """A block that turns beside a wall square to the axis keeps its distance, but for rounding."""
    pad = box("pad", Kind.PEDAL, [-5, 0, -250], UNIT, [30, 20, 20], "pedal")
    wall = joined("wall", Kind.OTHER, [box("w", Kind.OTHER, [0, 60, z], UNIT, [400, 7, 100]) for z in (-100, -300)])
    (found,) = clearances([pad], [wall], pedal_poses())
    assert found.distance_mm == pytest.approx(33.0)
    assert found.position == 0.0
