"""Laws of the rules on the range: windows move with the volts, the lever moves both tracks, causes are told once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conversion.description import Missing
from conversion.plan import Plan
from conversion.rules import Finding, all_rules
from tests.rules.arrangements import OPPOSITE_SHARED
from tests.rules.patching import patched_plan

RANGE = {rule.name: rule for rule in all_rules() if rule.name.startswith("range/")}
SOME = settings(max_examples=15, suppress_health_check=[HealthCheck.function_scoped_fixture])


def found(plan: Plan, *but: str) -> list[Finding]:
    return [finding for name, rule in RANGE.items() if name not in but for finding in rule.find(plan)]


def test_swapped_tracks_are_told_once(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            "B1: tracks.a.output = {rest: 9 % ± 0.5 %, full: 41 % ± 0.5 %}",
            "B1: tracks.b.output = {rest: 18 % ± 0.5 %, full: 82 % ± 0.5 %}",
        ],
    )
    said = [finding.rule for finding in found(plan, "range/outside-valid", "range/near-valid-limit")]
    assert said == ["range/tracks-swapped"]


def test_a_reversed_track_is_told_once(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["B1: tracks.b.output = {rest: 41 % ± 0.5 %, full: 9 % ± 0.5 %}"])
    assert [finding.rule for finding in found(plan, "range/outside-valid")] == ["range/polarity-reversed"]


@SOME
@given(by=st.floats(-0.3, 0.3))
def test_a_window_that_moves_with_the_volts_is_kept(by: float, tmp_path_factory: pytest.TempPathFactory) -> None:
    """Rest 0.90 V, full 4.10 V: the windows are moved along with the output, so nothing is found at either end."""
    rest, full = 18.0 + 20.0 * by, 82.0 + 20.0 * by
    lines = [
        f"B1: tracks.a.output = {{rest: {rest:.3f} %, full: {full:.3f} %}}",
        f"K1: accepts.pedal.tracks.a.rest = {0.75 + by:.3f} V..{1.25 + by:.3f} V",
        f"K1: accepts.pedal.tracks.a.full = {3.45 + by:.3f} V..{4.30 + by:.3f} V",
    ]
    plan = patched_plan(tmp_path_factory.mktemp("van"), lines)
    for name in ("range/rest-window", "range/full-window", "range/window-margin", "range/polarity-reversed"):
        assert not RANGE[name].find(plan)


def test_the_worst_case_is_told_apart_from_the_plan(tmp_path: Path) -> None:
    planned = float(patched_plan(tmp_path / "v", []).pedal.tracks["a"].volts[0])
    inside = patched_plan(
        tmp_path / "in", [f"K1: accepts.pedal.tracks.a.rest = {planned - 0.01} V..{planned + 0.01} V"]
    )
    outside = patched_plan(
        tmp_path / "out", [f"K1: accepts.pedal.tracks.a.rest = {planned + 0.3} V..{planned + 0.4} V"]
    )
    assert RANGE["range/window-margin"].find(inside) and not RANGE["range/rest-window"].find(inside)
    assert RANGE["range/rest-window"].find(outside) and not RANGE["range/window-margin"].find(outside)


def test_one_missing_figure_is_said_once_and_hides_nothing(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        ["conversion: linkage.rod.set_at_rest = unknown", "K1: accepts.throttle.tracks.a.valid = 0.60 V..4.75 V"],
    )
    said = RANGE["range/outside-valid"].find(plan)
    assert [(finding.subject, finding.decided) for finding in said] == [
        ("M1 track a", True), ("linkage.rod.set_at_rest", False),
    ]  # fmt: skip


def test_an_unsolved_travel_leaves_no_nan_in_any_message(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            "conversion: linkage.module.lever_pin = [144 mm, -44 mm, -35 mm]",
            "conversion: linkage.pedal.full_stop = {at: 100 mm, origin: made}",
        ],
    )
    assert np.isnan(plan.travel.lever_rad).any()
    everything = [finding for rule in all_rules() for finding in rule.find(plan)]
    assert not [finding for finding in everything if "nan" in finding.message.replace("than", "")]
    pedal = [finding for finding in found(plan) if finding.subject == "linkage"]
    assert {finding.rule for finding in pedal} >= {"range/outside-valid", "range/rest-window", "range/false-alarm"}
    assert not any(finding.decided for finding in pedal)
    assert all("locks at 83.0 mm of pad travel" in finding.message for finding in pedal)


def test_a_lever_that_moves_both_tracks_is_no_disagreement(tmp_path: Path) -> None:
    """The difference of the tracks grows by the change of it along the band, not by the band of each track."""
    volts = ["K1: accepts.pedal.agreement = {of: volts, factor: 2, at_most: 0.5 V, within: 90 ms}"]
    free = ["conversion: linkage.rod = {length: 140.23 mm ± 0.5 mm}"]
    stop = ["conversion: linkage.pedal.full_stop = {at: 58 mm, origin: made}"]
    sure = patched_plan(tmp_path / "sure", [*volts, *stop]).pedal
    doubtful = patched_plan(tmp_path / "free", [*volts, *stop, *free]).pedal
    band = np.ptp([doubtful.tracks["a"].volts_min, doubtful.tracks["a"].volts_max], axis=0).max()
    assert band > 1.0
    assert doubtful.differences[0].most.max() < sure.differences[0].most.max() + 0.05


def test_a_supply_gives_what_its_tracks_draw(tmp_path: Path) -> None:
    """5.05 V over 1.6 kΩ less 10 % is 3.507 mA, and over 220 kΩ less 5 % another 0.024 mA."""
    loads = patched_plan(tmp_path, OPPOSITE_SHARED).supply_loads
    assert loads[0].draws_a[("B1", "a")] == pytest.approx(5.05 / 1440 + 5.05 / 209e3, rel=1e-12)
    assert loads[2].total_a == pytest.approx(2 * (5.05 / 1600 + 5.05 / 209e3), rel=1e-12)


def test_a_track_that_no_supply_feeds_is_missing(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["K1: supplies.two removed"])
    with pytest.raises(Missing, match=r"no supply of K1 feeds 'pedal\.b\.supply'"):
        _ = plan.pedal
    assert not any(finding.decided for finding in RANGE["range/rest-window"].find(plan))


@pytest.mark.parametrize(("resistance", "inside"), [("220 kohm", False), ("100 kohm", False), ("10 kohm", True)])
def test_an_open_ground_is_pulled_back_by_a_strong_resistor(resistance: str, inside: bool, tmp_path: Path) -> None:
    """With its ground open a track of 1.6 kΩ hangs on 5 V: 5 · 10 / (10 + 1 + up to 1.4) is 4.0 V or more."""
    plan = patched_plan(tmp_path, [f"K1: accepts.pedal.tracks.a.pull = {{to: ground, resistance: {resistance}}}"])
    assert bool(RANGE["range/valid-too-wide"].find(plan)) is inside
