"""The section on fit: the plan's clearances, recess and cuts, what was not checked, and the files of the templates."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest

from conversion.description import Missing
from conversion.drawings import draw_all
from conversion.pack.blocks import Facts, Gap, Picture, Points, Table
from conversion.pack.document import Section
from conversion.pack.sections.fit import fit_section
from conversion.pack.sections.fit_tables import cut_list_data, fit_data
from conversion.pack.tables import csv_bytes
from conversion.plan import Plan
from conversion.plan.fitting.fit import Fit
from conversion.quantities import number, show
from tests.pack.made import demo_pack, demo_plan, text_of
from tests.rules.patching import patched_plan


def section_of(plan: Plan) -> Section:
    return fit_section(plan, draw_all(plan))


def fit_of(plan: Plan) -> Fit:
    fit = plan.fit
    assert fit is not None
    return fit


def table_after(section: Section, title: str) -> Table:
    return next(
        block for block in section.blocks if isinstance(block, Table) and block.columns[0].title.startswith(title)
    )


def test_every_clearance_is_in_the_table_the_least_to_spare_first() -> None:
    plan = demo_plan()
    (rows,) = [group.rows for group in table_after(section_of(plan), "No.").groups]
    found = sorted(
        (each.least_mm - each.clearance.wanted.clearance_mm, each.clearance.body, each.obstacle.name)
        for each in fit_of(plan).clearances
    )
    assert [row[1].text for row in rows] == [body for _, body, _ in found]
    assert all(row[6].fill == "value" for row in rows)
    numbers = {row[2].text.partition(",")[0]: row[0].text for row in rows}
    names = [standing.name for standing in fit_of(plan).obstacles]
    assert all(numbers[name] == str(names.index(name) + 1) for name in numbers if name in names)


def test_each_wanted_clearance_is_reasoned_once() -> None:
    plan = demo_plan()
    said = [item for block in section_of(plan).blocks if isinstance(block, Points) for item in block.items]
    wanted = {each.clearance.wanted for each in fit_of(plan).clearances}
    assert len(wanted) > 3
    for each in wanted:
        line = f"{show(each.clearance_mm, 'length')}: {each.reason} ({each.source})."
        assert said.count(line) == 1


def test_what_is_too_near_is_said(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: fit.obstacles.mat.plane.point.3 = -318 mm"])
    (rows,) = [group.rows for group in table_after(section_of(plan), "No.").groups]
    said = {(row[1].text, row[2].text): row[3].small for row in rows}
    assert "TOUCHES" in said["pad", "mat, floor mat"] or "TOO NEAR" in said["pad", "mat, floor mat"]
    gaps = table_after(section_of(plan), "At the pad")
    assert gaps.groups[0].rows[0][1].small == "TOO LITTLE"


def test_the_recess_is_told_as_planned() -> None:
    plan = demo_plan()
    (planned,) = fit_of(plan).recesses
    facts = dict(row for block in section_of(plan).blocks if isinstance(block, Facts) for row in block.rows)
    assert facts["Least depth"].startswith(show(planned.recess.least_depth_mm, "length"))
    assert show(planned.recess.box.depth_mm, "length") in facts["Made"]
    assert facts["Left there to brake-line"] == show(planned.recess.taken[0].distance_mm, "length")
    steps = " ".join(item for block in section_of(plan).blocks if isinstance(block, Points) for item in block.items)
    assert show(planned.recess.flat.size_mm[0], "length") in steps


def test_without_a_described_recess_the_lack_is_said(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: fit.recess removed"])
    facts = [row for block in section_of(plan).blocks if isinstance(block, Facts) for row in block.rows]
    (lack,) = fit_of(plan).lacks
    assert facts == [
        (
            "bulkhead 1 would have to go back by",
            f"{show(lack.least_depth_mm, 'length')}, for {show(lack.clearance_mm, 'length')} of clearance",
        )
    ]
    assert ("Recess", "the bulkhead is in the way and no recess is described") in draw_all(plan).templates_left_out


def test_all_that_was_not_checked_is_said(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: fit.obstacles.column removed", "conversion: fit.bodies.module removed"])
    lines = [item for block in section_of(plan).blocks if isinstance(block, Points) for item in block.items]
    assert "The column: neither described nor said to be absent." in lines
    assert "The module of the linkage: its size is not described." in lines
    assert any(line.startswith("The carpet, which is said to be absent: ") for line in lines)


@pytest.mark.parametrize(
    ("line", "what"),
    [
        ("conversion: fit.bodies.pad.width = unknown", "A body or an obstacle"),
        ("conversion: fit.recess.thickness = unknown", "The recess"),
        ("conversion: fit.members.arm.section.wall = unknown", "A piece of the bracket"),
        ("conversion: linkage.pedal.rod_pin.1 = unknown", "Clearances"),
        ("conversion: fit removed", "Clearances, recess and templates"),
    ],
)
def test_a_missing_figure_leaves_a_gap_where_it_belongs(line: str, what: str, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [line, "conversion: search removed"])
    assert what in [block.what for block in section_of(plan).blocks if isinstance(block, Gap)]


def test_the_tables_for_other_programs_say_what_the_plan_says() -> None:
    plan = demo_plan()
    fit, table, cuts = fit_of(plan), fit_data(plan), cut_list_data(plan)
    assert table is not None
    assert cuts is not None
    rows = list(csv.DictReader(io.StringIO(csv_bytes(table).decode("utf-8"), newline="")))
    assert [row["distance_mm"] for row in rows] == [
        number(each.clearance.distance_mm, "length") for each in fit.clearances
    ]
    pieces = {row["piece"]: row for row in csv.DictReader(io.StringIO(csv_bytes(cuts).decode("utf-8"), newline=""))}
    arm = fit.members["arm"]
    assert not isinstance(arm, Missing)
    assert pieces["arm"]["longest_mm"] == number(arm.longest_mm, "length")
    # Common practice, no source: √2 · (64 + 25) outside where the 25 mm are measured along the leg.
    assert pieces["corner"]["longest_mm"] == "125.9"


def test_the_pack_names_and_lists_every_template() -> None:
    files = demo_pack()
    words = text_of(files["build-pack.pdf"]).replace(" ", "")
    templates = [name for name in files if name.startswith("templates/")]
    assert len(templates) == 4 * len(draw_all(demo_plan()).templates)
    assert all(name in words for name in templates)
    drawn = [block.name for block in section_of(demo_plan()).blocks if isinstance(block, Picture)]
    assert drawn == ["fit-view", "recess", "bracket"]
