"""Least clearance over the travel, between the positions too."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings

from conversion.fit import (
    Body,
    Kind,
    Link,
    Poses,
    Turn,
    box,
    capsule,
    clearance_at,
    clearances,
    gap_at_mm,
    half_space,
    joined,
    least_clearance,
    pad_centres_mm,
    prism,
    side_gap_mm,
    step_height_mm,
    swept,
    wanted_between,
)
from tests.fit.cases import any_body, frame, pedal_poses, seeds

UNIT = np.eye(3)
ARM = capsule("arm", Kind.PEDAL, [0, 0, 0], [0, 0, -250], 8, "pedal")
# Sideways off the arm's plane, so that the least distance is where the arm passes.
POST = capsule("post", Kind.COLUMN, [-60, 30, -200], [-60, 90, -200], 5)


def test_the_least_lies_between_two_positions() -> None:
    """The arm passes the post's end at the angle whose tangent is 60/200: 30 mm away, less both radii."""
    found = least_clearance([ARM], [POST], pedal_poses(0.5, 3))
    assert found.pedal_angle_rad == pytest.approx(np.arctan(0.3), abs=2e-3)
    assert found.pad_travel_mm == pytest.approx(250 * np.arctan(0.3), abs=0.5)
    assert found.distance_mm == pytest.approx(30 - 13, abs=0.01)
    assert 1.0 < found.position < 2.0
    assert min(clearance_at(ARM, POST, pedal_poses(0.5, 3))) > found.distance_mm + 1


def test_the_sweep_down_to_the_floor_is_least_when_the_arm_hangs_straight() -> None:
    floor = half_space("floor", Kind.FLOOR, [0, 0, -270], [0, 0, 1])
    found = least_clearance([ARM], [floor], pedal_poses(0.3, 12, -0.25))
    assert found.distance_mm == pytest.approx(12.0, abs=0.01)
    assert found.pedal_angle_rad == pytest.approx(0.0, abs=0.01)
    assert gap_at_mm(ARM, floor, pedal_poses(0.3, 12, -0.25), 11.0)[0] == pytest.approx(
        270 - 250 * np.cos(0.3) - 8, abs=1e-9
    )


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_nowhere_in_the_travel_is_it_less(seed: int) -> None:
    rng = np.random.default_rng(seed)
    axis = frame(rng)[0]
    angle = np.linspace(0, rng.uniform(0.2, 1.2), 7)
    poses = Poses(angle, 200 * angle, {"pedal": Turn(rng.uniform(-50, 50, 3), axis, angle)})
    still = any_body(rng)
    moving = Body("moving", Kind.PEDAL, any_body(rng).pieces, "pedal")
    found = least_clearance([moving], [still], poses)
    dense = clearance_at(moving, still, poses.at(np.linspace(0, 6, 1201)))
    assert found.distance_mm <= dense.min() + 0.011
    assert clearance_at(moving, still, poses.at([found.position]))[0] == pytest.approx(found.distance_mm, abs=1e-9)
    apart = np.linalg.norm(found.on_body_mm - found.on_obstacle_mm)
    assert apart == pytest.approx(abs(found.distance_mm), abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(seeds)
def test_a_turn_seen_from_the_other_body_is_the_same(seed: int) -> None:
    """Moving the one forward is moving the other back."""
    rng = np.random.default_rng(seed)
    axis, angle = frame(rng)[0], np.linspace(0, 0.8, 9)
    one, two = any_body(rng), any_body(rng)

    def poses(sign: float) -> Poses:
        return Poses(angle, angle, {"turn": Turn(np.zeros(3), sign * axis, angle)})

    there = clearance_at(Body("a", one.kind, one.pieces, "turn"), two, poses(1))
    back = clearance_at(one, Body("b", two.kind, two.pieces, "turn"), poses(-1))
    np.testing.assert_allclose(there, back, atol=1e-7)


def test_what_moves_together_is_passed_over() -> None:
    shoe = box("shoe", Kind.SHOE, [-40, 0, -240], UNIT, [30, 50, 12], "pedal")
    found = clearances([ARM], [shoe, POST], pedal_poses())
    assert [each.obstacle for each in found] == ["post"]
    with pytest.raises(ValueError, match="moves as the bodies do"):
        least_clearance([ARM], [shoe], pedal_poses())


def test_the_foot_moves_with_the_pad_and_may_meet_the_brake() -> None:
    shoe = box("shoe", Kind.SHOE, [-20, 0, -250], UNIT, [20, 45, 12], "pedal")
    brake = box("brake pad", Kind.OTHER_PEDAL, [-90, 75, -235], UNIT, [5, 25, 20])
    found = least_clearance([shoe], [brake], pedal_poses(0.5))
    assert found.distance_mm == pytest.approx(5.0, abs=0.01)
    assert found.wanted.clearance_mm == 15.0
    assert not found.enough


def test_a_rod_runs_between_its_two_ends() -> None:
    angle = np.linspace(0, 0.4, 21)
    start = np.stack([-100 * np.sin(angle), 0 * angle, -100 * np.cos(angle)], axis=-1)
    ends = np.stack([start, np.broadcast_to([-300.0, 0.0, -100.0], start.shape)], axis=1)
    poses = Poses(angle, 250 * angle, lines_mm=(ends,))
    ceiling = half_space("ceiling", Kind.OTHER, [0, 0, -80], [0, 0, -1])
    found = least_clearance([Link("rod", 4.0)], [ceiling], poses)
    assert found.distance_mm == pytest.approx(100 * np.cos(0.4) - 80 - 4, abs=0.01)
    with pytest.raises(ValueError, match="runs along line 1"):
        least_clearance([Link("rod", 4.0, 1)], [ceiling], poses)


def test_positions_between_keep_a_rods_end_on_its_arc() -> None:
    angle = np.linspace(0, 0.4, 41)
    arc = 200 * np.stack([np.sin(angle), 0 * angle, np.cos(angle)], axis=-1)
    poses = Poses(
        angle, 250 * angle, {"lever": Turn(np.zeros(3), UNIT[1], np.sin(angle))}, (arc[:, None].repeat(2, 1),)
    )
    fine = poses.at(np.linspace(0, 40, 333))
    radius = np.linalg.norm(fine.lines_mm[0], axis=-1)
    np.testing.assert_allclose(radius, 200, atol=1e-3)
    np.testing.assert_allclose(fine.turns["lever"].angle_rad, np.sin(fine.pedal_angle_rad), atol=1e-6)
    np.testing.assert_allclose(fine.pad_travel_mm, 250 * fine.pedal_angle_rad, atol=1e-9)


def test_a_swept_brake_pedal_holds_every_position_and_little_more() -> None:
    brake = joined(
        "brake",
        Kind.OTHER_PEDAL,
        [
            capsule("arm", Kind.OTHER_PEDAL, [0, 80, 0], [0, 80, -250], 8),
            box("pad", Kind.OTHER_PEDAL, [-5, 80, -250], UNIT, [5, 30, 20]),
        ],
    )
    turn = Turn(np.zeros(3), UNIT[1], np.linspace(0, 0.5, 11))
    whole = swept(brake, turn)
    fine = Turn(np.zeros(3), UNIT[1], np.linspace(0, 0.5, 201))
    alone = Poses(fine.angle_rad, fine.angle_rad, {"turn": fine})
    rng = np.random.default_rng(3)
    for _ in range(6):
        probe = capsule("probe", Kind.LINK, *(rng.uniform([-200, 0, -300], [100, 200, -100], (2, 3))), 3.0)
        true = np.min(clearance_at(Body("b", brake.kind, brake.pieces, "turn"), probe, alone))
        found = clearance_at(probe, whole, Poses.still())[0]
        assert found <= true + 1e-6
        if true > 0.0:
            assert found >= true - 0.4


def test_gaps_to_the_brake_pedal() -> None:
    pad = box("pad", Kind.PEDAL, [0, 0, -250], UNIT, [5, 25, 30], "pedal")
    brake = box("brake", Kind.OTHER_PEDAL, [-40, 90, -250], UNIT, [5, 30, 20])
    poses = pedal_poses()
    np.testing.assert_allclose(side_gap_mm(pad, brake, poses), 35.0)
    np.testing.assert_allclose(side_gap_mm(brake, pad, poses), 35.0)
    step = step_height_mm(pad_centres_mm([-5, 0, -250], poses), [-45, 90, -250], [1, 0, 0])
    assert step[0] == pytest.approx(-40.0)
    assert step[-1] == pytest.approx(-45 + 5 * np.cos(0.4) + 250 * np.sin(0.4))
    with pytest.raises(ValueError, match="no end"):
        side_gap_mm(pad, half_space("floor", Kind.FLOOR, [0, 0, 0], [0, 0, 1]), poses)


def test_wanted_clearance_is_told_with_its_reason() -> None:
    for kind in Kind:
        wanted = wanted_between(Kind.LEVER, kind)
        assert wanted.clearance_mm >= 5.0
        assert wanted.reason and wanted.source
        assert wanted_between(kind, Kind.LEVER) == wanted


BAD = {
    "are the same point": lambda: capsule("rod", Kind.LINK, [1, 2, 3], [1, 2, 3], 4),
    "radius above zero": lambda: capsule("rod", Kind.LINK, [1, 2, 3], [1, 2, 4], 0.0),
    "unit vectors at right angles": lambda: box("b", Kind.OTHER, [0, 0, 0], [[1, 0, 0], [1, 0, 0], [0, 0, 1]], [1] * 3),
    "half sizes above zero": lambda: box("b", Kind.OTHER, [0, 0, 0], UNIT, [1, 0, 1]),
    r"'t': the polygon's edges cross or touch at \(5, 5\) mm": lambda: prism(
        "t", Kind.TANK, [[0, 0], [10, 10], [10, 0], [0, 10]], 0, 5
    ),
    "no area": lambda: prism("t", Kind.TANK, [[0, 0], [10, 10], [20, 20]], 0, 5),
    "at least three": lambda: prism("t", Kind.TANK, [[0, 0], [10, 10], [0, 0]], 0, 5),
    "no thickness": lambda: prism("t", Kind.TANK, [[0, 0], [10, 0], [0, 10]], 5, 5),
    "no length": lambda: half_space("f", Kind.FLOOR, [0, 0, 0], [0, 0, 0]),
    "no turn": lambda: least_clearance(
        [capsule("r", Kind.LEVER, [0, 0, 0], [1, 0, 0], 1, "lever")], [POST], pedal_poses()
    ),
    "no obstacle": lambda: least_clearance([ARM], [], pedal_poses()),
    "no moving body": lambda: least_clearance([], [POST], pedal_poses()),
    "must rise": lambda: Poses([0.0, 0.0], [0.0, 0.0]),
    "does not close": lambda: Poses([0.0, 0.1], [0.0, np.nan]),
    "unit vector": lambda: Turn(np.zeros(3), np.array([0, 2.0, 0]), np.zeros(1)),
    "at least two angles": lambda: swept(POST, Turn(np.zeros(3), UNIT[1], np.zeros(1))),
    "move as one": lambda: joined("j", Kind.OTHER, [ARM, POST]),
}


@pytest.mark.parametrize("said", BAD)
def test_what_cannot_be_is_said(said: str) -> None:
    with pytest.raises(ValueError, match=said):
        BAD[said]()
