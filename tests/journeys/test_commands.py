"""Each command from the shell: what it prints, its exit code, and that nobody ever meets a traceback."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from conversion import resources
from tests.journeys.command import treadle
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van"


def test_check_of_the_demo_is_clean() -> None:
    answer = treadle("check", VAN)
    assert answer.code == 0, answer.out
    assert "0 HOLD, 0 FIX" in answer.out


def test_check_takes_the_file_as_well_as_the_folder(tmp_path: Path) -> None:
    by_file = treadle("check", VAN / "conversion.yaml", "--json", cwd=tmp_path)
    by_folder = treadle("check", VAN, "--json", cwd=tmp_path)
    assert by_file == by_folder


def test_check_as_json_has_the_promised_keys(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: devices.P1 removed"])
    answer = treadle("check", folder, "--json")
    assert answer.code == 1
    findings = json.loads(answer.out)["findings"]
    assert findings
    for finding in findings:
        assert set(finding) == {"rule", "severity", "subject", "file", "line", "column", "message", "remedy"}
        assert finding["severity"] in ("HOLD", "FIX", "NOTE")
        assert finding["line"] >= 1 and finding["column"] >= 1


def test_travel_as_json_has_the_promised_keys() -> None:
    answer = treadle("travel", VAN, "--json")
    assert answer.code == 0 and answer.err == ""
    positions = json.loads(answer.out)["positions"]
    assert {"pad_travel_mm", "pedal_deg", "lever_deg", "ratio", "transmission_deg", "tracks", "percent"} <= set(
        positions[0]
    )
    travels = [entry["pad_travel_mm"] for entry in positions]
    assert travels == sorted(travels) and travels[0] == 0.0
    # Pad travel is arc length: in proportion to the pedal angle.
    per_degree = [entry["pad_travel_mm"] / entry["pedal_deg"] for entry in positions[1:]]
    assert max(per_degree) - min(per_degree) < 1e-6 * per_degree[0]
    # The ratio is what the angles say, by central differences.
    for before, here, after in zip(positions, positions[1:], positions[2:], strict=False):
        slope = (after["lever_deg"] - before["lever_deg"]) / (after["pedal_deg"] - before["pedal_deg"])
        assert math.isclose(slope, here["ratio"], rel_tol=1e-4)


def test_travel_as_json_says_of_link_return_stops_and_tape() -> None:
    found = json.loads(treadle("travel", VAN, "--json").out)
    assert set(found) == {"positions", "kind", "ends", "events", "link", "rods", "returns", "stops", "tape"}
    assert found["kind"] == "rod" and [end["end"] for end in found["rods"][0]["ends"]] == ["pedal_end", "lever_end"]
    assert all(max(end["lean_deg"]) < end["limit_deg"] for end in found["rods"][0]["ends"])
    assert all(point["agrees"] for point in found["tape"])


def test_travel_as_text_reads_as_a_table() -> None:
    answer = treadle("travel", VAN)
    lines = answer.out.splitlines()
    assert answer.code == 0 and "per cent" in lines[0]
    table = lines[: lines.index("")]
    assert len({len(line) for line in table}) == 1
    assert [line for line in lines if line and not line.startswith(" ") and line not in table] == [
        "Link", "Return", "Points from a tape",
    ]  # fmt: skip


def test_an_unknown_figure_leaves_the_travel_uncomputed_and_says_which(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["B1: lever.swing = unknown"])
    answer = treadle("travel", folder, "--json")
    assert answer.code == 1
    assert json.loads(answer.out)["positions"] == []
    # What was read with a tape does not rest on it.
    assert all(point["agrees"] for point in json.loads(answer.out)["tape"])
    assert "lever.swing is not known" in answer.err


def test_explain_lists_explains_and_hints() -> None:
    everything = treadle("explain")
    assert everything.code == 0
    name = everything.out.splitlines()[0].split()[1]
    page = treadle("explain", name)
    assert page.code == 0 and name in page.out and "Why" in page.out
    wrong = treadle("explain", name[:-1] + "x")
    assert wrong.code == 2 and name in wrong.err


def test_schema_is_json_for_both_files() -> None:
    for file in ("conversion", "part"):
        answer = treadle("schema", file)
        assert answer.code == 0
        assert json.loads(answer.out)["$schema"].startswith("https://json-schema.org/")


def test_all_faults_at_once_each_at_its_place(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, [])
    file = folder / "conversion.yaml"
    text = file.read_text("utf-8")
    text = text.replace("mass: 2450 kg, documented", "mass: 2450 ohm")
    text = text.replace("station: engine}", "statoin: engine}").replace("station: engine\n", "statoin: engine\n")
    file.write_text(text, "utf-8")
    module = folder / "parts" / "pedal-module.yaml"
    module.write_text(
        module.read_text("utf-8").replace("positions: '6'", "positions: '5'").replace("positions: 6", "positions: 5"),
        "utf-8",
    )
    answer = treadle("check", folder)
    assert answer.code == 2 and answer.out == ""
    assert "'2450 ohm' is a resistance; a mass is needed" in answer.err
    assert "did you mean 'station'" in answer.err
    assert "parts/pedal-module.yaml:" in answer.err and "5 positions" in answer.err
    for line in answer.err.splitlines()[:-1]:
        file_name, row, column, _ = line.split(":", 3)
        assert file_name.endswith(".yaml") and int(row) >= 1 and int(column) >= 1


@pytest.mark.parametrize("command", [["check"], ["travel"], ["travel", "--json"], ["study"]])
def test_tape_readings_that_cannot_meet_are_a_fault_of_the_description(tmp_path: Path, command: list[str]) -> None:
    broken = patched_copy(tmp_path, ["conversion: linkage.module.pivot.from.A = 12.5 mm"])
    answer = treadle(command[0], broken, *command[1:])
    assert answer.code == 2 and not answer.out
    assert "linkage.module.pivot: 12.5 mm from A and" in answer.err and "do not meet" in answer.err
    assert "1 fault to mend" in answer.err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["check", "nowhere.yaml"], "not there"),
        (["check", "."], "conversion.yaml"),
        (["travel", "nowhere"], "not there"),
        (["pack", "nowhere", "--out", "x"], "not there"),
        (["explain", "no/such-rule"], "no rule"),
    ],
)
def test_what_is_not_there_is_said_with_exit_code_2(tmp_path: Path, words: list[str], said: str) -> None:
    answer = treadle(*words, cwd=tmp_path)
    assert answer.code == 2 and answer.out == "" and said in answer.err
    assert list(tmp_path.iterdir()) == []


def test_a_terminal_of_another_character_set_still_gets_its_answer() -> None:
    answer = treadle("travel", VAN, env={"PYTHONIOENCODING": "ascii", "LC_ALL": "C"})
    assert answer.code == 0 and "°" in answer.out
