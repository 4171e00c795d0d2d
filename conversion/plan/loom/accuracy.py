"""What the loom's own resistance costs the sensors: supply lost, ground lifted, agreement used up."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from conversion.description import Description
from conversion.description.parts import SensorInput
from conversion.loom.conductors import conductor_ohm, contact_ohm
from conversion.plan.loom.sizing import LoomSizes
from conversion.sensing.gather import GatheredTrack, Sensor
from conversion.sensing.sweep import SensorSweep
from conversion.wiring import Wire, Wiring


@dataclass(frozen=True, slots=True)
class LineLoss:
    """What one track loses in its supply and in its ground.

    Attributes:
        supply: Tags of the wires that feed it.
        ground: Tags of the wires that it returns through.
        supply_drop_v: Over those, their contacts and splices, currents of other tracks in them included. [V]
        ground_rise_v: The same of the return. [V]
        unmeasured: Wires whose length is not known, and which count as nothing.
    """

    supply: tuple[str, ...]
    ground: tuple[str, ...]
    supply_drop_v: float
    ground_rise_v: float
    unmeasured: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AgreementCost:
    """What the loom takes of the agreement that the control unit asks of two tracks.

    Attributes:
        tracks: The two.
        of: ``percent`` or ``volts``; what the control unit compares.
        cost: Greatest over the movement of each track's own error and of the error of their difference, as compared.
        at_most: Greatest difference that the control unit lets pass.
        index: Position of the movement at which the cost is greatest.
        own: Error of each track at that position. [V]
    """

    tracks: tuple[str, str]
    of: str
    cost: float
    at_most: float
    index: int
    own: tuple[float, float]

    @property
    def share(self) -> float:
        """Cost as a share of what may pass."""
        return self.cost / self.at_most


def line_losses(
    description: Description, wiring: Wiring, sizes: LoomSizes, sensor: Sensor, tracks: Iterable[str]
) -> dict[str, LineLoss]:
    """What the chosen sizes cost each track, by track.

    Copper is as hot as its zone and its load make it. Every contact has the loom's contact resistance, and so has
    every wire's end in a splice.
    """
    end_ohm = contact_ohm(description.conversion.loom)
    found = {}
    for track in tracks:
        wires = {which: wiring.of_role(f"{sensor}.{track}.{which}") for which in ("supply", "ground")}
        volts = {which: sum(_lost_v(wire, sizes, end_ohm) for wire in each) for which, each in wires.items()}
        tags = {which: tuple(wire.tag for wire in each) for which, each in wires.items()}
        unmeasured = tuple(tag for each in tags.values() for tag in each if tag not in sizes.lengths_m)
        found[track] = LineLoss(tags["supply"], tags["ground"], volts["supply"], volts["ground"], unmeasured)
    return found


def with_losses(tracks: Mapping[str, GatheredTrack], losses: Mapping[str, LineLoss]) -> dict[str, GatheredTrack]:
    """The same tracks, read through the loom."""
    return {
        name: replace(
            track,
            model=replace(
                track.model, supply_drop_v=losses[name].supply_drop_v, ground_rise_v=losses[name].ground_rise_v
            ),
        )
        for name, track in tracks.items()
    }


def agreement_costs(
    tracks: Mapping[str, GatheredTrack], sweep: SensorSweep, accepts: SensorInput | None
) -> tuple[AgreementCost, ...]:
    """What the loom takes of the agreement, of every pair of tracks that the control unit compares.

    Args:
        tracks: As read through the loom.
        sweep: Of the same tracks.
        accepts: What the control unit compares, and what it lets pass.

    Note:
        A scale that is learned takes the loom's part along as it is on the day of learning. Copper warms up and
        contacts age after that, so the whole of it counts.
    """
    if accepts is None or accepts.agreement is None or accepts.agreement.at_most is None:
        return ()
    agreement, at_most = accepts.agreement, accepts.agreement.at_most
    limit = 100.0 * at_most.nominal if agreement.of == "percent" else at_most.nominal
    read = [name for name in tracks if name in accepts.tracks]
    errors = {name: _error_v(tracks[name], sweep) for name in read}
    found = []
    for pair in combinations(read, 2):
        spans = [_span_v(sweep, name) for name in pair]
        if agreement.of == "percent":
            if None in spans:
                continue
            one, other = (100.0 * errors[name] / span for name, span in zip(pair, spans, strict=True) if span)
        else:
            one, other = errors[pair[0]], agreement.factor * errors[pair[1]]
        cost = np.max(np.abs([one, other, one - other]), axis=0)
        if not np.isfinite(cost).any():
            # Nowhere does the linkage bring the lever anywhere, and that is told by itself.
            continue
        index = int(np.nanargmax(cost))
        own = (float(errors[pair[0]][index]), float(errors[pair[1]][index]))
        found.append(AgreementCost(pair, agreement.of, float(cost[index]), limit, index, own))
    return tuple(found)


def _lost_v(wire: Wire, sizes: LoomSizes, end_ohm: float) -> float:
    """At the wire's greatest current, with a contact or a splice at each end."""
    choice, length_m = sizes.choices[wire.tag], sizes.lengths_m.get(wire.tag, 0.0)
    hot = sizes.insulation_degc if choice.conductor_degc is None else choice.conductor_degc
    ohm = conductor_ohm(choice.size_mm2, 1000.0 * length_m, hot) + 2.0 * end_ohm
    return sizes.loads.wires[wire.tag].greatest_a * ohm


def _error_v(track: GatheredTrack, sweep: SensorSweep) -> np.ndarray:
    without = replace(track.model, supply_drop_v=0.0, ground_rise_v=0.0)
    return track.model.volts(sweep.position) - without.volts(sweep.position)


def _span_v(sweep: SensorSweep, name: str) -> float | None:
    scale = sweep.tracks[name].scale_v
    return None if scale is None or scale[0] == scale[1] else scale[1] - scale[0]
