"""A whole description: its files, their faults told together, and what part files may not do."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import DescriptionError, read_description
from tests.rules.patching import patched_copy


def faults(folder: Path) -> str:
    with pytest.raises(DescriptionError) as caught:
        read_description(folder)
    return str(caught.value)


def test_every_shipped_conversion_reads() -> None:
    for folder in sorted(resources.harnesses_dir().iterdir()):
        if (folder / "conversion.yaml").is_file():
            assert read_description(folder).conversion.title


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("conversion: devices.B1.part = parts/pedal-modul.yaml", "did you mean 'parts/pedal-module.yaml'"),
        ("conversion: devices.B1.part = ../market-van/parts/pedal-module.yaml", "leads out of the conversion's folder"),
        ("conversion: devices.B1.part = /etc/passwd", "leads out of the conversion's folder"),
        ("conversion: devices.B1.part = C:/parts/x.yaml", "leads out of the conversion's folder"),
        ("conversion: devices.B1.part = 'parts\\pedal-module.yaml'", "backslash"),
        ("conversion: devices.B1.part = parts/pedal-module.txt", "ends with .yaml"),
        ("conversion: devices.P1.part = treadle:warning-lmap", "did you mean 'treadle:warning-lamp'"),
        ("conversion: devices.P1.part = treadle:../../secret", "ships no part"),
        ("conversion: devices.B1.station = pedals", "did you mean 'pedal'"),
        ("conversion: devices.P1.fed_from = F9", "no device 'F9'"),
        ("conversion: devices.P1.fed_from = B1", "B1 feeds nothing"),
        ("conversion: devices.F1.fed_from = F1", "cannot feed itself"),
        ("conversion: devices.F4.fed_from = F2", "feed each other in a circle"),
        ("conversion: devices.B1.fed_from = F1", "no feed terminal"),
        ("conversion: devices.K1.grounded_at = G1", "no ground point 'G1'"),
        ("conversion: linkage.module.device = B2", "no device 'B2'"),
        ("conversion: linkage.module.device = M1", "the rod moves a pedal module: B1"),
        ("conversion: loom.runs.board-panel.between = [board, pannel]", "did you mean 'panel'"),
        ("conversion: loom.runs.board-panel.between = [board, board]", "two different stations"),
        ("conversion: loom.runs.board-panel.length = 0 mm", "must be above"),
        ("conversion: loom.runs.board-panel.length = -5 mm", "must be above"),
        ("conversion: loom.splices.Z1.joins = [feed.16]", "did you mean 'feed.15'"),
        ("conversion: loom.splices.Z3 = {station: board, joins: [feed.15]}", "meets at splice Z1 already"),
        ("conversion: loom.wires.3 = {role: throttle.motor.plus, size: 2.5 mm²}", "changed by entry 1 already"),
        ("conversion: loom.wires.3 = {role: clutch.signal, device: B1}", "B1 has no terminal with the role"),
        ("conversion: loom.wires.3 = {role: clutch.signal, to: K1.99}", "no terminal 'K1.99'"),
        ("conversion: loom.wires.3 = {role: clutch.signal, to: K1.13}", "described as unused"),
        ("conversion: loom.wires.3 = {colour: RD}", "names the 'role' of a wire"),
        ("conversion: loom.wires.3 = {role: clutch.signal, colour: XX}", "no wire colour"),
        ("conversion: loom.wires.3 = {role: clutch.signal, colour: RDRD}", "same colour twice"),
        ("conversion: loom.wires.3 = {role: clutch.signal, size: 900 mm²}", "rises above"),
        ("conversion: waived = {main-relay: none, kickdown-contact: none}", "no need of K1 called 'kickdown-contact'"),
        ("conversion: vehicle.countries = [gb, atlantis]", "'atlantis' has no prompts"),
        ("conversion: date = 14.3.2026", "is no date"),
        ("conversion: date = 2026-02-30", "is no date"),
        ("conversion: treadle = 2", "write '1'"),
        ("conversion: linkage.kind = chain", "'chain'"),
        ("conversion: linkage.pedal.mount = hanging", "'hanging'"),
        ("conversion: linkage.pedal.pivot = [0 mm, 0 mm]", "list of three lengths"),
        ("conversion: linkage.pedal.axis = [0, 0, 0]", "points nowhere"),
        ("conversion: linkage.pedal.axis = sideways", "is no direction"),
        ("conversion: linkage.rod = {}", "needs its 'length'"),
        ("conversion: linkage.rod = {length: 1 mm ± 2 mm}", "tolerance of '1 mm ± 2 mm' is as large as the figure"),
        ("conversion: linkage.pedal.full_stop = {at: 60 mm, set_at: 22°, origin: made}", "not both"),
        ("conversion: linkage.pedal.rest_stop.lockable = yes", "write `true` or `false`"),
        ("conversion: springs.main.type = rubber", "'rubber'"),
        ("conversion: springs.main.rate removed", "either its 'rate' or its 'coil'"),
        ("B1: housings.A.positions = 5", "6 places but the housing has 5 positions"),
        ("B1: housings.A.positions = 07", "no whole number"),
        ("B1: housings.A.rows = [['1', '2', '3'], ['4', '5', '5']]", "place '5' stands twice"),
        ("B1: housings.A.cavities.'7' = empty", "place '7' is not in this housing"),
        ("B1: housings.A.cavities.'6' = pedal.b.signl", "did you mean 'pedal.b.signal'"),
        ("B1: housings.A.cavities.'6' = pedal.a.signal", "on place 3 already"),
        ("B1: housings.A.cavities.'6' = throttle.a.signal", "has no terminal for 'throttle.a.signal'"),
        ("B1: housings.A.cavities.'6' = pedal.c.signal", "track 'c' is not described"),
        ("B1: housings.A.cavities.'6' = {empty: true, unused: no}", "needs one of"),
        ("B1: tracks.a.principle = sent", "digital messages"),
        ("B1: tracks.a.principle = optical", "'optical'"),
        ("B1: tracks.a.output = {rest: 18 %}", "both 'rest' and 'full'"),
        ("B1: tracks.a.output = {rest: 0.9 V, full: 4.1 V}", "need 'at_supply'"),
        ("B1: tracks.a.output = {points: [{at: 0°, output: 18 %}]}", "at least two points"),
        ("B1: tracks.a.output = {points: [{at: 9°, output: 18 %}, {at: 5°, output: 80 %}]}", "rise in lever angle"),
        ("B1: tracks.a.output.full = 120 %", "above the supply"),
        ("B1: tracks.a.pull = {}", "'to' is missing"),
        ("B1: tracks.a.pull = maybe", "a mapping with 'to' and 'resistance'"),
        ("B1: kind = pedal-modul", "did you mean 'pedal-module'"),
        ("K1: accepts.pedal.tracks.a.valid = 4.65 V", "needs two ends"),
        ("K1: accepts.pedal.agreement.at_most = 0.3 V", "given in %"),
        ("K1: accepts.pedal.takes = biggest", "'biggest'"),
        ("K1: supplies.two.roles = [pedal.a.supply]", "fed by the supply 'one' already"),
        ("K1: needs = [pedal, throtle]", "did you mean 'throttle'"),
    ],
)
def test_a_fault_is_told_with_what_would_be_right(tmp_path: Path, line: str, said: str) -> None:
    told = faults(patched_copy(tmp_path, [line]))
    assert said in told, told
    for row in told.splitlines():
        _file, at_line, at_column, _ = row.split(":", 3) if not row.startswith("treadle:") else row.split(":", 4)[1:]
        assert int(at_line) >= 1 and int(at_column) >= 1


def test_faults_of_several_files_come_in_one_run(tmp_path: Path) -> None:
    lines = [
        "conversion: vehicle.mass = 12 V", "B1: tracks.a.resistance = 5 mm", "K1: accepts.pedal.scale = guessed",
        "M1: motor.current = 0 A",
    ]  # fmt: skip
    told = faults(patched_copy(tmp_path, lines))
    for file in ("conversion.yaml", "pedal-module.yaml", "control-unit.yaml", "throttle-body.yaml"):
        assert file in told


def test_a_second_control_unit_is_refused(tmp_path: Path) -> None:
    line = "conversion: devices.K9 = {part: parts/control-unit.yaml, place: boot}"
    assert "K1 is it already" in faults(patched_copy(tmp_path, [line]))


def test_reference_letters_fit_the_part(tmp_path: Path) -> None:
    line = "conversion: devices.X9 = {part: treadle:warning-lamp, place: panel}"
    assert "begins with X, but a warning lamp has the letter P" in faults(patched_copy(tmp_path, [line]))
    line = "conversion: devices.lamp = {part: treadle:warning-lamp, place: panel}"
    assert "is no reference" in faults(patched_copy(tmp_path / "2", [line]))


def test_earth_is_ground(tmp_path: Path) -> None:
    lines = [
        "conversion: devices.K1.grounded_at removed", "conversion: devices.K1.earthed_at = X1",
        "X1: kind = earth-point", "X1: housings.A.cavities.'1'.roles = [earth.point]",
        "B1: housings.A.cavities.'2' = pedal.a.earth", "K1: accepts.pedal.tracks.a.pull.to = earth",
    ]  # fmt: skip
    description = read_description(patched_copy(tmp_path, lines))
    assert description.conversion.devices["K1"].grounded_at == "X1"
    assert description.parts["B1"].places_of("pedal.a.ground") == [("A", "2")]


def test_a_part_that_is_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    if sys.platform == "win32":
        pytest.skip("links need a privilege on Windows")
    folder = patched_copy(tmp_path, [])
    outside = tmp_path / "outside.yaml"
    outside.write_bytes((folder / "parts" / "pedal-module.yaml").read_bytes())
    (folder / "parts" / "pedal-module.yaml").unlink()
    os.symlink(outside, folder / "parts" / "pedal-module.yaml")
    assert "is a link out of" in faults(folder)


def test_a_huge_file_is_refused_by_its_size(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, [])
    with (folder / "parts" / "pedal-module.yaml").open("ab") as stream:
        stream.write(b"# " + b"x" * 3_000_000)
    assert "pedal-module.yaml" in faults(folder)


def test_every_value_knows_its_place(tmp_path: Path) -> None:
    description = read_description(resources.harnesses_dir() / "market-van")
    text = (resources.harnesses_dir() / "market-van" / "conversion.yaml").read_text("utf-8").splitlines()
    place = description.place("vehicle", "mass")
    assert text[place.line - 1].strip().startswith("mass:")
    missing = description.place("vehicle", "no-such-word")
    assert text[missing.line - 1].startswith("vehicle:")
