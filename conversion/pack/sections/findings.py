"""Findings as the document prints them, and what they mean for the next step."""

from __future__ import annotations

from collections.abc import Sequence

from conversion.pack.blocks import FindingLine, Verdict
from conversion.pack.document import DataTable
from conversion.rules import SEVERITIES, Finding
from conversion.rules.report import findings_json

_HEADLINES = {
    "HOLD": "DO NOT FIT OR START",
    "FIX": "Put right before sign-off",
    "NOTE": "Nothing above NOTE was found",
    "": "Nothing was found",
}
_TEXTS = {
    "HOLD": "What is marked HOLD has to be cleared first. Each stands again in the checklist where it stops the work.",
    "FIX": "What is marked FIX has to be put right before this conversion is signed off.",
    "NOTE": "That says what this plan was checked for, and nothing of what was not checked. It is no approval.",
}


def finding_line(finding: Finding) -> FindingLine:
    """One finding in words."""
    return FindingLine(
        finding.severity, finding.rule, finding.subject, str(finding.place), finding.message, finding.remedy
    )


def verdict(findings: Sequence[Finding]) -> Verdict:
    """What the findings together mean; the gravest one decides."""
    counts = {severity: sum(finding.severity == severity for finding in findings) for severity in SEVERITIES}
    level = next((severity for severity, count in counts.items() if count), "")
    text = _TEXTS[level or "NOTE"]
    undecided = sum(not finding.decided for finding in findings)
    if undecided:
        text += f" {undecided} of the findings could not be decided for want of a figure, and count in full."
    return Verdict(level, _HEADLINES[level], text, tuple((s, SEVERITIES[s], count) for s, count in counts.items()))


def findings_data(findings: Sequence[Finding]) -> DataTable:
    """Every finding, with the names that the JSON report has."""
    rows = findings_json(findings)["findings"]
    head = ("rule", "severity", "subject", "file", "line", "column", "message", "remedy")
    return DataTable("findings", head, tuple(tuple(str(row[name]) for name in head) for row in rows))
