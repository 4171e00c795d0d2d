"""What keeps wires out of a run, past a station, or a splice out of a place: zones, neighbours, and what is said."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass

from conversion.description.loom_forms import Loom
from conversion.description.run_forms import Beside, Run, WireKind, Zone, zone_closed_to
from conversion.quantities import show

Step = str | int

KEEP_APART_MM = 100.0
"""Of a sensor's wires from a cable that disturbs them. Common practice, no source."""

DISTURBING = ("motor", "ignition", "starter", "charging")
"""What the sensors keep away from; pipes are neighbours of another kind."""

CABIN: Zone = "cabin"

SEVERITY: tuple[Zone, ...] = ("cabin", "engine bay", "wet", "moving", "hot")
"""Zones from the mildest to the one that asks most of a wire. Common practice, no source."""

NO_SPLICE_IN: tuple[Zone, ...] = ("hot", "wet", "moving")
"""A splice is stiff, is open to moisture at its ends, and has the least strength of the whole wire. Common practice, no
source."""

_WHOSE: dict[WireKind, str] = {
    "sensors": "sensors' wires",
    "motor": "the motor's wires",
    "feeds": "feeds",
    "grounds": "grounds",
    "other": "other wires",
}


@dataclass(frozen=True, slots=True)
class Ban:
    """One thing that keeps a kind of wires out.

    Attributes:
        path: Where it stands in the conversion file.
        words: What it is, as a sentence goes on: ``run 'tunnel' is closed to feeds``.
        lift: What lifting it would be, as an instruction.
    """

    path: tuple[Step, ...]
    words: str
    lift: str


@dataclass(frozen=True)
class Bans:
    """What one kind of wires must not do.

    Attributes:
        runs: Why it must not take a run, by run; runs that are open to it are not in it.
        stations: Why it must not pass a station, by station. A wire may end there all the same.
    """

    runs: dict[str, tuple[Ban, ...]]
    stations: dict[str, tuple[Ban, ...]]


def bans_of(loom: Loom, kind: WireKind) -> Bans:
    """Everything that keeps a kind of wires out of runs and stations.

    A zone bans where it is closed to the kind; a run where it says so itself or, for sensors, where a cable that
    disturbs them runs nearer than ``keep_apart``.
    """
    runs = {name: found for name, run in loom.runs.items() if (found := tuple(_of_run(loom, name, run, kind)))}
    stations: dict[str, tuple[Ban, ...]] = {}
    for name, station in loom.stations.items():
        if station.zone is not None and (ban := _of_zone(loom, station.zone, kind)) is not None:
            stations[name] = (ban,)
    return Bans(runs, stations)


def _of_run(loom: Loom, name: str, run: Run, kind: WireKind) -> Iterator[Ban]:
    if kind in run.closed_to:
        yield Ban(
            ("loom", "runs", name, "closed_to"),
            f"run '{name}' is closed to {_WHOSE[kind]}",
            f"take '{kind}' out of 'closed_to' of run '{name}'",
        )
    zone = _of_zone(loom, run.zone, kind)
    if zone is not None:
        yield zone
    if kind == "sensors":
        for index, beside in enumerate(run.beside):
            if (near := _too_near(loom, name, index, beside)) is not None:
                yield near


def _of_zone(loom: Loom, zone: Zone, kind: WireKind) -> Ban | None:
    form = loom.zones.get(zone)
    if kind not in zone_closed_to(zone, form):
        return None
    rest = [each for each in zone_closed_to(zone, form) if each != kind]
    return Ban(
        ("loom", "zones", zone, "closed_to"),
        f"zone '{zone}' is closed to {_WHOSE[kind]}",
        f"open zone '{zone}' to them: 'closed_to: [{', '.join(rest)}]' under 'loom.zones.{zone}', with insulation and "
        "protection that stand it",
    )


def _too_near(loom: Loom, name: str, index: int, beside: Beside) -> Ban | None:
    if beside.what not in DISTURBING or beside.apart is None:
        return None
    wanted_mm = keep_apart_mm(loom)
    if beside.apart.low >= wanted_mm:
        return None
    apart, wanted = show(beside.apart.low, "length"), show(wanted_mm, "length")
    return Ban(
        ("loom", "runs", name, "beside", index),
        f"run '{name}' has the {cable_words(beside.what)} {apart} beside it, and sensors' wires keep {wanted} away",
        f"move run '{name}' or the {cable_words(beside.what)} until they lie {wanted} apart",
    )


def keep_apart_mm(loom: Loom) -> float:
    """Least distance of sensors' wires from a cable that disturbs them. [mm]"""
    return KEEP_APART_MM if loom.keep_apart is None else loom.keep_apart.nominal


def cable_words(what: str) -> str:
    """What runs beside a run, as a sentence names it.

    Example:
        >>> cable_words("starter"), cable_words("exhaust")
        ('starter cable', 'exhaust')
    """
    return f"{what} cable" if what in DISTURBING else what


def station_zones(loom: Loom) -> dict[str, Zone]:
    """What surrounds each station: as described, else the severest zone of the runs that meet there, else cabin."""
    found: dict[str, Zone] = dict.fromkeys(loom.stations, CABIN)
    for run in loom.runs.values():
        for name in run.between:
            found[name] = max(found[name], run.zone, key=SEVERITY.index)
    described: dict[str, Zone] = {name: station.zone for name, station in loom.stations.items() if station.zone}
    return found | described


def splice_bans(loom: Loom) -> dict[str, str]:
    """Why no splice lies at a station, by station; where one may lie is not in it.

    Where a station's own zone is not described, one run of a forbidden zone that meets there is enough: the splice
    may come to lie within it.
    """
    met: dict[str, list[tuple[Zone, str]]] = defaultdict(list)
    for name, run in loom.runs.items():
        for station in run.between:
            met[station].append((run.zone, name))
    found: dict[str, str] = {}
    for name, place in loom.stations.items():
        if place.through is not None:
            found[name] = f"the loom passes a {place.through} there"
        elif place.zone in NO_SPLICE_IN:
            found[name] = f"it lies in zone '{place.zone}'"
        elif place.zone is None:
            touching = [each for each in met[name] if each[0] in NO_SPLICE_IN]
            if touching:
                zone, nearest = max(touching, key=lambda each: (SEVERITY.index(each[0]), each[1]))
                found[name] = f"run '{nearest}' in zone '{zone}' ends there"
    return found
