"""``treadle identify`` as a user runs it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from conversion.pack import measuring_sheet
from tests.bench.test_identify_file import GOOD
from tests.journeys.command import treadle

HALL = """\
title: Something else
terminals: [1, 2, 3]
at_rest: {1: {2: 11 kohm, 3: 40 kohm}, 2: {3: 47 kohm}}
at_full: {1: {2: 11 kohm, 3: 40 kohm}, 2: {3: 47 kohm}}
"""


def put(folder: Path, text: str) -> Path:
    file = folder / "readings.yaml"
    file.write_text(text, "utf-8", newline="\n")
    return file


def test_what_is_found_is_printed_with_every_way_round(tmp_path: Path) -> None:
    answer = treadle("identify", put(tmp_path, GOOD))
    assert answer.code == 0 and not answer.err
    assert "Track with wiper sig between ends gnd and 5V" in answer.out
    assert "supply at 5V; ground at gnd" in answer.out and "supply at gnd; ground at 5V" in answer.out
    assert "3.20 Mohm between 5V and NC is taken as open" in answer.out
    assert "Powered check" in answer.out and "No pair was read with the leads changed over" in answer.out
    assert all(len(line) <= 100 for line in answer.out.splitlines())


def test_json_says_the_same(tmp_path: Path) -> None:
    answer = treadle("identify", put(tmp_path, GOOD), "--json")
    found = json.loads(answer.out)
    assert answer.code == 0 and found["verdict"] == "found"
    (track,) = found["tracks"]
    assert track["wiper"] == "sig" and set(track["ends"]) == {"gnd", "5V"} and track["moves_toward"] == "5V"
    assert track["resistance_ohm"] == pytest.approx(2000, rel=0.02)
    assert len(found["ways_round"]) == 2 and found["groups"][0]["runner_up"]["sum_of_squares"] > 100
    assert found["alone"] == ["NC"]


def test_a_hall_module_gets_a_careful_procedure_and_no_part(tmp_path: Path) -> None:
    answer = treadle("identify", put(tmp_path, HALL), "--part", tmp_path / "part.yaml")
    assert answer.code == 1 and "fit no potentiometer module" in answer.out
    assert "Do not power it on a guess" in answer.out and "limited to" in answer.out
    assert "no part file is written" in answer.err and not (tmp_path / "part.yaml").exists()
    found = json.loads(treadle("identify", tmp_path / "readings.yaml", "--json").out)
    assert found["verdict"] == "no-fit" and not found["tracks"]


def test_a_file_with_mistakes_ends_with_2(tmp_path: Path) -> None:
    answer = treadle("identify", put(tmp_path, GOOD.replace("1.1 kohm", "1.1 kV").replace("sig: {", "sog: {")))
    assert answer.code == 2 and not answer.out
    assert len(answer.err.splitlines()) == 3 and all(
        line.startswith("readings.yaml:") for line in answer.err.splitlines()
    )
    assert treadle("identify", tmp_path / "none.yaml").code == 2
    assert treadle("identify", tmp_path).code == 2


def test_a_part_is_written_over_a_part_of_its_own_only(tmp_path: Path) -> None:
    readings = put(tmp_path, GOOD)
    part = tmp_path / "part.yaml"
    assert treadle("identify", readings, "--part", part).code == 0
    assert treadle("identify", put(tmp_path, f"{GOOD}supplied_at: [5V]\n"), "--part", part).code == 0
    assert "pedal.a.supply" in part.read_text("utf-8")
    refused = treadle("identify", readings, "--part", readings)
    assert refused.code == 2 and "not written by this" in refused.err
    assert readings.read_text("utf-8").startswith("title: A module")
    assert treadle("identify", readings, "--part", tmp_path / "nowhere" / "part.yaml").code == 2


@pytest.mark.parametrize("terminals", [3, 10])
def test_the_sheet_has_a_table_for_each_position(tmp_path: Path, terminals: int) -> None:
    file = tmp_path / "sheet.pdf"
    assert treadle("identify", "--sheet", str(terminals), "--out", file).code == 0
    pages = PdfReader(file).pages
    assert len(pages) == 2
    assert [round(float(side) / 72 * 25.4) for side in pages[0].mediabox[2:]] == [210, 297]
    first, second = (page.extract_text() for page in pages)
    assert "Never supply a module on a guess" in first and "leads" in first
    assert "Lever at rest" in second and "Lever at full" in second and "Typed into a file" in second
    assert file.read_bytes() == measuring_sheet.measuring_sheet(terminals)


SHEET = ["--out", "x.pdf", "--sheet"]


@pytest.mark.parametrize(
    "words", [[*SHEET, "2"], [*SHEET, "11"], ["--sheet", "4"], [], SHEET[:2], ["a.yaml", *SHEET, "4"]]
)
def test_words_that_do_not_go_together_are_refused(tmp_path: Path, words: list[str]) -> None:
    answer = treadle("identify", *words, cwd=tmp_path)
    assert answer.code == 2 and "usage" in answer.err and not list(tmp_path.iterdir())
