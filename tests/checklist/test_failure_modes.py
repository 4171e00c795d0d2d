"""Failure modes: what the described checks notice, in cases that can be followed by hand."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from conversion import resources
from conversion.checklist import ABOUT_FAILURE_MODES, FailureMode, failure_modes
from conversion.checklist.failure.judging import judge_lever_at_rest, judge_shorted, judge_tracks
from conversion.checklist.job import Job
from conversion.description import read_description
from conversion.plan import Plan
from conversion.quantities import show
from tests.rules.arrangements import OPPOSITE_SHARED
from tests.rules.patching import patched_plan


def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def modes(plan: Plan) -> dict[str, FailureMode]:
    found = failure_modes(plan)
    assert len({mode.key for mode in found}) == len(found)
    return {mode.key: mode for mode in found}


def judged(tmp_path: Path, lines: list[str], tracks: tuple[str, ...], fault: str):  # type: ignore[no-untyped-def]
    return judge_tracks(Job(patched_plan(tmp_path, lines), ()), "pedal", tracks, fault)  # type: ignore[arg-type]


# Two exact tracks, 10..90 % and 5..45 % of 5 V: 0.5..4.5 V and 0.25..2.25 V. Nothing between the signal and the input
# loads them, the full sweep is used, and the scale is fixed at those volts.
EXACT = [
    "B1: tracks.a = {principle: potentiometer, resistance: 1 kohm, source_resistance: 100 ohm, series: 0 ohm,"
    " pull: none, output: {rest: 10 %, full: 90 %}}",
    "B1: tracks.b = {principle: potentiometer, resistance: 1 kohm, source_resistance: 100 ohm, series: 0 ohm,"
    " pull: none, output: {rest: 5 %, full: 45 %}}",
    "B1: lever.swing = 24°",
    "conversion: linkage.rod.set_at_rest = 0°",
    "conversion: linkage.pedal.full_stop.set_at = 23.999°",
    "K1: supplies.one.voltage = 5 V",
    "K1: supplies.two.voltage = 5 V",
    "K1: accepts.pedal = {takes: larger, scale: learned, agreement: {of: percent, at_most: 10 %, within: 90 ms},"
    " tracks: {a: {valid: 0.4 V..4.6 V, rest: 0.4 V..0.6 V, full: 4.4 V..4.6 V, pull: none},"
    " b: {valid: 0.2 V..2.4 V, rest: 0.2 V..0.3 V, full: 2.2 V..2.3 V, pull: none}}}",
]


def test_every_kind_of_failure_is_there() -> None:
    keys = modes(van()).keys()
    for track in ("pedal-a", "pedal-b", "throttle-a", "throttle-b"):
        assert {f"{track}-open", f"{track}-to-ground", f"{track}-to-supply"} <= keys
    assert {"pedal-a-b-shorted", "throttle-a-b-shorted"} <= keys
    assert {"pedal-stuck", "rod-off", "spring-main", "spring-second", "spring-inside-1", "spring-inside-2"} <= keys
    assert {"motor-unplugged", "motor-to-supply", "plate-spring", "feed-lost", "brake-lost", "stop-fails"} <= keys
    assert {"lamp-dead", "relay-stays", "clutch-lost"} <= keys


def test_a_shared_supply_fails_for_both_tracks_at_once(tmp_path: Path) -> None:
    keys = modes(patched_plan(tmp_path, OPPOSITE_SHARED)).keys()
    assert {"pedal-a-supply-lost", "pedal-b-supply-lost", "throttle-a-b-supply-lost"} <= keys
    assert "throttle-a-supply-lost" not in keys


def test_supplies_of_their_own_fail_one_at_a_time() -> None:
    keys = modes(van()).keys()
    assert {"throttle-a-supply-lost", "throttle-b-supply-lost"} <= keys
    assert "throttle-a-b-supply-lost" not in keys


def test_each_mode_says_what_the_driver_sees_and_does() -> None:
    for mode in modes(van()).values():
        assert all((mode.title, mode.happens, mode.unit_notices, mode.driver_notices, mode.driver_does)), mode.key


def test_it_speaks_of_the_described_checks_alone() -> None:
    assert "the checks that the description ascribes" in ABOUT_FAILURE_MODES
    assert "nothing of the control unit's real software" in ABOUT_FAILURE_MODES


def test_a_floating_input_is_undetermined_and_taken_at_its_worst(tmp_path: Path) -> None:
    found = judged(tmp_path, EXACT, ("a",), "open")
    assert found.reads_v == {"a": None} and not found.determined
    # Track b holds the true per cent; anything within 10 points of it passes, and the larger is taken.
    assert found.verdict == "dangerous"
    assert 8.0 < found.worst_percent <= 10.0


def test_a_pull_to_ground_below_the_valid_range_is_noticed(tmp_path: Path) -> None:
    lines = [*EXACT, "K1: accepts.pedal.tracks.a.pull = {to: ground, resistance: 1 Mohm}"]
    found = judged(tmp_path, lines, ("a",), "open")
    assert found.reads_v == {"a": (0.0, 0.0)}
    assert found.verdict == "noticed" and found.unnoticed == 0.0


def test_a_pull_to_supply_that_reads_full_is_dangerous_without_checks(tmp_path: Path) -> None:
    lines = [
        *EXACT,
        "K1: accepts.pedal.agreement removed",
        "K1: accepts.pedal.tracks.a.pull = {to: supply, resistance: 1 Mohm}",
        "K1: accepts.pedal.tracks.a.valid = 0 V..5 V",
    ]
    found = judged(tmp_path, lines, ("a",), "open")
    assert found.unnoticed == 1.0
    # 5 V on a scale of 0.5 V to 4.5 V is 112.5 %, and the released pedal asks for nothing. The pull loads track a a
    # little, so the scale that is learned is not quite that.
    assert found.worst_percent == pytest.approx(112.5, abs=0.2)


def test_taking_the_smaller_makes_the_same_fault_harmless(tmp_path: Path) -> None:
    lines = [
        *EXACT,
        "K1: accepts.pedal.takes = smaller",
        "K1: accepts.pedal.agreement removed",
        "K1: accepts.pedal.tracks.a.valid = 0 V..5 V",
    ]
    assert judged(tmp_path, lines, ("a",), "to-supply").verdict == "harmless"


def test_a_lost_ground_reads_the_supply(tmp_path: Path) -> None:
    found = judged(tmp_path, EXACT, ("b",), "ground-lost")
    assert found.reads_v == {"b": (5.0, 5.0)}
    assert found.verdict == "noticed"


def test_shorted_outputs_meet_between_the_two(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, EXACT)
    found = judge_shorted(Job(plan, ()), "pedal", "a", "b")
    low, high = found.reads_v["a"] or (0.0, 0.0)
    assert 0.25 < low < 0.5 and 2.25 < high < 4.5
    # At full, a reads too low for b's range: the valid range of b notices; at rest, a below its own range does.
    assert found.verdict == "noticed"


def test_opposite_slopes_that_cross_hide_a_short(tmp_path: Path) -> None:
    """Throttle tracks that cross at half: shorted, both read half for ever, and the plate runs open."""
    plan = patched_plan(tmp_path, OPPOSITE_SHARED)
    found = judge_shorted(Job(plan, ()), "throttle", "a", "b")
    assert found.unnoticed == 1.0
    assert found.worst_percent == pytest.approx(50.0, abs=2.0)
    assert modes(plan)["throttle-a-b-shorted"].verdict == "not noticed, dangerous side"


def test_half_the_slope_shows_a_short() -> None:
    """The van's throttle: touching, track b reads far above its share of track a, at every opening."""
    found = judge_shorted(Job(van(), ()), "throttle", "a", "b")
    assert found.determined and found.unnoticed == 0.0
    assert modes(van())["throttle-a-b-shorted"].verdict == "noticed"


def test_a_throttle_track_that_reads_low_opens_the_plate_further(tmp_path: Path) -> None:
    lines = [
        "K1: accepts.throttle.takes = smaller",
        "K1: accepts.throttle.agreement removed",
        "K1: accepts.throttle.tracks.a.valid = 0 V..5 V",
    ]
    plan = patched_plan(tmp_path, lines)
    found = judge_tracks(Job(plan, ()), "throttle", ("a",), "to-ground")
    scale = plan.throttle.tracks["a"].scale_v
    assert scale is not None and found.verdict == "dangerous"
    # 0 V counts as this much below closed; asked for full, the plate stands fully open and still looks shut.
    below = 100.0 * scale[0] / (scale[1] - scale[0])
    assert found.worst_percent == pytest.approx(100.0 + below, rel=1e-6)


def test_a_lever_at_its_own_stop_looks_like_a_released_pedal() -> None:
    plan = van()
    found = judge_lever_at_rest(Job(plan, ()))
    for name, track in plan.pedal_tracks.items():
        assert found.reads_v[name] == pytest.approx([float(track.model.volts(np.array([0.0]))[0])] * 2)
    mode = modes(plan)["rod-off"]
    assert mode.verdict == "not noticed, harmless side"
    alone = next(case for case in plan.returns.cases if case.half == "module")
    assert show(alone.margin_nm, "moment") in mode.happens


def test_a_lever_without_a_spring_may_stay_where_it_was(tmp_path: Path) -> None:
    mode = modes(patched_plan(tmp_path, ["B1: lever.springs = {count: 0, rest_moment: 0 N·m, full_moment: 0 N·m,"
                                         " inside: module}"]))["rod-off"]  # fmt: skip
    assert "may stay where it was" in mode.happens


def test_the_motor_unplugged_leaves_the_plate_where_the_springs_hold_it() -> None:
    body = van().description.throttle_body
    assert body and body[1].unpowered and body[1].unpowered.opening
    assert show(body[1].unpowered.opening.nominal, "ratio") in modes(van())["motor-unplugged"].happens


@pytest.mark.parametrize(
    ("line", "key", "missing"),
    [
        ("K1: accepts.pedal.tracks.a.pull = unknown", "pedal-a-open", "K1: accepts.pedal.tracks.a.pull"),
        ("K1: accepts.pedal.tracks.b.valid = unknown", "pedal-a-b-shorted", "K1: accepts.pedal.tracks.b.valid"),
        (
            "K1: accepts.throttle.agreement.at_most = unknown",
            "throttle-a-open",
            "K1: accepts.throttle.agreement.at_most",
        ),
        ("B1: lever.springs.rest_moment = unknown", "spring-main", "B1: lever.springs.rest_moment"),
    ],
)
def test_a_missing_figure_leaves_the_mode_and_is_named(tmp_path: Path, line: str, key: str, missing: str) -> None:
    mode = modes(patched_plan(tmp_path, [line]))[key]
    assert f"cannot be said: {missing} is not known" in mode.happens + mode.unit_notices
    if not key.startswith("spring"):
        assert mode.verdict == "unsaid" and "Brake" in mode.driver_does


def test_what_can_be_tried_with_the_engine_off() -> None:
    found = modes(van())
    assert {key for key, mode in found.items() if mode.track} == {
        "pedal-a-open", "pedal-b-open", "throttle-a-open", "throttle-b-open",
    }  # fmt: skip
    assert found["motor-unplugged"].try_it and not found["pedal-stuck"].try_it
