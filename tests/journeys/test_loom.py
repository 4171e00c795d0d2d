"""``treadle loom`` from the shell: the figures hang together, and what is not known is said."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pypdf
import pytest
import yaml

from conversion import resources
from conversion.commands.loom import PAPERS
from conversion.fit import Paper
from tests.journeys.command import treadle
from tests.rules.patching import patched_copy

DEMOS = ("market-van", "trials-buggy", "first-attempt")
VAN = resources.harnesses_dir() / "market-van"
STANDARD_MM2 = (0.35, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0)


def loom_of(folder: Path) -> dict[str, Any]:
    answer = treadle("loom", folder, "--json")
    assert answer.err == "" and answer.code == 0
    found: dict[str, Any] = json.loads(answer.out)
    return found


@pytest.mark.parametrize("demo", DEMOS)
def test_the_json_has_the_promised_keys_and_hangs_together(demo: str) -> None:
    home = resources.harnesses_dir() / demo
    found = loom_of(home)
    assert list(found) == ["wires", "runs", "splices", "fuses", "totals"]
    described = yaml.safe_load((home / "conversion.yaml").read_text("utf-8"))["loom"]
    runs = {run["run"]: run for run in found["runs"]}
    assert list(runs) == list(described["runs"])
    for run in found["runs"]:
        assert list(run) == ["run", "wires", "diameter_mm", "length_mm"]
        assert run["wires"] == [wire["wire"] for wire in found["wires"] if run["run"] in wire["route"]]
        assert (run["diameter_mm"] > 0) == bool(run["wires"])
    for wire in found["wires"]:
        assert list(wire) == [
            "wire", "from", "to", "role", "size_mm2", "colour", "route", "cut_length_mm", "decided_by", "drop_v",
        ]  # fmt: skip
        # Never shorter than the runs that it takes.
        assert wire["cut_length_mm"] > sum(runs[name]["length_mm"] for name in wire["route"])
        assert wire["decided_by"] in ("load", "drop", "fuse", "least", "habit", "said")
        assert wire["decided_by"] == "said" or wire["size_mm2"] in STANDARD_MM2
        assert wire["drop_v"] is None or wire["drop_v"] >= 0
    assert {splice["splice"] for splice in found["splices"]} == set(described.get("splices", {}))
    for splice in found["splices"]:
        assert set(splice["wires"]) == {
            wire["wire"] for wire in found["wires"] if splice["splice"] in (wire["from"], wire["to"])
        }
    totals = found["totals"]
    assert totals["wires"] == len(found["wires"]) == sum(each["wires"] for each in totals["wire"])
    assert totals["cut_length_mm"] == sum(wire["cut_length_mm"] for wire in found["wires"])
    for each in totals["wire"]:
        assert each["to_buy_m"] * 1000 >= each["cut_length_mm"]


def test_every_fuse_says_what_it_protects_and_why() -> None:
    found = loom_of(VAN)
    tags = {wire["wire"] for wire in found["wires"]}
    assert {fuse["fuse"] for fuse in found["fuses"]} == {"F1", "F2", "F3", "F4"}
    for fuse in found["fuses"]:
        assert set(fuse["protects"]) <= tags and fuse["protects"]
        assert fuse["least_a"] <= fuse["chosen_a"] <= fuse["most_a"]
        assert fuse["short_circuit_a"] >= 2 * fuse["chosen_a"]


def test_the_text_has_a_line_for_every_wire() -> None:
    answer = treadle("loom", VAN)
    lines = answer.out.splitlines()
    assert answer.code == 0 and answer.err == ""
    found = loom_of(VAN)
    table = lines[: lines.index("")]
    wires = [line for line in table[2:] if not line.endswith(":")]
    assert [line.split()[0] for line in wires] == [wire["wire"] for wire in found["wires"]]
    steps = [line for line in table if line.endswith(":")]
    assert steps[0] == "sensor supply:" and steps[-1] == "ground:" and len(set(steps)) == len(steps)
    heads = [line for line in lines if line in ("Runs", "Splices", "Fuses", "Wire to buy")]
    assert heads == ["Runs", "Splices", "Fuses", "Wire to buy"]


def test_the_loom_of_a_description_is_the_same_every_time() -> None:
    assert treadle("loom", VAN, "--json") == treadle("loom", VAN, "--json")


def test_a_wire_without_an_allowed_way_says_what_to_lift(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: loom.runs.board-pedal.closed_to = [sensors]"])
    answer = treadle("loom", folder, "--json")
    assert answer.code == 1
    closed = [line for line in answer.err.splitlines() if "has no way" in line]
    assert len(closed) == 6 and all("board-pedal" in line for line in closed)
    lost = [wire for wire in json.loads(answer.out)["wires"] if wire["cut_length_mm"] is None]
    assert len(lost) == 6 and all(wire["route"] == [] for wire in lost)


def test_an_unknown_length_is_said_once_and_leaves_its_wires_unmeasured(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: loom.runs.board-pedal.length = unknown"])
    answer = treadle("loom", folder, "--json")
    assert answer.code == 1
    assert answer.err.count("board-pedal") == 1 and "conversion.yaml:" in answer.err
    found = json.loads(answer.out)
    assert set(found["totals"]["of_unknown_length"]) == {
        wire["wire"] for wire in found["wires"] if "board-pedal" in wire["route"]
    }
    assert treadle("loom", folder).code == 1


def test_a_longer_run_never_asks_for_a_thinner_wire(tmp_path: Path) -> None:
    before = loom_of(VAN)["wires"]
    longer = loom_of(patched_copy(tmp_path, ["conversion: loom.runs.board-bulkhead.length = 9000 mm"]))["wires"]
    assert [wire["wire"] for wire in before] == [wire["wire"] for wire in longer]
    assert all(old["size_mm2"] <= new["size_mm2"] for old, new in zip(before, longer, strict=True))
    assert any(old["size_mm2"] < new["size_mm2"] for old, new in zip(before, longer, strict=True))


def test_a_description_without_a_loom_has_wires_without_a_way(tmp_path: Path) -> None:
    answer = treadle("loom", patched_copy(tmp_path, ["conversion: loom removed"]))
    assert answer.code in (1, 2) and "Traceback" not in answer.err and answer.err


def test_the_folder_holds_all_papers_and_is_the_same_every_time(tmp_path: Path) -> None:
    folders = [tmp_path / name for name in ("one", "two")]
    for folder in folders:
        answer = treadle("loom", VAN, "--out", folder)
        assert answer.code == 0 and answer.err == "" and "begin with loom.pdf" in answer.out.splitlines()[-1]
    one, two = ({p.relative_to(f).as_posix(): p.read_bytes() for p in f.rglob("*") if p.is_file()} for f in folders)
    assert one == two
    assert {"loom.pdf", "loom.json", "loom.txt", "tables/loom-cut-list.csv", "tables/loom-continuity.csv"} <= set(one)
    assert json.loads(one["loom.json"]) == loom_of(VAN)
    first = pypdf.PdfReader(io.BytesIO(one["loom.pdf"])).pages[0].extract_text().replace("\u200b", "")
    assert "loom/motor-with-sensors" in first, "what is to be known about the loom is told"
    assert "strength/" not in first and "3 NOTEs are not about the loom" in " ".join(first.split())
    wires = one["tables/wires.csv"].decode("utf-8").splitlines()
    assert len(wires) == 1 + len(loom_of(VAN)["wires"])


def test_the_board_is_cut_into_the_pages_that_are_asked_for(tmp_path: Path) -> None:
    whole = {"board.pdf", "board.dxf", "board.svg"}
    for words, cut in (((), {"A4", "A3", "Letter"}), (("--paper", "A3"), {"A3"})):
        folder = tmp_path / "-".join(sorted(cut))
        assert treadle("loom", VAN, "--out", folder, *words).code == 0
        files = {path.name for path in (folder / "board").iterdir()}
        assert files == whole | {f"board-{paper}.pdf" for paper in cut}
    assert tuple(Paper) == PAPERS
    alone = treadle("loom", VAN, "--paper", "A4")
    assert alone.code == 2 and alone.out == "" and "--out" in alone.err


LOOP = "conversion: loom.runs.short-cut = {between: [panel, pedal], length: 200 mm}"


def test_runs_that_close_a_loop_keep_the_board_back_and_nothing_else(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, [LOOP, "conversion: loom.wires.1.via = [panel, pedal]"])
    assert treadle("loom", folder, "--json").code == 0
    for command in (("loom",), ("pack", "--board")):
        answer = treadle(*command, folder, "--out", tmp_path / "out")
        assert answer.code == 2 and answer.out == "" and not (tmp_path / "out").exists()
        assert "conversion.yaml:" in answer.err and "loop" in answer.err


def test_the_pack_has_the_board_where_it_is_asked_for(tmp_path: Path) -> None:
    answer = treadle("pack", VAN, "--out", tmp_path / "pack", "--board")
    assert answer.code == 0, answer.err
    loom = treadle("loom", VAN, "--out", tmp_path / "loom")
    assert loom.code == 0
    boards = [
        {path.name: path.read_bytes() for path in (tmp_path / each / "board").iterdir()} for each in ("pack", "loom")
    ]
    assert boards[0] == boards[1] and len(boards[0]) == 6


def test_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear", "utf-8")
    answer = treadle("loom", VAN, "--out", tmp_path / "mine")
    assert answer.code == 2 and answer.out == "" and "letter.txt" in answer.err
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.txt"]


def test_json_on_standard_output_stays_json_with_a_folder_beside(tmp_path: Path) -> None:
    answer = treadle("loom", VAN, "--json", "--out", tmp_path / "out")
    assert json.loads(answer.out)["wires"] and "written" in answer.err
