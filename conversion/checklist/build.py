"""The whole checklist of a plan."""

from __future__ import annotations

from collections.abc import Iterable

from conversion.checklist.job import Job
from conversion.checklist.model import Stage
from conversion.checklist.stages import IN_ORDER
from conversion.plan import Plan
from conversion.rules import Finding


def build_checklist(plan: Plan, findings: Iterable[Finding]) -> tuple[Stage, ...]:
    """The stages in working order, from strip-down to the road.

    Args:
        plan: May lack figures; what is expected then says which, and the step stays.
        findings: All that the rules say about it; each HOLD stands at the hold points that it blocks.
    """
    job = Job(plan, tuple(findings))
    return tuple(stage(job) for stage in IN_ORDER)
