"""The loom's sizes: loads, zones, bundles, fuses and drops brought together for every wire."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from conversion.description import Description, Terminal
from conversion.description.loom_forms import Loom
from conversion.description.run_forms import Zone, ambient_degc, least_size_mm2
from conversion.loom import Route, station_of
from conversion.loom.allowed import CABIN, station_zones
from conversion.loom.conductors import conductor_ohm
from conversion.loom.drop import CONTINUOUS_V, INTERMITTENT_V, Loop, LoopDrop, dropped
from conversion.loom.lengths import contact_at, untwisted_mm
from conversion.loom.limits import Passage, loaded_wires
from conversion.loom.sizes import SizeChoice, SizingCase, choose_sizes, copper_of
from conversion.plan.loom.feeding import Feeding
from conversion.plan.loom.fuse_ways import FuseWays, find_fuse_ways, protections
from conversion.plan.loom.fusing import FuseChoice, choose_fuses, fuse_needs
from conversion.plan.loom.loads import Loads, gather_loads
from conversion.wiring import Wire, Wiring

INSULATION_DEGC = 105.0
"""Most thin-wall wire for road vehicles. Common practice, no source."""


@dataclass(frozen=True)
class LoomSizes:
    """The sizes of a loom and what they rest on.

    Attributes:
        loads: The current of every wire.
        choices: The size of every wire, by tag.
        drops: What each load loses on its whole way, with these sizes.
        fuses: Every fuse, by reference.
        ways: Which wires hang on which fuse, and which on none.
        insulation_degc: What the insulation stands. [°C]
        cases: What each wire was sized for, by tag.
        lengths_m: Copper of each wire whose length is known: finished, without what twisting adds. [m]
    """

    loads: Loads
    choices: dict[str, SizeChoice]
    drops: tuple[LoopDrop, ...]
    fuses: dict[str, FuseChoice]
    ways: FuseWays
    insulation_degc: float
    cases: dict[str, SizingCase]
    lengths_m: Mapping[str, float]


def size_loom(description: Description, wiring: Wiring, routes: Mapping[str, Route]) -> LoomSizes:
    """Size every wire and every fuse.

    Args:
        description: Loads, zones, fuses.
        wiring: The wires with the sizes that habit or the description gives them.
        routes: Their ways.

    Returns:
        The sizes. Nothing of it is missing: what is not known is said in the words of each choice.
    """
    loom = description.conversion.loom
    insulation = loom.insulation.nominal if loom and loom.insulation else INSULATION_DEGC
    feeding = Feeding(description, wiring)
    loads = gather_loads(description, wiring, feeding)
    zones = station_zones(loom) if loom else {}
    needs = fuse_needs(
        description,
        wiring,
        feeding,
        loads,
        {device: _ambient_at(description, device, zones) for device in description.parts},
    )
    ways = find_fuse_ways(description, wiring, feeding)
    protected = protections(description, feeding, ways, {device: need.chosen_a for device, need in needs.items()})
    passages = _passages(description, wiring, routes, loads, zones, insulation)
    cases = {}
    for wire in wiring.wires:
        protection = protected.get(wire.tag)
        cases[wire.tag] = SizingCase(
            tag=wire.tag,
            said_mm2=wire.size_mm2 if wire.size_said else None,
            habit_mm2=wire.size_mm2,
            current_a=loads.wires[wire.tag].current_a,
            passages=passages[wire.tag],
            length_m=_copper_m(description, wire, routes[wire.tag], zones),
            fuse=protection.words if protection else None,
            fuse_a=protection.rating_a if protection else None,
            contacts=_contacts(description, wire),
        )
    listed = list(cases.values())
    loops = _loops(loom, loads)
    choices = choose_sizes(listed, loops, insulation)
    copper = copper_of(listed, insulation)
    sizes = {tag: choice.size_mm2 for tag, choice in choices.items()}
    hot = {tag: conductor_ohm(sizes[tag], 1000.0 * length, insulation) for tag, length in copper.length_m.items()}
    return LoomSizes(
        loads=loads,
        choices=choices,
        drops=_worst_drops(dropped(loop, sizes, copper) for loop in loops),
        fuses=choose_fuses(description, feeding, ways, needs, cases, choices, hot, insulation),
        ways=ways,
        insulation_degc=insulation,
        cases=cases,
        lengths_m=copper.length_m,
    )


def with_sizes(wiring: Wiring, choices: Mapping[str, SizeChoice]) -> Wiring:
    """The same wires with the sizes that were chosen."""
    wires = tuple(replace(wire, size_mm2=choices[wire.tag].size_mm2) for wire in wiring.wires)
    return Wiring(wires, wiring.loose, wiring.left_out, wiring.nets)


def _loops(loom: Loom | None, loads: Loads) -> list[Loop]:
    allowed = loom.allowed_drop if loom else None
    continuous = allowed.continuous.nominal if allowed and allowed.continuous else CONTINUOUS_V
    intermittent = allowed.intermittent.nominal if allowed and allowed.intermittent else INTERMITTENT_V
    loops = []
    for load in loads.loads:
        if load.current_a is None or load.loop is None:
            continue
        for way in load.loop.parallel:
            wires = {tag: loads.wires[tag] for tag in way}
            currents = {tag: wire.share_a if load.intermittent else wire.steady_share_a for tag, wire in wires.items()}
            loops.append(Loop(load.name, intermittent if load.intermittent else continuous, currents))
    return loops


def _worst_drops(drops: Iterable[LoopDrop]) -> tuple[LoopDrop, ...]:
    """One for each load: where it has parallel ways, the way that loses most."""
    worst: dict[str, LoopDrop] = {}
    for each in drops:
        if each.load not in worst or each.drop_v > worst[each.load].drop_v:
            worst[each.load] = each
    return tuple(worst.values())


def _passages(
    description: Description, wiring: Wiring, routes: Mapping[str, Route], loads: Loads, zones: Mapping[str, Zone],
    insulation_degc: float,
) -> dict[str, tuple[Passage, ...]]:  # fmt: skip
    """What each wire passes: its runs, and the places where it ends."""
    loom = description.conversion.loom
    if loom is None:
        return {wire.tag: () for wire in wiring.wires}
    passing: dict[str, list[float | None]] = defaultdict(list)
    for wire in wiring.wires:
        for run in routes[wire.tag].runs:
            passing[run].append(loads.wires[wire.tag].current_a)
    ambient = {run: ambient_degc(loom.runs[run].zone, loom.zones.get(loom.runs[run].zone)) for run in passing}
    least = {run: least_size_mm2(loom.runs[run].zone, loom.zones.get(loom.runs[run].zone)) for run in passing}
    counted = loaded_wires(passing, ambient, least, insulation_degc)
    runs = {
        run: Passage(f"run '{run}'", loom.runs[run].zone, ambient[run], least[run], max(counted[run], 1))
        for run in passing
    }
    places = {name: _place(loom, name, zone) for name, zone in zones.items()}
    found = {}
    for wire in wiring.wires:
        route = routes[wire.tag]
        stations = [station_of(description, end) for end in (wire.start, wire.end)]
        ends = [places[name] for name in dict.fromkeys(stations) if name in places]
        found[wire.tag] = () if route.why_none is not None else (*(runs[run] for run in route.runs), *ends)
    return found


def _place(loom: Loom, station: str, zone: Zone) -> Passage:
    form = loom.zones.get(zone)
    return Passage(f"station '{station}'", zone, ambient_degc(zone, form), least_size_mm2(zone, form))


def _ambient_at(description: Description, device: str, zones: Mapping[str, Zone]) -> float:
    loom, station = description.conversion.loom, description.conversion.devices[device].station
    zone = zones.get(station or "", CABIN)
    return ambient_degc(zone, loom.zones.get(zone) if loom else None)


def _copper_m(description: Description, wire: Wire, route: Route, zones: Mapping[str, Zone]) -> float | None:
    """All of a finished wire but what twisting adds, which depends on the size that is yet to be chosen. [m]"""
    length_mm = untwisted_mm(description, wire, route, zones)
    return None if length_mm is None else length_mm / 1000.0


def _contacts(description: Description, wire: Wire) -> dict[str, float]:
    """The thinnest wire that each contact of a wire takes, where its part says so. [mm²]"""
    found = {}
    for end in (wire.start, wire.end):
        contact = contact_at(description, end) if isinstance(end, Terminal) else None
        if isinstance(end, Terminal) and contact is not None and contact.thinnest is not None:
            found[end.name] = contact.thinnest.nominal
    return found
