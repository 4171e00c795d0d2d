"""Faults of the loom's description: each is told once, at its place, with what would be right, and all together."""

from __future__ import annotations

from pathlib import Path

import pytest

from conversion.description import DescriptionError, read_description
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
