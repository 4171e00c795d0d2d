"""The pages of the rules follow from their docstrings, and nothing is left out of them."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from conversion.rules import RULE_MODULES, SEVERITIES, all_rules
from conversion.rules.document import PAGE, WIDTH, document, explain_text, main

RULES = all_rules()


def test_the_page_is_up_to_date() -> None:
    assert PAGE.read_text("utf-8") == document(), "run python -m conversion.rules.document"


def test_the_overview_leads_to_every_rule_once() -> None:
    text = document()
    headings = re.findall(r"^### (\S+)$", text, re.MULTILINE)
    anchors = re.findall(r"^\| \[`(\S+)`\]\(#(\S+)\) \|", text, re.MULTILINE)
    assert sorted(headings) == [rule.name for rule in RULES]
    # As hosts of Markdown make an anchor: lower case, and no sign but the hyphen.
    assert [anchor for _, anchor in anchors] == [re.sub(r"[^a-z0-9-]", "", name) for name, _ in anchors]
    assert sorted(name for name, _ in anchors) == sorted(headings)


def test_each_rule_stands_under_its_severity() -> None:
    overview = document().split("## Rules on", 1)[0]
    for severity, part in zip(SEVERITIES, re.split(r"^## ", overview, flags=re.MULTILINE)[1:], strict=True):
        assert part.startswith(severity)
        assert set(re.findall(r"\[`(\S+)`\]", part)) == {rule.name for rule in RULES if rule.severity == severity}


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.name)
def test_a_terminal_shows_the_whole_page(rule: object) -> None:
    text = explain_text(rule)  # type: ignore[arg-type]
    words = " ".join(text.split())
    for heading, body in rule.sections.items():  # type: ignore[attr-defined]
        assert f"\n{heading}\n" in text
        assert " ".join(body.split())[1:] in words
    for source in rule.sources:  # type: ignore[attr-defined]
        assert source in words
    prose = [line for line in text.splitlines() if not re.match(r" {4}.*(: \S+ (=|removed)|^ {6})", line)]
    assert max(map(len, prose)) <= WIDTH + 20  # example lines may be longer than flowing text
    assert text == text.strip()


def test_flowing_text_is_wrapped() -> None:
    for rule in RULES:
        for line in explain_text(rule).split("\nFound in\n")[0].splitlines():
            assert len(line) <= WIDTH, line


def test_check_says_when_the_page_is_stale(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "docs" / "rules.md"
    monkeypatch.setattr("conversion.rules.document.PAGE", page)
    assert main(["--check"]) == 1
    assert "is not up to date" in capsys.readouterr().err
    assert main([]) == 0
    assert page.read_bytes() == document().encode("utf-8")
    assert main(["--check"]) == 0


def test_every_module_with_rules_is_registered() -> None:
    folder = Path(RULE_MODULES[0].__file__ or "").parent
    with_rules = {
        file.stem
        for file in folder.glob("*.py")
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef)
        for mark in node.decorator_list
        if isinstance(mark, ast.Call) and isinstance(mark.func, ast.Name) and mark.func.id == "rule"
    }
    assert with_rules == {module.__name__.rpartition(".")[2] for module in RULE_MODULES}
