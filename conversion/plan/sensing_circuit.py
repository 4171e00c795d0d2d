"""From a plan to the circuit that a sensor is read through: tracks, loom, supplies, inputs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from conversion.plan.circuit_parts import SensingCircuit
from conversion.sensing import Sensor

if TYPE_CHECKING:
    from conversion.plan.plan import Plan


def sensing_circuit(plan: Plan, sensor: Sensor) -> SensingCircuit:
    """The sensing circuit of the pedal module or of the throttle body.

    Raises:
        Missing: A figure is not known without which it cannot be computed.
    """
    raise NotImplementedError
