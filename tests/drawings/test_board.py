"""The reduced board of the pack: every name and length where there is room, over nothing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from shapely.geometry import LineString, box

from conversion.drawings import draw_all
from conversion.drawings.board import board_overview
from conversion.drawings.board_words import run_block
from conversion.drawings.font_widths import ASCENT, text_width_mm
from tests.drawings.varied import varied
from tests.pack.made import DEMO, demo_plan

SVG = "{http://www.w3.org/2000/svg}"
DEMOS = (DEMO, "trials-buggy", "first-attempt")


def words_of(svg: str) -> list[tuple[str, Any]]:
    """Each text with its box."""
    found = []
    for each in ET.fromstring(svg).iter(f"{SVG}text"):
        x, y, size = (float(each.attrib[key]) for key in ("x", "y", "font-size"))
        width = text_width_mm(each.text or "", size, each.get("font-weight") == "bold")
        found.append((each.text or "", box(x, y - ASCENT * size, x + width, y)))
    return found


def lines_of(svg: str) -> list[Any]:
    return [
        LineString([[float(x) for x in pair.split(",")] for pair in each.attrib["points"].split()])
        for each in ET.fromstring(svg).iter(f"{SVG}polyline")
    ]


@pytest.mark.parametrize("name", DEMOS)
def test_every_name_and_length_is_there_and_lies_over_nothing(name: str) -> None:
    plan = demo_plan(name)
    drawing = board_overview(plan)
    words = words_of(drawing.svg)
    said = [text for text, _ in words]
    assert set(plan.board.hung) <= set(said)
    assert set(plan.board.layout.stations) <= set(said)
    for run in plan.board.tree.runs:
        assert f"{run.length_mm:g}" in said
    for (one, first), (other, second) in combinations(words, 2):
        assert not first.intersects(second), (one, other)
    for text, area in words:
        assert not any(area.intersects(line) for line in lines_of(drawing.svg)), text
        assert box(0, 0, drawing.width_mm, drawing.height_mm).covers(area)
    assert "no room" not in drawing.caption


@pytest.mark.parametrize("name", DEMOS)
def test_runs_are_reduced_alike(name: str) -> None:
    plan = demo_plan(name)
    drawing = board_overview(plan)
    lengths = [run.length_mm for run in plan.board.tree.runs]
    drawn = [line.length for line in lines_of(drawing.svg)][-len(lengths) :]
    ratios = [length / line for length, line in zip(lengths, drawn, strict=True)]
    assert max(ratios) == pytest.approx(min(ratios), rel=2e-3)
    said = re.search(r"about 1 to (\d+)", drawing.caption)
    assert said is not None and float(said[1]) == pytest.approx(ratios[0], abs=0.6)


def test_a_board_that_is_too_small_is_told(tmp_path: Path) -> None:
    def shrink(data: dict[str, Any]) -> None:
        data["loom"]["board"] = {"length": "400 mm", "height": "250 mm"}

    plan = varied(tmp_path, shrink)
    assert not plan.board.layout.fits
    assert "described board is smaller" in board_overview(plan).caption


def test_what_cannot_be_laid_is_left_out_with_the_reason(tmp_path: Path) -> None:
    def close(data: dict[str, Any]) -> None:
        data["loom"]["runs"]["shortcut"] = {"between": ["panel", "pedal"], "length": "100 mm"}

    drawn = draw_all(varied(tmp_path, close))
    assert "board" not in {drawing.name for drawing in drawn.drawings}
    (why,) = [why for title, why in drawn.left_out if title == "The loom on its board"]
    assert "closes a loop" in why


@pytest.mark.parametrize("demo", DEMOS)
def test_the_board_says_the_thickness_that_the_lists_say(demo: str) -> None:
    plan = demo_plan(demo)
    for run, bundle in plan.bundles.items():
        words = " ".join(text for text, _ in run_block(plan, run).lines)
        # A long line may be cut short before its thickness.
        assert f"{bundle.round_mm:.1f} mm thick" in words or "…" in words or "..." in words, words
    assert any(bundle.round_mm > bundle.diameter_mm for bundle in plan.bundles.values())
