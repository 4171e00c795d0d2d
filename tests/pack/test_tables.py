"""The tables for other programs: they say what the plan says, and no cell of theirs is a formula."""

from __future__ import annotations

import csv
import io
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.pack.document import DataTable
from conversion.pack.tables import csv_bytes
from conversion.plan import Plan, travel_positions
from conversion.plan.study.as_json import study_json
from conversion.rules import find_all
from tests.pack.made import demo_plan, tables_of
from tests.rules.patching import patched_plan

NAMES = {"travel", "tolerance", "fit", "cut-list"} | {
    "wires",
    "terminations",
    "evidence",
    "findings",
    "checklist",
    "calibration",
    "bench-test",
    "faults",
} | {
    f"loom-{name}"
    for name in (
        "sizes", "drops", "fuses", "cut-list", "wire-totals", "labels", "splices", "runs", "parts", "continuity",
        "build-order",
    )
}  # fmt: skip


def read(table: DataTable) -> list[dict[str, str]]:
    """A table as another program reads it."""
    return list(csv.DictReader(io.StringIO(csv_bytes(table).decode("utf-8"), newline="")))


@pytest.fixture(scope="module")
def plan() -> Plan:
    return demo_plan()


@pytest.fixture(scope="module")
def tables(plan: Plan) -> dict[str, DataTable]:
    return tables_of(plan)


def test_every_table_is_there_and_full(tables: dict[str, DataTable]) -> None:
    assert set(tables) == NAMES
    for table in tables.values():
        assert table.rows, table.name
        assert all(len(row) == len(table.head) for row in table.rows), table.name
        assert len(set(table.head)) == len(table.head), table.name


def test_the_travel_reads_back_as_computed(plan: Plan, tables: dict[str, DataTable]) -> None:
    positions, lacking = travel_positions(plan)
    rows = read(tables["travel"])
    assert not lacking
    assert len(rows) == len(positions)
    for row, position in zip(rows, positions, strict=True):
        # Printed to one decimal of a millimetre or degree, two of a volt, three of a ratio.
        assert float(row["pad_travel_mm"]) == pytest.approx(position["pad_travel_mm"], abs=0.0501)
        assert float(row["lever_deg"]) == pytest.approx(position["lever_deg"], abs=0.0501)
        assert float(row["ratio"]) == pytest.approx(position["ratio"], abs=0.000501)
        assert float(row["percent"]) == pytest.approx(position["percent"], abs=0.0501)
        for name, track in position["tracks"].items():
            for what, volts in track.items():
                assert float(row[f"{name}_{what}"]) == pytest.approx(volts, abs=0.00501)


def test_the_tolerances_read_back_as_studied(plan: Plan, tables: dict[str, DataTable]) -> None:
    rows = read(tables["tolerance"])
    positions = study_json(plan.study)["positions"]
    assert len(rows) == len(positions)
    for row, position in zip(rows, positions, strict=True):
        assert float(row["pad_travel_mm"]) == pytest.approx(position["pad_travel_mm"], abs=0.0501)
        for key in ("p05", "p95", "worst_least", "worst_greatest"):
            assert float(row[f"lever_{key}_deg"]) == pytest.approx(position["lever_deg"][key], abs=0.0501)
            assert float(row[f"percent_{key}"]) == pytest.approx(position["percent"][key], abs=0.0501)
            for name, track in position["tracks"].items():
                assert float(row[f"{name}_{key}_volts"]) == pytest.approx(track["volts"][key], abs=0.00501)


def test_the_wires_read_back_as_derived(plan: Plan, tables: dict[str, DataTable]) -> None:
    rows = read(tables["wires"])
    assert [row["tag"] for row in rows] == [wire.tag for wire in plan.wiring.wires]
    for row, wire in zip(rows, plan.wiring.wires, strict=True):
        assert (row["from"], row["to"], row["colour"]) == (wire.start.name, wire.end.name, wire.colour)
        assert float(row["size_mm2"]) == pytest.approx(wire.size_mm2, abs=0.00501)
        assert (row["size_from"] == "description") is wire.size_said
        assert float(row["cut_mm"]) == plan.lengths[wire.tag].cut_mm
        assert tuple(row["roles"].split()) == wire.roles
        length = plan.routes[wire.tag].length_mm
        assert (float(row["run_length_mm"]) if row["run_length_mm"] else None) == pytest.approx(length, abs=0.0501)


def test_every_wire_end_at_a_terminal_is_in_the_terminations(plan: Plan, tables: dict[str, DataTable]) -> None:
    rows = read(tables["terminations"])
    listed = sorted((row["device"], row["cavity"], row["wire"]) for row in rows if row["wire"])
    ends = [(end, wire.tag) for wire in plan.wiring.wires for end in (wire.start, wire.end)]
    assert listed == sorted((end.device, end.cavity, tag) for end, tag in ends if hasattr(end, "cavity"))


def test_findings_read_back_with_their_places(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["B1: tracks.b.source_resistance = unknown"])
    findings = find_all(plan)
    assert findings
    rows = read(tables_of(plan)["findings"])
    assert [(row["rule"], row["severity"], int(row["line"]), row["message"]) for row in rows] == [
        (found.rule, found.severity, found.place.line, found.message) for found in findings
    ]


def test_without_a_linkage_there_is_no_travel_table(tmp_path: Path) -> None:
    names = set(tables_of(patched_plan(tmp_path, ["conversion: linkage removed"])))
    assert not names & {"travel", "tolerance"}
    assert names > {"wires", "evidence"}


@pytest.mark.parametrize("cell", ["=cmd|' /C x'!A1", "+1+1", "-2+3", "@SUM(A1)", "=1", "-", "--", "-1e5"])
def test_a_formula_becomes_text(cell: str) -> None:
    ((row,),) = (read(DataTable("t", ("what",), ((cell,),))),)
    assert row["what"] == f"'{cell}"


@pytest.mark.parametrize("cell", ["-0.7", "+3", "12.50", "", "W7", "5 V"])
def test_what_is_harmless_stays_as_it_is(cell: str) -> None:
    (row,) = read(DataTable("t", ("what", "then"), ((cell, "x"),)))
    assert row["what"] == cell


@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_no_cell_can_begin_a_formula_or_break_a_line(text: str) -> None:
    lines = csv_bytes(DataTable("t", ("what", "then"), ((text, "x"),))).decode("utf-8").split("\n")
    assert lines[0] == "what,then"
    assert len(lines) == 3 and lines[2] == ""
    cell = next(csv.reader([lines[1]]))[0]
    begins_formula = cell[:1] in ("=", "+", "-", "@", "\t", "\r")
    assert not begins_formula or math.isfinite(float(cell))


def test_lines_end_with_line_feed_alone(tables: dict[str, DataTable]) -> None:
    for table in tables.values():
        text = csv_bytes(table)
        assert b"\r" not in text
        assert text.endswith(b"\n")
