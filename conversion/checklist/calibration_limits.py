"""Error limits and agreement as they follow from the plan, for a control unit in which they can be set."""

from __future__ import annotations

from conversion.checklist.job import Job
from conversion.checklist.saying import CannotSay, figure
from conversion.sensing import Sensor

MARGIN_V = 0.25
"""How far beyond the sound track a limit stands at most: what lies further out is better noticed than let pass. Common
practice, no source. [V]"""


def fitting_limit(job: Job, sensor: Sensor, track: str, end: str) -> str:
    """An error limit just beyond the sound track at its worst, and at most half way to the nearest fault of a wire.

    Args:
        job: The plan.
        sensor: ``pedal`` or ``throttle``.
        track: Its name.
        end: ``low`` or ``high``.

    Raises:
        Missing: A figure is not known without which no volts can be computed.
        CannotSay: There is no such track, or no fault reads beyond its sweep on this side.
    """
    if track not in job.tracks(sensor):
        raise CannotSay("the sensor has no such track")
    sweep = job.plan.sensor(sensor).tracks[track]
    least, most = float(sweep.volts_min.min()), float(sweep.volts_max.max())
    faults = job.plan.fault_readings(sensor, track)
    if end == "low":
        beyond = [fault.most_v for fault in faults if fault.most_v < least]
        nearest, sound = max(beyond, default=None), least
    else:
        beyond = [fault.least_v for fault in faults if fault.least_v > most]
        nearest, sound = min(beyond, default=None), most
    hidden = [fault.fault for fault in faults if fault.most_v >= least and fault.least_v <= most]
    if nearest is None:
        raise CannotSay(f"no fault of a wire reads {'below' if end == 'low' else 'above'} the sweep")
    away = min(MARGIN_V, 0.5 * abs(nearest - sound))
    limit = sound - away if end == "low" else sound + away
    side = "down to" if end == "low" else "up to"
    faulty = f"wires at fault {'up to' if end == 'low' else 'from'} {figure(nearest, 'voltage')}"
    text = f"{figure(limit, 'voltage')} (sound {side} {figure(sound, 'voltage')}, {faulty})"
    return f"{text}; no limit finds it while {' or while '.join(hidden)}" if hidden else text


def planned_difference(job: Job, sensor: Sensor) -> str:
    """Greatest difference of the sound tracks over the sweep, all tolerances at their worst.

    Raises:
        Missing: A figure is not known without which no volts can be computed.
        CannotSay: Nothing is compared, or its scale is not known.
    """
    differences = job.plan.sensor(sensor).differences
    if not differences:
        raise CannotSay("no agreement check is described")
    worst = max(float(difference.most.max()) for difference in differences)
    if differences[0].of == "percent":
        return f"at most {figure(worst / 100.0, 'ratio', 'the scale is not known')}"
    return f"at most {figure(worst, 'voltage')}"
