"""Each rule's own page: its example is found, the example put right is not, and the worked conversion is clean."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.plan import Plan
from conversion.rules import Rule, all_rules
from tests.rules.patching import BASE, lines_of, patched_plan

EACH_RULE = pytest.mark.parametrize("rule", all_rules(), ids=lambda rule: rule.name)

SHIPPED = tuple(f"treadle:{path.stem}" for path in (resources.harnesses_dir() / "parts").glob("*.yaml"))


@pytest.fixture(scope="module")
def market_van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / BASE))


@EACH_RULE
def test_the_example_is_found(rule: Rule, tmp_path: Path) -> None:
    lines = lines_of(rule.sections["Found in"])
    found = rule.find(patched_plan(tmp_path, lines))
    assert found, f"{rule.name} is silent on its own example"
    if not any(line.endswith("unknown") for line in lines):
        assert any(finding.decided for finding in found), f"undecided: {found[0].message}"
    for finding in found:
        assert finding.severity == rule.severity
        assert finding.subject and finding.message.endswith((".", "?")), finding
        assert finding.remedy[:1].isupper() and finding.remedy.endswith("."), finding
        assert finding.place.line >= 1 and finding.place.file.endswith((".yaml", *SHIPPED)), finding


@EACH_RULE
def test_the_example_put_right_is_not_found(rule: Rule, tmp_path: Path) -> None:
    lines = lines_of(rule.sections["Found in"]) + lines_of(rule.sections["Put right"])
    assert not rule.find(patched_plan(tmp_path, lines))


@EACH_RULE
def test_the_worked_conversion_has_nothing_above_a_note(rule: Rule, market_van: Plan) -> None:
    found = rule.find(market_van)
    assert not found or rule.severity == "NOTE", found


@EACH_RULE
def test_the_page_is_whole(rule: Rule) -> None:
    assert re.fullmatch(r"[a-z]+/[a-z0-9]+(-[a-z0-9]+)*", rule.name)
    assert list(rule.sections) == ["Why", "Found in", "Put right", "Not seen"]
    assert all(rule.sections.values())
    assert rule.title.endswith(".") and len(rule.title) <= 110
    assert all(source.strip() == source and source for source in rule.sources)
