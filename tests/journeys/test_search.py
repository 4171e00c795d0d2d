"""`treadle search` from the shell: what it prints and writes, and how it ends."""

from __future__ import annotations

import json
import shutil
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

import pytest
import yaml

from conversion import resources
from tests.journeys.command import Answer, treadle
from tests.kinds import KINDS
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van"
FEW = ("--candidates", "4000")
FILES = {
    "conversion-patched.yaml", "pack-manifest.json", "search-patch.yaml", "search.json", "search.txt", "trade-off.csv",
    "trade-off.svg", "others",
}  # fmt: skip


@dataclass(frozen=True)
class Searched:
    """A search that several tests look at: what it printed, and the folder that it wrote."""

    answer: Answer
    folder: Path


@pytest.fixture(scope="module")
def few(tmp_path_factory: pytest.TempPathFactory) -> Searched:
    """Some linkages of the demo, as text."""
    folder = tmp_path_factory.mktemp("few") / "out"
    return Searched(treadle("search", VAN, *FEW, "--seed", "5", "--out", folder), folder)


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Searched:
    """All linkages of the demo, as JSON."""
    folder = tmp_path_factory.mktemp("whole") / "out"
    return Searched(treadle("search", VAN, "--json", "--out", folder), folder)


def test_search_prints_what_to_make(few: Searched) -> None:
    answer = few.answer
    assert answer.code == 0 and answer.err == "" and "begin with search.txt" in answer.out
    for title in ("What to make", "What it gives", "With every tolerance", "The tightest clearance"):
        assert title in answer.out
    assert "linkages looked at" in answer.out.splitlines()[0]
    assert all(len(line) <= 120 or "fit.recess" in line for line in answer.out.splitlines())


def test_the_whole_demo_is_searched_with_a_million_linkages(whole: Searched) -> None:
    result = json.loads(whole.answer.out)
    assert whole.answer.code == 0 and result["looked_at"] >= 1_000_000 and result["whole_grid"]
    assert result["settings"][0]["best_in"][0] == "all"
    scores = [member["score"] for member in result["trade_off"]]
    assert scores == sorted(scores) and len(scores) >= 5


def test_same_seed_same_bytes_and_the_numbers_are_those_of_travel(tmp_path: Path, few: Searched) -> None:
    one, two = few.folder, tmp_path / "two"
    assert treadle("search", VAN, *FEW, "--seed", "5", "--out", two, "--json").code == 0
    assert {path.name for path in one.iterdir()} == FILES
    for path in one.rglob("*"):
        if path.is_file():
            assert path.read_bytes() == (two / path.relative_to(one)).read_bytes(), path.name
    home = tmp_path / "van"
    shutil.copytree(VAN, home)
    shutil.copy(one / "conversion-patched.yaml", home / "conversion.yaml")
    positions = json.loads(treadle("travel", home, "--json").out)["positions"]
    result = json.loads((one / "search.json").read_text("utf-8"))
    best = result["settings"][result["taken"]]
    assert best["room"]["enough"]
    assert positions[0]["lever_deg"] == pytest.approx(best["figures"]["lever_at_rest_deg"], abs=0.02)
    assert 24.0 - positions[-1]["lever_deg"] == pytest.approx(best["figures"]["below_full_deg"], abs=0.02)
    assert positions[-1]["pad_travel_mm"] == pytest.approx(best["figures"]["pad_travel_mm"], abs=0.05)
    # What is planned and not yet built has to be measured before sign-off.
    check = treadle("check", home)
    assert check.code == 1 and "completeness/safety-figure-assumed" in check.out and "HOLD  " not in check.out


def test_a_setting_that_was_built_and_measured_checks_clean(tmp_path: Path, whole: Searched) -> None:
    home = tmp_path / "van"
    shutil.copytree(VAN, home)
    patched = (whole.folder / "conversion-patched.yaml").read_text("utf-8")
    assert '°, assumed"' in patched and ' mm, assumed"' in patched
    (home / "conversion.yaml").write_text(
        patched.replace(' mm, assumed"', ' mm"').replace('°, assumed"', '°"'), "utf-8"
    )
    check = treadle("check", home)
    assert check.code == 0, check.out
    assert treadle("study", home, "--samples", "500").code == 0


@pytest.mark.parametrize(
    ("kind", "moves"),
    [
        ("cable", "{pedal_hole: {over: 55 mm..65 mm, step: 5 mm}, groove_radius: [36 mm, 40 mm], rest: [1°, 1.5°]}"),
        ("contact", "{module: {x: [20 mm, 30 mm], z: {over: -30 mm..-20 mm, step: 5 mm}}, full: [22°, 22.5°]}"),
        (
            "bell-crank",
            "{lever_hole: [40 mm, 45 mm], crank_in: {over: 40 mm..50 mm, step: 5 mm}, crank_out: [45 mm], "
            "rod: {pitch: 1 mm, half_turns: false}, rest: [1°, 1.5°]}",
        ),
    ],
)
def test_other_kinds_are_searched_and_do_what_was_promised(tmp_path: Path, kind: str, moves: str) -> None:
    home = patched_copy(tmp_path, [*KINDS[kind], f"conversion: search = {{may_move: {moves}}}"])
    out = tmp_path / "out"
    answer = treadle("search", home, "--out", out)
    assert answer.code == 0, answer.out + answer.err
    heads = " ".join(answer.out.split("What to make")[1].splitlines()[:3])
    assert ("first" in heads and "second" in heads) == (kind == "bell-crank")
    shutil.copy(out / "conversion-patched.yaml", home / "conversion.yaml")
    result = json.loads((out / "search.json").read_text("utf-8"))
    best = result["settings"][result["taken"]]["figures"]
    positions = json.loads(treadle("travel", home, "--json").out)["positions"]
    assert positions[0]["lever_deg"] == pytest.approx(best["lever_at_rest_deg"], abs=0.02)
    assert 24.0 - positions[-1]["lever_deg"] == pytest.approx(best["below_full_deg"], abs=0.02)
    assert positions[-1]["pad_travel_mm"] == pytest.approx(best["pad_travel_mm"], abs=0.05)
    assert "HOLD  " not in treadle("check", home).out


def test_the_pack_searches_where_it_is_asked_to(tmp_path: Path) -> None:
    small = "conversion: search.may_move = {lever_hole: [42 mm, 45 mm], rest: [1°, 1.5°]}"
    home = patched_copy(tmp_path, [small])
    answer = treadle("pack", home, "--search", "--out", tmp_path / "out")
    assert answer.code == 0, answer.out + answer.err
    assert "Settings searched" in (tmp_path / "out" / "build-pack.html").read_text("utf-8")
    home = patched_copy(tmp_path / "none", ["conversion: search removed"])
    answer = treadle("pack", home, "--search", "--out", tmp_path / "other")
    assert answer.code == 2 and "nothing says what may move" in answer.err and not (tmp_path / "other").exists()


def test_a_module_with_its_own_pedal_has_nothing_to_search(tmp_path: Path) -> None:
    home = patched_copy(tmp_path, [*KINDS["direct"], "conversion: search = {may_move: {rest: [1°]}}"])
    answer = treadle("search", home)
    assert answer.code == 2 and "there is nothing to search" in answer.err and ".yaml:" in answer.err


def test_the_files_of_a_search_can_be_read(tmp_path: Path, few: Searched) -> None:
    out = tmp_path / "out"
    shutil.copytree(few.folder, out)
    patch = yaml.safe_load((out / "search-patch.yaml").read_text("utf-8"))
    assert set(patch) <= {"linkage", "fit"} and "lever_pin" in patch["linkage"]["module"]
    assert ElementTree.fromstring((out / "trade-off.svg").read_text("utf-8")).tag.endswith("svg")
    rows = (out / "trade-off.csv").read_text("utf-8").splitlines()
    assert len(rows) > 2 and rows[0].startswith("score,lever_hole_mm")
    others = sorted(path.name for path in (out / "others").iterdir())
    assert len(others) >= 3 and all(name.endswith(".yaml") for name in others)
    # Written again over itself, but never over what somebody changed.
    assert treadle("search", VAN, *FEW, "--out", out).code == 0
    (out / "search.txt").write_text("mine", "utf-8")
    answer = treadle("search", VAN, *FEW, "--out", out)
    assert answer.code == 2 and "was left as it is" in answer.err and (out / "search.txt").read_text("utf-8") == "mine"


def test_nothing_found_is_code_1_says_why_and_writes_nothing(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: search.wants.transmission = 89.9°"])
    answer = treadle("search", folder, *FEW, "--out", tmp_path / "out")
    assert answer.code == 1 and not (tmp_path / "out").exists()
    assert "In the way: least transmission angle" in answer.out and "Nothing was written." in answer.out
    as_json = json.loads(treadle("search", folder, *FEW, "--json").out)
    assert as_json["settings"] == [] and as_json["obstacles"][0]["want"] == "transmission"


@pytest.mark.parametrize(
    ("patch", "code", "said"),
    [
        ("conversion: search removed", 2, "nothing says what may move"),
        ("conversion: search.may_move.crank_in = [40 mm]", 2, "a linkage of kind 'rod' has no such thing to move"),
        ("conversion: linkage removed", 2, "there is no linkage to search"),
        ("conversion: search.may_move.lever_hole = 45 mm", 2, "search.may_move.lever_hole"),
        ("B1: lever.swing = unknown", 1, "lever.swing is not known"),
        ("conversion: linkage.module.pivot = [unknown, 0 mm, 0 mm]", 1, "linkage.module.pivot"),
        ("conversion: search.may_move.rod.pitch = unknown", 1, "search.may_move.rod.pitch is not known"),
    ],
)
def test_what_cannot_be_searched_is_said_at_its_place(tmp_path: Path, patch: str, code: int, said: str) -> None:
    answer = treadle("search", patched_copy(tmp_path, [patch]), *FEW)
    assert answer.code == code and answer.out == "" and said in answer.err and ".yaml:" in answer.err


@pytest.mark.parametrize("words", [("--candidates", "0"), ("--candidates", "1e6"), ("--seed", "-1"), ("--seed", "x")])
def test_words_that_are_no_number_are_refused(words: tuple[str, str]) -> None:
    answer = treadle("search", VAN, *words)
    assert answer.code == 2 and "no whole number" in answer.err


def test_a_stale_search_keeps_nobody_from_checking(tmp_path: Path) -> None:
    folder = patched_copy(tmp_path, ["conversion: search.may_move.crank_in = [40 mm]"])
    assert treadle("check", folder).code == 0


def test_a_place_that_cannot_be_written_to_is_refused_before_the_search(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    from conversion import cli
    from conversion.plan.searching import search as searching

    def sought(*_: object, **__: object) -> None:
        raise AssertionError("nothing is sought for a place that is refused")

    monkeypatch.setattr(searching, "search_plan", sought)
    assert cli.main(["search", str(VAN), "--out", str(tmp_path / "missing" / "found")]) == 2
    assert "does not exist; make it first" in capsys.readouterr().err
