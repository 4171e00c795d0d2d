"""Further cases of the rules, kept as data: ``cases/TOPIC.yaml`` lists patches of the worked conversion by rule."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from conversion.rules import all_rules
from tests.rules.arrangements import ARRANGEMENTS
from tests.rules.patching import patched_plan

FILES = sorted((Path(__file__).parent / "cases").glob("*.yaml"))
CASES = [
    (name, case) for file in FILES for name, cases in yaml.safe_load(file.read_text("utf-8")).items() for case in cases
]
RULES = {rule.name: rule for rule in all_rules()}


@pytest.mark.parametrize(("name", "case"), CASES, ids=[f"{name}: {case['case']}" for name, case in CASES])
def test_case(name: str, case: dict[str, Any], tmp_path: Path) -> None:
    """``expect``: found, undecided or nothing; ``subjects`` and ``says`` narrow it; ``start`` names an arrangement."""
    start = ARRANGEMENTS[case["start"]] if "start" in case else []
    found = RULES[name].find(patched_plan(tmp_path, [*start, *case["patch"]]))
    if case["expect"] == "nothing":
        assert not found
        return
    assert {finding.decided for finding in found} == {case["expect"] == "found"}, found
    if "subjects" in case:
        assert sorted(finding.subject for finding in found) == sorted(case["subjects"])
    for words in case.get("says", []):
        assert any(words in f"{finding.message} {finding.remedy}" for finding in found), found
