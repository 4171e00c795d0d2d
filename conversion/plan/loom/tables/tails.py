"""The tails: what the loom is between a station and a housing, and what covers it there."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.loom.lengths import drip_loop_mm, tail_mm
from conversion.loom.protection import Cover, cover_for
from conversion.plan.loom.ends import device_zones, station_zones_of, terminations
from conversion.plan.loom.shrink import over_wires_mm
from conversion.plan.loom.tables.labels import end_without_cover_mm
from conversion.wiring import Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan


@dataclass(frozen=True)
class Tail:
    """The wires of one housing, or to one bolt, between it and their station.

    Attributes:
        name: Device, and its housing where it has several.
        wires: All of them.
        length_mm: Drip loop included. [mm]
        covered_mm: From the station to where the labels begin; 0 where they take all of it. [mm]
        over_mm: Diameter of the circle round them. [mm]
        cover: As in the zone of the station.
    """

    name: str
    wires: tuple[Wire, ...]
    length_mm: float
    covered_mm: float
    over_mm: float
    cover: Cover


def tails(plan: Plan) -> Iterator[Tail]:
    """The tail of every housing whose device has a station; a single wire in the cabin stays bare and is left out."""
    zones, at_station = device_zones(plan.description), station_zones_of(plan.description)
    met: dict[tuple[str, str], dict[str, Wire]] = {}
    for end in terminations(plan):
        if end.terminal.device in zones:
            found = met.setdefault((end.terminal.device, end.terminal.housing), {})
            found.update((wire.tag, wire) for wire in end.wires)
    for (device, housing), by_tag in met.items():
        wires = tuple(by_tag.values())
        zone = zones[device]
        if len(wires) == 1 and zone == "cabin":
            continue
        several = len(plan.description.parts[device].housings) > 1
        length = tail_mm(plan.description, device) + drip_loop_mm(plan.description, device, at_station)
        over = over_wires_mm(wires)
        name = f"{device} {housing}" if several else device
        covered = max(0.0, length - end_without_cover_mm(plan))
        yield Tail(name, wires, length, covered, over, cover_for(zone, over))
