"""A failure mode in words, and the sentences that several of them share."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from conversion.sensing import Sensor

Verdict = Literal[
    "noticed", "not noticed, harmless side", "not noticed, dangerous side", "no check described", "unsaid"
]


@dataclass(frozen=True, slots=True)
class FailureMode:
    """One thing that can fail.

    Attributes:
        key: Of its own.
        title: What fails.
        happens: What the inputs then read, or what moves.
        unit_notices: What the control unit would notice, as its checks are described.
        driver_notices: What the driver would see or feel.
        driver_does: What the driver should do.
        verdict: In short; ``unsaid`` where a figure is missing.
        try_it: Whether it can be tried with the engine off by unplugging something.
        track: Sensor and name of the track that has to be unplugged for that; None for something else.
    """

    key: str
    title: str
    happens: str
    unit_notices: str
    driver_notices: str
    driver_does: str
    verdict: Verdict
    try_it: bool = False
    track: tuple[Sensor, str] | None = None


LAMP_AND_LIMP = (
    "The warning lamp. The engine falls to what the unpowered throttle gives, and the pedal does little or nothing."
)
NOTHING = "Nothing, or nothing that is sure."
WEAKER = "Perhaps a weaker pedal. No lamp is sure."
RUNS_UP = "The engine may pull harder than the foot asks. No lamp is sure."

STOP_AND_FIND = (
    "Stop where it is safe, switch off, find the fault. Do not drive on, and do not clear the fault and hope."
)
RUNAWAY = (
    "Brake once, hard, and stay on the brake. Clutch down, or neutral. Stop switch or ignition off, steering not "
    "locked. Then find the fault."
)
AT_SERVICE = "Find it at the check before driving and at every service: nothing else shows it."
