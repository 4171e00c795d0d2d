"""Findings as plain data, for programs that read them: one shape wherever findings are written as JSON."""

from __future__ import annotations

from collections.abc import Iterable

from conversion.rules.registry import Finding


def findings_json(findings: Iterable[Finding]) -> dict[str, list[dict[str, str | int]]]:
    """The findings as JSON can hold them, in the order given; line and column count from 1.

    Example:
        >>> from conversion.description import Place
        >>> found = Finding("topic/what", "NOTE", "B1", Place("conversion.yaml", 4, 3), "It is so.", "Look at it.")
        >>> findings_json([found])["findings"][0]["line"]
        4
    """
    return {
        "findings": [
            {
                "rule": finding.rule,
                "severity": finding.severity,
                "subject": finding.subject,
                "file": finding.place.file,
                "line": finding.place.line,
                "column": finding.place.column,
                "message": finding.message,
                "remedy": finding.remedy,
            }
            for finding in findings
        ]
    }


def told_together(findings: Iterable[Finding]) -> list[tuple[Finding, tuple[str, ...]]]:
    """The findings for a reader: those that lack the same figure are one, with the names of all their rules.

    Returns:
        Finding and rule names, in the order given; the severity is that of the first of them.
    """
    together: dict[tuple[object, ...], tuple[Finding, list[str]]] = {}
    for index, finding in enumerate(findings):
        key = (index,) if finding.decided else (finding.place, finding.message)
        together.setdefault(key, (finding, []))[1].append(finding.rule)
    return [(finding, tuple(dict.fromkeys(rules))) for finding, rules in together.values()]
