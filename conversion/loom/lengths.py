"""How long each wire is cut, how long it is when it is finished, and what has to be bought."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from conversion.description import Description, Terminal
from conversion.description.parts import CrimpContact
from conversion.loom.allowed import station_zones
from conversion.loom.routes import Route
from conversion.loom.twists import Twist
from conversion.wiring import End, Wire

# Where the description gives none. Common practice, no source.
TAIL_MM = 150.0
DRIP_LOOP_MM = 60.0
STRIP_MM = 5.0
SPLICE_STRIP_MM = 8.0
RETERMINATION_MM = 15.0
DRUM_ALLOWANCE = 0.10

RETERMINATIONS = 2
"""New terminations for which wire is laid in at each end. FAA AC 43.13-1B, paragraph 11-118."""

_WET_ZONES = ("wet", "engine bay")


@dataclass(frozen=True, slots=True)
class Length:
    """What the length of a wire is made of; all in millimetres.

    Attributes:
        tag: The wire.
        route_mm: Of its runs; nominal.
        margin_mm: What the runs may be longer by their tolerances.
        twist_mm: What twisting takes up.
        tails_mm: From the stations to the housings at both ends; a splice has none.
        drip_mm: Loops that let water drip off.
        slack_mm: For new terminations later.
        strip_mm: Insulation taken off at both ends.
        finished_mm: Laid, between the ends of its insulation: all of these but the stripping.
        cut_mm: As cut: finished and stripped ends, rounded up to a whole millimetre.
    """

    tag: str
    route_mm: float
    margin_mm: float
    twist_mm: float
    tails_mm: float
    drip_mm: float
    slack_mm: float
    strip_mm: float
    finished_mm: float
    cut_mm: float


@dataclass(frozen=True, slots=True)
class WireTotal:
    """What is needed of one kind of wire.

    Attributes:
        size_mm2: Conductor cross-section. [mm²]
        colour: Codes of IEC 60757.
        wires: How many are cut from it.
        cut_mm: Sum of their cut lengths. [mm]
        drum_m: To be bought: with the allowance, rounded up to a whole metre. [m]
        unknown: Wires of this kind whose length is not known, and which are not in the sum.
    """

    size_mm2: float
    colour: str
    wires: int
    cut_mm: float
    drum_m: int
    unknown: tuple[str, ...]


def find_lengths(
    description: Description, wires: Iterable[Wire], routes: Mapping[str, Route], twists: Iterable[Twist]
) -> dict[str, Length]:
    """The length of every wire whose way and runs are known.

    Returns:
        By tag; a wire without a known way is not in it. The cut length is never below that of the runs.
    """
    loom = description.conversion.loom
    wires = tuple(wires)
    zones = station_zones(loom) if loom else {}
    spare_mm = spare_at_end_mm(description)
    twisted = _twisted_share(wires, routes, twists)
    found = {}
    for wire in wires:
        route = routes.get(wire.tag)
        if route is None or route.length_mm is None:
            continue
        ends = (wire.start, wire.end)
        terminals = [end for end in ends if isinstance(end, Terminal)]
        tails_mm = sum(tail_mm(description, end.device) for end in terminals)
        drip_mm = sum(drip_loop_mm(description, end.device, zones) for end in terminals)
        margin_mm = sum(_over_nominal(description, run) for run in route.runs)
        runs_taken, takeup = twisted.get(wire.tag, (frozenset[str](), 1.0))
        twisted_mm = sum(_run_mm(description, run) for run in route.runs if run in runs_taken)
        twist_mm = (takeup - 1.0) * (twisted_mm + (tails_mm if takeup > 1.0 else 0.0))
        slack_mm = spare_mm * len(terminals)
        strip_mm = sum(strip_length_mm(description, end) for end in ends)
        finished_mm = route.length_mm + margin_mm + twist_mm + tails_mm + drip_mm + slack_mm
        # A hair below a whole millimetre is that millimetre.
        cut_mm = float(math.ceil(finished_mm + strip_mm - 1e-6))
        found[wire.tag] = Length(
            wire.tag, route.length_mm, margin_mm, twist_mm, tails_mm, drip_mm, slack_mm, strip_mm, finished_mm, cut_mm
        )
    return found


def untwisted_mm(description: Description, wire: Wire, route: Route, zones: Mapping[str, str]) -> float | None:
    """A finished wire without what twisting adds, which alone depends on its size; None without a known way. [mm]"""
    if route.length_mm is None:
        return None
    devices = [end.device for end in (wire.start, wire.end) if isinstance(end, Terminal)]
    runs_mm = route.length_mm + sum(_over_nominal(description, run) for run in route.runs)
    beyond_mm = sum(tail_mm(description, device) + drip_loop_mm(description, device, zones) for device in devices)
    return runs_mm + beyond_mm + len(devices) * spare_at_end_mm(description)


def spare_at_end_mm(description: Description) -> float:
    """Slack at a housing for the terminations that may follow. [mm]"""
    loom = description.conversion.loom
    retermination = loom.retermination if loom else None
    return RETERMINATIONS * (RETERMINATION_MM if retermination is None else retermination.nominal)


def tail_mm(description: Description, device: str) -> float:
    """From a device's station to its housings. [mm]"""
    form, loom = description.conversion.devices[device], description.conversion.loom
    if form.tail is not None:
        return form.tail.high
    return loom.tail.high if loom and loom.tail else TAIL_MM


def drip_loop_mm(description: Description, device: str, zones: Mapping[str, str]) -> float:
    """Wire of the loop below a device's housings. [mm]

    Args:
        description: The device's own, the loom's, or the default.
        device: Reference.
        zones: What surrounds each station; see :func:`~conversion.loom.allowed.station_zones`.
    """
    form, loom = description.conversion.devices[device], description.conversion.loom
    if form.drip_loop is not None:
        return form.drip_loop.high
    if form.station is None or zones.get(form.station) not in _WET_ZONES:
        return 0.0
    return loom.drip_loop.high if loom and loom.drip_loop else DRIP_LOOP_MM


def contact_at(description: Description, terminal: Terminal) -> CrimpContact | None:
    """What is crimped on at a terminal; None where the part does not say."""
    housing = description.parts[terminal.device].housings[terminal.housing]
    cavity = housing.cavities.get(terminal.cavity)
    return (cavity.contact if cavity else None) or housing.contact


def strip_length_mm(description: Description, end: End) -> float:
    """Insulation taken off at an end of a wire. [mm]"""
    if not isinstance(end, Terminal):
        return SPLICE_STRIP_MM
    contact = contact_at(description, end)
    return contact.strip.nominal if contact and contact.strip else STRIP_MM


def total_wires(
    description: Description, wires: Iterable[Wire], lengths: Mapping[str, Length]
) -> tuple[WireTotal, ...]:
    """What is needed of every size and colour, by size and then by colour."""
    loom = description.conversion.loom
    allowance = loom.drum_allowance.nominal if loom and loom.drum_allowance else DRUM_ALLOWANCE
    kinds: dict[tuple[float, str], list[str]] = defaultdict(list)
    for wire in wires:
        kinds[wire.size_mm2, wire.colour].append(wire.tag)
    found = []
    for (size, colour), tags in sorted(kinds.items()):
        known = [lengths[tag].cut_mm for tag in tags if tag in lengths]
        unknown = tuple(tag for tag in tags if tag not in lengths)
        drum_m = math.ceil(sum(known) * (1.0 + allowance) / 1000.0 - 1e-9)
        found.append(WireTotal(size, colour, len(tags), sum(known), drum_m, unknown))
    return tuple(found)


def _run_mm(description: Description, run: str) -> float:
    loom = description.conversion.loom
    assert loom is not None, "a run belongs to a loom"
    length = loom.runs[run].length
    return length.nominal if length else 0.0


def _over_nominal(description: Description, run: str) -> float:
    loom = description.conversion.loom
    assert loom is not None, "a run belongs to a loom"
    length = loom.runs[run].length
    return length.high - length.nominal if length else 0.0


def _twisted_share(
    wires: Iterable[Wire], routes: Mapping[str, Route], twists: Iterable[Twist]
) -> dict[str, tuple[frozenset[str], float]]:
    """By wire: the runs on which at least one other of its twist goes along, and the take-up."""
    known = {wire.tag for wire in wires}
    found = {}
    for twist in twists:
        taken = {tag: set(routes[tag].runs) for tag in twist.tags if tag in known and tag in routes}
        for tag, runs in taken.items():
            shared = runs.intersection(set().union(*(other for name, other in taken.items() if name != tag)))
            found[tag] = (frozenset(shared), twist.takeup)
    return found
