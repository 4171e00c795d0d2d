"""The bundle of every run, and what passes the holes: diameter, covering, clips, bends and weight."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from conversion.description.loom_forms import Loom
from conversion.description.run_forms import Zone, clip_every_mm
from conversion.loom.allowed import station_zones
from conversion.loom.packing import Packing, pack_circles
from conversion.loom.protection import (
    FREE_BEND,
    HELD_BEND,
    Cover,
    clip_bore_mm,
    clip_places_mm,
    cover_for,
    least_hole_mm,
    wound_tape,
)
from conversion.loom.routes import Route
from conversion.loom.twists import Twist
from conversion.loom.wire_data import mass_g_per_m, outer_diameter_mm
from conversion.wiring import Wire


@dataclass(frozen=True)
class Bundle:
    """The wires of one run.

    Attributes:
        run: Name of the run.
        tags: Its wires, in building order; one at the least.
        zone: What surrounds it.
        length_mm: None where it is not known. [mm]
        packing: How the wires lie.
        round_mm: Diameter with every twist counted as the round strand that it is: what the covering and the clips
            have to take; never below :attr:`diameter_mm`. [mm]
        cover: What goes round it.
        clip_every_mm: Greatest distance of two clips. [mm]
        corners_mm: Described radii of the bends on the way. [mm]
        wires_g: Mass of the wires; None where the length is not known. [g]
    """

    run: str
    tags: tuple[str, ...]
    zone: Zone
    length_mm: float | None
    packing: Packing
    round_mm: float
    cover: Cover
    clip_every_mm: float
    corners_mm: tuple[float, ...]
    wires_g: float | None

    @property
    def diameter_mm(self) -> float:
        """Of the wires laid as closely as they go. [mm]"""
        return self.packing.diameter_mm

    @property
    def sleeve(self) -> str:
        """The covering in words."""
        return self.cover.words

    @property
    def sleeved_mm(self) -> float:
        """Diameter with the covering. [mm]"""
        return self.cover.outside_mm

    @property
    def clip_bore_mm(self) -> float:
        """Of the clips. [mm]"""
        return clip_bore_mm(self.sleeved_mm)

    @cached_property
    def clips(self) -> tuple[float, ...]:
        """Where the run is held, from its first station; none where its length is not known. [mm]"""
        return () if self.length_mm is None else clip_places_mm(self.length_mm, self.clip_every_mm)

    @property
    def clip_count(self) -> int:
        """All clips, with one on each side of every corner that has to be held."""
        return len(self.clips) + 2 * len(self.held_corners_mm)

    @property
    def least_bend_mm(self) -> float:
        """Least radius of a bend that is held on both sides. [mm]"""
        return HELD_BEND * self.diameter_mm

    @property
    def free_bend_mm(self) -> float:
        """Least radius of a bend that nothing holds. [mm]"""
        return FREE_BEND * self.diameter_mm

    @property
    def sharpest_corner_mm(self) -> float | None:
        """Least described radius; None where no corner is described. [mm]"""
        return min(self.corners_mm, default=None)

    @property
    def held_corners_mm(self) -> tuple[float, ...]:
        """The described bends that need a clip on both sides. [mm]"""
        return tuple(radius for radius in self.corners_mm if radius < self.free_bend_mm)

    @property
    def mass_g(self) -> float | None:
        """Of wires and covering, without clips; None where the length is not known. [g]"""
        if self.wires_g is None or self.length_mm is None:
            return None
        return self.wires_g + self.cover.g_per_m * self.length_mm / 1000.0


@dataclass(frozen=True, slots=True)
class Passage:
    """What passes a hole with a grommet: tubes and sleeves end on both sides of it, and the bundle is taped between.

    Attributes:
        station: The place of the hole.
        tags: Wires that pass it.
        round_mm: Diameter of the bare bundle, twists counted as round strands. [mm]
        cover: The tape round it.
        hole_mm: Described diameter of the hole; None where it is not. [mm]
        least_hole_mm: What taped bundle and grommet need. [mm]
    """

    station: str
    tags: tuple[str, ...]
    round_mm: float
    cover: Cover
    hole_mm: float | None
    least_hole_mm: float


def find_bundles(
    loom: Loom | None, wires: Iterable[Wire], routes: Mapping[str, Route], twists: Iterable[Twist]
) -> dict[str, Bundle]:
    """The bundle of every run that a wire takes.

    Args:
        loom: Its runs and zones; None where no loom is described.
        wires: All wires with their sizes.
        routes: The way of each, by tag.
        twists: Which of them are twisted together.

    Returns:
        By run, in the order described.
    """
    if loom is None:
        return {}
    by_tag = {wire.tag: wire for wire in wires}
    twists = tuple(twists)
    on_run: dict[str, list[str]] = defaultdict(list)
    for tag in by_tag:
        for run in dict.fromkeys(routes[tag].runs if tag in routes else ()):
            on_run[run].append(tag)
    return {name: _bundle(loom, name, on_run[name], by_tag, twists) for name in loom.runs if name in on_run}


def find_passages(
    loom: Loom | None, wires: Iterable[Wire], routes: Mapping[str, Route], twists: Iterable[Twist]
) -> dict[str, Passage]:
    """What passes every hole with a grommet that a wire reaches.

    A wire passes the hole where it goes on to another run there, or where it ends at a device on the other side: that
    is where the zone of its run is not that of the station.

    Returns:
        By station, in the order described; stations without a wire through the hole are not in it.
    """
    if loom is None:
        return {}
    by_tag = {wire.tag: wire for wire in wires}
    twists = tuple(twists)
    zones = station_zones(loom)
    found = {}
    for name, station in loom.stations.items():
        if station.through != "grommet":
            continue
        met = {tag: runs for tag in by_tag if tag in routes and (runs := _runs_at(loom, routes[tag], name))}
        tags = [tag for tag, runs in met.items() if len(runs) > 1 or loom.runs[runs[0]].zone != zones[name]]
        if not tags:
            continue
        round_mm = _round(tags, by_tag, twists).diameter_mm
        cover = wound_tape(round_mm)
        hole_mm = station.hole.low if station.hole else None
        found[name] = Passage(name, tuple(tags), round_mm, cover, hole_mm, least_hole_mm(cover.outside_mm))
    return found


def _runs_at(loom: Loom, route: Route, station: str) -> list[str]:
    return [run for run in route.runs if station in loom.runs[run].between]


def _bundle(loom: Loom, name: str, tags: list[str], by_tag: dict[str, Wire], twists: tuple[Twist, ...]) -> Bundle:
    run = loom.runs[name]
    packing = pack_circles(outer_diameter_mm(by_tag[tag].size_mm2) for tag in tags)
    round_mm = max(packing.diameter_mm, _round(tags, by_tag, twists).diameter_mm)
    length_mm = run.length.nominal if run.length else None
    wires_g = None
    if length_mm is not None:
        longer = {tag: twist.takeup for twist in twists for tag in twist.tags}
        wires_g = sum(mass_g_per_m(by_tag[tag].size_mm2) * longer.get(tag, 1.0) for tag in tags) * length_mm / 1000.0
    return Bundle(
        run=name,
        tags=tuple(tags),
        zone=run.zone,
        length_mm=length_mm,
        packing=packing,
        round_mm=round_mm,
        cover=cover_for(run.zone, round_mm),
        clip_every_mm=clip_every_mm(run.zone, loom.zones.get(run.zone)),
        corners_mm=tuple(corner.low for corner in run.corners if corner is not None),
        wires_g=wires_g,
    )


def _round(tags: list[str], by_tag: dict[str, Wire], twists: tuple[Twist, ...]) -> Packing:
    """The wires laid with each twist as one circle; of a twist that is not whole here, the wires that are."""
    here = set(tags)
    circles = []
    for twist in twists:
        together = [tag for tag in twist.tags if tag in here]
        if len(together) > 1:
            here.difference_update(together)
            circles.append(pack_circles(outer_diameter_mm(by_tag[tag].size_mm2) for tag in together).diameter_mm)
    return pack_circles([*circles, *(outer_diameter_mm(by_tag[tag].size_mm2) for tag in tags if tag in here)])
