"""The stages of the work, each a function from the job to its steps, in working order."""

from __future__ import annotations

from collections.abc import Callable

from conversion.checklist.job import Job
from conversion.checklist.model import Stage
from conversion.checklist.stages.bench_test import bench_test
from conversion.checklist.stages.commissioning import commissioning
from conversion.checklist.stages.first_power import first_power
from conversion.checklist.stages.fitting import fitting
from conversion.checklist.stages.loom import loom
from conversion.checklist.stages.mechanical import mechanical
from conversion.checklist.stages.road import road
from conversion.checklist.stages.strip_down import strip_down

IN_ORDER: tuple[Callable[[Job], Stage], ...] = (
    strip_down,
    mechanical,
    loom,
    bench_test,
    fitting,
    first_power,
    commissioning,
    road,
)

__all__ = ["IN_ORDER"]
