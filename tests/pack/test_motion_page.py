"""The moving page as its readers meet it: by itself, on paper, without script, by ear, narrow, with hostile words."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from conversion.description import read_description
from conversion.pack.motion import gather_motion
from conversion.plan import POSITIONS, Plan
from tests.pack.made import HOSTILE, hostile_copy
from tests.pack.opened import (
    LAST,
    demo_motion,
    drawn_pin,
    opened,
    page_of,
    shown,
)
from tests.rules.patching import patched_copy

pytestmark = pytest.mark.needs("chromium")


def test_it_moves_slowly_by_itself_and_can_be_stopped(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file, clock=True)
    play = it.page.get_by_role("button", name="Move slowly")
    play.click()
    it.page.clock.run_for(2000)
    underway = it.stop
    assert 5 <= underway <= 15, "eight seconds from rest to full"
    assert it.figure("pad") == shown("pad", underway)
    it.page.get_by_role("button", name="Stop").click()
    halted = it.stop
    it.page.clock.run_for(3000)
    assert it.stop == halted
    assert it.place("pedal-pin") == pytest.approx(drawn_pin(halted))
    play.click()
    it.page.clock.run_for(1000)
    it.press("Home")
    it.page.clock.run_for(2000)
    assert it.stop == 0, "a hand on the slider stops it"
    play.click()
    it.page.clock.run_for(17000)
    assert it.stop == 0 and play.is_visible(), "to full, back to rest, and no further"
    it.nothing_amiss()


def test_it_jumps_for_those_who_do_not_want_motion(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file, clock=True, reduced_motion="reduce")
    it.page.get_by_role("button", name="Move slowly").click()
    seen = set()
    for _ in range(20):
        it.page.clock.run_for(200)
        seen.add(it.stop)
        assert it.place("pedal-pin") == pytest.approx(drawn_pin(it.stop)), "nothing glides"
    assert seen <= {0, 5, 10, 15, 20, 25} and len(seen) >= 3
    it.nothing_amiss()


def test_key_figures_are_said_once_it_stands(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file, clock=True)
    said = it.page.locator("#motion-said")
    assert said.get_attribute("aria-live") == "polite"
    for stop in range(1, 8):
        it.move_to(stop)
        it.page.clock.run_for(50)
        assert said.inner_text() == ""
    it.page.clock.run_for(500)
    assert it.figure("lever") in said.inner_text()
    assert it.figure("volts-a") in said.inner_text() and it.figure("percent") in said.inner_text()


def test_paper_and_a_page_without_script_show_rest_half_and_full(browser: Any, demo_file: Path) -> None:
    rows = demo_motion().rows
    printed = opened(browser, demo_file)
    printed.press("End")
    printed.page.emulate_media(media="print")
    for it in (printed, opened(browser, demo_file, java_script_enabled=False)):
        page = it.page
        assert not page.locator(".motion-controls").is_visible()
        assert not page.locator(".linkage .now .arm.core").is_visible()
        assert page.locator(".linkage .resting .arm.core").is_visible()
        for look in ("half", "full"):
            assert page.locator(f".linkage .ghost.{look} polyline").first.is_visible()
        for row in rows:
            cells = page.locator(f'[data-row="{row.key}"] td:visible').all_inner_texts()
            assert cells == [row.shown[at] for at in (0, LAST // 2, LAST)]
        it.nothing_amiss()


@pytest.mark.parametrize("width", [1200, 400])
def test_nothing_runs_off_the_side(browser: Any, demo_file: Path, width: int) -> None:
    page = opened(browser, demo_file, viewport={"width": width, "height": 800}).page
    wide = page.evaluate(
        "Array.from(document.querySelectorAll('#motion *'))"
        ".filter(e => !e.closest('.unseen') && !(e.parentElement.closest('svg')) && "
        "e.getBoundingClientRect().right > document.documentElement.clientWidth)"
        ".map(e => e.outerHTML.slice(0, 80))"
    )
    assert wide == []


def test_hostile_words_stay_words(browser: Any, tmp_path: Path) -> None:
    evil = "</script><script>document.title = 'taken'</script><!--<script>" + HOSTILE + "\u2028"
    rows = tuple(replace(row, name=row.name + evil) for row in demo_motion().rows)
    charts = tuple(replace(chart, title=evil, names=(evil, evil)) for chart in demo_motion().charts)
    clearances = tuple(replace(row, name=evil, band=(evil,) * POSITIONS) for row in demo_motion().clearances)
    hostile = replace(
        demo_motion(), rows=rows, clearances=clearances, charts=charts, notes=(evil,) * POSITIONS, gaps=(evil,)
    )
    it = opened(browser, page_of(hostile, tmp_path), clock=True)
    it.press("End")
    it.page.clock.run_for(1000)
    assert it.figure("pad") == rows[0].shown[LAST]
    assert evil.split("\u2028")[0] in it.page.locator("#motion-note").text_content()
    assert HOSTILE in it.page.locator("#motion-said").text_content()
    assert it.page.title() == "t: build pack, revision A"
    assert it.page.locator("script").count() == 2
    it.nothing_amiss()


def test_a_hostile_description_moves_too(browser: Any, tmp_path: Path) -> None:
    plan = Plan(read_description(hostile_copy(tmp_path)))
    it = opened(browser, page_of(gather_motion(plan), tmp_path))
    it.press("End")
    assert it.figure("percent") == shown("percent", LAST)
    it.nothing_amiss()


def test_the_page_stays_small(demo_file: Path) -> None:
    assert demo_file.stat().st_size < 1_600_000


def test_what_is_not_known_is_said_and_the_rest_moves(browser: Any, tmp_path: Path) -> None:
    lines = ["B1: tracks.a.output.rest = unknown", "conversion: springs.main.rate = unknown"]
    motion = gather_motion(Plan(read_description(patched_copy(tmp_path, lines))))
    assert motion is not None
    it = opened(browser, page_of(motion, tmp_path))
    it.press("End")
    assert it.figure("lever") == shown("lever", LAST)
    assert it.page.locator('[data-row^="volts"], [data-row="percent"], #motion-chart-volts').count() == 0
    words = it.page.locator("#motion").inner_text()
    assert "The volts and the per cent cannot be given: " in words and "tracks.a.output.rest" in words
    it.nothing_amiss()


def test_without_travel_there_is_no_slider(browser: Any, tmp_path: Path) -> None:
    plan = Plan(read_description(patched_copy(tmp_path, ["conversion: linkage.pedal.pivot.1 = unknown"])))
    assert gather_motion(plan) is None
    it = opened(browser, page_of(None, tmp_path))
    assert it.page.locator("#motion").count() == 0
    it.nothing_amiss()
