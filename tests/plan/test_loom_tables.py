"""What the builder works from: every wire and every end in it once, and every figure that of the plan."""

from __future__ import annotations

import math
from functools import cache
from itertools import pairwise
from pathlib import Path

import networkx
import pytest

from conversion.description import Terminal, read_description
from conversion.loom.conductors import conductor_ohm
from conversion.loom.wire_data import outer_diameter_mm
from conversion.plan import Plan
from conversion.plan.loom.ends import open_places, terminations
from conversion.plan.loom.shrink import TUBES_MM, ring_tube, splice_tube, tube_for
from conversion.plan.loom.tables.build_order import PHASES, build_order
from conversion.plan.loom.tables.buying import GROUPS, SAMPLES, label_tube, parts_to_buy, spared
from conversion.plan.loom.tables.continuity import must_conduct, must_not_conduct
from conversion.plan.loom.tables.cutting import cut_list
from conversion.plan.loom.tables.labels import (
    FROM_END_MM,
    FROM_SPLICE_MM,
    all_labels,
    other_labels,
    sheet_layout,
    wire_labels,
)
from conversion.plan.loom.tables.splices import splice_rows
from conversion.plan.loom.tables.tails import tails
from conversion.resources import harnesses_dir
from conversion.wiring import SplicePoint
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")
EACH_DEMO = pytest.mark.parametrize("demo", DEMOS)


@cache
def plan(name: str = "market-van") -> Plan:
    return Plan(read_description(harnesses_dir() / name))


@EACH_DEMO
def test_every_end_of_every_wire_is_terminated_once(demo: str) -> None:
    ends = [(end.terminal, wire.tag) for end in terminations(plan(demo)) for wire in end.wires]
    wired = [(end, wire.tag) for wire in plan(demo).wiring.wires for end in (wire.start, wire.end)]
    assert sorted(map(str, ends)) == sorted(str(each) for each in wired if isinstance(each[0], Terminal))
    assert len(set(ends)) == len(ends)


@EACH_DEMO
def test_every_place_is_either_wired_or_open_or_lacks_its_wire(demo: str) -> None:
    description = plan(demo).description
    wired = {end.terminal for end in terminations(plan(demo))}
    closed = {place.terminal for place in open_places(description)}
    loose = {each.terminal for each in plan(demo).wiring.loose}
    every = {
        description.terminal(device, name, cavity)
        for device, part in description.parts.items()
        for name, housing in part.housings.items()
        for cavity in housing.names
    }
    assert not wired & closed
    assert every - wired - closed <= loose | {
        terminal for device in description.parts for terminal, form in description.terminals(device) if form.roles
    }


def test_wires_on_a_stud_are_crimped_one_by_one_and_in_a_housing_together(tmp_path: Path) -> None:
    ends = {end.terminal.name: end for end in terminations(plan())}
    assert len(ends["X1.1"].wires) > 1
    assert all(len(wires) == 1 for wires in ends["X1.1"].crimps)
    joined = patched_plan(tmp_path, ["conversion: loom.splices.Z1 removed"])
    fuse = next(end for end in terminations(joined) if end.terminal.name == "F2.2")
    assert [len(wires) for wires in fuse.crimps] == [len(fuse.wires)] and len(fuse.wires) > 1


def test_a_contact_of_a_place_goes_before_that_of_its_housing(tmp_path: Path) -> None:
    other = patched_plan(
        tmp_path,
        [
            "S2: housings.A.contact = {title: of the housing, strip: 4 mm}",
            "S2: housings.A.cavities.2 = {roles: [clutch.signal], contact: {title: of the place, strip: 9 mm}}",
        ],
    )
    found = {end.terminal.name: end for end in terminations(other) if end.terminal.device == "S2"}
    assert [(found[name].contact.title, found[name].strip_mm) for name in ("S2.1", "S2.2")] == [
        ("of the housing", 4.0),
        ("of the place", 9.0),
    ]


@EACH_DEMO
def test_the_cut_list_has_every_wire_once_and_the_longest_first(demo: str) -> None:
    drums = cut_list(plan(demo))
    tags = [wire.tag for drum in drums for wire, _ in drum.wires]
    assert sorted(tags) == sorted(wire.tag for wire in plan(demo).wiring.wires)
    for drum in drums:
        known = [length.cut_mm for _, length in drum.wires if length is not None]
        assert known == sorted(known, reverse=True)
        assert sum(known) == pytest.approx(drum.total.cut_mm)
        assert {(wire.size_mm2, wire.colour) for wire, _ in drum.wires} == {(drum.total.size_mm2, drum.total.colour)}
        assert drum.total.drum_m * 1000.0 >= drum.total.cut_mm


@EACH_DEMO
def test_both_ends_of_every_wire_have_a_label_that_begins_with_the_near_end(demo: str) -> None:
    labels = list(wire_labels(plan(demo)))
    assert len(labels) == 2 * len(plan(demo).wiring.wires)
    for (one, other), wire in zip(zip(labels[::2], labels[1::2], strict=True), plan(demo).wiring.wires, strict=True):
        assert one.pieces == (wire.tag, wire.start.name, f"→ {wire.end.name}")
        assert other.pieces == (wire.tag, wire.end.name, f"→ {wire.start.name}")
    assert len(set(all_labels(plan(demo)))) == len(all_labels(plan(demo)))


@EACH_DEMO
def test_both_labels_of_the_shortest_wire_have_room_on_it(demo: str) -> None:
    van = plan(demo)
    layout = sheet_layout(van.description.conversion.loom.labels)
    for wire in van.wiring.wires:
        ends = (wire.start, wire.end)
        away = sum(FROM_SPLICE_MM if isinstance(end, SplicePoint) else FROM_END_MM for end in ends)
        assert van.lengths[wire.tag].finished_mm >= away + 2 * layout.width_mm, wire.tag


def test_housings_and_splices_have_a_label_each() -> None:
    labels = list(other_labels(plan()))
    assert [each.tag for each in labels if each.kind == "housing"] == list(plan().description.parts)
    assert [each.tag for each in labels if each.kind == "splice"] == ["Z1", "Z2"]


def test_a_sheet_whose_measure_is_not_known_is_not_laid_out(tmp_path: Path) -> None:
    odd = patched_plan(tmp_path, ["conversion: loom.labels.width = unknown"])
    assert sheet_layout(odd.description.conversion.loom.labels) is None
    assert not [item for item in parts_to_buy(odd) if item.group == "labels"]


@EACH_DEMO
def test_a_splice_has_every_wire_on_one_side_or_the_other(demo: str) -> None:
    for row in splice_rows(plan(demo)):
        tags = [wire.tag for wire in row.wires]
        met = plan(demo).wiring.at(SplicePoint(row.name, row.station))
        assert sorted(tags) == sorted(wire.tag for wire in met) and len(set(tags)) == len(tags)
        runs = [side.toward for side in (*row.one_side, *row.other_side)]
        assert len(set(runs)) == len(runs), "what leaves the same way enters the barrel from the same end"
        one, other = (sum(side.size_mm2 for side in group) for group in (row.one_side, row.other_side))
        biggest = max(side.size_mm2 for side in (*row.one_side, *row.other_side))
        assert abs(one - other) <= biggest + 1e-9
        for side in (*row.one_side, *row.other_side):
            for wire in side.wires:
                route = plan(demo).routes[wire.tag]
                near = route.runs[:1] if wire.start.name == row.name else route.runs[-1:]
                assert near == ((side.toward,) if side.toward else ())


def test_what_must_conduct_proves_every_wire() -> None:
    """Each reading is a way through the loom, and the proved wire is on it."""
    graph = networkx.MultiGraph()
    for wire in plan().wiring.wires:
        graph.add_edge(wire.start, wire.end, wire.tag)
    readings = list(must_conduct(plan()))
    assert [each.wire for each in readings] == list(plan().wiring.wires)
    for each in readings:
        way = graph.edge_subgraph([(wire.start, wire.end, wire.tag) for wire in each.along])
        assert each.wire in each.along
        assert networkx.has_path(way, each.start, each.end)
        assert not each.before_sealing
        lengths = [plan().lengths[wire.tag].finished_mm for wire in each.along]
        sizes = [wire.size_mm2 for wire in each.along]
        assert each.wire_ohm == pytest.approx(sum(map(conductor_ohm, sizes, lengths)))
        assert each.wire_ohm < each.most_ohm
    pairs = [frozenset((each.start, each.end)) for each in readings]
    assert len(set(pairs)) == len(pairs)


def test_what_must_not_conduct_is_never_one_piece_of_the_loom() -> None:
    graph = networkx.Graph((wire.start, wire.end) for wire in plan().wiring.wires)
    pairs = [frozenset((each.at, other)) for each in must_not_conduct(plan()) for other in each.against]
    assert len(set(pairs)) == len(pairs) > 30
    for one, other in pairs:
        assert one.device == other.device and one.housing == other.housing
        assert other not in graph or not networkx.has_path(graph, one, other)


def test_a_splice_is_read_through_the_other_of_its_wires(tmp_path: Path) -> None:
    alone = patched_plan(
        tmp_path, ["conversion: loom.splices = {Z9: {station: board, joins: [clutch.signal], devices: [S2]}}"]
    )
    reading = next(each for each in must_conduct(alone) if each.through == "Z9")
    assert isinstance(reading.start, Terminal) and isinstance(reading.end, Terminal)
    assert {wire.tag for wire in reading.along} == {wire.tag for wire in alone.wiring.of_role("clutch.signal")}


def test_a_long_thin_wire_may_read_more(tmp_path: Path) -> None:
    long = patched_plan(tmp_path, ["conversion: loom.runs.controller-board.length = 30 m"])
    reading = next(each for each in must_conduct(long) if "pedal.a.signal" in each.wire.roles)
    assert reading.wire_ohm is not None and reading.wire_ohm > 0.5
    assert reading.most_ohm == pytest.approx(reading.wire_ohm + reading.contacts_ohm + 0.2)


@EACH_DEMO
def test_parts_to_buy_hold_what_the_loom_is_made_of(demo: str) -> None:
    items = parts_to_buy(plan(demo))
    assert [item.group for item in items] == sorted((item.group for item in items), key=GROUPS.index)
    for item in items:
        assert item.used is not None and item.to_buy is not None and item.to_buy >= item.used > 0
    ends = list(terminations(plan(demo)))
    crimps = sum(len(end.crimps) for end in ends)
    of = {group: [item for item in items if item.group == group] for group in GROUPS}
    assert sum(item.used for item in of["contacts"]) == crimps
    assert sum(item.to_buy for item in of["contacts"]) >= crimps + SAMPLES
    assert sum(item.used for item in of["splices"]) == len(list(splice_rows(plan(demo))))
    sealed = sum(place.sealed for place in open_places(plan(demo).description))
    assert sum(item.used for item in of["plugs"]) == sealed
    assert sum(item.used for item in of["fuses"]) == len(plan(demo).sizes.fuses)
    assert sum(item.used for item in of["clips"]) == sum(bundle.clip_count for bundle in plan(demo).bundles.values())
    metres = sum(item.used for item in of["wire"])
    assert metres == pytest.approx(sum(length.cut_mm for length in plan(demo).lengths.values()) / 1000.0)


def test_spares_never_run_out() -> None:
    counts = [spared(count) for count in range(1, 200)]
    assert all(count > used for used, count in enumerate(counts, 1))
    assert all(later >= earlier for earlier, later in pairwise(counts))


@pytest.mark.parametrize("kind", list(TUBES_MM))
def test_a_tube_goes_over_what_it_is_for(kind: str) -> None:
    for tenth in range(5, 300):
        tube = tube_for(kind, tenth / 10, tenth / 10, 50.0)
        if tube is None:
            assert tenth / 10 * 1.2 > max(TUBES_MM[kind])
        else:
            assert tube.bore_mm >= 1.2 * tenth / 10
            assert tube.closes == (TUBES_MM[kind][tube.bore_mm] <= tenth / 10)


def test_tubes_of_one_ring_and_of_a_splice() -> None:
    wires = plan().wiring.wires
    thin, thick = min(wires, key=lambda each: each.size_mm2), max(wires, key=lambda each: each.size_mm2)
    assert ring_tube((thin,)).bore_mm <= ring_tube((thick,)).bore_mm
    assert ring_tube((thick,)).bore_mm >= outer_diameter_mm(thick.size_mm2)
    uneven = splice_tube(([thin], [thick] * 6))
    assert uneven is not None and not uneven.closes
    assert splice_tube(([], [])) is None


def test_a_strip_of_paper_is_as_thick_as_its_rounds() -> None:
    """Wound evenly, the area of the paper's edge is that of the ring round the wire."""
    over, height, thickness = outer_diameter_mm(0.5), 18.0, 0.1
    labelled = math.sqrt(over**2 + 4 / math.pi * thickness * height)
    assert math.pi / 4 * (labelled**2 - over**2) == pytest.approx(thickness * height)
    tube = label_tube(0.5, 45.0, height)
    assert tube is not None and tube.bore_mm >= 1.2 * labelled and tube.length_mm == 55.0


def test_splices_at_one_station_are_not_laid_level() -> None:
    steps = {step.what: step for step in build_order(plan()) if step.phase == "splice"}
    assert {row.name: row.station for row in splice_rows(plan())} == {"Z1": "board", "Z2": "board"}
    assert "not level with Z2" in steps["Z1"].how and "not level with Z1" in steps["Z2"].how
    apart = {step.what: step for step in build_order(plan("trials-buggy")) if step.phase == "splice"}
    assert len(apart) == 2 and not any("level" in step.how for step in apart.values())


@EACH_DEMO
def test_the_build_order_takes_up_every_wire_in_each_phase_that_is_about_wires(demo: str) -> None:
    steps = build_order(plan(demo))
    tags = sorted(wire.tag for wire in plan(demo).wiring.wires)
    assert list(dict.fromkeys(step.phase for step in steps)) == [
        phase for phase in PHASES if any(step.phase == phase for step in steps)
    ]
    for phase in ("cut", "lay"):
        assert sorted(tag for step in steps if step.phase == phase for tag in step.tags) == tags
    ended = {tag for step in steps if step.phase == "end" for tag in step.tags}
    spliced = {tag for step in steps if step.phase == "splice" for tag in step.tags}
    assert ended | spliced == set(tags)
    runs = {step.what.removeprefix("run ") for step in steps if step.phase == "cover" and step.what.startswith("run")}
    assert runs == set(plan(demo).bundles)


@EACH_DEMO
def test_every_housing_at_a_station_has_its_tail(demo: str) -> None:
    found = {tail.name: tail for tail in tails(plan(demo))}
    description = plan(demo).description
    for device, part in description.parts.items():
        for name in part.housings:
            tags = {
                w.tag
                for end in terminations(plan(demo))
                if (end.terminal.device, end.terminal.housing) == (device, name)
                for w in end.wires
            }
            tail = found.get(f"{device} {name}" if len(part.housings) > 1 else device)
            if tail is None:
                assert len(tags) < 2 or description.conversion.devices[device].station is None
                continue
            assert {wire.tag for wire in tail.wires} == tags
            assert 0.0 <= tail.covered_mm <= tail.length_mm - FROM_END_MM or tail.covered_mm == 0.0
            for wire in tail.wires:
                length = plan(demo).lengths.get(wire.tag)
                assert length is None or tail.length_mm <= length.tails_mm + length.drip_mm + 1e-9
