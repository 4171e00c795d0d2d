"""Dead centres, reversals and stretches without solution, where geometry on paper puts them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given

from conversion.linkage import Event, RodLinkage, find_events, solve
from tests.linkage.cases import four_bar, one_linkage, random_linkages

# Distance from crank pin to lever pivot decides: 60 crank on 100 ground, 120 away when rod 70 and lever 50
# are in one line.
SHORT = four_bar(60, 70, 50, 100, np.radians(40), np.radians(100))
LOCK = np.arccos((60**2 + 100**2 - 120**2) / (2 * 60 * 100)) - np.radians(40)
# A crank of 40 and a rod of 120 in one line, folded: the rocker of 80 on 100 ground is at its far end.
ROCKER = four_bar(40, 120, 80, 100, np.radians(40), np.radians(57.3))
OVER = np.pi + np.arccos((80**2 + 100**2 - 80**2) / (2 * 80 * 100)) - np.radians(40)


def kinds(events: list[Event]) -> list[str]:
    return [event.kind for event in events]


def test_rod_and_lever_in_one_line_lock_and_beyond_it_the_rod_is_short() -> None:
    lock, beyond = find_events(SHORT, np.radians(80))
    assert (lock.kind, beyond.kind, beyond.rod) == ("lock", "no-solution", "short")
    assert lock.pedal_angle_rad == pytest.approx(LOCK, abs=1e-9)
    assert (beyond.pedal_angle_rad, beyond.until_rad) == (lock.pedal_angle_rad, np.radians(80))
    # In one line with the rod, the lever points straight at the crank pin.
    pin = solve(SHORT, [lock.pedal_angle_rad]).pedal_pin_mm[0]
    pointing = np.arctan2(pin[1], pin[0] - 100) - np.radians(100)
    assert lock.lever_angle_rad == pytest.approx(pointing, abs=1e-6)


def test_folded_rod_and_lever_lock_and_beyond_it_the_rod_is_long() -> None:
    """Crank pin nearer to the lever's pivot than rod less lever, 100 − 40 = 60 mm."""
    linkage = four_bar(80, 100, 40, 120, np.radians(60), np.radians(120), pedal_sense=-1)
    nearest = np.arccos((80**2 + 120**2 - 60**2) / (2 * 80 * 120))
    lock, beyond = find_events(linkage, np.radians(50))
    assert lock.pedal_angle_rad == pytest.approx(np.radians(60) - nearest, abs=1e-9)
    assert (lock.kind, beyond.kind, beyond.rod) == ("lock", "no-solution", "long")


def test_pedal_over_centre_turns_the_lever_back_though_the_rod_closes_all_the_way() -> None:
    (event,) = find_events(ROCKER, np.radians(300))
    assert event.kind == "reversal"
    assert event.pedal_angle_rad == pytest.approx(OVER, abs=1e-9)
    around = solve(ROCKER, [OVER - 0.01, OVER, OVER + 0.01])
    assert around.exists.all()
    assert np.sign(around.ratio[0]) == -np.sign(around.ratio[2])
    # What |r| > m watches is nowhere near its limit.
    assert around.reach.min() > 0.5


def test_a_whole_turn_of_the_crank_reverses_twice() -> None:
    assert kinds(find_events(ROCKER, 2 * np.pi - 1e-3)) == ["reversal", "reversal"]


@pytest.mark.parametrize("short_of_it", [0.0, 1e-3])
def test_an_event_at_the_end_counts_and_one_after_it_does_not(short_of_it: float) -> None:
    assert kinds(find_events(SHORT, LOCK - short_of_it)) == ([] if short_of_it else ["lock"])
    assert kinds(find_events(ROCKER, OVER - short_of_it)) == ([] if short_of_it else ["reversal"])


def test_an_event_at_rest_counts() -> None:
    """Crank and rod in one line at rest, 60 and 100 mm, toward a lever pin 160 mm away and 80 mm above ground."""
    stretched = np.arcsin(80 / 160)
    linkage = four_bar(60, 100, 80, 160 * np.cos(stretched), stretched, np.pi / 2)
    (event,) = find_events(linkage, 0.3)
    assert event.kind == "reversal"
    assert event.pedal_angle_rad == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("arm", [30.0, 31.7, 33.3, 47.1, 58.9, 61.3])
@pytest.mark.parametrize("start", [1.1, 1.4, np.pi / 2])
def test_a_dead_centre_that_is_only_touched_is_found(arm: float, start: float) -> None:
    """A parallelogram folded flat: the discriminant comes down to zero, but for rounding, and goes up again."""
    flat = four_bar(arm, 83.1, arm, 83.1, start, start)
    (event,) = find_events(flat, 2.5)
    assert event.kind == "lock"
    assert event.pedal_angle_rad == pytest.approx(np.pi - start, abs=1e-6)


def test_a_gap_much_narrower_than_a_step_is_found() -> None:
    """A crank pin that passes a hair nearer to the lever's pivot than rod less lever."""
    linkage = four_bar(60, 80 + 1e-6, 40, 100, -0.5, np.radians(170))
    end = 1.0014
    assert not np.any(~solve(linkage, np.linspace(0.0, end, 721)).exists)
    found = find_events(linkage, end)
    assert kinds(found) == ["lock", "no-solution", "lock"]
    assert found[0].pedal_angle_rad < 0.5 < found[2].pedal_angle_rad
    assert found[2].pedal_angle_rad - found[0].pedal_angle_rad < 1e-3


def test_a_rod_that_never_fits() -> None:
    short = four_bar(40, 100, 60, 300, np.pi / 2, np.pi / 2)
    long = four_bar(40, 500, 60, 300, np.pi / 2, np.pi / 2)
    assert find_events(short, 0.5)[0].rod == "short"
    assert find_events(long, 0.5)[0].rod == "long"
    assert [(event.pedal_angle_rad, event.until_rad) for event in find_events(long, 0.5)] == [(0.0, 0.5)]


def test_an_ordinary_travel_has_none() -> None:
    assert find_events(four_bar(60, 200, 60, 200, np.pi / 2, np.pi / 2), 0.4) == []


@given(one_linkage)
def test_events_are_where_a_fine_sweep_shows_them(linkage: RodLinkage) -> None:
    end = 0.6
    events = find_events(linkage, end)
    sweep = solve(linkage, np.linspace(0.0, end, 2001))
    gaps = [event for event in events if event.kind == "no-solution"]
    inside_gap = np.zeros(2001, bool)
    for gap in gaps:
        # A dead centre still closes, so it belongs to the gap only where the travel cuts the gap off.
        after = sweep.pedal_angle_rad > (gap.pedal_angle_rad or -1.0)
        inside_gap |= after & ((sweep.pedal_angle_rad < gap.until_rad) | (gap.until_rad == end))
    assert np.array_equal(~sweep.exists, inside_gap)
    turning = np.sign(sweep.ratio)
    both = np.isfinite(turning[1:]) & np.isfinite(turning[:-1])
    changes = np.count_nonzero(both & (turning[1:] != turning[:-1]))
    assert changes <= kinds(events).count("reversal")
    for event in events:
        at = solve(linkage, [event.pedal_angle_rad])
        if event.kind == "lock":
            assert abs(at.reach[0]) < 1e-7
        if event.kind == "reversal":
            assert abs(at.reversal_measure[0]) < 1e-7


def test_bad_questions_are_refused() -> None:
    with pytest.raises(ValueError, match="one linkage"):
        find_events(random_linkages(2, seed=1), 0.3)
    with pytest.raises(ValueError, match="positive"):
        find_events(SHORT, 0.0)
