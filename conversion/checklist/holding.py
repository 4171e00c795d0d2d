"""Which findings stop which stage."""

from __future__ import annotations

from collections.abc import Iterable

from conversion.rules import Finding

# A HOLD says: do not fit, power or start. What the rules of these topics find is best mended earlier, before
# metal or wire is cut, or before the loom is plugged in; everything else holds the fitting.
_EARLIER = {
    "travel": "mechanical",
    "return": "mechanical",
    "returning": "mechanical",
    "redundancy": "loom",
    "wiring": "loom",
    "wired": "bench-test",
}


def holds(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """All that has to be cleared before anything is fitted, powered or started."""
    return tuple(finding for finding in findings if finding.severity == "HOLD")


def holds_from(findings: Iterable[Finding], stage: str) -> tuple[Finding, ...]:
    """The HOLDs that stop a stage before the fitting."""
    return tuple(finding for finding in holds(findings) if _EARLIER.get(finding.rule.split("/")[0]) == stage)


def above_note(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """All that has to be cleared before the road and before sign-off."""
    return tuple(finding for finding in findings if finding.severity != "NOTE")
