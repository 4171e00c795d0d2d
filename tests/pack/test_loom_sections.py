"""The loom's sections and tables: nothing is left out of them, and they stand whatever is lacking."""

from __future__ import annotations

import csv
import io
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from conversion.checklist import CONTINUITY_SHEET, Stage, build_checklist
from conversion.drawings import Drawings
from conversion.pack.blocks import Paragraph
from conversion.pack.document import DataTable, Section
from conversion.pack.records import gather_records
from conversion.pack.sections.contents import loom_sections, loom_tables
from conversion.pack.sections.loom_continuity import continuity_section
from conversion.pack.sections.terminations import terminations_data, terminations_section
from conversion.pack.tables import csv_bytes
from conversion.plan import Plan
from conversion.plan.loom.tables.build_order import PHASES, build_order
from conversion.plan.loom.tables.continuity import must_conduct, must_not_conduct
from tests.pack.made import demo_plan
from tests.rules.patching import patched_plan

DEMOS = ("market-van", "trials-buggy", "first-attempt")
NOTHING_DRAWN = Drawings((), ())

STATIONED = ("B1", "M1", "K1", "S1", "S2", "P1", "S3", "S4", "K2", "F1", "F2", "F3", "F4", "G1", "X1")
# What a description may lack, as patches of the worked conversion.
LACKING = {
    "no loom": ["conversion: loom removed", *(f"conversion: devices.{name}.station removed" for name in STATIONED)],
    "a run of unknown length": ["conversion: loom.runs.board-pedal.length = unknown"],
    "every run of unknown length": [
        f"conversion: loom.runs.{name}.length = unknown"
        for name in (
            "controller-board", "board-panel", "board-pedal", "board-bulkhead", "bulkhead-engine", "bulkhead-battery",
        )
    ],
    "no ground point": ["conversion: devices.X1 removed", "conversion: devices.K1.grounded_at removed",
                        "conversion: devices.G1.grounded_at removed"],
    "a device without a station": ["conversion: devices.P1.station removed"],
    "a way that is closed": ["conversion: loom.runs.bulkhead-engine.closed_to = [sensors, motor]"],
    "no splices": ["conversion: loom.splices removed"],
    "no contacts": ["K1: housings.A.contact removed", "B1: housings.A.contact removed"],
    "an unknown rating": ["F1: rating = unknown"],
    "an unknown strip length": ["B1: housings.A.contact.strip = unknown"],
    "an unknown label": ["conversion: loom.labels.width = unknown"],
    "unknown draws": ["K1: draws removed"],
}  # fmt: skip


@cache
def demo(name: str) -> tuple[Plan, tuple[Stage, ...]]:
    plan = demo_plan(name)
    return plan, build_checklist(plan, ())


def sections_of(plan: Plan, stages: tuple[Stage, ...]) -> dict[str, Section]:
    return {section.key: section for section in loom_sections(plan, stages, NOTHING_DRAWN)}


def tables_of(plan: Plan) -> dict[str, list[dict[str, str]]]:
    return {table.name: read(table) for table in loom_tables(plan)}


def read(table: DataTable) -> list[dict[str, str]]:
    assert all(len(row) == len(table.head) for row in table.rows), table.name
    assert len(set(table.head)) == len(table.head), table.name
    return list(csv.DictReader(io.StringIO(csv_bytes(table).decode("utf-8"), newline="")))


def cells_of(section: Section) -> list[tuple[str, ...]]:
    """The rows of all tables of a section, each as the texts of its cells."""
    tables = (block for block in section.blocks if block.kind == "table")
    return [tuple(cell.text for cell in row) for table in tables for group in table.groups for row in group.rows]


@pytest.mark.parametrize("name", DEMOS)
def test_every_table_row_has_a_cell_for_each_column(name: str) -> None:
    for section in sections_of(*demo(name)).values():
        for block in section.blocks:
            if block.kind == "table":
                rows = [row for group in block.groups for row in group.rows]
                assert rows and all(len(row) == len(block.columns) for row in rows), section.key


@pytest.mark.parametrize("name", DEMOS)
def test_every_wire_is_in_the_sections_that_are_about_wires(name: str) -> None:
    plan, stages = demo(name)
    tags = {wire.tag for wire in plan.wiring.wires}
    for key in ("wires", "loom-cutting", "loom-sizes", "terminations", CONTINUITY_SHEET.key):
        met = {text for row in cells_of(sections_of(plan, stages)[key]) for text in row}
        assert tags <= met, (key, tags - met)


@pytest.mark.parametrize("name", DEMOS)
def test_the_cut_list_adds_up(name: str) -> None:
    parts = ("route_mm", "margin_mm", "twist_mm", "tails_mm", "drip_mm", "slack_mm")
    for row in tables_of(demo(name)[0])["loom-cut-list"]:
        if row["cut_mm"]:
            finished = sum(float(row[part]) for part in parts)
            # Each of them is printed to a millimetre.
            assert float(row["finished_mm"]) == pytest.approx(finished, abs=3.0)
            cut = float(row["finished_mm"]) + float(row["strip_mm"])
            assert cut - 1.0 <= float(row["cut_mm"]) <= cut + 2.0
            assert float(row["cut_mm"]) >= float(row["route_mm"])


@pytest.mark.parametrize("name", DEMOS)
def test_the_continuity_table_has_a_line_for_each_pair(name: str) -> None:
    plan, _ = demo(name)
    rows = tables_of(plan)["loom-continuity"]
    conduct = [row for row in rows if row["must"] == "conduct"]
    apart = [row for row in rows if row["must"] == "not conduct"]
    assert [row["wire"] for row in conduct] == [each.wire.tag for each in must_conduct(plan)]
    assert len(apart) == sum(len(each.against) for each in must_not_conduct(plan))
    for row in conduct:
        assert not row["wire_ohm"] or float(row["wire_ohm"]) < float(row["most_ohm"])


def test_the_continuity_sheet_shows_what_was_recorded() -> None:
    from conversion.checklist import with_record

    plan, stages = demo("market-van")
    recorded = gather_records(plan, stages, lambda what: None)
    assert recorded is not None and recorded.bench is not None
    filled = with_record(stages, recorded.bench)
    blank, full = (cells_of(continuity_section(plan, each)) for each in (stages, filled))
    assert {row[-1] for row in blank} == {""}
    readings = {value.key[1]: value.said for value in recorded.bench.values if value.key[0] == "continuity"}
    assert len(readings) == len(plan.wiring.wires)
    assert {row[0]: row[-1] for row in full if row[0] in readings} == readings


def test_rows_of_a_sheet_are_printed_there_and_not_in_the_checklist() -> None:
    from conversion.pack.sections.work import checklist_section

    _, stages = demo("market-van")
    apart = [step for stage in stages for step in stage.steps if step.sheet is CONTINUITY_SHEET]
    assert len(apart) == 2 and all(step.rows for step in apart)
    lines = [step for block in checklist_section(stages).blocks for step in block.steps]
    for step in apart:
        line = next(each for each in lines if each.number == step.number)
        assert not line.entries and CONTINUITY_SHEET.title in line.text


@pytest.mark.parametrize("name", LACKING)
def test_what_is_lacking_is_said_and_stops_nothing(name: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, LACKING[name])
    stages = build_checklist(plan, ())
    sections = sections_of(plan, stages)
    tables = tables_of(plan)
    said = " ".join(text for section in sections.values() for text in texts_of(section.blocks))
    assert "nan" not in said.lower().split() and "None" not in said.split()
    if "unknown length" in name or name == "a way that is closed":
        unknown = [row["tag"] for row in tables["loom-cut-list"] if not row["cut_mm"]]
        assert unknown and all(row["not_known_because"] for row in tables["loom-cut-list"] if not row["cut_mm"])
        assert "not known" in said
    if name == "no contacts":
        assert any("does not name" in row["what"] for row in tables["loom-parts"])


def texts_of(value: Any) -> list[str]:
    if isinstance(value, str):
        return [value]
    if isinstance(value, tuple | list):
        return [text for each in value for text in texts_of(each)]
    names = getattr(value, "__dataclass_fields__", {})
    return [text for name in names for text in texts_of(getattr(value, name))]


def test_crimp_heights_of_the_terminations_are_those_of_their_sizes() -> None:
    rows = {(row[0], row[2], row[4]): row for row in terminations_data(demo("market-van")[0]).rows if row[4]}
    of_size = {row[6]: row[10] for row in rows.values() if row[8] == "small socket contact"}
    assert of_size == {"0.35": "1.05", "0.50": "1.10", "0.75": "1.15"}


def test_a_crimp_height_that_is_not_named_is_left_out_of_the_terminations(tmp_path: Path) -> None:
    heights = "K1: housings.A.contact.crimp_height = {0.35 mm²: 1.05 mm, 0.75 mm²: 1.15 mm}"
    plan = patched_plan(tmp_path, [heights])
    rows = [row for row in terminations_data(plan).rows if row[0] == "K1" and row[8] == "small socket contact"]
    assert {(row[6], row[10]) for row in rows} == {("0.35", "1.05"), ("0.50", ""), ("0.75", "1.15")}
    words = [block.text for block in terminations_section(plan, NOTHING_DRAWN).blocks if isinstance(block, Paragraph)]
    (said,) = [text for text in words if "write it in" in text]
    assert (
        "crimp height 1.05 mm on 0.35 mm², as its maker's sheet gives for 0.50 mm² (write it in), 1.15 mm on 0.75 mm²;"
        in said
    )


def test_the_build_order_slides_tubes_and_seals_on_first() -> None:
    assert "before the barrel is crimped" in PHASES["splice"] and "before the contact is crimped" in PHASES["end"]
    for name in DEMOS:
        plan = demo(name)[0]
        loom = plan.description.conversion.loom
        clear = [step for step in build_order(plan) if step.what == "clear tube"]
        assert loom is not None and [step.phase for step in clear] == ["cut"] * (loom.labels is None)
