"""The section on faults: what it says, what it draws, and the sentence that stands with each of its tables."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from conversion import resources
from conversion.description import read_description
from conversion.drawings import Drawings
from conversion.drawings.fault_chart import pedal_fault_chart, throttle_fault_chart
from conversion.pack.blocks import Gap, Paragraph, Picture, Table
from conversion.pack.sections.fault_pairs import fault_pairs_data, latent_studies
from conversion.pack.sections.faults import faults_data, faults_section
from conversion.plan import Plan
from conversion.plan.faults.groups import worst_groups
from conversion.plan.faults.words import ABOUT, CATEGORY_WORDS
from tests.rules.patching import patched_plan


@cache
def plan(demo: str) -> Plan:
    return Plan(read_description(resources.harnesses_dir() / demo))


def drawn(of: Plan) -> Drawings:
    return Drawings((*pedal_fault_chart(of), *throttle_fault_chart(of)), ())


@pytest.mark.parametrize("demo", ["market-van", "first-attempt"])
def test_every_table_says_what_the_verdict_is_about(demo: str) -> None:
    section = faults_section(plan(demo), drawn(plan(demo)))
    tables = [block for block in section.blocks if isinstance(block, Table)]
    assert len(tables) >= 4 and all(ABOUT in table.caption for table in tables)


def test_nothing_is_drawn_where_nothing_opens_farther() -> None:
    section = faults_section(plan("market-van"), drawn(plan("market-van")))
    assert not [block for block in section.blocks if isinstance(block, Picture)]
    said = [block.text for block in section.blocks if isinstance(block, Paragraph)]
    assert sum("None of them opens the engine farther" in text for text in said) == 2


def test_the_worst_are_drawn_and_stand_in_the_table_under_the_same_numbers() -> None:
    found = plan("first-attempt")
    section = faults_section(found, drawn(found))
    pictures = [block.name for block in section.blocks if isinstance(block, Picture)]
    assert pictures == ["faults-pedal", "faults-throttle"]
    table = next(block for block in section.blocks if isinstance(block, Table) and len(block.columns) == 7)
    groups = worst_groups(found.faults("pedal"))[:10]
    rows = table.groups[0].rows
    assert [row[0].text for row in rows] == [str(n) for n in range(1, len(groups) + 1)]
    for row, group in zip(rows, groups, strict=True):
        assert row[1].text.lower() == group.verdict.fault.name.lower()
    svg = pedal_fault_chart(found)[0].svg
    assert "sound" in svg and "1: " in svg and "10: " in svg


def test_the_table_for_other_programs_has_each_fault_once_and_its_class() -> None:
    found = plan("first-attempt")
    table = faults_data(found)
    rows = [dict(zip(table.head, row, strict=True)) for row in table.rows]
    assert len({(row["sensor"], row["fault"]) for row in rows}) == len(rows)
    assert {row["class"] for row in rows} == set(CATEGORY_WORDS)
    for row in rows:
        rise = float(row["worst_rise_percent"])
        assert (rise > 0.4) == (row["class"] == "unnoticed, higher"), row
        assert float(row["rise_at_rest_percent"]) <= rise + 0.05


def test_a_sensor_that_cannot_be_judged_is_a_gap(tmp_path) -> None:  # type: ignore[no-untyped-def]
    found = patched_plan(tmp_path, ["B1: lever.swing = unknown"])
    section = faults_section(
        found, Drawings((), (("Faults of the pedal that nothing notices", "lever.swing is unknown"),))
    )
    gaps = [block for block in section.blocks if isinstance(block, Gap)]
    assert any("lever.swing" in gap.why for gap in gaps)
    assert {row[0] for row in faults_data(found).rows} == {"throttle"}


def test_the_line_of_a_plate_never_lies_below_what_was_asked() -> None:
    from conversion.drawings.fault_chart import _stands

    study = plan("first-attempt").faults("throttle")
    for group in worst_groups(study):
        stands = _stands(study, group)
        assert np.all(stands >= study.sweep.percent - 1e-6) and stands.max() <= 100.0 + 1e-6


def test_second_faults_stand_in_the_section_where_somebody_asked() -> None:
    found = plan("first-attempt")
    told: list[str] = []
    latents = latent_studies(found, told.append)
    assert len(latents) == 2 and told
    section = faults_section(found, drawn(found), latents)
    tables = [
        block for block in section.blocks if isinstance(block, Table) and block.columns[-1].title == "Finds the first"
    ]
    assert len(tables) == 2 and all(ABOUT in table.caption for table in tables)
    data = fault_pairs_data(latents)
    rows = [dict(zip(data.head, row, strict=True)) for row in data.rows]
    assert len(rows) == sum(len(latent.pairs) for latent in latents)
    assert all(row["found_by"] and row["first"] != row["second"] for row in rows)
