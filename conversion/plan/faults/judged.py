"""Every single fault of a sensor judged: from the circuit and the list of faults to verdicts."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit import Operating, solve
from conversion.description import Missing
from conversion.description.limit_forms import LimitsForm
from conversion.faults import Fault, Held, Joined, Moved, Resupplied, Weakened
from conversion.faults.believing import Array, Believer, with_other
from conversion.faults.braking import Override
from conversion.faults.circuit_ways import CircuitWays, circuit_ways
from conversion.faults.floating import floating_ways
from conversion.faults.other_ways import held_ways, moved_ways, resupplied_ways
from conversion.faults.verdict import CATEGORIES, Sweep, Verdict, judge
from conversion.faults.ways import Ways, join_ways, read_by_converters
from conversion.faults.worst import worst_on_lines
from conversion.plan.circuits.parts import SensingCircuit
from conversion.plan.faults.believer import sensor_believer
from conversion.plan.faults.brake import brake_override
from conversion.sensing import Sensor

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

SENSORS: tuple[Sensor, ...] = ("pedal", "throttle")
"""Whose faults are judged."""


@dataclass(frozen=True)
class FaultStudy:
    """The single faults of one sensor.

    Attributes:
        sensor: Which.
        circuit: What they happen in.
        operating: The sound circuit, solved.
        believer: The inputs with their checks while driving.
        at_start: The same with a check that is made before each start.
        read_at: The nodes that are read, in the order of the believer's tracks.
        sweep: The positions.
        ceiling_v: Full scale of each input; (tracks,). [V]
        verdicts: The worst first: by category, then by rise with the foot off, then by rise.
        limit_percent: Greatest unnoticed rise that passes.
        limit_at_rest_percent: The same with the foot off.
        not_judged: Faults of which nobody can say whether the sensor still returns.
        override: What a pressed brake does to the demand; None where that is not described.
    """

    sensor: Sensor
    circuit: SensingCircuit
    operating: Operating
    believer: Believer
    at_start: Believer
    read_at: tuple[str, ...]
    sweep: Sweep
    ceiling_v: Array
    verdicts: tuple[Verdict, ...]
    limit_percent: float
    limit_at_rest_percent: float
    not_judged: tuple[Fault, ...]
    override: Override | None

    @property
    def tracks(self) -> tuple[str, ...]:
        """The sensor's own tracks, the first of those that are read."""
        return self.believer.tracks[: self.believer.own]

    @cached_property
    def above_limit(self) -> tuple[Verdict, ...]:
        """Faults that nothing notices and that open the engine farther than the limit."""
        return tuple(v for v in self.verdicts if self.is_above(v))

    def is_above(self, verdict: Verdict) -> bool:
        """Whether one is above a limit."""
        at_rest = verdict.rise_at_rest_percent > self.limit_at_rest_percent
        return at_rest or verdict.rise_percent > self.limit_percent


def study_faults(plan: Plan, sensor: Sensor) -> FaultStudy:
    """Judge every single fault of a sensor.

    Raises:
        Missing: A figure is not known without which the circuit or the checks cannot be computed.
    """
    from conversion.plan.faults.gathered import list_faults

    circuit = plan.circuit(sensor)
    operating = solve(circuit.network)
    inputs = dict(circuit.inputs)
    full_scale = dict(circuit.full_scale_v)
    read = {name: operating.at(node) for name, node in inputs.items()}
    believer = sensor_believer(plan, sensor, read)
    at_start = sensor_believer(plan, sensor, read, key_on=True)
    other: Sensor = "throttle" if sensor == "pedal" else "pedal"
    with suppress(Missing):  # what is not known of the other sensor cannot notice anything
        beside = {name: node for name, node in plan.circuit(other).inputs.items() if node in circuit.network.nodes}
        also = {name: operating.at(node) for name, node in beside.items()}
        believer, at_start = (
            with_other(one, sensor_believer(plan, other, also, key_on=key_on), other)
            for one, key_on in ((believer, False), (at_start, True))
        )
        inputs |= {f"{other} {name}": node for name, node in beside.items()}
        full_scale |= {f"{other} {name}": plan.circuit(other).full_scale_v[name] for name in beside}
    ceiling_v = np.array([full_scale[name] for name in believer.tracks])
    read_at = tuple(inputs[name] for name in believer.tracks)
    sound = np.clip(operating.volts[:, operating.network.indices(list(read_at))], 0.0, ceiling_v)
    sweep = Sweep(believer.taken(sound))
    listed = list_faults(plan, sensor, circuit)
    faults = tuple(fault for fault in listed if _can_be_judged(fault))
    ways, grown, floats = _all_ways(circuit, operating, believer, sweep, ceiling_v, faults, read_at)
    verdicts = judge(believer, sweep, faults, ways, grown, floats)
    form = plan.description.conversion.limits or LimitsForm()
    return FaultStudy(
        sensor, circuit, operating, believer, at_start, read_at, sweep, ceiling_v,
        tuple(sorted(verdicts, key=_worst_first)),
        100.0 * form.rise, 100.0 * form.rise_at_rest,
        tuple(fault for fault in listed if not _can_be_judged(fault)),
        brake_override(plan),
    )  # fmt: skip


def _can_be_judged(fault: Fault) -> bool:
    """Whether it is known what becomes of what moves the sensor; what returns it has rules of its own."""
    change = fault.change
    return not (isinstance(change, Moved) and change.position is None and change.returns is None)


def _worst_first(verdict: Verdict) -> tuple[float, ...]:
    return (CATEGORIES.index(verdict.category), -verdict.rise_at_rest_percent, -verdict.rise_percent)


def _all_ways(
    circuit: SensingCircuit, operating: Operating, believer: Believer, sweep: Sweep, ceiling_v: Array,
    faults: Sequence[Fault], read_at: tuple[str, ...],
) -> tuple[Ways, Array, np.ndarray]:  # fmt: skip
    """All ways as the converters read them; what is read fully grown; where what hangs in the air may go unnoticed."""
    inputs = list(read_at)
    own = believer.tracks[: believer.own]
    sound = operating.volts[:, operating.network.indices(inputs)]
    in_circuit = [i for i, fault in enumerate(faults) if isinstance(fault.change, Joined | Weakened)]
    changes = [change for fault in faults if isinstance(change := fault.change, Joined | Weakened)]
    found = circuit_ways(operating, changes, inputs)
    numbered = np.array(in_circuit, dtype=np.intp)
    parts = [(numbered, found)]
    for index, fault in enumerate(faults):
        match fault.change:
            case Resupplied():
                parts.append((np.array([index]), resupplied_ways(circuit.network, index, fault.change, inputs, sound)))
            case Held():
                parts.append((np.array([index]), held_ways(index, fault.change, own, sound)))
            case Moved():
                parts.append((np.array([index]), moved_ways(index, fault.change, own, circuit.position, sound)))
            case _:
                pass
    shape = (len(faults), *sound.shape)
    grown, in_air = np.zeros(shape), np.zeros(shape, dtype=bool)
    ways = []
    for number, part in parts:
        grown[number], in_air[number] = part.grown_v, part.floats
        ways.append(part.ways if part is not found else _numbered(part.ways, numbered))
    grown = np.clip(grown, 0.0, ceiling_v)
    anything = floating_ways(
        CircuitWays(ways[0], grown, in_air), np.arange(len(faults)), believer, ceiling_v, sweep.percent
    )
    silent = np.zeros(shape[:2], dtype=bool)
    if len(anything):
        rise = worst_on_lines(believer, sweep.rows(anything)).rise.reshape(len(anything), -1)
        silent[anything.fault] = np.isfinite(rise)
    everything = read_by_converters(join_ways(ways), ceiling_v)
    return join_ways([everything, anything]), grown, silent & in_air.any(axis=2)


def _numbered(ways: Ways, number: np.ndarray) -> Ways:
    return replace(ways, fault=number[ways.fault])
