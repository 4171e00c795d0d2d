"""What can fail, what the described checks would notice, what the driver would, and what to do then."""

from __future__ import annotations

from conversion.checklist.failure.mechanics import mechanical_faults, plate_faults
from conversion.checklist.failure.mode import FailureMode
from conversion.checklist.failure.sensors import sensor_faults
from conversion.checklist.failure.supporting import supporting_faults
from conversion.checklist.job import Job
from conversion.plan import Plan

ABOUT_FAILURE_MODES = (
    "This page speaks of the checks that the description ascribes to the control unit, and of single faults without "
    "resistance. It says nothing of the control unit's real software, which may notice more, or less, or later. Try "
    "what can be tried safely, engine off, and write down what really happens."
)


def failure_modes(plan: Plan) -> tuple[FailureMode, ...]:
    """Failures of pedal tracks, linkage, throttle tracks, plate, feeds and switches, in that order.

    Where a figure is missing, the mode stays and says which.
    """
    job = Job(plan, ())
    return (
        *sensor_faults(job, "pedal"),
        *mechanical_faults(job),
        *sensor_faults(job, "throttle"),
        *plate_faults(job),
        *supporting_faults(job),
    )


__all__ = ["ABOUT_FAILURE_MODES", "FailureMode", "failure_modes"]
