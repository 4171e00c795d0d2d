"""``treadle check``: what is missing or dangerous."""

from __future__ import annotations

import argparse
import json
import textwrap
from typing import TYPE_CHECKING, Any

from conversion.commands.common import add_command, exit_code, read_plan, summary, takes_description
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.rules import Finding

WIDTH = 100


def add(commands: Any) -> None:
    """The words of the command."""
    check = add_command(commands, "check", run, "say what is missing or dangerous")
    takes_description(check)
    check.add_argument("--json", action="store_true", help="findings as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.rules import find_all
    from conversion.rules.report import findings_json

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        progress.step("checking")
        findings = find_all(plan)
    if chosen.json:
        print(json.dumps(findings_json(findings), ensure_ascii=False, indent=2))
    else:
        _print_findings(findings, plan.description.conversion.title)
    return exit_code(findings)


def _print_findings(findings: tuple[Finding, ...], title: str) -> None:
    from conversion.rules.report import told_together

    for finding, rules in told_together(findings):
        name = rules[0] if len(rules) == 1 else f"{len(rules)} rules"
        print(f"{finding.severity:4}  {name}   {finding.place}   {finding.subject}")
        texts = [finding.message, f"Put right: {finding.remedy}"]
        if len(rules) > 1:
            texts.append(f"Rests on it: {', '.join(rules)}.")
        for text in texts:
            print(textwrap.fill(text, WIDTH, initial_indent=" " * 6, subsequent_indent=" " * 6, break_on_hyphens=False))
    print(f"{title}: {summary(findings)}")
    if findings:
        print("'treadle explain RULE' says why. What was not checked is listed in the build pack.")
