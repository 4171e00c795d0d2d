"""Everything that changed between two plans, for a builder whose loom is half built by the old one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property
from typing import Generic

from conversion.bench.compare.doing import TASKS, Task, WireChange, wire_change
from conversion.bench.compare.figures import MovedFigure, moved_figures, written_figures
from conversion.bench.compare.findings import AnySaid, FindingChanges, compare_findings
from conversion.bench.compare.laid import laid_wires
from conversion.bench.compare.names import Names, match_names
from conversion.bench.compare.things import ThingChange, changed_devices, changed_splices
from conversion.bench.compare.wires import Match, match_wires
from conversion.plan import Plan


@dataclass(frozen=True)
class Comparison(Generic[AnySaid]):
    """What changed between two plans.

    Attributes:
        old: The plan by which the loom was begun.
        new: The plan by which it is to be finished.
        devices: Devices that are new, gone, called otherwise or elsewhere.
        splices: Splices likewise.
        wires: Each wire that differs, with what is to be done about it.
        written: Figures that the builder wrote otherwise.
        computed: Figures that follow from the description and came out otherwise.
        findings: What the rules say otherwise.
    """

    old: Plan
    new: Plan
    devices: tuple[ThingChange, ...]
    splices: tuple[ThingChange, ...]
    wires: tuple[WireChange, ...]
    written: tuple[MovedFigure, ...]
    computed: tuple[MovedFigure, ...]
    findings: FindingChanges[AnySaid]

    @cached_property
    def counts(self) -> dict[Task, int]:
        """How many wires each task is for, tasks without any left out, in working order."""
        found = Counter(task for change in self.wires for task in change.tasks)
        return {task: found[task] for task in TASKS if found[task]}

    @property
    def differs(self) -> bool:
        """Whether anything changed at all."""
        findings = self.findings
        told = (self.devices, self.splices, self.wires, self.written, self.computed)
        return any(told) or any((findings.came, findings.went, findings.changed))


def compare_plans(
    old: Plan, new: Plan, old_findings: Iterable[AnySaid], new_findings: Iterable[AnySaid]
) -> Comparison[AnySaid]:
    """Two plans held against each other.

    Args:
        old: The plan by which the loom was begun.
        new: The plan by which it is to be finished.
        old_findings: What the rules say about the old plan.
        new_findings: What they say about the new plan.

    Returns:
        What changed. The order in which a description names its devices, the names that it gives them, and the tags
        of its wires change nothing but names and tags.
    """
    names = match_names(old.description, new.description)
    matches = match_wires(laid_wires(old), laid_wires(new), names)
    changes = (wire_change(match, names) for match in matches)
    return Comparison(
        old, new,
        changed_devices(old, new, names),
        changed_splices(old, new, names),
        tuple(change for change in changes if change is not None),
        written_figures(old.description, new.description, names),
        moved_figures(old, new, names),
        compare_findings(old_findings, new_findings, _new_names(names, matches)),
    )  # fmt: skip


def _new_names(names: Names, matches: Iterable[Match]) -> dict[str, str]:
    """Every tag and every name of a device or splice that is another one now."""
    tags = {match.old.wire.tag: match.new.wire.tag for match in matches if match.old and match.new}
    both = {**names.splices, **names.devices, **tags}
    return {old: new for old, new in both.items() if old != new}
