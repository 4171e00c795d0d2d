"""Faults of the loom's description: each is told once, at its place, with what would be right, and all together."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError, read_description
from conversion.quantities import awg_area_mm2
from tests.journeys.command import treadle
from tests.rules.patching import patched_copy

RUNS = "conversion: loom.runs"
STATIONS = "conversion: loom.stations"
WIRE = "conversion: loom.wires.3 = "

# What is wrong -> (patch of the worked conversion, path that is named, part of the message).
FAULTS: dict[str, tuple[list[str], str, str]] = {
    "a station that no run reaches": (
        [f"{STATIONS}.loft = under the roof"],
        "loom.stations.loft",
        "no run reaches 'loft'; describe the run that joins it",
    ),
    "a run to a station that is not there": (
        [f"{RUNS}.board-panel.between = [board, pannel]"],
        "loom.runs.board-panel.between.2",
        "there is no station 'pannel'; did you mean 'panel'?",
    ),
    "a run from a station to itself": (
        [f"{RUNS}.board-panel.between = [board, board]"],
        "loom.runs.board-panel",
        "a run joins two different stations; both are 'board'",
    ),
    "a run with one end": (
        [f"{RUNS}.board-panel.between = [board]"],
        "loom.runs.board-panel.between",
        "1 entry stands here; write at least 2",
    ),
    "a run with three ends": (
        [f"{RUNS}.board-panel.between = [board, panel, pedal]"],
        "loom.runs.board-panel.between",
        "3 entries stand here; write at most 2",
    ),
    "a run of no length": ([f"{RUNS}.board-panel.length = 0 mm"], "loom.runs.board-panel.length", "above 0.0 mm"),
    "a run of less than no length": (
        [f"{RUNS}.board-panel.length = -480 mm"],
        "loom.runs.board-panel.length",
        "above 0.0 mm",
    ),
    "a run that may be of no length": (
        [f"{RUNS}.board-panel.length = 5 mm ± 5 mm"],
        "loom.runs.board-panel.length",
        "as large as the figure itself",
    ),
    "a length in ohms": (
        [f"{RUNS}.board-panel.length = 480 ohm"],
        "loom.runs.board-panel.length",
        "is a resistance; a length is needed",
    ),
    "a zone that is none": (
        [f"{RUNS}.bulkhead-engine.zone = engin bay"],
        "loom.runs.bulkhead-engine.zone",
        "did you mean 'engine bay'?",
    ),
    "a neighbour that is none": (
        [f"{RUNS}.bulkhead-engine.beside = [{{what: ignitoin, apart: 150 mm}}]"],
        "loom.runs.bulkhead-engine.beside.1.what",
        "did you mean 'ignition'?",
    ),
    "a neighbour at no distance": (
        [f"{RUNS}.bulkhead-engine.beside = [{{what: ignition}}]"],
        "loom.runs.bulkhead-engine.beside.1",
        "'apart' is missing",
    ),
    "a corner of no radius": (
        [f"{RUNS}.bulkhead-engine.corners = [0 mm]"],
        "loom.runs.bulkhead-engine.corners.1",
        "above 0.0 mm",
    ),
    "a run closed to a kind that is none": (
        [f"{RUNS}.bulkhead-engine.closed_to = [motors]"],
        "loom.runs.bulkhead-engine.closed_to.1",
        "did you mean 'motor'?",
    ),
    "a hole without a grommet": (
        [f"{STATIONS}.bulkhead = {{place: hole in the bulkhead, hole: 25 mm}}"],
        "loom.stations.bulkhead",
        "write 'through: grommet' beside its diameter",
    ),
    "a station without a place": (
        [f"{STATIONS}.bulkhead = {{through: grommet}}"],
        "loom.stations.bulkhead",
        "'place' is missing",
    ),
    "a way past a station that is not there": (
        [f"{WIRE}{{role: clutch.signal, via: [bord]}}"],
        "loom.wires.3.via.1",
        "there is no station 'bord'; did you mean 'board'?",
    ),
    "a colour that is none": (
        [f"{WIRE}{{role: clutch.signal, colour: PURPLE}}"],
        "loom.wires.3.colour",
        "write one or two codes of IEC 60757 such as GN or GNWH",
    ),
    "a size without a unit": ([f"{WIRE}{{role: clutch.signal, size: '0.75'}}"], "loom.wires.3.size", "has no unit"),
    "a size that is a length": (
        [f"{WIRE}{{role: clutch.signal, size: 0.75 mm}}"],
        "loom.wires.3.size",
        "is a length; an area is needed, such as '0.5 mm²'",
    ),
    "a gauge that is none": ([f"{WIRE}{{role: clutch.signal, size: AWG twenty}}"], "loom.wires.3.size", "AWG"),
    "a size that no wire of a car has": (
        [f"{WIRE}{{role: clutch.signal, size: 500 mm²}}"],
        "loom.wires.3.size",
        "rises above 120",
    ),
    "insulation that melts in the sun": (["conversion: loom.insulation = 900 °C"], "loom.insulation", "rises above"),
    "a drop that is a resistance": (
        ["conversion: loom.allowed_drop = {continuous: 0.5 ohm}"],
        "loom.allowed_drop.continuous",
        "is a resistance; a voltage is needed",
    ),
    "a twist that cannot be wound": (["conversion: loom.twist_pitch = 0.03 mm"], "loom.twist_pitch", "a whole turn"),
    "a board of no height": (["conversion: loom.board.height = 0 mm"], "loom.board.height", "above 0.0 mm"),
    "a sheet without labels": (["conversion: loom.labels.across = 0"], "loom.labels.across", "write at least 1"),
    "a tail of no length": (["conversion: devices.B1.tail = 0 mm"], "devices.B1.tail", "above 0.0 mm"),
    "a device at a station that is not there": (
        ["conversion: devices.B1.station = pedl"],
        "devices.B1.station",
        "there is no station 'pedl'; did you mean 'pedal'?",
    ),
    "a splice at a station that is not there": (
        ["conversion: loom.splices.Z1 = {station: bord, joins: [feed.15]}"],
        "loom.splices.Z1.station",
        "did you mean 'board'?",
    ),
    "a housing with fewer positions than terminals": (
        ["B1: housings.A.positions = 4", "B1: housings.A.rows removed"],
        "housings.A",
        "place '5' is not in this housing of 4 positions",
    ),
    "rows with fewer places than positions": (
        ["B1: housings.A.rows = [['1', '2', '3'], ['4', '5']]"],
        "housings.A",
        "the rows name 5 places but the housing has 6 positions",
    ),
    "a contact that takes nothing": (
        ["B1: housings.A.contact.thinnest = 1.5 mm²"],
        "housings.A.contact",
        "'thinnest' is above 'thickest'",
    ),
    "a crimp height for what is no size": (
        ["B1: housings.A.contact.crimp_height = {0.5 mm²: 1.1 mm, small: 1.0 mm}"],
        "housings.A.contact.crimp_height",
        "'small' is no figure; an area is needed, such as '0.5 mm²', or 'AWG 20'",
    ),
    "a crimp height for a voltage": (
        ["B1: housings.A.contact.crimp_height = {0.5 V: 1.1 mm}"],
        "housings.A.contact.crimp_height",
        "'0.5 V' is a voltage; an area is needed",
    ),
    "a crimp height for a range of sizes": (
        ["B1: housings.A.contact.crimp_height = {0.5 mm²..1.0 mm²: 1.1 mm}"],
        "housings.A.contact.crimp_height",
        "is more than a size; write one area alone",
    ),
    "a crimp height for a size that no wire has": (
        ["B1: housings.A.contact.crimp_height = {500 mm²: 1.1 mm}"],
        "housings.A.contact.crimp_height",
        "'500 mm²' rises above 120.00 mm²",
    ),
    "two crimp heights for one size": (
        ["B1: housings.A.contact.crimp_height = {0.5 mm²: 1.1 mm, 0.50 mm2: 1.2 mm}"],
        "housings.A.contact.crimp_height",
        "'0.50 mm2' is the same size as '0.5 mm²'; remove one of them",
    ),
    "two crimp heights for one gauge": (
        ["B1: housings.A.contact.crimp_height = {AWG 20: 1.1 mm, 0.518 mm²: 1.2 mm}"],
        "housings.A.contact.crimp_height",
        "'0.518 mm²' is the same size as 'AWG 20'",
    ),
    "a crimp height in volts": (
        ["B1: housings.A.contact.crimp_height = {0.5 mm²: 1.1 V}"],
        "housings.A.contact.crimp_height.'0.5 mm²'",
        "'1.1 V' is a voltage; a length is needed",
    ),
    "no crimp height at all": (
        ["B1: housings.A.contact.crimp_height = {}"],
        "housings.A.contact.crimp_height",
        "no entries stand here; write at least 1",
    ),
    "a list of crimp heights": (
        ["B1: housings.A.contact.crimp_height = [1.1 mm, 1.2 mm]"],
        "housings.A.contact.crimp_height",
        "a single figure is needed",
    ),
    "a contact without a name": (
        ["B1: housings.A.contact = {strip: 4 mm}"],
        "housings.A.contact",
        "'title' is missing",
    ),
    "a current through a terminal that is not there": (
        ["K1: draws.'feed.50' = 4 A"],
        "draws",
        "'feed.50' is no role of a terminal; did you mean 'feed.30'?",
    ),
    "a current through a role that nothing bears": (
        ["P1: draws.'feed.87' = 4 A"],
        "",
        "no terminal has the role 'feed.87'",
    ),
    "an inrush below the current": (
        ["K1: draws.'feed.87'.inrush = 2 A"],
        "draws.'feed.87'",
        "the inrush of 2 A is less than the current of 12 A",
    ),
    "a time without an inrush": (
        ["K1: draws.'feed.87' = {current: 12 A, lasts: 10 ms}"],
        "draws.'feed.87'",
        "write 'inrush' as well",
    ),
}  # fmt: skip


@pytest.mark.parametrize("fault", FAULTS)
def test_a_fault_is_told_once_and_at_its_place(fault: str, tmp_path: Path) -> None:
    patch, path, says = FAULTS[fault]
    home = patched_copy(tmp_path, patch)
    with pytest.raises(DescriptionError) as raised:
        read_description(home)
    complaints = raised.value.complaints
    told = [complaint for complaint in complaints if says in complaint.message]
    assert [complaint.path for complaint in told] == [path], str(raised.value)
    place = told[0].place
    lines = next(home.rglob(Path(place.file).name)).read_text("utf-8").splitlines()
    assert 1 <= place.line <= len(lines) and 1 <= place.column <= len(lines[place.line - 1]) + 1
    assert len(complaints) == len({str(complaint) for complaint in complaints})


def test_a_wrong_size_of_a_crimp_height_is_told_at_its_key(tmp_path: Path) -> None:
    home = patched_copy(
        tmp_path, ["B1: housings.A.contact.crimp_height = {0.5 mm²: 1.1 mm, 0.50 mm2: 1.2 mm, x: 1 mm}"]
    )
    lines = (home / "parts" / "pedal-module.yaml").read_text("utf-8").splitlines()
    with pytest.raises(DescriptionError) as refused:
        read_description(home)
    (told,) = refused.value.complaints
    assert lines[told.place.line - 1][told.place.column - 1 :].startswith("x:")
    home = patched_copy(tmp_path / "twice", [FAULTS["two crimp heights for one size"][0][0]])
    lines = (home / "parts" / "pedal-module.yaml").read_text("utf-8").splitlines()
    with pytest.raises(DescriptionError) as refused:
        read_description(home)
    (told,) = refused.value.complaints
    assert lines[told.place.line - 1][told.place.column - 1 :].startswith("0.50 mm2:")


def test_a_crimp_height_holds_for_just_its_size(tmp_path: Path) -> None:
    heights = "{0.35 mm²: 1.05 mm ± 0.05 mm, AWG 20: 1.12 mm, 0.75 mm2: unknown, 1.0 mm²: 1.25 mm}"
    several = read_description(patched_copy(tmp_path, [f"B1: housings.A.contact.crimp_height = {heights}"]))
    contact = several.parts["B1"].housings["A"].contact
    assert contact is not None
    found = {size: contact.height_on(size) for size in (0.35, 0.5, awg_area_mm2(20), 0.75, 0.8, 1.0)}
    said = {size: height and height.text for size, height in found.items()}
    assert said == {0.35: "1.05 mm ± 0.05 mm", 0.5: None, awg_area_mm2(20): "1.12 mm", 0.75: None, 0.8: None,
                    1.0: "1.25 mm"}  # fmt: skip
    one = read_description(patched_copy(tmp_path / "one", ["B1: housings.A.contact.crimp_height = 1.15 mm"]))
    contact = one.parts["B1"].housings["A"].contact
    assert contact is not None
    assert [height.nominal for size in (0.35, 0.8) if (height := contact.height_on(size))] == [1.15, 1.15]


def test_faults_of_the_loom_and_of_a_part_are_told_together_and_nothing_is_made(tmp_path: Path) -> None:
    faults = ("a run of no length", "a colour that is none", "a contact without a name", "an inrush below the current")
    home = patched_copy(tmp_path, [line for fault in faults for line in FAULTS[fault][0]])
    answer = treadle("pack", home, "--out", tmp_path / "made")
    assert answer.code == 2 and answer.out == ""
    assert [fault for fault in faults if FAULTS[fault][2] not in answer.err] == []
    assert not (tmp_path / "made").exists()


def test_every_lonely_station_is_told_by_the_loom_command(tmp_path: Path) -> None:
    home = patched_copy(tmp_path, [f"{STATIONS}.loft = under the roof", f"{STATIONS}.cellar = under the floor"])
    answer = treadle("loom", home)
    assert answer.code == 2 and answer.out == ""
    assert "no run reaches 'loft'" in answer.err and "no run reaches 'cellar'" in answer.err


def test_a_ring_is_told_where_the_board_is_asked_for_and_nothing_is_made(tmp_path: Path) -> None:
    ring = [
        f"{RUNS}.bulkhead-engine.beside = [{{what: ignition, apart: 60 mm}}]",
        f"{RUNS}.wing = {{between: [bulkhead, engine], length: 1430 mm, zone: engine bay}}",
    ]
    home = patched_copy(tmp_path, ring)
    assert treadle("loom", home).code == 0
    answer = treadle("loom", home, "--out", tmp_path / "made")
    assert answer.code == 2 and not (tmp_path / "made").exists()
    assert "loom.runs.bulkhead-engine: closes a loop with wing" in answer.err and "'closed_to'" in answer.err
    assert answer.err.startswith("conversion.yaml:")
    opened = patched_copy(tmp_path / "opened", [*ring, f"{RUNS}.bulkhead-engine.closed_to = [motor]"])
    answer = treadle("loom", opened, "--out", tmp_path / "made")
    assert answer.code == 0 and (tmp_path / "made" / "board" / "board.pdf").is_file()
