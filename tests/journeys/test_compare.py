"""``treadle compare`` from the shell: a builder with a half-built loom asks what a new description changes."""

from __future__ import annotations

import json
from pathlib import Path

from conversion import resources
from tests.journeys.command import treadle
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van"


def test_the_same_description_twice_changes_nothing() -> None:
    answer = treadle("compare", VAN, VAN / "conversion.yaml")
    assert answer.code == 0 and answer.err == ""
    assert answer.out.splitlines()[-1].startswith("Nothing changed")


def test_what_changed_is_told_in_working_order(tmp_path: Path) -> None:
    new = patched_copy(
        tmp_path,
        ["conversion: devices.P1 removed", "conversion: loom.wires.1.colour = GYBU", "conversion: revision = C"],
    )
    answer = treadle("compare", VAN, new)
    # The lamp is needed, so the new description has a FIX.
    assert answer.code == 1 and answer.err == ""
    lines = answer.out.splitlines()
    assert "revision B" in lines[0] and "revision C" in lines[1]
    heads = [line.partition(":")[0] for line in lines[2:] if line and not line.startswith(" ")]
    assert heads[:4] == ["Devices", "Wires to cut out", "Wires to make anew", "Wires to re-label"]
    assert "Findings that came" in heads and "completeness/need-open" in answer.out
    assert "2 to cut out, 1 to make anew and 20 to re-label" in " ".join(answer.out.split())
    assert all(len(line) <= 100 for line in lines)


def test_the_exit_code_is_that_of_the_new_description(tmp_path: Path) -> None:
    bad = patched_copy(tmp_path, ["conversion: devices.P1 removed"])
    assert treadle("compare", bad, VAN).code == 0
    assert treadle("compare", bad, bad).code == 1


def test_as_json_every_task_has_its_list(tmp_path: Path) -> None:
    new = patched_copy(tmp_path, ["conversion: devices.P1 removed"])
    answer = treadle("compare", new, VAN, "--json")
    found = json.loads(answer.out)
    assert answer.code == 0
    assert set(found) == {"old", "new", "differs", "devices", "splices", "wires", "figures", "findings"}
    assert set(found["wires"]) == {
        "cut_out", "move", "make_anew", "add", "shorten", "leave", "lay_otherwise", "re_label",
    }  # fmt: skip
    added = found["wires"]["add"]
    assert [wire["old"] for wire in added] == [None, None]
    assert {(wire["new"]["from"], wire["new"]["to"]) for wire in added} == {("K1.9", "P1.2"), ("Z1", "P1.1")}
    for wire in added:
        assert set(wire["new"]) == {
            "wire", "from", "to", "role", "size_mm2", "colour", "route", "cut_length_mm",
        }  # fmt: skip
    assert [said["rule"] for said in found["findings"]["went"]] == ["completeness/need-open"]
    assert treadle("compare", new, VAN, "--json") == answer


def test_the_faults_of_both_descriptions_are_told_at_once(tmp_path: Path) -> None:
    old = patched_copy(tmp_path / "old", ["conversion: vehicle.mass = 2450 ohm"])
    new = patched_copy(tmp_path / "new", ["conversion: loom.runs.board-pedal.length = -540 mm"])
    answer = treadle("compare", old, new)
    assert answer.code == 2 and answer.out == ""
    first, second = answer.err.index(f"In {old}:"), answer.err.index(f"In {new}:")
    assert first < answer.err.index("a mass is needed") < second < answer.err.index("loom.runs.board-pedal.length")


def test_one_that_is_not_there_is_said_with_exit_code_2(tmp_path: Path) -> None:
    answer = treadle("compare", VAN, tmp_path / "nowhere")
    assert answer.code == 2 and answer.out == "" and "not there" in answer.err
