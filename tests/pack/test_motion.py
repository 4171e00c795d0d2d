"""The pedal moved on the page: a browser moves the slider; what it shows is held against ``treadle travel --json``."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from conversion.cli import main
from conversion.description import read_description
from conversion.fit import clearance_at
from conversion.pack.motion import gather_motion
from conversion.pack.motion_charts import Line, small_chart
from conversion.pack.motion_fit import nearnesses
from conversion.plan import POSITIONS, Plan
from conversion.quantities import number, show
from conversion.resources import harnesses_dir
from tests.kinds import KINDS
from tests.pack.made import DEMO, demo_plan
from tests.pack.opened import (
    DRAWN_MM,
    EVERY_FIFTH,
    LAST,
    WITHOUT_THE_RODS_OWN,
    Opened,
    demo_motion,
    opened,
    page_of,
    shown,
)
from tests.rules.patching import patched_copy

pytestmark = pytest.mark.needs("chromium")


def told(path: Path, capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    """The positions that the command prints."""
    main(["travel", str(path), "--json"])
    positions: list[dict[str, Any]] = json.loads(capsys.readouterr().out)["positions"]
    return positions


def check_figures(it: Opened, entry: dict[str, Any]) -> None:
    """What the page shows at a position against what the command prints for it."""
    assert it.figure("pad") == show(entry["pad_travel_mm"], "length")
    assert it.figure("lever") == show(math.radians(entry["lever_deg"]), "angle")
    least, greatest = (number(math.radians(entry[f"lever_{end}_deg"]), "angle") for end in ("min", "max"))
    assert it.figure("lever", "band") == (f"{least} to {greatest}°" if least != greatest else f"{least}°")
    assert it.figure("ratio") == show(entry["ratio"], "plain")
    assert entry["tracks"]
    for name, volts in entry["tracks"].items():
        assert it.figure(f"volts-{name}") == show(volts["volts"], "voltage")
        least, greatest = (number(volts[f"volts_{end}"], "voltage") for end in ("min", "max"))
        assert it.figure(f"volts-{name}", "band") == (f"{least} to {greatest} V" if least != greatest else f"{least} V")
    assert it.figure("percent") == show(entry["percent"] / 100.0, "ratio")


def test_keyboard_and_event_lead_to_the_figures_of_the_command(
    browser: Any, demo_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    positions = told(harnesses_dir() / DEMO, capsys)
    it = opened(browser, demo_file)
    assert it.stop == 0
    check_figures(it, positions[0])
    for stop in EVERY_FIFTH:
        it.press("Home", *["ArrowRight"] * stop)
        assert it.stop == stop
        check_figures(it, positions[stop])
    it.press("Home")
    for stop in EVERY_FIFTH:
        it.move_to(stop)
        check_figures(it, positions[stop])
    assert len({positions[stop]["tracks"]["a"]["volts"] for stop in EVERY_FIFTH}) == len(EVERY_FIFTH)
    it.nothing_amiss()


def test_the_band_of_the_per_cent_is_the_worst_case_of_the_study(
    browser: Any, demo_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    main(["study", str(harnesses_dir() / DEMO), "--json"])
    studied = json.loads(capsys.readouterr().out)["positions"]
    it = opened(browser, demo_file)
    widths = []
    for stop in EVERY_FIFTH:
        it.move_to(stop)
        worst = studied[stop]["percent"]
        least, greatest = (number(worst[f"worst_{end}"] / 100.0, "ratio") for end in ("least", "greatest"))
        assert it.figure("percent", "band") == (f"{least} to {greatest} %" if least != greatest else f"{least} %")
        widths.append(worst["worst_greatest"] - worst["worst_least"])
    assert widths[0] == 0.0 and max(widths) > 5.0, "rest is learned, and what lies between is not"
    assert it.page.locator("#motion-chart-percent .band").first.is_visible()


def test_the_page_holds_the_very_positions_of_the_command(
    browser: Any, demo_file: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    held = opened(browser, demo_file).page.evaluate(
        "JSON.parse(document.getElementById('motion-data').textContent).positions"
    )
    assert held == told(harnesses_dir() / DEMO, capsys)


def test_every_key_of_a_slider_moves_it(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file)
    found = []
    for key in ("End", "ArrowLeft", "ArrowDown", "PageDown", "Home", "PageUp", "ArrowUp"):
        it.press(key)
        found.append(it.stop)
        assert it.page.get_attribute("#motion-slider", "aria-valuetext") == f"pad travel {it.figure('pad')}"
    assert found[:3] == [40, 39, 38] and found[4] == 0 and found[6] == found[5] + 1
    assert 1 < 38 - found[3] == found[5] < 10
    assert it.page.get_by_label("Move the pedal").count() == 1
    it.nothing_amiss()


def test_a_finger_moves_it(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file, has_touch=True, viewport={"width": 400, "height": 800})
    slider = it.page.locator("#motion-slider")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    assert box["height"] >= 44.0
    it.page.touchscreen.tap(box["x"] + 0.75 * box["width"], box["y"] + box["height"] / 2)
    assert 28 <= it.stop <= 32
    assert it.figure("lever") == shown("lever", it.stop)
    it.nothing_amiss()


def test_pins_are_drawn_where_the_linkage_has_them(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file)
    solution = demo_plan().travel.solution
    drawn = []
    for stop in EVERY_FIFTH:
        it.move_to(stop)
        for name, pins in (("pedal-pin", solution.pedal_pin_mm), ("lever-pin", solution.lever_pin_mm)):
            assert it.place(name) == pytest.approx(pins[stop][[0, 2]], abs=DRAWN_MM)
        box = it.page.locator(".now .pedal-pin").bounding_box()
        drawn.append((box["x"] + box["width"] / 2, box["y"] + box["height"] / 2))
    # The same on the screen: how far the pin has gone there, by the length of the scale bar there.
    start, end = (solution.pedal_pin_mm[stop][[0, 2]] for stop in (0, LAST))
    on_screen = math.dist(drawn[0], drawn[-1])
    per_mm = (
        it.page.locator(".linkage .bar").evaluate(
            "e => { const [, a, b] = e.points, m = e.getScreenCTM();"
            " return b.matrixTransform(m).x - a.matrixTransform(m).x; }"
        )
        / demo_motion().picture.bar_mm
    )
    assert on_screen / per_mm == pytest.approx(math.dist(start, end), rel=0.002)
    it.nothing_amiss()


def test_markers_stand_on_their_curves(browser: Any, demo_file: Path) -> None:
    it = opened(browser, demo_file)
    for stop in (0, 10, 25, 40):
        it.move_to(stop)
        for key in ("lever", "ratio", "volts", "percent"):
            chart = it.page.locator(f"#motion-chart-{key}")
            curve = chart.locator("svg:not(.swatch) .curve.line-0").first.get_attribute("points").split()
            marker = chart.locator(".marker.line-0")
            assert f"{marker.get_attribute('cx')},{marker.get_attribute('cy')}" == curve[stop]
    bar = it.page.locator("#motion-chart-lever .whisker").get_attribute("points").split()
    heights = [float(point.split(",")[1]) for point in bar]
    dot = float(it.page.locator("#motion-chart-lever .marker").get_attribute("cy"))
    assert min(heights) < dot < max(heights)
    assert it.page.locator("#motion-chart-lever .band").is_visible()


def test_clearances_go_along(browser: Any, demo_file: Path) -> None:
    fit = demo_plan().fit
    assert fit is not None
    it = opened(browser, demo_file)
    body, brake = fit.body("pad"), next(each for each in fit.obstacles if each.name == "brake")
    shoe = fit.body("shoe")
    assert body is not None and shoe is not None
    names = it.page.locator(".clearances tbody th").all_inner_texts()
    key = f"clearance-{names.index('brake')}"
    for stop in EVERY_FIFTH:
        it.move_to(stop)
        gaps = {each.name: clearance_at(each, brake.bodies[0], fit.poses)[stop] for each in (body, shoe)}
        nearest = min(gaps, key=gaps.__getitem__)
        assert it.figure(key) == show(gaps[nearest], "length")
        assert it.figure(key, "band").startswith(f"{nearest}; ")
    # What comes nearest in the whole travel, over-travel left out, is never nearer than the fit has found.
    for near in nearnesses(fit):
        least = min(e.clearance.distance_mm for e in fit.clearances if e.obstacle.name == near.name and not e.still)
        assert np.nanmin(near.least_mm) >= least - 1e-6
        assert near.name in names
    it.nothing_amiss()


def test_what_is_in_the_way_is_drawn_to_scale(browser: Any, tmp_path: Path) -> None:
    lines = [
        "conversion: fit = {bodies: {pedal_arm: 16 mm, pad: {width: 50 mm, height: 70 mm, thickness: 9 mm}}, "
        "obstacles: {"
        "wall: {kind: bulkhead, sheet: {corners: [[190 mm, 150 mm], [190 mm, -390 mm]], from_y: -200 mm, "
        "to_y: 200 mm}}, tube: {kind: other, bar: {start: [-100 mm, -60 mm, -200 mm], end: [-100 mm, 60 mm, -200 mm], "
        "radius: 12 mm}}}}"
    ]
    motion = gather_motion(Plan(read_description(patched_copy(tmp_path, lines))))
    assert motion is not None
    it = opened(browser, page_of(motion, tmp_path))
    outlines = {}
    for element in it.page.locator(".now .obstacle").all():
        points = [point.split(",") for point in element.get_attribute("points").split()]
        outlines[element.text_content()] = np.array(points, dtype=float)
    wall, tube = outlines["wall"], outlines["tube"]
    assert wall[:, 0].max() == pytest.approx(-190.0)
    assert tube.min(axis=0) == pytest.approx([88.0, 188.0], abs=DRAWN_MM)
    assert tube.max(axis=0) == pytest.approx([112.0, 212.0], abs=DRAWN_MM)
    assert "tube" in it.page.locator(".clearances").inner_text()
    it.nothing_amiss()


def test_where_nothing_is_said_of_obstacles_the_page_says_so(browser: Any, tmp_path: Path) -> None:
    motion = gather_motion(Plan(read_description(patched_copy(tmp_path, ["conversion: fit removed"]))))
    it = opened(browser, page_of(motion, tmp_path))
    assert it.page.locator(".clearances, .obstacle, #motion-chart-clearance").count() == 0
    assert "What is in the way is not described" in it.page.locator("#motion").inner_text()


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_linkage_moves(
    browser: Any, kind: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    home = patched_copy(tmp_path, [*KINDS[kind], *WITHOUT_THE_RODS_OWN])
    plan = Plan(read_description(home))
    it = opened(browser, page_of(gather_motion(plan), tmp_path))
    positions = told(home, capsys)
    solution = plan.travel.solution
    for stop in EVERY_FIFTH:
        it.move_to(stop)
        check_figures(it, positions[stop])
        if kind == "direct":
            continue
        for name, pins in (("pedal-pin", solution.pedal_pin_mm), ("lever-pin", solution.lever_pin_mm)):
            assert it.place(name) == pytest.approx(pins[stop][[0, 2]], abs=DRAWN_MM)
        held = it.page.evaluate("Array.from(document.querySelectorAll('.now polyline'), e => e.getAttribute('points'))")
        lines = [np.array([point.split(",") for point in text.split()], dtype=float) for text in held if text]
        for line in solution.link_lines_mm():
            wanted = -line[stop][:, [0, 2]]
            assert any(each.shape == wanted.shape and np.abs(each - wanted).max() < DRAWN_MM for each in lines)
    it.press("Home")
    arm = it.page.locator(".now .arm.core").get_attribute("points")
    it.press("End")
    assert it.page.locator(".now .arm.core").get_attribute("points") != arm
    it.nothing_amiss()


def test_where_the_linkage_does_not_close_nothing_false_is_drawn(browser: Any, tmp_path: Path) -> None:
    lines = [
        "conversion: linkage.rod = {length: 166 mm}",
        "conversion: linkage.pedal.full_stop = {at: 200 mm, origin: made}",
    ]
    plan = Plan(read_description(patched_copy(tmp_path, lines + WITHOUT_THE_RODS_OWN)))
    closes = plan.travel.solution.exists
    assert closes.any() and not closes.all(), "the case must have both"
    it = opened(browser, page_of(gather_motion(plan), tmp_path))
    for stop in (int(np.flatnonzero(closes)[0]), int(np.flatnonzero(~closes)[0])):
        it.move_to(stop)
        assert it.page.locator(".now .lever-pin").is_visible() == closes[stop]
        note = it.page.locator("#motion-note").text_content()
        assert ("cannot be put together" in note) != closes[stop]
        assert (it.figure("lever") == "none") != closes[stop]
    it.nothing_amiss()


def test_a_curve_is_broken_where_told_and_where_it_is_not_known() -> None:
    pad = np.linspace(0.0, 40.0, POSITIONS)
    values = np.where((pad > 10.0) & (pad < 20.0), np.nan, pad)
    chart = small_chart("k", "t", pad, [Line("one", values, values - 1.0, values + 1.0, breaks=(30,))])
    assert [len(piece) // 2 for _, piece in chart.curves] == [11, 10, 11]
    assert [len(area) // 2 for _, area in chart.bands] == [22, 42]
    marker = chart.moving[-1]
    assert marker.at(15) is None and marker.at(40) is not None
