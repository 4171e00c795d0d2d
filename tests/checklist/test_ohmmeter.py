"""What the ohmmeter reads, against cases that can be done in the head."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.checklist.ohmmeter import Reading, meter_reading, resistance_between
from conversion.checklist.saying import CannotSay
from conversion.description import Missing
from tests.rules.arrangements import OPPOSITE_SHARED
from tests.rules.patching import patched_plan

OHMS = st.floats(1.0, 1e5)


def test_resistors_in_a_row_and_side_by_side() -> None:
    assert resistance_between([("a", "b", 30.0), ("b", "c", 70.0)], "a", "c") == pytest.approx(100.0)
    assert resistance_between([("a", "b", 30.0), ("a", "b", 60.0)], "a", "b") == pytest.approx(20.0)
    assert resistance_between([("a", "b", 30.0)], "a", "a") == 0.0
    assert math.isinf(resistance_between([("a", "b", 30.0), ("c", "d", 60.0)], "a", "d"))


def test_a_bridge_that_is_not_balanced() -> None:
    """Five resistors 1, 2, 3, 4 and 5 ohm: 1 and 2 from a, 3 and 4 to d, 5 across. By star and delta, 164/71 ohm."""
    bridge = [("a", "b", 1.0), ("a", "c", 2.0), ("b", "d", 3.0), ("c", "d", 4.0), ("b", "c", 5.0)]
    # Delta a-b-c of 1, 2, 5 ohm becomes a star of 2/8, 5/8 and 10/8 ohm.
    star = 2 / 8 + 1 / (1 / (5 / 8 + 3) + 1 / (10 / 8 + 4))
    assert resistance_between(bridge, "a", "d") == pytest.approx(star, abs=1e-5)


@given(st.lists(OHMS, min_size=5, max_size=5), st.integers(0, 4), st.floats(1.01, 10.0))
def test_a_reading_never_falls_when_a_resistor_grows(ohms: list[float], which: int, factor: float) -> None:
    ends = [("a", "b"), ("a", "c"), ("b", "d"), ("c", "d"), ("b", "c")]
    before = resistance_between([(*pair, ohm) for pair, ohm in zip(ends, ohms, strict=True)], "a", "d")
    ohms[which] *= factor
    after = resistance_between([(*pair, ohm) for pair, ohm in zip(ends, ohms, strict=True)], "a", "d")
    assert after >= before - 1e-5 * before


def read(tmp_path: Path, lines: list[str], ends: tuple[str, str], track: str = "a", at: str = "rest") -> Reading:
    return meter_reading(patched_plan(tmp_path, lines).description, "pedal", track, ends, at)  # type: ignore[arg-type]


PLAIN = [
    "B1: tracks.a = {principle: potentiometer, resistance: 2 kohm ± 10 %, source_resistance: 500 ohm, series: 0 ohm,"
    " pull: none, output: {rest: 20 %, full: 80 %}}"
]


def test_a_potentiometer_by_itself(tmp_path: Path) -> None:
    reading = read(tmp_path, PLAIN, ("supply", "ground"))
    assert (reading.nominal_ohm, reading.low_ohm, reading.high_ohm) == pytest.approx((2000.0, 1800.0, 2200.0))


def test_its_wiper_at_both_stops(tmp_path: Path) -> None:
    assert read(tmp_path / "1", PLAIN, ("signal", "ground")).nominal_ohm == pytest.approx(0.2 * 2000 + 500)
    assert read(tmp_path / "2", PLAIN, ("signal", "ground"), at="full").nominal_ohm == pytest.approx(0.8 * 2000 + 500)
    both = read(tmp_path / "3", PLAIN, ("signal", "supply")).nominal_ohm
    assert both == pytest.approx(0.8 * 2000 + 500)


def test_a_pull_resistor_inside_the_module_is_read_as_well(tmp_path: Path) -> None:
    pulled = [PLAIN[0].replace("pull: none", "pull: {to: ground, resistance: 900 ohm}")]
    # 0.2 · 2000 beside 500 + 900, then the rest of the track.
    lower = 1 / (1 / 400 + 1 / 1400)
    assert read(tmp_path / "1", pulled, ("supply", "ground")).nominal_ohm == pytest.approx(lower + 1600, rel=1e-6)
    assert read(tmp_path / "2", pulled, ("signal", "ground")).nominal_ohm == pytest.approx(450.0, rel=1e-6)


def test_tracks_that_share_both_ends_are_one_reading(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, OPPOSITE_SHARED)
    tracks = plan.description.parts["M1"].tracks  # type: ignore[union-attr]
    a, b = tracks["a"].resistance, tracks["b"].resistance
    assert a and b
    reading = meter_reading(plan.description, "throttle", "a", ("supply", "ground"))
    assert reading.nominal_ohm == pytest.approx(1 / (1 / a.nominal + 1 / b.nominal))
    assert reading.low_ohm == pytest.approx(1 / (1 / a.low + 1 / b.low))
    assert reading.high_ohm == pytest.approx(1 / (1 / a.high + 1 / b.high))


def test_what_the_wiper_does_not_carry_is_not_asked_for(tmp_path: Path) -> None:
    lines = [PLAIN[0].replace("source_resistance: 500 ohm", "source_resistance: unknown")]
    assert read(tmp_path / "1", lines, ("supply", "ground")).nominal_ohm == pytest.approx(2000.0)
    with pytest.raises(Missing, match="source_resistance"):
        read(tmp_path / "2", lines, ("signal", "ground"))


def test_a_hall_track_has_no_reading(tmp_path: Path) -> None:
    hall = ["B1: tracks.a = {principle: hall, supply_current: 8 mA, output: {rest: 10 %, full: 90 %}, series: 0 ohm,"
            " source_resistance: 100 ohm, pull: none}"]  # fmt: skip
    with pytest.raises(CannotSay, match="no potentiometer"):
        read(tmp_path, hall, ("supply", "ground"))
