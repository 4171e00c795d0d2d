"""The order in which the loom is built on the board, step by step, each with the wires and the places it is about."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from conversion.description import Terminal
from conversion.loom.bundles import Bundle
from conversion.loom.lengths import drip_loop_mm, tail_mm
from conversion.loom.protection import Cover
from conversion.plan.loom.ends import open_places, station_zones_of, terminations
from conversion.plan.loom.tables.labels import CLEAR_TUBE, label_places, labels_of_paper
from conversion.plan.loom.tables.splices import Side, SpliceRow, splice_rows
from conversion.plan.loom.tables.tails import tails
from conversion.quantities import show
from conversion.wiring import End, Wire

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

UNTWISTED_MM = 40.0
"""At a housing, so that each contact finds its place without pull. Common practice, no source."""

PHASES: dict[str, str] = {
    "board": "Board: two nails at every station, a clamp at every housing",
    "cut": "Cut, and label both ends",
    "twist": "Twist",
    "lay": "Lay on the board",
    "splice": "Splice. Slide the closed tube onto a wire before the barrel is crimped",
    "cover": "Cover, grommets and clips",
    "end": "Ends. Slide closed tubes and single-wire seals on before the contact is crimped",
    "close": "Close and prove",
}
"""Every phase, in its order. What slips over the loom goes on before its ends have housings."""


@dataclass(frozen=True, slots=True)
class BuildStep:
    """One thing to do.

    Attributes:
        phase: One of PHASES.
        what: What it is about: a station, wires of a kind, a twist, a way, a splice, a run, a housing.
        tags: Wires.
        how: Figures and words that are needed for it.
    """

    phase: str
    what: str
    tags: tuple[str, ...]
    how: str


def build_order(plan: Plan) -> tuple[BuildStep, ...]:
    """Every step from the bare board to the finished loom."""
    return (
        *_board(plan),
        *_cut(plan),
        *_twist(plan),
        *_lay(plan),
        *_splice(plan),
        *_cover(plan),
        *_ends(plan),
        *_close(plan),
    )


def _mm(length: float) -> str:
    return show(length, "cut")


def _board(plan: Plan) -> Iterator[BuildStep]:
    loom = plan.description.conversion.loom
    if loom is None:
        return
    for name, station in loom.stations.items():
        devices = [ref for ref, each in plan.description.conversion.devices.items() if each.station == name]
        at = [f"{ref} with {_mm(tail_mm(plan.description, ref))} of tail" for ref in devices]
        runs = [
            f"{'not known' if run.length is None else _mm(run.length.nominal)} to "
            f"{run.between[1] if run.between[0] == name else run.between[0]}"
            for taken, run in loom.runs.items()
            if name in run.between and taken in plan.bundles
        ]
        yield BuildStep("board", name, (), "; ".join([station.place, *runs, *at]))


def _cut(plan: Plan) -> Iterator[BuildStep]:
    if plan.wiring.wires and labels_of_paper(plan):
        yield BuildStep("cut", "clear tube", (), CLEAR_TUBE)
    for group, of_group in groupby(plan.wiring.wires, key=lambda wire: wire.group):
        wires = tuple(of_group)
        tags = tuple(wire.tag for wire in wires)
        yield BuildStep("cut", group, tags, f"to the lengths of the cut list; labels {label_places(wires)}")


def _twist(plan: Plan) -> Iterator[BuildStep]:
    for twist in plan.twists:
        shared = [set(plan.routes[tag].runs) for tag in twist.tags]
        runs = [run for run in plan.routes[twist.tags[0]].runs if all(run in each for each in shared)]
        along = f" along {', '.join(runs)}, then to {_mm(UNTWISTED_MM)} before each housing" if runs else ""
        yield BuildStep("twist", twist.name, twist.tags, f"one turn every {_mm(twist.pitch_mm)}{along}")


def _lay(plan: Plan) -> Iterator[BuildStep]:
    """Wires of the same way together, the ways with most runs first: they make the trunk."""
    ways: dict[tuple[tuple[str, ...], str, str], list[Wire]] = {}
    for wire in plan.wiring.wires:
        key = plan.routes[wire.tag].stations, _device(wire.start), _device(wire.end)
        ways.setdefault(key, []).append(wire)
    for (stations, start, end), wires in sorted(ways.items(), key=lambda each: -len(each[0][0])):
        route = plan.routes[wires[0].tag]
        if route.why_none is not None:
            way = f"no way: {route.why_none}"
        elif len(stations) > 1:
            way = "over " + " – ".join(stations)
        else:
            way = f"all at {stations[0]}"
        beyond = [words for each in (wires[0].start, wires[0].end) if (words := _beyond(plan, each))]
        tags = tuple(wire.tag for wire in wires)
        yield BuildStep("lay", f"{start} to {end}", tags, "; ".join([way, *dict.fromkeys(beyond)]))


def _device(end: End) -> str:
    return end.device if isinstance(end, Terminal) else end.name


def _beyond(plan: Plan, end: End) -> str:
    """What a wire has beyond its last station."""
    if not isinstance(end, Terminal):
        return ""
    drip = drip_loop_mm(plan.description, end.device, station_zones_of(plan.description))
    loop = f" and {_mm(drip)} for a drip loop" if drip else ""
    return f"{_mm(tail_mm(plan.description, end.device))} of tail{loop} to {end.device}"


def _splice(plan: Plan) -> Iterator[BuildStep]:
    rows = tuple(splice_rows(plan))
    for row in rows:
        how = [f"at {row.station}" if row.station else "no station will do", splice_sides(row)]
        how.append(f"strip {_mm(row.strip_mm)}")
        if row.tube is not None:
            how.append(f"lined tube {row.tube.bore_mm:g} mm, {_mm(row.tube.length_mm)} long, slid on first")
            if not row.tube.closes:
                how.append(
                    "a second, thin lined tube on the thinner side, slid on too: the first does not close on it alone"
                )
        if beside := [other.name for other in rows if other != row and row.station and other.station == row.station]:
            how.append(f"not level with {', '.join(beside)} but a tube's length along, within the slack of its wires")
        yield BuildStep("splice", row.name, tuple(wire.tag for wire in row.wires), "; ".join(how))


def splice_sides(row: SpliceRow) -> str:
    """Which wires enter the barrel from which end, as a document says it."""
    if not row.other_side:
        return f"all from one end: {_sides(row.one_side)}"
    return f"from one end {_sides(row.one_side)}; from the other {_sides(row.other_side)}"


def _sides(sides: tuple[Side, ...]) -> str:
    return ", ".join(
        f"{' '.join(wire.tag for wire in side.wires)} ({f'by {side.toward}' if side.toward else 'stays here'})"
        for side in sides
    )


def _cover(plan: Plan) -> Iterator[BuildStep]:
    for name, passage in plan.passages.items():
        hole = "hole not described" if passage.hole_mm is None else f"hole {show(passage.hole_mm, 'length')}"
        yield BuildStep("cover", f"grommet at {name}", passage.tags, f"slip it on now; {hole}")
    for bundle in plan.bundles.values():
        yield BuildStep("cover", f"run {bundle.run}", bundle.tags, bundle_words(plan, bundle))
    for tail in tails(plan):
        if tail.covered_mm > 0.0:
            tags = tuple(wire.tag for wire in tail.wires)
            how = f"about {show(tail.over_mm, 'length')} thick; {cover_words(tail.cover)}"
            how += f", over the first {_mm(tail.covered_mm)} of {_mm(tail.length_mm)}: the labels stay outside"
            yield BuildStep("cover", f"tail of {tail.name}", tags, how)


def bundle_words(plan: Plan, bundle: Bundle) -> str:
    """How a run is covered and held, as a document says it."""
    loom = plan.description.conversion.loom
    assert loom is not None, "a bundle lies in a run"
    clips = f"{bundle.clip_count} clips of {bundle.clip_bore_mm:g} mm" if bundle.clip_count else "clips cannot be said"
    places = ", ".join(f"{place:.0f}" for place in bundle.clips)
    at = f" at {places} mm from {loom.runs[bundle.run].between[0]}" if places else ""
    corners = " and on both sides of each bend" if bundle.held_corners_mm else ""
    return f"about {show(bundle.round_mm, 'length')} thick; {cover_words(bundle.cover)}; {clips}{at}{corners}"


def cover_words(cover: Cover) -> str:
    """What goes round a bundle, with its bore where it is no tape."""
    return cover.words if cover.bore_mm is None else f"{cover.words}, bore {show(cover.bore_mm, 'length')}"


def _ends(plan: Plan) -> Iterator[BuildStep]:
    places: dict[tuple[str, str], list[str]] = {}
    for open_place in open_places(plan.description):
        if open_place.sealed:
            terminal = open_place.terminal
            places.setdefault((terminal.device, terminal.housing), []).append(terminal.cavity)
    met: dict[tuple[str, str], list[str]] = {}
    bolted, with_seal = set(), set()
    for end in terminations(plan):
        key = end.terminal.device, end.terminal.housing
        met.setdefault(key, []).extend(wire.tag for wire in end.wires)
        if end.bolted:
            bolted.add(key)
        if end.contact is not None and end.contact.seal is not None:
            with_seal.add(key)
    for (device, housing), tags in met.items():
        several = len(plan.description.parts[device].housings) > 1
        seal = "seal on, " if (device, housing) in with_seal else ""
        how = f"each by the termination list: {seal}strip, crimp, pull, push in until it clicks, lock"
        if (device, housing) in bolted:
            how = "rings by the termination list: lined tube on, strip, crimp, pull, shrink"
        elif closed := places.get((device, housing)):
            how += f"; a plug into {', '.join(closed)}"
        yield BuildStep("end", f"{device} {housing}" if several else device, tuple(dict.fromkeys(tags)), how)


def _close(plan: Plan) -> Iterator[BuildStep]:
    if plan.wiring.wires:
        yield BuildStep("close", "continuity", (), "every line of the continuity sheet, with nothing plugged in")
        yield BuildStep("close", "labels", (), "one behind every housing, one beside every splice; read each once more")
