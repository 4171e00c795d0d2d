"""A log and the values of the bench test, as a user hands them in: printed, as JSON, in the pack, and refused."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from conversion import resources
from tests.journeys.command import treadle


@pytest.fixture
def van(tmp_path: Path) -> Path:
    """A copy of the worked conversion with its records."""
    home = tmp_path / "market-van"
    shutil.copytree(resources.harnesses_dir() / "market-van", home)
    return home


def test_a_log_is_printed_and_drawn(van: Path, tmp_path: Path) -> None:
    out = tmp_path / "read"
    answer = treadle("readings", van, van / "records" / "sweep.csv", "--out", out, "--json")
    assert answer.code == 0, answer.err
    found = json.loads(answer.out)
    assert set(found) == {"rows", "lasts_s", "step_s", "columns", "tracks", "apart", "releases", "findings"}
    assert found["findings"] == [] and found["rows"] == 1400
    assert found["releases"][0]["returned_s"] == pytest.approx(0.1, abs=0.03)
    assert {file.name for file in out.iterdir()} >= {
        "readings.txt", "record-volts.svg", "record-sweep.svg", "record-difference.svg", "record-release.svg",
    }  # fmt: skip


def test_a_hold_in_a_log_ends_with_1_and_a_column_that_is_not_there_with_2(van: Path) -> None:
    log = van / "records" / "sweep.csv"
    swapped = treadle("readings", van, log, "--column", "a=track b [V]", "--column", "b=track a [V]")
    assert swapped.code == 1 and "readings/tracks-swapped" in swapped.out
    missing = treadle("readings", van, log, "--column", "a=track c [V]")
    assert missing.code == 2 and "sweep.csv:2:1: no column is headed 'track c [V]'" in missing.err
    twice = treadle("readings", van, log, "--column", "a=x", "--column", "a=y")
    assert twice.code == 2 and "'a' is given twice" in twice.err
    assert treadle("readings", van, van / "none.csv").code == 2


def test_the_bench_test_is_printed(van: Path, tmp_path: Path) -> None:
    answer = treadle("bench", van, van / "records" / "bench.yaml", "--json")
    found = json.loads(answer.out)
    assert answer.code == 0
    assert found["summary"] == {"pass": len(found["readings"]), "fail": 0, "not judged": 0, "not recorded": 0}
    values = tmp_path / "values.yaml"
    values.write_text("continuity: {W1: open}\n", encoding="utf-8")
    failed = treadle("bench", van, values)
    assert failed.code == 1
    assert "read open; expected: below 0.5 ohm" in failed.out and "values.yaml:1:18" in failed.out


def test_a_failed_record_stands_in_the_pack(van: Path, tmp_path: Path) -> None:
    log, bench = van / "records" / "sweep.csv", van / "records" / "bench.yaml"
    log.write_text(log.read_text("utf-8").replace("time [s];track a [V]", "time [s];track a [mV]"), "utf-8")
    bench.write_text(bench.read_text("utf-8").replace("W2: ", "W2: 1"), "utf-8")
    answer = treadle("pack", van, "--out", tmp_path / "pack")
    assert answer.code == 1, answer.err
    assert "What was measured fails: the logged sweep and the bench test" in answer.out
    page = (tmp_path / "pack" / "build-pack.html").read_text("utf-8")
    assert "Logged sweep: FAIL" in page and "Bench test: FAIL" in page
    assert "readings/stands-still" in page and "not judged" in page
    table = (tmp_path / "pack" / "tables" / "bench-test.csv").read_text("utf-8")
    assert "continuity W2" in table and ",fail" in table


def test_records_that_cannot_be_used_are_told_at_once(van: Path, tmp_path: Path) -> None:
    file = van / "conversion.yaml"
    sound = file.read_text("utf-8")
    start = sound.index("records: ")
    line = sound[:start].count("\n") + 1
    file.write_text(sound[:start] + "records: {sweep: records/swep.csv, bench: ../bench.yaml}\n", "utf-8")
    answer = treadle("check", van)
    assert answer.code == 2
    assert f"conversion.yaml:{line}:18: records.sweep: there is no file 'records/swep.csv'; did you mean" in answer.err
    assert f"conversion.yaml:{line}:43: records.bench: '../bench.yaml' leads out" in answer.err
    columns = "records: {sweep: {file: records/sweep.csv, columns: {c: x}}, bench: records/bench.yaml}\n"
    file.write_text(sound[:start] + columns, "utf-8")
    (van / "records" / "bench.yaml").write_text("continuity: {W1: 3 V}\n", "utf-8")
    answer = treadle("pack", van, "--out", tmp_path / "pack")
    assert answer.code == 2 and not (tmp_path / "pack").exists()
    assert "'c' is no column of a log" in answer.err and "records/bench.yaml:1:18: continuity.W1" in answer.err
