"""Logs as loggers write them, logs that nobody can read, and logs of any length."""

from __future__ import annotations

import tracemalloc
from pathlib import Path

import numpy as np
import pytest

import conversion.bench.log.record as log_record
import conversion.bench.log.releases as log_releases
import conversion.bench.log.rows as log_rows
from conversion.bench.log.record import read_log
from conversion.description import DescriptionError
from tests.bench.sweeps import judged, names, sweep, text, wanted


def complaints(folder: Path, log: str | bytes, chosen: dict[str, str] | None = None) -> list[str]:
    with pytest.raises(DescriptionError) as failure:
        judged(folder, log, chosen)
    return str(failure.value).splitlines()


def plain() -> str:
    time, _, volts = sweep(50.0)
    return text(time, volts)


def rests(folder: Path, log: str | bytes, chosen: dict[str, str] | None = None) -> list[float]:
    return [track.rest_v for track in judged(folder, log, chosen).record.tracks.values()]


@pytest.mark.parametrize(
    "written",
    [
        lambda log: log.replace(".", ","),
        lambda log: log.replace(";", "\t"),
        lambda log: log.replace(".", ",").replace(";", "\t"),
        lambda log: log.replace(";", ","),
        lambda log: log.replace("\n", "\r\n"),
        lambda log: log.replace("\n", "\r"),
        lambda log: "\ufeff" + log,
        lambda log: log.encode("utf-16"),
        lambda log: "# a logger's own words\n# 2026\n\n" + log,
        lambda log: "Device:;seven\nSamples;800\n" + log,
        lambda log: "# " + log,
        lambda log: log.replace("\n", ";\n"),
        lambda log: log.replace("\n", "\n# note\n", 5),
        lambda log: log.replace(" [s]", "").replace(" [V]", ""),
        lambda log: log.replace("time [s];track a [V];track b [V]", "Time;Track_A;Track_B\ns;V;V"),
        lambda log: log.replace("time [s];track a [V];track b [V]", '"Timestamp (s)";"Pedal 1 (V)";"Pedal 2 (V)"'),
        lambda log: "\n".join(f'"{line}"'.replace(";", '","').replace(".", ",") for line in log.splitlines()) + "\n",
        lambda log: log.rstrip("\n"),
        lambda log: "".join(f"{line};;text\n" for line in log.splitlines()).replace(";;text", ";x;oil", 1),
    ],
)  # fmt: skip
def test_a_log_is_read_however_it_is_written(tmp_path: Path, written) -> None:
    expected = rests(tmp_path, plain())
    assert rests(tmp_path, written(plain())) == pytest.approx(expected, abs=1e-9)


def test_units_stand_in_the_heading(tmp_path: Path) -> None:
    time, pad, volts = sweep(50.0)
    rows = np.column_stack([1e3 * time, 1e3 * volts["b"], 1e3 * volts["a"], pad / 10.0])
    log = "t_ms;b (mV);a (mV);pad/cm\n" + "".join(";".join(f"{x:.2f}" for x in row) + "\n" for row in rows)
    verdict = judged(tmp_path, log)
    assert verdict.passes
    assert verdict.record.tracks["a"].rest_v == pytest.approx(wanted().tracks["a"].rest_v[0], abs=0.006)
    assert verdict.curve.by_pad


def test_a_column_is_named_where_its_heading_is_not_recognised(tmp_path: Path) -> None:
    log = plain().replace("time [s];track a [V];track b [V]", "Elapsed;AI0 [V];AI1 [V]")
    assert any("'AI0 [V]'" in line and "--column 'a=HEADING'" in line for line in complaints(tmp_path, log))
    assert rests(tmp_path, log, {"a": "AI0 [V]", "b": "AI1"}) == pytest.approx(rests(tmp_path, plain()))
    (line,) = complaints(tmp_path, log, {"a": "AI7", "b": "AI1"})
    assert line.startswith("log.csv:1:1: no column is headed 'AI7'; did you mean 'AI")


@pytest.mark.parametrize(
    ("spoil", "expected"),
    [
        (lambda log: "", "log.csv:1:1: the file is empty"),
        (lambda log: log.split("\n", 1)[1], "log.csv:1:1: the columns have no headings"),
        (lambda log: log.replace("track a [V]", "oil [bar]"), "log.csv:1:1: no column is recognised as track a"),
        (lambda log: log.replace("track a [V]", "track a [bar]"), "log.csv:1:10: 'bar' is no unit of the column a"),
        (lambda log: log.replace("track a", "track b"), "log.csv:1:22: both 'track b [V]' and 'track b [V]'"),
        (lambda log: log.split("\n", 5)[0] + "\n", "log.csv:2:1: there are 0 rows"),
        (lambda log: log.replace("track", "sensor", 1).replace("[V]", "[V", 1), "log.csv:1:1: no column is recognised"),
    ],
)  # fmt: skip
def test_a_header_that_cannot_be_used(tmp_path: Path, spoil, expected: str) -> None:
    lines = complaints(tmp_path, spoil(plain()))
    assert any(line.startswith(expected) for line in lines), lines


def test_every_cell_that_is_no_figure_is_told_with_its_place(tmp_path: Path) -> None:
    lines = plain().splitlines()
    lines[4] = "0.0600;open;0.5100"
    lines[7] = "0.1200;1.0;0.5;9"
    lines[9] = "0.1600;1.0300;inf"
    found = complaints(tmp_path, "\n".join(lines) + "\n")
    assert [line.split(": ")[0] for line in found] == ["log.csv:5:8", "log.csv:8:1", "log.csv:10:15"]
    assert "'open' is no figure" in found[0]
    assert "4 cells, and the header has 3" in found[1]


def test_decimal_commas_between_commas_are_explained(tmp_path: Path) -> None:
    log = plain().replace(".", ",").replace(";", ",").replace("track a [V],", "track a [V],", 1)
    assert "decimal comma" in complaints(tmp_path, log)[0]


def test_many_mistakes_are_counted(tmp_path: Path) -> None:
    lines = plain().splitlines()
    spoilt = [lines[0], *(line.rsplit(";", 1)[0] + ";-1.#IND" for line in lines[1:])]
    found = complaints(tmp_path, "\n".join(spoilt) + "\n")
    assert len(found) == 201
    assert "600 more like these follow" in found[-1]


def test_gaps_are_counted_and_nothing_else_is_lost(tmp_path: Path) -> None:
    lines = plain().splitlines()
    for at in (100, 101, 300):
        lines[at] = lines[at].rsplit(";", 1)[0] + ";"
    lines[200] = lines[200].rsplit(";", 1)[0] + ";NaN"
    verdict = judged(tmp_path, "\n".join(lines) + "\n")
    assert verdict.record.gaps == {"b": 4}
    assert str(verdict.record.first_gap["b"]).startswith("log.csv:101:")
    assert verdict.record.rows == len(lines) - 1
    assert names(verdict)["no-figure"] == "FIX"


def test_a_line_that_is_cut_off_is_left_out_and_told(tmp_path: Path) -> None:
    verdict = judged(tmp_path, plain() + "16.0000;1.0")
    assert names(verdict)["cut-off"] == "NOTE"
    assert verdict.passes


def test_times_that_run_back_or_stop(tmp_path: Path) -> None:
    lines = plain().splitlines()
    back = [*lines[:400], *lines[380:]]
    verdict = judged(tmp_path, "\n".join(back) + "\n")
    (found,) = [each for each in verdict.findings if each.name == "readings/time-runs-back"]
    assert (found.severity, found.place.line) == ("FIX", 401)
    gap = judged(tmp_path, "\n".join([*lines[:100], *lines[140:]]) + "\n")
    (found,) = [each for each in gap.findings if each.name == "readings/time-gap"]
    assert (found.place.line, found.severity) == (101, "NOTE")


def test_swapped_columns_are_refused_where_they_make_no_sense(tmp_path: Path) -> None:
    log = plain().replace("time [s];track a [V]", "track a [V];time [s]")
    assert any("are the columns swapped?" in line for line in complaints(tmp_path, log))
    millivolts = "\n".join(
        [plain().split("\n")[0], *(f"{row[0]};{1e3 * row[1]:.1f};{row[2]}" for row in np.column_stack(
            [sweep(50.0)[0], *sweep(50.0)[2].values()]).tolist())]
    )  # fmt: skip
    assert any("write [mV] behind the heading" in line for line in complaints(tmp_path, millivolts + "\n"))


@pytest.mark.parametrize("garbage", [b"\x00\x01\x02" * 500, b"time;a;b\n" + b"\xff" * 900, b";" * 5000, b"\n" * 5000])
def test_what_is_no_log_is_refused_in_words(tmp_path: Path, garbage: bytes) -> None:
    assert all(line.startswith("log.csv:") for line in complaints(tmp_path, garbage))


def test_memory_does_not_grow_with_the_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Peak of what Python and numpy hold, for a log and for one four times as long, in blocks that both fill."""
    monkeypatch.setattr(log_rows, "BLOCK_CHARACTERS", 1 << 15)
    monkeypatch.setattr(log_record, "BLOCK_ROWS", 1 << 11)
    monkeypatch.setattr(log_record, "MOST_BUCKETS", 512)
    monkeypatch.setattr(log_releases, "MOST_ROWS", 1 << 11)
    peaks = []
    for rate_hz in (2000.0, 8000.0):
        time, _, volts = sweep(rate_hz)
        path = tmp_path / "log.csv"
        path.write_text(text(time, volts), encoding="utf-8")
        rows = len(time)
        del time, volts
        tracemalloc.start()
        record = read_log(path, "log.csv", wanted(), {})
        peaks.append(tracemalloc.get_traced_memory()[1])
        tracemalloc.stop()
        assert record.rows == rows
    assert peaks[1] < 1.2 * peaks[0] + 200_000
    assert peaks[1] < 8 * rows * 3, "less than the figures of the longer log by themselves"


PIECES = (b"", b"\x00", b";", b"\n", b"nan", b"-9e99", b"1e400", b'"', b"#", b"\xff\xfe")
LINES = (
    b"",
    b"#",
    b"0;0;0",
    b";;",
    b"nan;nan;nan",
    b"9;-1e99;1e99",
    b"1e99;1;0.5",
    b"-5;1e-320;4.9",
    b"8.5;;0.5",
    b"8;1;",
)


def test_no_spoilt_log_breaks_the_reading(tmp_path: Path) -> None:
    """Bytes or whole lines of a sound log changed at random: it is read, or refused in words with a place."""
    random, sound = np.random.default_rng(7), plain().encode("utf-8")
    refused = 0
    for trial in range(80):
        spoilt, lines = bytearray(sound), sound.split(b"\n")
        for _ in range(int(random.integers(1, 12))):
            if trial % 4:
                at, length = int(random.integers(1, len(lines))), int(random.integers(1, 40))
                lines[at : at + length] = [LINES[int(random.integers(0, len(LINES)))]] * int(random.integers(0, 40))
                spoilt = bytearray(b"\n".join(lines))
            else:
                at, length = int(random.integers(0, len(spoilt))), int(random.integers(0, 400))
                spoilt[at : at + length] = PIECES[int(random.integers(0, len(PIECES)))]
        try:
            judged(tmp_path, bytes(spoilt))
        except DescriptionError as error:
            refused += 1
            assert all(str(line.place).startswith("log.csv:") for line in error.complaints)
    assert 10 < refused < 70


@pytest.mark.parametrize(
    "volts",
    [
        {"a": 1e3, "b": 0.0},
        {"a": 0.0, "b": 0.0},
        {"a": -3.0, "b": 5.0},
    ],
)
def test_levels_that_make_no_sense_are_judged_or_refused(tmp_path: Path, volts: dict[str, float]) -> None:
    time = np.arange(0.0, 10.0, 0.01)
    log = text(time, {name: np.full_like(time, level) for name, level in volts.items()})
    try:
        verdict = judged(tmp_path, log)
    except DescriptionError:
        return
    assert not verdict.passes
