"""Cables that can be seen on paper: round and eccentric quadrants, slack, a used-up groove, over-travel."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import CableMotion, find_events, pedal_angle_for_lever, return_study, solve
from conversion.linkage.springs import ModuleSpring, TorsionSpring
from tests.linkage.kind_cases import CABLE, changed

PEDAL = np.linspace(0.0, 0.4, 41)


def drawn(pedal: np.ndarray) -> np.ndarray:
    """60 mm arm, upright, drawn from 200 mm away."""
    return np.hypot(200 + 60 * np.sin(pedal), 60 * np.cos(pedal) - 60) - 200


def motion_of(**figures: object) -> CableMotion:
    motion = solve(changed(CABLE, **figures), PEDAL)
    assert isinstance(motion, CableMotion)
    return motion


def test_a_round_quadrant_turns_by_what_is_drawn_over_its_radius() -> None:
    motion = motion_of(nipple_at_rest_stop=[300, -40, 0])
    # Opening positive about +z, pulled toward −x from above: the inner leaves the groove at its top.
    assert motion.exists.all()
    np.testing.assert_allclose(motion.lever_angle_rad, drawn(PEDAL) / 40.0, atol=1e-12)
    assert motion.ratio[0] == pytest.approx(60 / 40)
    np.testing.assert_allclose(motion.quantities()["drawn_from_pedal_mm"], drawn(PEDAL), atol=1e-12)
    np.testing.assert_allclose(motion.quantities()["quadrant_arm_mm"], 40.0)


def test_wrap_falls_as_the_lever_opens() -> None:
    """Outer level with the top of the groove, so the inner leaves at the top; nipple a quarter turn behind."""
    motion = motion_of()
    np.testing.assert_allclose(motion.quantities()["wrap_rad"], np.pi / 2 - motion.lever_angle_rad, atol=1e-12)
    top = motion.lever_pin_mm
    np.testing.assert_allclose(top, np.broadcast_to([300.0, 40.0, 0.0], top.shape), atol=1e-9)


def test_slack_is_drawn_first_and_is_told() -> None:
    motion = motion_of(slack_at_rest_mm=3.0)
    loose = drawn(PEDAL) < 3.0
    assert np.all(motion.lever_angle_rad[loose] == 0.0)
    assert np.all(motion.ratio[loose] == 0.0)
    np.testing.assert_allclose(motion.lever_angle_rad[~loose], (drawn(PEDAL)[~loose] - 3.0) / 40, atol=1e-12)
    assert motion.quantities()["slack_mm"][0] == pytest.approx(3.0)
    (event,) = find_events(changed(CABLE, slack_at_rest_mm=3.0), 0.4)
    assert (event.kind, event.pedal_angle_rad, event.lever_angle_rad) == ("slack", 0.0, 0.0)
    assert drawn(np.array(event.until_rad)) == pytest.approx(3.0, abs=1e-9)


def test_a_cable_set_tight_holds_the_lever_off_its_stop() -> None:
    motion = motion_of(slack_at_rest_mm=-2.0)
    assert motion.lever_angle_rad[0] == pytest.approx(2.0 / 40)
    assert find_events(changed(CABLE, slack_at_rest_mm=-2.0), 0.4) == []


def test_an_eccentric_quadrant_pulls_at_a_changing_arm() -> None:
    """Centre 15 mm below the axis at rest: the arm begins at 25 mm and grows as the lever opens."""
    motion = motion_of(groove_centre_at_rest_stop=[300, -15, 0], nipple_at_rest_stop=[340, -15, 0],
                       module_outer_end=[200, 25, 0])  # fmt: skip
    arm = motion.quantities()["quadrant_arm_mm"]
    assert arm[0] == pytest.approx(25.0)
    assert np.all(np.diff(arm[motion.quantities()["wrap_rad"] > 0]) > 0.0)
    assert motion.ratio[0] == pytest.approx(60 / 25)


def test_beyond_the_groove_the_nipple_alone_pulls() -> None:
    short = {"nipple_at_rest_stop": [300 + 40 * np.sin(0.2), 40 * np.cos(0.2), 0]}
    motion = motion_of(**short)
    events = find_events(changed(CABLE, **short), 0.4)
    (event,) = events
    assert event.kind == "unwrapped"
    assert event.lever_angle_rad == pytest.approx(0.2, abs=1e-9)
    assert drawn(np.array(event.pedal_angle_rad)) == pytest.approx(40 * 0.2, abs=1e-8)
    # From there the nipple turns on a circle about the axis, drawn straight toward the outer.
    nipple = motion.link_lines_mm()[1][-1, -1]
    straight = np.linalg.norm(nipple - CABLE.module_outer_end)
    # At rest the straight part is 100 mm and 8 mm lie in the groove.
    assert straight == pytest.approx(100.0 + 8.0 - drawn(PEDAL)[-1])


def test_past_the_dead_centre_of_the_quadrant_nothing_more_can_be_drawn() -> None:
    """A small quadrant, a short groove: the nipple comes to point at the outer."""
    small = changed(CABLE, groove_radius_mm=12.0, nipple_at_rest_stop=[300, 12, 0], module_outer_end=[200, 12, 0])
    far = np.hypot(100.0, 12.0)
    possible = 100.0 - (far - 12.0)
    lock, gap = [event for event in find_events(small, 0.4) if event.kind in ("lock", "no-solution")]
    assert lock.kind == "lock"
    assert drawn(np.array(lock.pedal_angle_rad)) == pytest.approx(possible, abs=1e-8)
    assert gap.until_rad == 0.4
    assert np.isnan(solve(small, [0.4]).lever_angle_rad[0])


def test_a_pedal_that_goes_over_centre_gives_back() -> None:
    """The arm starts 20° before it points straight away from the outer."""
    start = np.radians(70.0)
    pin = [60 * np.sin(start), 60 * np.cos(start), 0.0]
    linkage = changed(CABLE, pedal_pin_at_rest=pin, pedal_outer_end=[-200, 0, 0])
    (event,) = [event for event in find_events(linkage, 0.6) if event.kind == "reversal"]
    assert event.pedal_angle_rad == pytest.approx(np.radians(20.0), abs=1e-9)


def test_the_over_travel_spring_gives_way_at_the_levers_stop() -> None:
    spring = {"over_travel_from_rad": 0.3, "over_travel_preload_n": 60.0, "over_travel_rate_n_per_mm": 2.0}
    motion = motion_of(**spring)
    beyond = drawn(PEDAL) / 40 > 0.3
    assert beyond.any()
    assert np.all(motion.lever_angle_rad[beyond] == 0.3)
    assert np.all(motion.ratio[beyond] == 0.0)
    out = motion.quantities()["over_travel_mm"]
    np.testing.assert_allclose(out[beyond], drawn(PEDAL)[beyond] - 12.0, atol=1e-9)
    np.testing.assert_allclose(motion.quantities()["over_travel_force_n"][beyond], 60.0 + 2.0 * out[beyond])
    assert np.all(out[~beyond] == 0.0)


def test_the_over_travel_spring_is_felt_at_the_pad_and_stores_its_energy() -> None:
    pedal = np.linspace(0.0, 0.4, 20001)
    linkage = changed(CABLE, over_travel_from_rad=0.3, over_travel_preload_n=60.0, over_travel_rate_n_per_mm=2.0)
    springs = [TorsionSpring("S1", 1.0, 0.0), ModuleSpring("inner", 0.5, 0.5, 0.5)]
    study = return_study(linkage, pedal, springs=springs, pad_radius_mm=250.0)
    work = np.trapezoid(study.pad_force_pressing_n, pedal * 0.25)
    out = drawn(np.array([0.4]))[0] - 12.0
    stored = 1.0 * 0.4 + 0.5 * 0.3 + (60.0 * out + out**2) / 1000.0
    assert work == pytest.approx(stored, abs=2e-4)
    assert study.link_force_n[-1] == pytest.approx(60.0 + 2.0 * out)
    assert study.link_force_n[0] == pytest.approx(0.5 / 0.04)


def test_pedal_angle_of_the_modules_stop() -> None:
    pedal = pedal_angle_for_lever(changed(CABLE, slack_at_rest_mm=3.0), [0.25])
    assert drawn(pedal)[0] == pytest.approx(3.0 + 40 * 0.25, abs=1e-9)


def test_an_outer_that_ends_inside_the_quadrant_does_not_work() -> None:
    assert not solve(changed(CABLE, module_outer_end=[310, 0, 0]), PEDAL).exists.any()


@pytest.mark.parametrize(
    ("figures", "says"),
    [
        ({"groove_radius_mm": 0.0}, "groove_radius_mm must be positive"),
        ({"groove_centre_at_rest_stop": [300, 41, 0]}, "must lie inside the circle"),
        ({"over_travel_preload_n": -1.0}, "must not be negative"),
        ({"over_travel_from_rad": 0.0}, "over_travel_from_rad must be positive"),
    ],
)
def test_a_cable_that_is_none_is_refused(figures: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        changed(CABLE, **figures)
