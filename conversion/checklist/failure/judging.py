"""What the described checks make of a broken or shorted conductor of a sensor.

Single faults without resistance only. A model of the checks written in the description, never of a control unit's
real software.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.checklist.job import Job
from conversion.checklist.saying import CannotSay
from conversion.checklist.volts import inputs_of
from conversion.description.parts import SensorInput
from conversion.sensing import GatheredTrack, Sensor, SensorSweep, noticed
from conversion.sensing.single_faults import open_feed, open_signal, shorted_signal
from conversion.sensing.sweep import taken_percent
from conversion.sensing.track_model import Array

Fault = Literal["open", "to-ground", "to-supply", "supply-lost", "ground-lost"]
Band = tuple[float, float]

SHOWS_PERCENT = 0.05
"""An error below this does not show in print. [%]"""
_TRIED = 51
"""Levels that are tried between the least and the greatest volts that an input may read."""


@dataclass(frozen=True)
class Judgement:
    """What comes of a fault.

    Attributes:
        reads_v: Least and greatest volts of each faulty input; None where they are undetermined. [V]
        unnoticed: Share of the sweep over which no described check notices the fault.
        worst_percent: Greatest error in the dangerous direction there: for a pedal how much more it asks than the
            foot does, for a throttle how much further the plate opens than was asked.
        determined: Whether the described fault gives one reading, so that nothing had to be taken at its worst.
    """

    reads_v: dict[str, Band | None]
    unnoticed: float
    worst_percent: float
    determined: bool = True

    @property
    def verdict(self) -> Literal["noticed", "harmless", "dangerous"]:
        """Noticed everywhere; else whether the error is in the dangerous direction."""
        if self.unnoticed == 0.0:
            return "noticed"
        return "dangerous" if self.worst_percent > SHOWS_PERCENT else "harmless"


def judge_tracks(job: Job, sensor: Sensor, tracks: tuple[str, ...], fault: Fault) -> Judgement:
    """One fault that hits one or more tracks of a sensor in the same way; the worst of all that they may read.

    Raises:
        Missing: A figure is not known on which the reading or a check rests.
        CannotSay: The control unit does not read one of the tracks.
    """
    accepts = _checks(job, sensor)
    sweep = job.plan.sensor(sensor)
    gathered = job.plan.tracks(sensor)
    bands = {name: _band(job, sensor, name, gathered[name], fault) for name in tracks}
    undetermined = {name: (0.0, gathered[name].model.supply_v.high) for name in tracks}
    ends = {name: band or undetermined[name] for name, band in bands.items()}
    sound = {name: track.volts for name, track in sweep.tracks.items() if name in accepts.tracks}
    exact = all(low == high for low, high in ends.values())
    results = []
    for share in (0.0,) if exact else np.linspace(0.0, 1.0, _TRIED):
        read = {name: np.full_like(sweep.position, low + share * (high - low)) for name, (low, high) in ends.items()}
        results.append(_judge(sensor, sweep, accepts, sound | read))
    unnoticed, worst = max(share for share, _ in results), max(error for _, error in results)
    return Judgement(bands, unnoticed, worst, determined=exact)


def judge_shorted(job: Job, sensor: Sensor, one: str, other: str) -> Judgement:
    """The outputs of two tracks joined.

    Raises:
        Missing: A figure is not known on which the reading or a check rests.
        CannotSay: The control unit does not read both tracks.
    """
    accepts = _checks(job, sensor)
    if one not in accepts.tracks or other not in accepts.tracks:
        raise CannotSay(f"the control unit does not read both tracks {one} and {other}")
    sweep = job.plan.sensor(sensor)
    shorted = job.plan.shorted(sensor)[one, other]
    unnoticed = ~shorted.noticed
    worst = float(np.max(_error(sensor, shorted.percent, sweep)[unnoticed], initial=0.0))
    band = float(np.min(shorted.volts)), float(np.max(shorted.volts))
    return Judgement({one: band, other: band}, float(np.mean(unnoticed)), worst)


def judge_lever_at_rest(job: Job) -> Judgement:
    """The pedal's tracks with the lever on the module's own rest stop, wherever the pedal is: the rod is off.

    The error is counted against a released pedal, since that is what a lever at rest stands for.

    Raises:
        Missing: A figure is not known on which the reading or a check rests.
        CannotSay: The control unit reads no pedal.
    """
    accepts = _checks(job, "pedal")
    sweep = job.plan.pedal
    rest = np.zeros_like(sweep.position)
    tracks = {name: each.model for name, each in job.plan.pedal_tracks.items() if name in accepts.tracks}
    read = {str(name): model.volts(rest) for name, model in tracks.items()}
    unnoticed, worst = _judge("pedal", sweep, accepts, read)
    return Judgement({name: (float(volts[0]), float(volts[0])) for name, volts in read.items()}, unnoticed, worst)


def _judge(sensor: Sensor, sweep: SensorSweep, accepts: SensorInput, read: dict[str, Array]) -> tuple[float, float]:
    unnoticed = ~noticed(read, sweep, accepts)
    percents = {name: sweep.tracks[name].percent_of(volts) for name, volts in read.items()}
    error = _error(sensor, taken_percent(percents, accepts), sweep)
    return float(np.mean(unnoticed)), float(np.max(error[unnoticed], initial=0.0))


def _error(sensor: Sensor, taken: Array, sweep: SensorSweep) -> Array:
    """In the dangerous direction. A plate that is read as less open than it is, is opened further by that much."""
    more = taken - sweep.percent
    error = more if sensor == "pedal" else -more
    if not np.all(np.isfinite(error)):
        raise CannotSay("the per cent of a track cannot be computed, since its scale is not known")
    return error


def _checks(job: Job, sensor: Sensor) -> SensorInput:
    """What is described of the control unit's checks, with the figures that they need."""
    accepts = inputs_of(job, sensor)
    if accepts is None or job.unit is None:
        raise CannotSay(f"no control unit is described that reads the {sensor}")
    unit = job.unit[0]
    why = "what the control unit notices cannot be said"
    for name, track in accepts.tracks.items():
        job.description.part_need(track.valid, why, unit, "accepts", sensor, "tracks", name, "valid")
    if accepts.agreement is not None:
        path = ("accepts", sensor, "agreement", "at_most")
        job.description.part_need(accepts.agreement.at_most, why, unit, *path)
    return accepts


def _band(job: Job, sensor: Sensor, name: str, gathered: GatheredTrack, fault: Fault) -> Band | None:
    """Least and greatest volts that an input reads; None where its description does not determine them."""
    if gathered.accepts is None:
        raise CannotSay(f"the control unit does not read track {name}")
    model = gathered.model
    to_ground, to_supply = shorted_signal(model)
    if fault == "to-ground":
        return to_ground.least_v, to_ground.most_v
    if fault == "to-supply":
        return to_supply.least_v, to_supply.most_v
    if gathered.accepts.pull is None and job.unit is not None:
        path = ("accepts", sensor, "tracks", name, "pull")
        job.description.part_need(None, "an open input cannot be judged", job.unit[0], *path)
    if fault == "open":
        reading = open_signal(model)
    else:
        feeds = open_feed(model)
        reading = feeds[0 if fault == "supply-lost" else 1] if feeds else None
    return (reading.least_v, reading.most_v) if reading else None
