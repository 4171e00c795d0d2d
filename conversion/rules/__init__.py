"""Every rule once: what is wrong, why it matters, what to do about it, and where the rule comes from."""

from conversion.rules import completeness, feeds, figures, surroundings, terminals, wires
from conversion.rules.registry import (
    COMMON_PRACTICE,
    SEVERITIES,
    Finding,
    Found,
    Rule,
    Severity,
    all_rules,
    find_all,
    rule,
)  # fmt: skip

RULE_MODULES = (completeness, feeds, figures, surroundings, terminals, wires)
"""The modules that hold rules; importing them is what makes the registry know their rules."""

__all__ = [
    "COMMON_PRACTICE", "RULE_MODULES", "SEVERITIES", "Finding", "Found", "Rule", "Severity", "all_rules", "find_all",
    "rule",
]  # fmt: skip
