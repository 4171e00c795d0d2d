"""Parts to buy for the loom, each kind once, with how many are used and how many to take home."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from conversion.loom.lengths import DRUM_ALLOWANCE
from conversion.loom.protection import Cover
from conversion.loom.wire_data import outer_diameter_mm
from conversion.plan.loom.ends import Termination, open_places, terminations
from conversion.plan.loom.shrink import Tube, ring_tube, tube_for
from conversion.plan.loom.tables.labels import all_labels, sheet_layout
from conversion.plan.loom.tables.splices import splice_rows
from conversion.plan.loom.tables.tails import tails
from conversion.quantities import show

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

SAMPLES = 3
"""Crimps that are pulled until they let go, of each contact with each size of wire. Common practice, no source."""
SPARE = 0.10
"""Of small parts, at least one: one falls into the engine bay. Common practice, no source."""
TAPE_MM = 19.0
"""Width of cloth tape; wound half overlapping, half of it counts. Common practice, no source."""

GROUPS = (
    "wire", "housings", "contacts", "seals", "plugs", "fuses", "splices", "heat-shrink", "covering", "grommets",
    "clips", "labels",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Item:
    """One kind of part.

    Attributes:
        group: One of GROUPS.
        what: In the words of its part file, or of the trade.
        used: How much goes into the loom; None where that is not known.
        to_buy: The same with samples, spares and allowances.
        unit: ``m`` or ``pieces``.
        goes_to: Where it goes, in words.
    """

    group: str
    what: str
    used: float | None
    to_buy: float | None
    unit: str
    goes_to: str


def parts_to_buy(plan: Plan) -> tuple[Item, ...]:
    """Everything that the loom is made of, in the order of GROUPS."""
    ends = tuple(terminations(plan))
    return (
        *_wire(plan),
        *_housings(plan, ends),
        *_contacts(ends),
        *_plugs(plan),
        *_fuses(plan),
        *_splices(plan),
        *_tubes(plan, ends),
        *_covering(plan),
        *_held(plan),
        *_labels(plan),
    )


def spared(count: int) -> int:
    """A number of small parts with their spares.

    Example:
        >>> spared(1), spared(30)
        (2, 33)
    """
    return count + max(1, math.ceil(SPARE * count))


def _allowance(plan: Plan) -> float:
    loom = plan.description.conversion.loom
    said = loom.drum_allowance if loom else None
    return 1.0 + (DRUM_ALLOWANCE if said is None else said.nominal)


def _metres(plan: Plan, length_mm: float) -> tuple[float, float]:
    """As used, and as bought: with the allowance, rounded up to a whole metre. [m]"""
    return length_mm / 1000.0, math.ceil(length_mm * _allowance(plan) / 1000.0 - 1e-9)


def _wire(plan: Plan) -> Iterator[Item]:
    for total in plan.wire_totals:
        tags = [w.tag for w in plan.wiring.wires if (w.size_mm2, w.colour) == (total.size_mm2, total.colour)]
        where = ", ".join(tags)
        if total.unknown:
            where += f"; length of {', '.join(total.unknown)} not known and not counted"
        what = f"wire {show(total.size_mm2, 'area')} {total.colour}"
        yield Item("wire", what, total.cut_mm / 1000.0, float(total.drum_m), "m", where)


def _housings(plan: Plan, ends: tuple[Termination, ...]) -> Iterator[Item]:
    met = dict.fromkeys((end.terminal.device, end.terminal.housing) for end in ends if not end.bolted)
    for device, name in met:
        part = plan.description.parts[device]
        housing = part.housings[name]
        sealed = "sealed " if housing.sealed else ""
        of = f"{device} {name}" if len(part.housings) > 1 else device
        places = "1 place" if housing.positions == 1 else f"{housing.positions} places"
        yield Item("housings", f"{sealed}counterpart with {places}", 1, 1, "pieces", f"{of}: {part.title}")


def _contacts(ends: tuple[Termination, ...]) -> Iterator[Item]:
    crimps: dict[str, Counter[float]] = defaultdict(Counter)
    devices: dict[str, dict[str, None]] = defaultdict(dict)
    seals: Counter[str] = Counter()
    for end in ends:
        title = end.contact.title if end.contact else "contact that its part file does not name"
        devices[title][end.terminal.device] = None
        for wires in end.crimps:
            crimps[title][round(sum(wire.size_mm2 for wire in wires), 3)] += 1
            if end.contact is not None and end.contact.seal is not None:
                seals[end.contact.seal] += 1
    for title, sizes in crimps.items():
        used = sizes.total()
        yield Item("contacts", title, used, spared(used) + SAMPLES * len(sizes), "pieces", ", ".join(devices[title]))
    for title, used in seals.items():
        yield Item("seals", title, used, spared(used), "pieces", "one on each wire, before its contact")


def _plugs(plan: Plan) -> Iterator[Item]:
    places: dict[str, list[str]] = defaultdict(list)
    for place in open_places(plan.description):
        if place.sealed:
            places[place.plug or "plug that its part file does not name"].append(place.terminal.name)
    for title, names in places.items():
        yield Item("plugs", title, len(names), spared(len(names)), "pieces", ", ".join(names))


def _fuses(plan: Plan) -> Iterator[Item]:
    ratings: dict[float | None, list[str]] = defaultdict(list)
    for fuse in plan.sizes.fuses.values():
        ratings[fuse.chosen_a].append(fuse.device)
    for rating, devices in ratings.items():
        what = "fuse of a rating that is not known" if rating is None else f"fuse {rating:g} A"
        yield Item("fuses", what, len(devices), spared(len(devices)), "pieces", ", ".join(devices))


def _splices(plan: Plan) -> Iterator[Item]:
    names: dict[float, list[str]] = defaultdict(list)
    for row in splice_rows(plan):
        names[row.size_mm2].append(row.name)
    for size, found in sorted(names.items()):
        what = f"crimp splice for wires of {show(size, 'area')} together"
        yield Item("splices", what, len(found), spared(len(found)) + SAMPLES, "pieces", ", ".join(found))


def _tubes(plan: Plan, ends: tuple[Termination, ...]) -> Iterator[Item]:
    lengths: dict[tuple[str, float], float] = defaultdict(float)
    goes_to: dict[tuple[str, float], dict[str, None]] = defaultdict(dict)

    def add(tube: Tube | None, where: str) -> None:
        if tube is not None:
            lengths[tube.kind, tube.bore_mm] += tube.length_mm
            goes_to[tube.kind, tube.bore_mm][where] = None

    for end in ends:
        for wires in end.crimps if end.bolted else ():
            add(ring_tube(wires), end.terminal.name)
    for row in splice_rows(plan):
        add(row.tube, row.name)
    layout = sheet_layout(plan.description.conversion.loom.labels if plan.description.conversion.loom else None)
    if layout is not None and not layout.bought:
        for wire in plan.wiring.wires:
            tube = label_tube(wire.size_mm2, layout.width_mm, layout.height_mm)
            add(tube, "over the labels")
            add(tube, "over the labels")
    for (kind, bore), length in sorted(lengths.items()):
        used, buy = _metres(plan, length)
        what = f"heat-shrink tube, {'lined with adhesive' if kind == 'lined' else kind}, bore {bore:g} mm"
        yield Item("heat-shrink", what, used, buy, "m", ", ".join(goes_to[kind, bore]))


def label_tube(size_mm2: float, width_mm: float, height_mm: float) -> Tube | None:
    """Clear tube over a strip of paper that is wound round a wire."""
    over = outer_diameter_mm(size_mm2)
    # Paper of 0.1 mm lies round the wire as often as its height goes round it.
    labelled = math.sqrt(over**2 + 4.0 / math.pi * 0.1 * height_mm)
    return tube_for("clear", labelled, labelled, width_mm + 10.0)


def _covering(plan: Plan) -> Iterator[Item]:
    lengths: dict[str, float] = defaultdict(float)
    runs: dict[str, list[str]] = defaultdict(list)

    def add(cover: Cover, length_mm: float, where: str) -> None:
        what = cover.words
        if cover.bore_mm is None:
            what += f", {TAPE_MM:g} mm wide"
            length_mm *= math.pi * cover.outside_mm / (TAPE_MM / 2.0)
        else:
            what += f", bore {cover.bore_mm:g} mm"
        lengths[what] += length_mm
        runs[what].append(where)

    for bundle in plan.bundles.values():
        where = bundle.run if bundle.length_mm is not None else f"{bundle.run} (length not known)"
        add(bundle.cover, bundle.length_mm or 0.0, where)
    for tail in tails(plan):
        if tail.covered_mm > 0.0:
            add(tail.cover, tail.covered_mm, f"tail of {tail.name}")
    for what, length in lengths.items():
        used, buy = _metres(plan, length)
        yield Item("covering", what, used, buy, "m", ", ".join(runs[what]))


def _held(plan: Plan) -> Iterator[Item]:
    for passage in plan.passages.values():
        hole = passage.least_hole_mm if passage.hole_mm is None else passage.hole_mm
        what = f"grommet for a hole of {hole:g} mm and a loom of {show(passage.cover.outside_mm, 'length')}"
        yield Item("grommets", what, 1, 1, "pieces", passage.station)
    clips: Counter[float] = Counter()
    runs: dict[float, list[str]] = defaultdict(list)
    for bundle in plan.bundles.values():
        clips[bundle.clip_bore_mm] += bundle.clip_count
        runs[bundle.clip_bore_mm].append(bundle.run)
    for bore, used in sorted(clips.items()):
        yield Item("clips", f"clip, bore {bore:g} mm", used, spared(used), "pieces", ", ".join(runs[bore]))


def _labels(plan: Plan) -> Iterator[Item]:
    loom = plan.description.conversion.loom
    layout = sheet_layout(loom.labels if loom else None)
    count = len(all_labels(plan))
    if layout is None or not count:
        return
    sheets = math.ceil(count / layout.each)
    size = f"{layout.width_mm:g} mm x {layout.height_mm:g} mm, {layout.each} on {layout.paper}"
    what = f"sheet of labels {size}" if layout.bought else f"sheet of plain paper, strips of {size}"
    yield Item("labels", what, sheets, sheets + 1, "pieces", f"{count} labels")
