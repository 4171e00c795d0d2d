"""The recess: depth and opening by hand, and the law that it gives what was wished."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings

from conversion.fit import (
    Body,
    Bulkhead,
    Corner,
    Kind,
    Poses,
    RecessWish,
    Sheet,
    bent_bulkhead,
    box,
    capsule,
    least_clearance,
    least_depth_mm,
    recess_for,
)
from tests.fit.cases import any_body, pedal_poses, seeds

UNIT = np.eye(3)
# x forward: the bulkhead stands in front and faces back.
WALL = Bulkhead("bulkhead", np.array([100.0, 0, 0]), np.array([-1.0, 0, 0]), 1.2)
WISH = RecessWish(10.0, Sheet(1.0, 2.0, 0.5), margin_mm=0.0)
BLOCK = box("module", Kind.MODULE, [105, 20, -30], UNIT, [15, 25, 35])


def test_depth_and_opening_for_a_block_by_hand() -> None:
    """It stands 20 mm through: 30 mm deep; 50 by 70 mm and 10 mm on each side."""
    found = recess_for([BLOCK], Poses.still(), WALL, WISH)
    assert found is not None
    assert found.least_depth_mm == pytest.approx(30.0)
    assert (found.box.width_mm, found.box.height_mm, found.box.depth_mm) == pytest.approx((70, 90, 30))
    np.testing.assert_allclose(found.centre_mm, [100, 20, -30])
    assert found.hole_mm == pytest.approx((74, 94))
    assert found.protrudes_mm == pytest.approx(31 - 1.2)
    assert found.clearance.distance_mm == pytest.approx(10.0)
    np.testing.assert_allclose(found.axes, [[0, 1, 0], [0, 0, 1], [-1, 0, 0]], atol=1e-12)


def test_depth_is_made_in_steps_and_no_deeper_than_that() -> None:
    deep = recess_for([BLOCK], Poses.still(), WALL, replace(WISH, clearance_mm=10.3, depth_step_mm=5.0))
    assert deep is not None
    assert deep.least_depth_mm == pytest.approx(30.3)
    assert deep.box.depth_mm == 35.0


def test_none_where_there_is_room() -> None:
    assert recess_for([box("m", Kind.MODULE, [50, 0, 0], UNIT, [15, 25, 35])], Poses.still(), WALL, WISH) is None


def test_what_it_takes_from_the_other_side() -> None:
    pipe = capsule("manifold", Kind.HEAT, [170, -100, 0], [170, 100, 0], 20)
    found = recess_for([BLOCK], Poses.still(), WALL, WISH, [pipe])
    assert found is not None
    (taken,) = found.taken
    assert taken.distance_mm == pytest.approx(170 - 20 - 131)
    assert taken.wanted.clearance_mm == 50.0
    assert not taken.enough


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_a_recess_gives_the_clearance_over_the_whole_travel(seed: int) -> None:
    rng = np.random.default_rng(seed)
    tilt = rng.uniform(-0.6, 0.6)
    wall = Bulkhead("wall", rng.uniform(-10, 40, 3), np.array([-np.cos(tilt), 0, np.sin(tilt)]), 1.0)
    moving = [Body(str(i), Kind.LEVER, any_body(rng).pieces, "pedal") for i in range(2)]
    poses = pedal_poses(0.5, 9)
    wish = replace(WISH, corner=rng.choice(list(Corner)))
    found = recess_for(moving, poses, wall, wish)
    assume(found is not None)
    assert found is not None
    assert found.clearance.distance_mm >= wish.clearance_mm - 0.02
    # A little less depth would not have done.
    assert least_clearance(moving, [wall.behind(found.least_depth_mm - 0.05)], poses).distance_mm < wish.clearance_mm


@settings(max_examples=15, deadline=None)
@given(seeds)
def test_a_part_with_ends_far_away_needs_the_depth_of_a_plane(seed: int) -> None:
    rng = np.random.default_rng(seed)
    moving = [Body("m", Kind.LEVER, any_body(rng).pieces, "pedal")]
    plane = Bulkhead("wall", np.zeros(3), np.array([-1.0, 0, 0]), 1.0)
    part = replace(plane, half_size_mm=(900.0, 900.0))
    depths = [least_depth_mm(moving, pedal_poses(0.5, 7), each, 10.0) for each in (plane, part)]
    assert depths[1] == pytest.approx(depths[0], abs=0.02)


def test_a_bent_bulkhead_has_its_faces_toward_the_pedal() -> None:
    foot, wall = bent_bulkhead("bulkhead", [[0, 0], [100, 0], [100, 300]], -200, 300, 1.0, [50, 100])
    np.testing.assert_allclose(foot.toward_pedal, [0, 0, 1], atol=1e-12)
    np.testing.assert_allclose(wall.toward_pedal, [-1, 0, 0], atol=1e-12)
    assert wall.half_size_mm == (250, 150)
    np.testing.assert_allclose(wall.point_mm, [100, 50, 150])
    assert (foot.name, wall.name) == ("bulkhead 1", "bulkhead 2")
    # Beside the wall's end nothing is in the way.
    below = box("m", Kind.MODULE, [120, 0, -50], UNIT, [5, 5, 5])
    assert least_depth_mm([below], Poses.still(), wall, 10.0) == 0.0
    low = recess_for([box("m", Kind.MODULE, [110, 0, 20], UNIT, [5, 5, 5])], Poses.still(), wall, WISH)
    assert low is not None
    # 25 − 15 mm up to the hole's middle, its half of 15 + 1, the flange of 20: 16 mm below the bend.
    assert low.over_edge_mm == pytest.approx(16.0)


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda: replace(WISH, clearance_mm=1.5), "touch the bend"),
        (lambda: replace(WISH, clearance_mm=0.0), "above zero"),
        (lambda: replace(WISH, margin_mm=-1.0), "negative"),
        (lambda: replace(WALL, thickness_mm=0.0), "thickness"),
        (lambda: replace(WALL, toward_pedal=np.array([0, 1.0, 0])), "sideways"),
        (lambda: replace(WALL, toward_pedal=np.array([0, 0, 2.0])), "unit vector"),
        (lambda: bent_bulkhead("b", [[0, 0]], 0, 1, 1, [1, 1]), "at least two corners"),
        (lambda: bent_bulkhead("b", [[0, 0], [0, 0]], 0, 1, 1, [1, 1]), "same point"),
        (lambda: bent_bulkhead("b", [[0, 0], [9, 0]], 0, 1, 1, [20, 0]), "in line"),
        (
            lambda: least_depth_mm(
                [box("m", Kind.MODULE, [600, 0, 0], UNIT, [520, 5, 5])],
                Poses.still(),
                replace(WALL, half_size_mm=(200.0, 200.0)),
                10.0,
            ),
            "runs through it",
        ),
    ],
)
def test_what_cannot_be(make: object, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        make()  # type: ignore[operator]
