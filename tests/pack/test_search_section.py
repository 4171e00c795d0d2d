"""The search in the pack: there when it was asked for, the figures its own, a gap where a figure is lacking."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest

from conversion.description import Missing
from conversion.description.complaints import Place
from conversion.pack.blocks import Gap, Picture, Points, Table
from conversion.pack.build import build_pack
from conversion.pack.sections.searched import search_section, trade_off_data
from conversion.plan.searching.search import SearchOutcome, search_plan
from conversion.resources import harnesses_dir
from conversion.rules import find_all
from conversion.study.search_obstacle import Miss
from tests.pack.made import DEMO, demo_pack, demo_plan, squeezed, text_of

FILE = harnesses_dir() / DEMO / "conversion.yaml"


@cache
def outcome() -> SearchOutcome:
    return search_plan(demo_plan(), FILE, 3000, 1, lambda said: None)


@cache
def pack() -> dict[str, bytes]:
    return build_pack(demo_plan(), find_all(demo_plan()), lambda said: None, outcome())


def test_it_stands_on_paper_and_on_the_page_with_chart_and_table() -> None:
    pages, html = text_of(pack()["build-pack.pdf"]), squeezed(pack()["build-pack.html"].decode("utf-8"))
    for text in (pages, html):
        assert "Settings searched" in text and "What to make" in text and "Trade-off of the search" in text
        assert f"{outcome().found.counts.looked_at:,}".replace(",", " ") in text
    assert "drawings/trade-off.svg" in pack() and "tables/trade-off.csv" in pack()


def test_nobody_gets_it_who_has_not_asked() -> None:
    assert "drawings/trade-off.svg" not in demo_pack() and "tables/trade-off.csv" not in demo_pack()
    assert "Settings searched" not in text_of(demo_pack()["build-pack.pdf"])


def test_its_rows_are_the_settings_with_the_linkage_as_described_before_them() -> None:
    gives = [block for block in search_section(outcome()).blocks if isinstance(block, Table)][1]
    first, *others = [[cell.text for cell in row] for row in gives.groups[0].rows]
    assert first[0] == "now" and len(others) == len(outcome().settings)
    travel = demo_plan().travel
    assert float(first[3]) == pytest.approx(travel.pad_travel_mm[-1], abs=0.051)
    for row, setting in zip(others, outcome().settings, strict=True):
        assert float(row[3]) == pytest.approx(setting.looked.pad_travel_mm[0], abs=0.051)
    assert len(trade_off_data(outcome()).rows) == len(outcome().found.front.numbers)


def test_a_missing_figure_leaves_a_gap() -> None:
    missing = Missing("B1: lever.swing", Place("parts/module.yaml", 3, 4), "the settings cannot be searched")
    (gap,) = search_section(missing).blocks
    assert isinstance(gap, Gap) and "lever.swing" in gap.why


def test_where_nothing_is_found_it_says_what_is_in_the_way() -> None:

    nothing = replace(outcome(), settings=(), obstacles=(Miss("pad_travel", 90, 80, 71.0, 100),))
    blocks = search_section(nothing).blocks
    (points,) = (block for block in blocks if isinstance(block, Points))
    assert any("pad travel at the full stop" in item and "71.0 mm" in item for item in points.items)
    assert not any(isinstance(block, Picture | Table) for block in blocks)
