"""From a plan to the circuit that a sensor is read through: tracks, loom, supplies, inputs, body and battery.

The other sensor is part of it, since the two may share supplies and lie beside each other in the loom: it stands at
the same share of its movement, as a plate does that follows the pedal.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np

from conversion.circuit import Element, Network, Resistor, Source
from conversion.description import Missing
from conversion.plan.circuits.conductors import Conductor, find_conductors
from conversion.plan.circuits.laid_loom import CircuitPart, lay_loom
from conversion.plan.circuits.nodes import Nodes
from conversion.plan.circuits.parts import BATTERY, CHASSIS, GROUND, SensingCircuit
from conversion.plan.circuits.sensor import moving_elements, put_in_inputs, put_in_supplies, put_in_track
from conversion.quantities import show
from conversion.sensing import GatheredTrack, Sensor
from conversion.sensing.track_model import Array

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

BATTERY_OHM = 0.01
"""Of a battery with its cables; far below every fault that matters. Common practice, no source."""
BODY_OHM = 0.02
"""From the control unit to the body where no ground wire of it is described. Common practice, no source."""
SHARED_GROUND_OHM = 0.001
"""Of the board that motor and sensors share: two squares of copper 35 µm thick. Common practice, no source."""
BATTERY_V = 14.8
"""Of a battery that is being charged; taken where no supply is described. Common practice, no source."""

SHARED_GROUND = "ground that motor and sensors share"
MOTOR = "motor"

_OTHER: dict[Sensor, Sensor] = {"pedal": "throttle", "throttle": "pedal"}
_WHY = "what the sensors read cannot be computed"


def sensing_circuit(plan: Plan, sensor: Sensor) -> SensingCircuit:
    """The sensing circuit of the pedal module or of the throttle body.

    Raises:
        Missing: A figure is not known without which it cannot be computed.
    """
    description = plan.description
    nodes, part = Nodes(description), CircuitPart()
    tracks, position = {sensor: plan.tracks(sensor)}, {sensor: plan.sensor(sensor).position}
    if not np.all(np.isfinite(position[sensor])):
        place = description.place("linkage")
        raise Missing("linkage", place, _WHY, "does not move the lever over the whole travel")
    _other_sensor(plan, _OTHER[sensor], tracks, position, part)
    holders = {which: _device(plan, which) for which in tracks}
    for which, each in tracks.items():
        for track, gathered in each.items():
            put_in_track(description, nodes, which, holders[which], track, gathered, part)
    lay_loom(plan, _laid(find_conductors(description, plan.wiring), holders), nodes.inside, part)
    sources, source_names = put_in_supplies(description, nodes, tracks, part)
    clamps, inputs, full_scale = put_in_inputs(nodes, sensor, tracks[sensor], part)
    fixed = [*sources, *clamps, *_body(plan, nodes, part)]
    for which in tracks.keys() - {sensor}:
        fixed += put_in_inputs(nodes, which, tracks[which], part)[0]
    fixed += part.resistors()

    def at(moved: Array | Mapping[str, Array]) -> Network:
        each_own = dict(moved) if isinstance(moved, Mapping) else dict.fromkeys(tracks[sensor], moved)
        elements: list[Element] = list(fixed)
        for which, gathered in tracks.items():
            where = each_own if which == sensor else dict.fromkeys(gathered, position[which])
            elements += moving_elements(description, nodes, which, holders[which], gathered, where)
        return Network(tuple(elements), lone=tuple(inputs.values()))

    return SensingCircuit(
        sensor=sensor,
        position=position[sensor],
        network=at(position[sensor]),
        elements=part.elements,
        inputs=inputs,
        full_scale_v=full_scale,
        supplies={name: nodes.supply(name) for name in source_names},
        sources=source_names,
        terminals=part.terminals,
        at=at,
        taken=tuple(dict.fromkeys(part.taken)),
        left_out=tuple(dict.fromkeys(part.left_out)),
    )


def _device(plan: Plan, sensor: Sensor) -> str:
    holder = plan.description.pedal_module if sensor == "pedal" else plan.description.throttle_body
    assert holder is not None, "its tracks were gathered"
    return holder[0]


def _other_sensor(
    plan: Plan, other: Sensor, tracks: dict[Sensor, dict[str, GatheredTrack]], position: dict[Sensor, Array],
    part: CircuitPart,
) -> None:  # fmt: skip
    """Take the other sensor in, where all that is needed of it is known."""
    try:
        gathered, where = plan.tracks(other), plan.sensor(other).position
        for track, each in gathered.items():
            put_in_track(
                plan.description, Nodes(plan.description), other, _device(plan, other), track, each, CircuitPart()
            )
    except Missing as missing:
        part.left_out.append(f"The {other}, with all bridges to its conductors: {missing}.")
        return
    if np.all(np.isfinite(where)):
        tracks[other], position[other] = gathered, where


def _laid(conductors: tuple[Conductor, ...], holders: Mapping[Sensor, str]) -> tuple[Conductor, ...]:
    """Conductors of the sensors that are taken in, and what joins the control unit to the body."""
    return tuple(
        conductor for conductor in conductors
        if any(conductor.tracks(sensor) for sensor in holders) or conductor.is_grounded
    )  # fmt: skip


def _body(plan: Plan, nodes: Nodes, part: CircuitPart) -> list[Element]:
    """Battery, body, and the motor's current on its way back to the battery."""
    description = plan.description
    supply, body = description.conversion.vehicle.supply, description.throttle_body
    volts = supply.high if supply else BATTERY_V
    if supply is None:
        part.taken.append(f"The battery is taken at {show(BATTERY_V, 'voltage')}.")
    elements: list[Element] = [Source("battery", BATTERY, CHASSIS, volts, BATTERY_OHM)]
    if not any(GROUND in (each.a, each.b) and each.kind == "contact" and "ground.31" in each.roles
               for each in part.elements.values()):  # fmt: skip
        part.taken.append(f"No ground wire of {nodes.unit} is described; its way to the body counts as a sound one.")
        part.add("ground", "way to the body", "body", (GROUND, CHASSIS), BODY_OHM)
    if nodes.sensor_ground != GROUND:
        place = f"inside {nodes.unit}"
        part.add("ground", SHARED_GROUND, place, (nodes.sensor_ground, GROUND), SHARED_GROUND_OHM)
    if body is None or body[1].motor.current is None:
        part.left_out.append("The motor's current: it is not known.")
        return elements
    ohm = volts / body[1].motor.current.high
    return [*elements, Resistor(MOTOR, BATTERY, nodes.sensor_ground, ohm)]
