"""The described brake override, from the description to what is told of each fault and each pair."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from conversion.checklist import failure_modes
from conversion.drawings import Drawings
from conversion.pack.blocks import Paragraph, Points, Table
from conversion.pack.sections.after import failure_section
from conversion.pack.sections.fault_pairs import fault_pairs_data, pairs_blocks
from conversion.pack.sections.faults import faults_data, faults_section
from conversion.plan import Plan
from conversion.plan.faults.as_json import faults_json
from conversion.plan.faults.brake import NO_FIGURE, NONE_DESCRIBED, brake_words, second_braked, verdict_braked
from conversion.plan.faults.text import fault_lines, latent_lines
from conversion.plan.faults.words import MOTOR
from tests.rules.patching import patched_plan

# The larger of two tracks is taken, and one of them may rise as far as the agreement passes: 20 points.
LOOSE = [
    "K1: accepts.pedal.brake_override removed",
    "K1: accepts.pedal.takes = larger",
    "K1: accepts.pedal.agreement = {of: percent, at_most: 20 %, within: 90 ms}",
]
CUT, PART = "with the brake pressed: cut to idle within 1.00 s", "where more than 25.0 % is taken; not cut below"


def override(above: str, within: str = "1 s", sensor: str = "pedal") -> list[str]:
    return [*LOOSE, f"K1: accepts.{sensor}.brake_override = {{above: {above}, within: {within}}}"]


def told(plan: Plan) -> list[str]:
    study = plan.faults("pedal")
    return [brake_words(study, verdict_braked(study, v)) for v in study.verdicts if v.category == "unnoticed, higher"]


@pytest.mark.parametrize("sensor", ["pedal", "throttle"])
def test_an_override_of_either_sensor_cuts_where_more_is_taken(tmp_path: Path, sensor: str) -> None:
    """At 25 % a rise of 20 points with the foot off goes on; at 0 % everything that rises is taken back."""
    some = told(patched_plan(tmp_path / "a", override("25 %", sensor=sensor)))
    assert some and all(words in (CUT, f"{CUT} {PART}", "not cut: stays at or below 25.0 %") for words in some)
    assert f"{CUT} {PART}" in some
    assert set(told(patched_plan(tmp_path / "b", override("0 %", sensor=sensor)))) == {CUT}
    assert set(told(patched_plan(tmp_path / "c", override("100 %", sensor=sensor)))) == {
        "not cut: stays at or below 100.0 %"
    }


def test_figures_that_are_not_known_leave_it_undecided_and_the_greatest_of_a_tolerance_counts(tmp_path: Path) -> None:
    assert set(told(patched_plan(tmp_path / "a", override("unknown")))) == {NO_FIGURE}
    assert set(told(patched_plan(tmp_path / "b", LOOSE))) == {NONE_DESCRIBED}
    timeless = told(patched_plan(tmp_path / "c", override("0 %", "unknown")))
    assert set(timeless) == {"with the brake pressed: cut to idle in a time that nobody has said"}
    both = [*override("25 %"), "K1: accepts.throttle.brake_override = {above: 0 %, within: 1 s}"]
    assert set(told(patched_plan(tmp_path / "e", both))) == {CUT}
    wide = patched_plan(tmp_path / "d", override("25 % ± 3 %")).faults("pedal").override
    assert wide is not None and wide.above_percent == pytest.approx(28.0)


def test_it_makes_no_fault_noticed(tmp_path: Path) -> None:
    without = patched_plan(tmp_path / "a", LOOSE).faults("pedal")
    having = patched_plan(tmp_path / "b", override("25 %")).faults("pedal")
    assert [(v.fault.name, v.category, v.noticed_share) for v in without.verdicts] == [
        (v.fault.name, v.category, v.noticed_share) for v in having.verdicts
    ]
    assert len(without.above_limit) == len(having.above_limit) > 0


def test_it_stands_in_text_json_section_and_tables(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, override("25 %"))
    study, latent = plan.faults("pedal"), plan.latent("pedal")
    data = json.loads(json.dumps(faults_json([study], [latent])))
    higher = [fault for fault in data["faults"] if fault["class"] == "unnoticed, higher"]
    assert all((fault["with_brake"] is None) == (fault not in higher) for fault in data["faults"])
    counts = data["summary"]["pedal"]["with_brake"]
    assert sum(counts.values()) == len(higher) and counts["cut in part"] == sum(
        fault["with_brake"]["outcome"] == "cut in part" for fault in higher
    )
    assert data["pairs"] and all(pair["with_brake"]["outcome"] in counts for pair in data["pairs"])
    assert [pair["with_brake"]["words"] for pair in data["pairs"]] == [
        brake_words(study, second_braked(study, pair.comes)) for pair in latent.pairs
    ]
    lines = " ".join(" ".join(fault_lines(study)).split())
    assert (
        "Of those that open farther: with the brake pressed " in lines
        and f"{counts['cut in part']} cut in part" in lines
    )
    assert f"W{CUT[1:]}" in lines and "Of the pairs: " in " ".join(latent_lines(latent))
    for table in (faults_data(plan), fault_pairs_data([latent])):
        column = [row[table.head.index("with_brake")] for row in table.rows]
        assert any(words.startswith(CUT) for words in column)
    blocks = (*faults_section(plan, Drawings((), ())).blocks, *pairs_blocks(latent))
    heads = [[column.title for column in block.columns] for block in blocks if isinstance(block, Table)]
    assert sum("Brake pressed" in head for head in heads) == 2
    said = " ".join(block.text for block in blocks if isinstance(block, Paragraph))
    assert f"{counts['cut in part']} cut in part" in said


def test_what_the_circuit_takes_instead_of_unknown_figures_is_told(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    for sensor in ("pedal", "throttle"):
        study = plan.faults(sensor)  # type: ignore[arg-type]
        granted = (*study.circuit.taken, *study.circuit.left_out)
        lines = " ".join(" ".join(fault_lines(study)).split())
        said = [block.text for block in faults_section(plan, Drawings((), ())).blocks if isinstance(block, Paragraph)]
        assert all(sentence in lines and any(sentence in text for text in said) for sentence in granted)


def test_the_page_of_failure_modes_says_of_a_held_pedal_what_the_brake_does(tmp_path: Path) -> None:
    held = {mode.key: mode for mode in failure_modes(patched_plan(tmp_path / "a", override("25 %")))}["pedal-stuck"]
    assert "With the brake pressed, more than 25 % is taken back." in held.unit_notices
    assert held.verdict == "not noticed, dangerous side"
    without = {mode.key: mode for mode in failure_modes(patched_plan(tmp_path / "b", LOOSE))}["pedal-stuck"]
    assert "the description has none" in without.unit_notices


def test_the_faults_of_the_motor_stand_where_the_section_on_faults_says(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    there = failure_section(plan)
    assert f"'{there.title}'" in MOTOR
    points = [item for b in faults_section(plan, Drawings((), ())).blocks if isinstance(b, Points) for item in b.items]
    assert any(MOTOR in str(point) for point in points)
    found = {mode.key: mode for mode in failure_modes(plan)}
    assert found["motor-to-supply"].title == "Throttle motor shorted to the supply, or its leads swapped"
    assert "The springs leave the plate" in found["motor-unplugged"].happens
