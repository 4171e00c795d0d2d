"""The end of the loom stage and the wire list: how the finished loom compares with the plan."""

from __future__ import annotations

from pathlib import Path

from conversion.checklist.job import Job
from conversion.checklist.model import Stage
from conversion.checklist.stages.loom import loom
from conversion.pack.blocks import Points, Table
from conversion.pack.sections.wires import wires_data, wires_section
from conversion.plan import Plan
from conversion.rules import find_all
from tests.rules.patching import patched_plan


def planned(folder: Path) -> list[list[str]]:
    wires = patched_plan(folder / "plain", []).wiring.wires
    return [[wire.start.name, wire.end.name] for wire in wires]


def plan_of(folder: Path, pairs: list[list[str]]) -> Plan:
    written = ", ".join(f"[{one}, {other}]" for one, other in pairs)
    return patched_plan(folder / "told", [f"conversion: as_wired = [{written}]"])


def stage(plan: Plan) -> Stage:
    return loom(Job(plan, find_all(plan)))


def exchanged(folder: Path) -> Plan:
    pairs = planned(folder)
    first, second = pairs.index(["K1.20", "B1.3"]), pairs.index(["K1.23", "B1.6"])
    pairs[first], pairs[second] = ["K1.20", "B1.6"], ["K1.23", "B1.3"]
    return plan_of(folder, pairs)


def test_without_a_list_the_stage_ends_with_writing_one(tmp_path: Path) -> None:
    last = stage(patched_plan(tmp_path, [])).steps[-1]
    assert "as_wired" in last.text and last.measured_unit == "" and not last.rows


def test_a_list_that_agrees_is_said_to_agree(tmp_path: Path) -> None:
    plan = plan_of(tmp_path, planned(tmp_path))
    last = stage(plan).steps[-1]
    assert "joins what the plan joins" in last.text and last.hold is None
    assert not [finding for finding in find_all(plan) if finding.rule.startswith("wired/")]
    at = wires_data(plan).head.index("as_wired")
    assert {row[at] for row in wires_data(plan).rows} == {"as planned"}


def test_an_exchange_is_a_row_and_a_hold_before_plugging(tmp_path: Path) -> None:
    plan = exchanged(tmp_path)
    step, hold = stage(plan).steps[-2:]
    [only] = step.rows
    assert only.what.startswith("W9 and W10 have changed places")
    assert only.expected == "W9: K1.20 to B1.3; W10: K1.23 to B1.6"
    assert hold.hold is not None and hold.hold.key == "before-plugging"
    assert hold.hold.rules == ("wired/vital-crossed",)


def test_what_is_less_grave_stops_nothing_at_the_loom(tmp_path: Path) -> None:
    pairs = [pair for pair in planned(tmp_path) if pair != ["K1.9", "P1.2"]]
    last = stage(plan_of(tmp_path, pairs)).steps[-1]
    assert last.hold is None
    assert [each.expected for each in last.rows] == ["W18: K1.9 to P1.2"]


def test_the_wire_list_has_the_column_only_where_a_list_is_given(tmp_path: Path) -> None:
    without, given = wires_section(patched_plan(tmp_path / "2", [])), wires_section(exchanged(tmp_path))
    titles = [[column.title for column in block.columns] for section in (without, given) for block in section.blocks
              if isinstance(block, Table) and block.columns[0].title == "What it is for"]  # fmt: skip
    assert "As wired" not in titles[0] and titles[1].count("As wired") == 1
    [table] = [block for block in given.blocks if isinstance(block, Table) and block.columns[-1].title == "Laid"]
    at = titles[1].index("As wired")
    said = {row[1].text: (row[at].text, row[at].strong) for group in table.groups for row in group.rows}
    assert said["W9"] == ("crossed with W10", True)
    assert said["W8"] == ("as planned", False)
    points = [item for block in given.blocks if isinstance(block, Points) for item in block.items]
    assert points[0].startswith("W9 and W10 have changed places")
