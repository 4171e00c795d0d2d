"""Offsets of shared lines that no check notices, against figures that can be worked out by hand."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.description.parts import Agreement, SensorInput, TrackInput
from conversion.quantities import parse
from conversion.sensing import SensorSweep, TrackSweep
from conversion.sensing.line_offset import worst_unnoticed_offset

OPENING = np.linspace(0.0, 1.0, 5)
SUPPLY = {"a": 5.0, "b": 5.0}
STEP_V = 0.02


def track(rest_v: float, full_v: float) -> TrackSweep:
    volts = rest_v + (full_v - rest_v) * OPENING
    percent = 100.0 * OPENING
    return TrackSweep(volts, volts, volts, percent, percent, percent, np.zeros(5), (rest_v, full_v))


def sweep(**tracks: TrackSweep) -> SensorSweep:
    return SensorSweep(OPENING, tracks, 100.0 * OPENING, ())


def accepts(valid: str, names: str, at_most: str | None = None) -> SensorInput:
    window = parse(valid, "voltage")
    inputs = {name: TrackInput(valid=window, rest="unknown", full="unknown") for name in names}
    agreement = None
    if at_most is not None:
        agreement = Agreement(of="percent", at_most=parse(at_most, "ratio"), within=parse("90 ms", "time"))
    return SensorInput(tracks=inputs, takes="larger", scale="learned", agreement=agreement)


def test_a_lone_track_loses_its_supply_down_to_the_end_of_the_valid_range() -> None:
    worst = worst_unnoticed_offset(sweep(a=track(0.5, 4.5)), accepts("0.25 V..4.75 V", "a"), {"a": 5.0}, "supply")
    # From 4.5 V at the open plate down to the last step above 0.25 V, as a share of 4 V.
    assert worst.index == 4
    assert worst.error_percent == pytest.approx(-106.25, abs=100.0 * 4.5 / 5.0 * STEP_V / 4.0)
    assert worst.offset_v == pytest.approx(5.0 * (1.0 - 0.25 / 4.5), abs=STEP_V)


def test_opposite_slopes_notice_when_the_sum_of_both_shifts_reaches_the_limit() -> None:
    both = sweep(a=track(0.5, 4.5), b=track(4.5, 0.5))
    worst = worst_unnoticed_offset(both, accepts("0 V..5 V", "ab", "8 %"), SUPPLY, "ground")
    # a and b share 5 V between them, so a rise d of the ground parts them by 25 % a volt: 8 % at 0.32 V, where the
    # rising track, at 0.5 V, has moved by 0.32 V · 0.9 / 4 V.
    assert worst.offset_v == pytest.approx(0.32, abs=1.01 * STEP_V)
    assert worst.error_percent == pytest.approx(7.2, abs=0.5)
    assert worst.index == 0


def test_a_proportional_second_track_does_not_notice_a_sagging_supply() -> None:
    both = sweep(a=track(0.5, 4.5), b=track(0.25, 2.25))
    worst = worst_unnoticed_offset(both, accepts("0.2 V..5 V", "ab", "8 %"), SUPPLY, "supply")
    # b reaches the end of its valid range with a at 0.4 V: the whole way from 4.5 V.
    assert worst.error_percent == pytest.approx(-100.0 * 4.1 / 4.0, abs=0.5)


def test_a_track_on_a_line_of_its_own_contradicts_the_one_that_sags() -> None:
    both = sweep(a=track(0.5, 4.5), b=track(0.25, 2.25))
    worst = worst_unnoticed_offset(both, accepts("0.2 V..5 V", "ab", "8 %"), {"a": 5.0}, "supply")
    # The larger of the two is acted on, and that is the sound one.
    assert worst.error_percent == pytest.approx(0.0)


def test_where_every_offset_is_noticed_nothing_is_left() -> None:
    worst = worst_unnoticed_offset(sweep(a=track(0.5, 4.5)), accepts("4.9 V..5 V", "a"), {"a": 5.0}, "supply")
    assert (worst.offset_v, worst.error_percent) == (0.0, 0.0)
