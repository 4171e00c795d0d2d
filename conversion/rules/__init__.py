"""Every rule once: what is wrong, why it matters, what to do about it, and where the rule comes from."""

from conversion.rules.registry import SEVERITIES, Finding, Found, Rule, Severity, all_rules, find_all, rule

__all__ = ["SEVERITIES", "Finding", "Found", "Rule", "Severity", "all_rules", "find_all", "rule"]
