"""Every rule once: what is wrong, why it matters, what to do about it, and where the rule comes from."""

from conversion.rules import (
    bracket,
    bulkhead,
    choice,
    clearance,
    comparison,
    completeness,
    contacts,
    faults,
    feeds,
    feel,
    figures,
    granted,
    limits,
    loom_bundles,
    loom_ends,
    loom_neighbours,
    loom_screens,
    loom_ways,
    motion,
    one_way,
    openings,
    over_travel,
    places,
    points,
    range,
    redundancy,
    returning,
    rod_ends,
    springs_and_stops,
    strength,
    surroundings,
    tape,
    terminals,
    throttle,
    throttle_body,
    travel,
    wired,
    wires,
)
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

RULE_MODULES = (
    bracket, bulkhead, choice, clearance, comparison, completeness, contacts, faults, feeds, feel, figures, granted,
    limits, loom_bundles, loom_ends, loom_neighbours, loom_screens, loom_ways, motion, one_way, openings, over_travel,
    places, points, range, redundancy, returning, rod_ends, springs_and_stops, strength, surroundings, tape, terminals,
    throttle, throttle_body, travel, wired, wires,
)  # fmt: skip
"""The modules that hold rules; importing them is what makes the registry know their rules."""

__all__ = [
    "COMMON_PRACTICE", "RULE_MODULES", "SEVERITIES", "Finding", "Found", "Rule", "Severity", "all_rules", "find_all",
    "rule",
]  # fmt: skip
