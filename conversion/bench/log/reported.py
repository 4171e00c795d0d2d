"""What is said about measured values: a finding with its place in the file that was read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from conversion.description.complaints import Place

Severity = Literal["HOLD", "FIX", "NOTE"]
Chart = Literal["", "volts", "sweep", "difference", "release"]
_ORDER = ("HOLD", "FIX", "NOTE")


@dataclass(frozen=True, slots=True)
class Reported:
    """One thing that a log shows.

    Attributes:
        name: ``readings/what-is-wrong``.
        severity: HOLD, FIX or NOTE, as everywhere.
        subject: Which track or column.
        place: Where in the log, or where it begins.
        message: What was read, and what it should be.
        remedy: What to do.
        chart: The picture that shows it; empty where none does.
    """

    name: str
    severity: Severity
    subject: str
    place: Place
    message: str
    remedy: str
    chart: Chart = ""


def in_order(found: Iterable[Reported]) -> tuple[Reported, ...]:
    """HOLD first, then FIX, then NOTE; within them as they were found."""
    return tuple(sorted(found, key=lambda each: _ORDER.index(each.severity)))
