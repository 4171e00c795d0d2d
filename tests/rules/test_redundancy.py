"""Laws of the rules on redundancy: what a name, an order or a scale must not change, and what the checks let pass."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from conversion.plan import Plan
from conversion.rules import Finding, Rule, all_rules
from tests.rules.patching import patched_plan

REDUNDANCY = [rule for rule in all_rules() if rule.name.startswith("redundancy/")]
BY_NAME = {rule.name: rule for rule in REDUNDANCY}
ONE_FOLDER = settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])

# Track a and track b change places, in the module and in the control unit.
SWAPPED_NAMES = [
    "B1: tracks = {a: {principle: potentiometer, resistance: 1.8 kohm ± 10 %, source_resistance: 1.0 kohm ± 20 %,"
    " output: {rest: 9.0 % ± 0.5 %, full: 41.0 % ± 0.5 %}, series: 0 ohm, pull: none},"
    " b: {principle: potentiometer, resistance: 1.6 kohm ± 10 %, source_resistance: 1.0 kohm ± 20 %,"
    " output: {rest: 18.0 % ± 0.8 %, full: 82.0 % ± 0.8 %}, series: 0 ohm, pull: none}}",
    "K1: accepts.pedal.tracks = {a: {valid: 0.22 V..2.50 V, rest: 0.38 V..0.65 V, full: 1.70 V..2.20 V,"
    " pull: {to: ground, resistance: 220 kohm ± 5 %}},"
    " b: {valid: 0.45 V..4.65 V, rest: 0.75 V..1.25 V, full: 3.45 V..4.30 V,"
    " pull: {to: ground, resistance: 220 kohm ± 5 %}}}",
]


def found(plan: Plan, rules: list[Rule]) -> list[Finding]:
    return [finding for rule in rules for finding in rule.find(plan)]


def outputs(a: tuple[float, float], b: tuple[float, float]) -> list[str]:
    return [
        f"B1: tracks.{name}.output = {{rest: {rest:.3f} %, full: {full:.3f} %}}"
        for name, (rest, full) in (("a", a), ("b", b))
    ]


def test_the_names_of_the_tracks_do_not_matter(tmp_path: Path) -> None:
    rules = [rule for rule in all_rules() if rule.name.split("/")[0] in ("redundancy", "range", "travel")]
    assert found(patched_plan(tmp_path / "as-it-is", []), rules) == []
    assert found(patched_plan(tmp_path / "swapped", SWAPPED_NAMES), rules) == []


@pytest.mark.parametrize("rule", ["redundancy/short-unnoticed", "redundancy/same-transfer-function"])
def test_a_fault_is_found_under_either_name(rule: str, tmp_path: Path) -> None:
    wide = [f"K1: accepts.pedal.tracks.{name}.valid = 0.20 V..4.65 V" for name in "ab"]
    one = patched_plan(tmp_path / "one", [*wide, *outputs((18, 82), (18, 82))])
    other = patched_plan(tmp_path / "other", [*SWAPPED_NAMES, *wide, *outputs((18, 82), (18, 82))])
    assert len(BY_NAME[rule].find(one)) == len(BY_NAME[rule].find(other)) == 1


def test_the_order_of_the_tracks_does_not_matter(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path, ["conversion: loom.splices.Z9 = {station: pedal, joins: [pedal.b.ground, pedal.a.ground]}"]
    )
    said = {finding.rule for finding in found(plan, REDUNDANCY)}
    assert said == {"redundancy/shared-ground", "redundancy/shared-splice"}


def test_a_splice_of_one_track_alone_is_nobodys_business(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.splices.Z9 = {station: pedal, joins: [pedal.b.ground]}"])
    assert not found(plan, REDUNDANCY)


@ONE_FOLDER
@given(rest=st.floats(12.0, 25.0), reach=st.floats(30.0, 60.0), share=st.floats(0.35, 0.65))
def test_tracks_in_one_proportion_are_never_taken_for_each_other(
    rest: float, reach: float, share: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Track b is a fixed share of track a: when they touch, the per cent of the two agree only where V is 0."""
    lines = outputs((rest, rest + reach), (share * rest, share * (rest + reach)))
    lines += [f"K1: accepts.pedal.tracks.{name}.valid = 0.20 V..4.70 V" for name in "ab"]
    lines.append("B1: tracks.b.source_resistance = 1.0 kohm")
    plan = patched_plan(tmp_path_factory.mktemp("van"), lines)
    assert not BY_NAME["redundancy/short-unnoticed"].find(plan)
    assert not BY_NAME["redundancy/same-transfer-function"].find(plan)


@ONE_FOLDER
@given(rest=st.floats(12.0, 25.0), reach=st.floats(30.0, 60.0))
def test_mirrored_tracks_are_found_wherever_they_lie(
    rest: float, reach: float, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Track b mirrors track a: joined, both stand still in the middle, and both call it half."""
    lines = outputs((rest, rest + reach), (rest + reach, rest))
    lines += [f"K1: accepts.pedal.tracks.{name}.valid = 0.20 V..4.70 V" for name in "ab"]
    plan = patched_plan(tmp_path_factory.mktemp("van"), lines)
    assert len(BY_NAME["redundancy/short-unnoticed"].find(plan)) == 1
    assert len(BY_NAME["redundancy/outputs-close"].find(plan)) == 1


def test_what_is_said_of_a_shared_ground_is_what_the_circuit_gives(tmp_path: Path) -> None:
    """Two tracks of 1.6 and 1.8 kΩ on 5 V through 10 Ω: worked by hand for the lever at its own rest.

    5/1600 + 5/1800 = 5.9028 mA; 59.028 mV less by 1 + 10/1600 + 10/1800, so 58.34 mV. Track a at 18 % then reads
    0.9 V + 0.82 · 58.34 mV = 0.9478 V before the pull resistor, 0.0 % of whose 220 kΩ is left out here.
    """
    share = [
        "B1: housings.A.cavities.2 = {roles: [pedal.a.ground, pedal.b.ground], holds: 2}",
        "B1: housings.A.cavities.5 = empty",
        "K1: accepts.pedal.tracks.a.pull = none",
        "K1: accepts.pedal.tracks.b.pull = none",
        "conversion: linkage.rod.set_at_rest = 0° ",
    ]
    plan = patched_plan(tmp_path, share)
    lifted = plan.pedal_with_shared_return(("a", "b"), 10.0)
    span_a = float(np.ptp(plan.pedal.tracks["a"].volts))
    span_b = float(np.ptp(plan.pedal.tracks["b"].volts))
    assert lifted.rise_percent["a"][0] == pytest.approx(100 * 0.82 * 0.05834 / span_a, rel=1e-3)
    assert lifted.rise_percent["b"][0] == pytest.approx(100 * 0.91 * 0.05834 / span_b, rel=1e-3)
    assert not lifted.noticed.any()


def test_no_resistance_in_the_shared_ground_changes_nothing(tmp_path: Path) -> None:
    lifted = patched_plan(tmp_path, []).pedal_with_shared_return(("a", "b"), 0.0)
    assert all(np.allclose(rise, 0.0) for rise in lifted.rise_percent.values())


def test_wires_are_named_with_size_and_length(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path,
        [
            "conversion: loom.splices.Z9 = {station: pedal, joins: [pedal.a.supply, pedal.b.supply]}",
            "conversion: loom.wires.3 = {role: pedal.a.supply, size: 0.75 mm², reason: stronger}",
            "conversion: loom.runs.board-pedal.length = unknown",
        ],
    )
    message = BY_NAME["redundancy/shared-supply"].find(plan)[0].message
    assert "(W1, 0.75 mm²; W2, 0.75 mm²; W3, 0.35 mm²; W4, 0.35 mm²)" in message
    place = BY_NAME["redundancy/shared-supply"].find(plan)[0].place
    assert place == plan.description.place("loom", "splices", "Z9")
