"""Faults that show only when the whole description is seen: references to nothing, terminals used twice.

These make the description unreadable (there is no plan to compute). Everything that is merely dangerous or
incomplete is left to the rules.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from conversion.description.complaints import Complaint
from conversion.description.cross import checks, devices, feeds, fit, loom, study, wired
from conversion.description.described import Description

_CHECKS: tuple[Callable[[Description], Iterable[Complaint]], ...] = (
    devices.references, devices.kinds, devices.roles, devices.linkage, devices.waivers, devices.supplies,
    checks.rest_checks, checks.brake_overrides,
    feeds.feeds, loom.stations, loom.reached, loom.splices, loom.changes, fit.fit, study.shapes, wired.pairs,
)  # fmt: skip


def cross_check(description: Description) -> list[Complaint]:
    """Every fault between the parts of a description, in no particular order."""
    return [complaint for check in _CHECKS for complaint in check(description)]
