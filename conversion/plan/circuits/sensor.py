"""The ends of a sensing circuit: the tracks of a sensor, and the control unit's supplies and inputs."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from conversion.circuit import Clamp, Drain, Element, Follower, Resistor, Source
from conversion.description import Description
from conversion.description.parts import Track
from conversion.plan.circuits.laid_loom import CircuitPart
from conversion.plan.circuits.nodes import Nodes
from conversion.plan.circuits.parts import GROUND
from conversion.sensing import GatheredTrack, Sensor
from conversion.sensing.track_model import Array

SOURCE_OHM = 0.5
"""Of a regulated sensor supply: 10 mV at 20 mA. Common practice, no source."""
INPUT_OHM = 10e3
"""In front of an input that is clamped to its supply. Common practice, no source."""
_CLAMP_V, _CLAMP_OHM = 0.3, 10.0
"""Of the diode that clamps it. Common practice, no source."""
_LEAST_SHARE = 0.5
"""With less than half of its supply a Hall or inductive output says nothing. Common practice, no source."""
_WHY = "what a fault in the loom makes of it cannot be computed"


@dataclass(frozen=True, slots=True)
class TrackNodes:
    """Nodes of one track inside its sensor."""

    plus: str
    minus: str
    signal: str
    tap: str


def track_nodes(nodes: Nodes, sensor: Sensor, device: str, track: str) -> TrackNodes:
    """Nodes of a track."""
    plus, minus, signal = (nodes.end(device, f"{sensor}.{track}.{which}") for which in ("supply", "ground", "signal"))
    return TrackNodes(plus, minus, signal, f"{device} track {track} tap")


def put_in_track(
    description: Description, nodes: Nodes, sensor: Sensor, device: str, track: str, gathered: GatheredTrack,
    part: CircuitPart,
) -> None:  # fmt: skip
    """Put in what of a track does not move: wiper or output resistance, and the module's pull resistor.

    Raises:
        Missing: The resistance of a potentiometer is not known.
    """
    form = _form(description, device, track)
    at, model = track_nodes(nodes, sensor, device, track), gathered.model
    place, roles = f"inside {device}", (f"{sensor}.{track}.signal",)
    if form.principle == "potentiometer":
        description.part_need(form.resistance, _WHY, device, "tracks", track, "resistance")
        what = "wiper"
        for end, node in (("supply", at.plus), ("ground", at.minus)):
            words = f"{device} track {track}, {end} side"
            part.add("track", words, place, (node, at.tap), np.nan, roles=(f"{sensor}.{track}.{end}",))
    else:
        what = "output"
        if form.supply_current is None:
            part.left_out.append(f"What {device} track {track} draws from its supply: it is not known.")
    if form.source_resistance is None:
        part.taken.append(f"The source resistance of {device} track {track} is not known; it counts as nothing.")
    words = f"{what} of {device} track {track}"
    part.add("wiper", words, place, (at.tap, at.signal), model.source_ohm.nominal, roles=roles)
    if model.module_pull is not None:
        end = at.plus if model.module_pull.to == "supply" else at.minus
        words = f"pull resistor of {device} track {track}"
        part.add("resistor", words, place, (at.signal, end), model.module_pull.ohm.nominal, roles=roles)
    part.taken += [sentence for sentence in gathered.taken if sentence not in part.taken]


def moving_elements(
    description: Description, nodes: Nodes, sensor: Sensor, device: str, tracks: Mapping[str, GatheredTrack],
    position: Mapping[str, Array],
) -> list[Element]:  # fmt: skip
    """What of the tracks moves, at given positions of each: (positions,)."""
    found: list[Element] = []
    for track, gathered in tracks.items():
        form, model = _form(description, device, track), gathered.model
        at, ratio = track_nodes(nodes, sensor, device, track), gathered.model.output_ratio(position[track])
        name = f"{device} track {track}"
        if form.principle == "potentiometer":
            ohm = model.track_ohm.nominal
            found.append(Resistor(f"{name}, supply side", at.plus, at.tap, (1.0 - ratio) * ohm))
            found.append(Resistor(f"{name}, ground side", at.tap, at.minus, ratio * ohm))
            continue
        # Its output resistance is the element between tap and signal.
        least_v = _LEAST_SHARE * model.supply_v.nominal
        found.append(Follower(f"{name} output", at.tap, at.plus, at.minus, ratio, 0.0, least_v))
        if form.supply_current is not None:
            amps = form.supply_current.nominal
            found.append(Drain(f"{name} own current", at.plus, at.minus, amps, least_v))
    return found


def put_in_inputs(
    nodes: Nodes, sensor: Sensor, tracks: Mapping[str, GatheredTrack], part: CircuitPart
) -> tuple[list[Element], dict[str, str], dict[str, float]]:
    """The control unit's inputs: pull resistors and clamps, the node that is read of each track, and its full scale."""
    clamps: list[Element] = []
    read: dict[str, str] = {}
    full_scale: dict[str, float] = {}
    for track, gathered in tracks.items():
        role = f"{sensor}.{track}.signal"
        terminal = nodes.terminal(nodes.unit, role)
        supply = nodes.supply_of(f"{sensor}.{track}.supply")
        if gathered.accepts is None or terminal is None or supply is None:
            continue
        pin, name = nodes.inside(terminal), terminal.name
        place, full_scale[track] = f"inside {nodes.unit}", gathered.model.supply_v.nominal
        pull = gathered.model.unit_pull
        if pull is not None:
            end = nodes.supply(supply) if pull.to == "supply" else GROUND
            part.add("input", f"pull resistor at {name}", place, (pin, end), pull.ohm.nominal, roles=(role,))
        read[track] = pin
        if gathered.accepts.clamp == "to supply":
            read[track] = f"{name} read"
            part.add("input", f"input resistor at {name}", place, (pin, read[track]), INPUT_OHM, roles=(role,))
            clamps.append(Clamp(f"clamp at {name}", read[track], nodes.supply(supply), _CLAMP_V, _CLAMP_OHM))
    return clamps, read, full_scale


def put_in_supplies(
    description: Description, nodes: Nodes, sensors: Collection[Sensor], part: CircuitPart
) -> tuple[list[Element], dict[str, str]]:
    """The control unit's supplies of some sensors, and the name of each one's source in the network.

    Raises:
        Missing: A voltage is not known.
    """
    unit = description.control_unit
    sources: list[Element] = []
    names: dict[str, str] = {}
    for name, supply in unit[1].supplies.items() if unit else ():
        if not any(role.partition(".")[0] in sensors for role in supply.roles):
            continue
        volts = description.part_need(supply.voltage, _WHY, nodes.unit, "supplies", name, "voltage")
        names[name] = f"source {name} of {nodes.unit}"
        ohm = SOURCE_OHM if supply.source_resistance is None else supply.source_resistance.nominal
        if supply.source_resistance is None:
            part.taken.append(f"The supply '{name}' of {nodes.unit} is taken with {SOURCE_OHM:.1f} ohm in it.")
        if supply.limit is None:
            part.taken.append(
                f"The limit of the supply '{name}' of {nodes.unit} is not known; it counts as having none."
            )
        limit_a = supply.limit.nominal if supply.limit else None
        # A regulator gives current and takes none back.
        sources.append(Source(names[name], nodes.supply(name), GROUND, volts.nominal, ohm, limit_a, 0.0))
    return sources, names


def _form(description: Description, device: str, track: str) -> Track:
    return description.parts[device].tracks[track]  # type: ignore[union-attr, index]
