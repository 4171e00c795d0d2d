"""A sensor over its whole movement: per cent, agreement, and what the described checks notice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion.description import Missing
from conversion.sensing import noticed, percent_of, sensor_input, short_outputs
from tests.rules.patching import patched_plan


def test_per_cent_is_zero_at_rest_full_at_full_and_never_clipped(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    assert plan.pedal.percent[[0, -1]] == pytest.approx([0.0, 100.0])
    scale = plan.pedal.tracks["a"].scale_v
    assert scale is not None
    assert percent_of(np.array([scale[0] - 0.1]), scale)[0] < 0.0
    assert percent_of(np.array([scale[1] + 0.1]), scale)[0] > 100.0


def test_a_fixed_scale_takes_the_middle_of_the_windows(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["K1: accepts.pedal.scale = fixed"])
    unit = plan.description.control_unit
    assert unit is not None and unit[1].accepts.pedal is not None
    window = unit[1].accepts.pedal.tracks["a"]
    assert window.rest is not None and window.full is not None
    assert plan.pedal.tracks["a"].scale_v == (window.rest.nominal, window.full.nominal)
    # The module rests at other volts than the middle of the window, so the pedal does not rest at 0 %.
    assert plan.pedal.tracks["a"].percent[0] == pytest.approx(
        100 * (plan.pedal.tracks["a"].volts[0] - window.rest.nominal) / (window.full.nominal - window.rest.nominal)
    )


def test_the_control_unit_acts_on_what_it_takes(tmp_path: Path) -> None:
    lines = ["K1: accepts.pedal.scale = fixed"]
    smaller = patched_plan(tmp_path / "s", [*lines, "K1: accepts.pedal.takes = smaller"]).pedal
    larger = patched_plan(tmp_path / "l", [*lines, "K1: accepts.pedal.takes = larger"]).pedal
    mean = patched_plan(tmp_path / "m", [*lines, "K1: accepts.pedal.takes = mean"]).pedal
    both = np.array([track.percent for track in smaller.tracks.values()])
    assert smaller.percent.tolist() == both.min(axis=0).tolist()
    assert larger.percent.tolist() == both.max(axis=0).tolist()
    assert mean.percent == pytest.approx(both.mean(axis=0))


def test_volts_lie_between_their_limits(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    for sweep in (plan.pedal, plan.throttle):
        for track in sweep.tracks.values():
            assert np.all(track.volts_min < track.volts) and np.all(track.volts < track.volts_max)


def test_without_tolerances_there_is_no_band(tmp_path: Path) -> None:
    lines = [
        "B1: tracks.a.output = {rest: 18 %, full: 82 %}", "B1: tracks.a.resistance = 1.6 kohm",
        "B1: tracks.a.source_resistance = 1 kohm", "B1: lever.swing = 24°",
        "K1: supplies.one.voltage = 5 V", "K1: accepts.pedal.tracks.a.pull.resistance = 220 kohm",
        "conversion: linkage.rod = {set_at_rest: 1°}", "conversion: linkage.pedal.full_stop.set_at = 22.5°",
        "conversion: linkage.pedal.pad = [-30 mm, 0 mm, -285 mm]",
        "conversion: linkage.pedal.rod_pin = [8 mm, -12 mm, -78 mm]",
        "conversion: linkage.module.pivot = [146 mm, -48 mm, -20 mm]",
        "conversion: linkage.module.lever_pin = [144 mm, -40 mm, -65 mm]",
    ]  # fmt: skip
    track = patched_plan(tmp_path, lines).pedal.tracks["a"]
    assert np.ptp(track.volts_max - track.volts_min) < 1e-12
    assert np.max(track.volts_max - track.volts_min) < 1e-12


def test_shorted_outputs_meet_between_and_are_noticed_when_the_slopes_differ(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    accepts = sensor_input(plan.description, "pedal")
    assert accepts is not None
    shorted = short_outputs(plan.pedal, accepts)
    a, b = plan.pedal.tracks["a"].volts, plan.pedal.tracks["b"].volts
    assert np.all((shorted.volts < a) & (shorted.volts > b))
    assert shorted.noticed.all()


def test_shorted_outputs_of_equal_tracks_are_not_noticed(tmp_path: Path) -> None:
    lines = [
        "B1: tracks.b.output = {rest: 18.0 % ± 0.8 %, full: 82.0 % ± 0.8 %}",
        "K1: accepts.pedal.tracks.b = {valid: 0.45 V..4.65 V, rest: 0.75 V..1.25 V, full: 3.45 V..4.30 V, "
        "pull: {to: ground, resistance: 220 kohm ± 5 %}}",
    ]
    plan = patched_plan(tmp_path, lines)
    accepts = sensor_input(plan.description, "pedal")
    assert accepts is not None
    assert not short_outputs(plan.pedal, accepts).noticed.any()


def test_an_open_input_and_a_short_to_the_supply_leave_the_valid_range(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    accepts = sensor_input(plan.description, "pedal")
    assert accepts is not None
    sound = {name: track.volts for name, track in plan.pedal.tracks.items()}
    assert not noticed(sound, plan.pedal, accepts).any()
    for volts in (0.0, 5.0):
        assert noticed(sound | {"a": np.full_like(sound["a"], volts)}, plan.pedal, accepts).all()


def test_agreement_in_volts_has_a_factor_and_a_least_difference(tmp_path: Path) -> None:
    agreement = "K1: accepts.pedal.agreement = {of: volts, factor: 2, at_most: 0.35 V, within: 100 ms}"
    plan = patched_plan(tmp_path, [agreement])
    [difference] = plan.pedal.differences
    expected = plan.pedal.tracks["a"].volts - 2 * plan.pedal.tracks["b"].volts
    assert difference.nominal == pytest.approx(expected)
    assert np.all(difference.least <= np.abs(difference.nominal) + 1e-12)
    assert np.all(difference.most >= np.abs(difference.nominal) - 1e-12)


def test_an_unknown_output_is_missing_and_an_unknown_load_is_said(tmp_path: Path) -> None:
    with pytest.raises(Missing, match="rest"):
        _ = patched_plan(tmp_path / "o", ["B1: tracks.a.output.rest = unknown"]).pedal
    plan = patched_plan(tmp_path / "l", ["K1: accepts.pedal.tracks.a.pull = unknown"])
    assert any("pull resistor" in sentence for sentence in plan.pedal_tracks["a"].taken)
    assert plan.pedal_tracks["b"].taken == ()
