"""The section on tolerances: it says what was varied, how often something is missed, and what was not judged."""

from __future__ import annotations

from pathlib import Path

from conversion.drawings import Drawings, draw_all
from conversion.pack.blocks import Gap, Paragraph, Picture, Table
from conversion.pack.document import Section
from conversion.pack.sections.tolerance import NOT_COVERED, tolerance_section
from conversion.plan import Plan
from tests.pack.made import demo_pack, demo_plan, squeezed, text_of
from tests.rules.patching import patched_plan
from tests.study.cases import without_tolerances

TIGHT_STOP = "conversion: linkage.pedal.full_stop.set_at = 23.6° ± 0.5°"


def section_of(plan: Plan) -> Section:
    return tolerance_section(plan, Drawings((), ()))


def cells_of(section: Section, column: str) -> list[str]:
    """First cells and the rest of each row of the table with such a column, as one text a row."""
    for block in section.blocks:
        if isinstance(block, Table) and any(each.title == column for each in block.columns):
            return [" | ".join(cell.text for cell in row) for group in block.groups for row in group.rows]
    raise AssertionError(f"no table has a column {column}")


def test_what_was_varied_stands_with_its_limits_and_its_shape(tmp_path: Path) -> None:
    study = "conversion: study = {shapes: {linkage.pedal.full_stop.set_at: normal}}"
    rows = cells_of(section_of(patched_plan(tmp_path, [study])), "Nominal")
    assert "pedal, full stop, set at lever angle | 22.5° | 22.0 to 23.0° | normal, limits at 3 σ" in rows
    assert "B1, track a, resistance | 1.60 kohm | 1.44 kohm to 1.76 kohm | anywhere alike" in rows
    assert len(rows) == 25


def test_what_happens_is_told_with_its_interval_and_what_makes_it(tmp_path: Path) -> None:
    section = section_of(patched_plan(tmp_path, [TIGHT_STOP]))
    first, *others = cells_of(section, "In how many samples")
    assert first.startswith("The module's own full stop is met before the pedal's | ")
    assert "; with 95 % confidence between " in first and first.endswith(" | does it")
    assert any("0 of 4 000; with 95 % confidence below 0.093 % | does not" in row for row in others)
    (ranking,) = (block for block in section.blocks if isinstance(block, Table) and block.columns[1].title == "Share")
    group = next(group for group in ranking.groups if group.title.startswith("The module's own full stop"))
    assert {row[0].text for row in group.rows} >= {
        "pedal, full stop, set at lever angle", "B1, lever, swing between its own stops"
    }  # fmt: skip
    assert "R²" in group.note
    # A bar of twenty blocks is the whole variance.
    for row in (row for each in ranking.groups for row in each.rows):
        assert len(row[2].text) == max(1, round(float(row[1].text) / 5))


def test_it_stands_after_the_travel_on_paper_and_on_the_page() -> None:
    pages = text_of(demo_pack()["build-pack.pdf"])
    html = squeezed(demo_pack()["build-pack.html"].decode("utf-8"))
    for text in (pages, html):
        assert "4 000 linkages were drawn, each with all of 25 figures" in text
        assert "0 of 4 000; with 95 % confidence below 0.093 %" in text
        assert "Tolerances: lever angle" in text and "What it does not cover" in text
    assert "drawings/tolerance-volts.svg" in demo_pack()


def test_a_missing_figure_leaves_a_gap_that_says_how_to_find_it(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["B1: lever.swing = unknown"])
    section = tolerance_section(plan, draw_all(plan))
    gaps = [block for block in section.blocks if isinstance(block, Gap)]
    assert {gap.what for gap in gaps} == {"The tolerance study", "Drawing: Tolerances"}
    assert "lever.swing" in gaps[0].why and "protractor" in gaps[0].remedy
    assert not any(isinstance(block, Table | Picture) for block in section.blocks)


def test_a_missing_window_leaves_a_gap_and_the_rest(tmp_path: Path) -> None:
    section = section_of(patched_plan(tmp_path, ["K1: accepts.pedal.tracks.a.rest = unknown"]))
    (gap,) = (block for block in section.blocks if isinstance(block, Gap))
    assert "K1: accepts.pedal.tracks.a.rest" in gap.why
    assert not any("Track a lies outside its window at rest" in row for row in cells_of(section, "In how many samples"))


def test_without_any_tolerance_it_says_so(tmp_path: Path) -> None:
    section = section_of(without_tolerances(tmp_path))
    (said,) = (block for block in section.blocks if isinstance(block, Paragraph))
    assert "carries a tolerance" in said.text
    assert not any(isinstance(block, Table) for block in section.blocks)


def test_what_it_does_not_cover_is_said() -> None:
    assert any("independent" in text for text in NOT_COVERED) and section_of(demo_plan()).title == "Tolerances"
