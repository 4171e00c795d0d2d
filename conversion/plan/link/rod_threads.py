"""What the thread of a rod holds by, and how far it can be adjusted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Description
from conversion.plan.link.rod_loads import ADJUSTED, described_rod, described_rods
from conversion.plan.link.travel import Travel

THREAD_DIAMETERS = 1.5
"""Of thread that should stay in at each end, in its diameters; common practice, no source."""


@dataclass(frozen=True, slots=True)
class ThreadHold:
    """The thread of one rod; nan where a figure is not known.

    Attributes:
        rod: ``rod``; of two rods ``first_rod`` or, for the second, ``rod``.
        engaged_mm: Screwed in at each end at the described length, its least. [mm]
        left_mm: Screwed in at the worse end with the rod as long as it can be adjusted. [mm]
        wanted_mm: That should stay in. [mm]
        length_mm: Of the rod as planned. [mm]
        shortest_mm: That it can be adjusted to. [mm]
        longest_mm: Likewise. [mm]
    """

    rod: str
    engaged_mm: float
    left_mm: float
    wanted_mm: float
    length_mm: float
    shortest_mm: float
    longest_mm: float


def thread_holds(description: Description, travel: Travel) -> tuple[ThreadHold, ...]:
    """Every described thread of a rod."""
    found = []
    for name, rod in described_rods(description).items():
        thread = rod.thread
        if thread is None:
            continue
        engaged = thread.engaged.low if thread.engaged is not None else np.nan
        adjusts = "adjust" in thread.model_fields_set
        reach = thread.adjust.high / 2.0 if thread.adjust is not None else np.nan if adjusts else 0.0
        wanted = THREAD_DIAMETERS * thread.diameter.nominal if thread.diameter is not None else np.nan
        planned = _length_mm(travel, name)
        adjusted = described_rod(description)
        described = adjusted.length if name == ADJUSTED and adjusted is not None else None
        middle = described.nominal if described is not None else planned
        found.append(
            ThreadHold(name, engaged, engaged - reach, wanted, planned, middle - reach, middle + reach)
        )  # fmt: skip
    return tuple(found)


def _length_mm(travel: Travel, name: str) -> float:
    linkage = travel.geometry.linkage
    for field in ("rod_length_mm", "second_rod_length_mm") if name == ADJUSTED else ("first_rod_length_mm",):
        if hasattr(linkage, field):
            return float(getattr(linkage, field))
    return float("nan")
