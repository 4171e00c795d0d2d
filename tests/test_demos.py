"""What the worked conversions come out with: a clean van, a buggy with its one hazard, a first attempt with many."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from conversion import resources
from conversion.rules import Finding, find_all
from tests.golden import DEMOS, findings_of, golden_file, golden_text
from tests.rules.patching import patched_plan

CURES: list[dict[str, Any]] = yaml.safe_load((Path(__file__).parent / "first_attempt_cures.yaml").read_text("utf-8"))


@cache
def found(demo: str) -> tuple[Finding, ...]:
    return findings_of(demo)


def above_note(findings: tuple[Finding, ...]) -> set[str]:
    return {finding.rule for finding in findings if finding.severity != "NOTE"}


def test_every_worked_conversion_is_looked_at() -> None:
    folders = {file.parent.name for file in resources.harnesses_dir().glob("*/conversion.yaml")}
    assert folders == set(DEMOS)


@pytest.mark.parametrize("demo", DEMOS)
def test_findings_are_unchanged(demo: str) -> None:
    assert golden_text(demo) == golden_file(demo).read_text("utf-8"), "if it should be so: python -m tests.golden"


def test_the_van_has_nothing_above_a_note() -> None:
    assert above_note(found("market-van")) == set()
    assert found("market-van"), "a real plan always has something to be known"


def test_the_buggy_has_the_hazard_of_opposite_slopes_and_no_other() -> None:
    assert above_note(found("trials-buggy")) == {"redundancy/short-unnoticed"}
    assert all(finding.decided for finding in found("trials-buggy"))


def test_the_first_attempt_has_at_least_twelve_different_mistakes() -> None:
    told = {cure["rule"] for cure in CURES}
    assert len(told) >= 12
    assert told <= above_note(found("first-attempt"))


def test_every_rule_above_a_note_that_the_first_attempt_breaks_is_accounted_for() -> None:
    # What follows from a mistake that is listed under another rule.
    consequences = {"range/false-alarm", "range/window-margin"}
    assert above_note(found("first-attempt")) - {cure["rule"] for cure in CURES} == consequences


@pytest.mark.parametrize("cure", CURES, ids=lambda cure: cure["mistake"])
def test_each_mistake_put_right_is_no_longer_found(cure: dict[str, Any], tmp_path: Path) -> None:
    def told(findings: tuple[Finding, ...]) -> list[Finding]:
        return [
            finding
            for finding in findings
            if finding.rule == cure["rule"] and cure.get("subject") in (None, finding.subject)
        ]

    before = told(found("first-attempt"))
    assert before and all(finding.severity != "NOTE" and finding.decided for finding in before)
    cured = find_all(patched_plan(tmp_path, cure["cure"], base="first-attempt"))
    assert told(cured) == []


def test_one_cure_leaves_the_other_mistakes(tmp_path: Path) -> None:
    cure = next(cure for cure in CURES if cure["rule"] == "redundancy/motor-ground")
    cured = find_all(patched_plan(tmp_path, cure["cure"], base="first-attempt"))
    assert above_note(found("first-attempt")) - above_note(cured) == {"redundancy/motor-ground"}
