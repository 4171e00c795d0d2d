"""Bundles of runs and what passes the holes."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.loom.packing import pack_circles
from conversion.loom.protection import clip_bore_mm, clip_places_mm, cover_for, least_hole_mm
from conversion.loom.wire_data import mass_g_per_m, outer_diameter_mm
from conversion.plan import Plan
from tests.rules.patching import patched_copy, patched_plan

DEMOS = pytest.mark.parametrize("name", ["market-van", "trials-buggy", "first-attempt"])
HOLE = "conversion: loom.stations.bulkhead = {place: bulkhead, zone: engine bay, through: grommet, hole: 30 mm}"


@DEMOS
def test_a_bundle_holds_the_wires_that_take_its_run(name: str) -> None:
    plan = Plan(read_description(resources.harnesses_dir() / name))
    sizes = {wire.tag: wire.size_mm2 for wire in plan.wiring.wires}
    for run, bundle in plan.bundles.items():
        assert bundle.tags == tuple(tag for tag, route in plan.routes.items() if run in route.runs)
        thickness = [outer_diameter_mm(sizes[tag]) for tag in bundle.tags]
        assert bundle.diameter_mm == pytest.approx(pack_circles(thickness).diameter_mm)
        assert sum(each**2 for each in thickness) < bundle.diameter_mm**2 or len(thickness) == 1
        assert bundle.diameter_mm <= bundle.round_mm + 1e-9 < bundle.sleeved_mm <= bundle.clip_bore_mm
    taken = {run for route in plan.routes.values() for run in route.runs}
    assert set(plan.bundles) == taken


@DEMOS
def test_clips_hold_every_run_of_known_length(name: str) -> None:
    plan = Plan(read_description(resources.harnesses_dir() / name))
    for bundle in plan.bundles.values():
        assert bundle.length_mm is not None and bundle.clips
        places = (0.0, *bundle.clips, bundle.length_mm)
        gaps = [far - near for near, far in pairwise(places)]
        assert min(gaps) > 0 and max(gaps) <= bundle.clip_every_mm + 1e-9
        assert bundle.clip_every_mm <= 610.0


def test_a_run_in_another_zone_is_covered_and_clipped_otherwise(tmp_path: Path) -> None:
    cabin = patched_plan(tmp_path / "cabin", []).bundles["board-panel"]
    hot = patched_plan(tmp_path / "hot", ["conversion: loom.runs.board-panel.zone = hot"]).bundles["board-panel"]
    assert cabin.sleeve != hot.sleeve
    assert hot.clip_every_mm < cabin.clip_every_mm and len(hot.clips) > len(cabin.clips)


def test_the_weight_is_that_of_the_wires_and_the_covering(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [])
    bundle = plan.bundles["board-panel"]
    twisted = {tag for twist in plan.twists for tag in twist.tags}
    assert not twisted & set(bundle.tags), "this run has no twisted wires"
    sizes = {wire.tag: wire.size_mm2 for wire in plan.wiring.wires}
    wires_g = sum(mass_g_per_m(sizes[tag]) for tag in bundle.tags) * 0.48
    assert bundle.wires_g == pytest.approx(wires_g)
    assert bundle.mass_g == pytest.approx(wires_g + bundle.cover.g_per_m * 0.48)


def test_twisted_wires_weigh_what_they_are_longer(tmp_path: Path) -> None:
    loose = patched_plan(tmp_path / "loose", ["conversion: loom.twist_pitch = 1000 mm"]).bundles["board-pedal"]
    tight = patched_plan(tmp_path / "tight", ["conversion: loom.twist_pitch = 15 mm"]).bundles["board-pedal"]
    assert loose.wires_g is not None and tight.wires_g is not None
    assert tight.wires_g > 1.02 * loose.wires_g


def test_a_run_of_unknown_length_still_has_its_thickness(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.runs.board-panel.length = unknown"])
    bundle = plan.bundles["board-panel"]
    assert bundle.diameter_mm > 0
    assert (bundle.length_mm, bundle.clips, bundle.mass_g) == (None, (), None)


def test_corners_are_judged_by_the_sharpest(tmp_path: Path) -> None:
    lines = ["conversion: loom.runs.board-panel.corners = [20 mm ± 2 mm, 400 mm]"]
    bundle = patched_plan(tmp_path, lines).bundles["board-panel"]
    assert bundle.sharpest_corner_mm == pytest.approx(18.0)
    assert bundle.least_bend_mm == pytest.approx(3.0 * bundle.diameter_mm)
    assert bundle.free_bend_mm == pytest.approx(10.0 * bundle.diameter_mm)
    assert bundle.held_corners_mm == (18.0,)
    assert bundle.clip_count == len(bundle.clips) + 2


def test_what_passes_a_hole_goes_on_or_ends_beyond_it(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [HOLE])
    passage = plan.passages["bulkhead"]
    through_cabin = set(plan.bundles["board-bulkhead"].tags)
    # The ground stud sits beyond the hole: wires from the cabin pass it, those from the engine side do not.
    assert set(passage.tags) == through_cabin
    assert passage.hole_mm == 30.0
    assert passage.least_hole_mm == pytest.approx(least_hole_mm(passage.cover.outside_mm))
    assert passage.round_mm == pytest.approx(plan.bundles["board-bulkhead"].round_mm)
    assert passage.cover.bore_mm is None, "the tube ends on both sides of the grommet"


def test_nothing_passes_where_no_hole_is(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.stations.bulkhead = edge of the bulkhead"])
    assert plan.passages == {}


@pytest.mark.parametrize("zone", ["cabin", "engine bay", "hot", "wet", "moving"])
@pytest.mark.parametrize("diameter", [1.6, 9.7, 12.01, 46.9, 80.0])
def test_a_covering_takes_its_bundle(zone: str, diameter: float) -> None:
    cover = cover_for(zone, diameter)  # type: ignore[arg-type]
    assert cover.outside_mm > diameter
    assert cover.bore_mm is None or cover.outside_mm > cover.bore_mm >= diameter
    assert clip_bore_mm(cover.outside_mm) >= cover.outside_mm
    assert cover.g_per_m > 0


@pytest.mark.parametrize("length", [30.0, 100.0, 100.5, 499.0, 500.0, 2500.0])
def test_clips_stand_evenly(length: float) -> None:
    places = clip_places_mm(length, 200.0)
    assert places[0] == pytest.approx(length - places[-1])
    assert all(near < far <= near + 200.0 + 1e-9 for near, far in pairwise(places))


def test_wires_grow_with_their_conductor() -> None:
    sizes = [0.13, 0.22, 0.35, 0.5, 0.823, 1.0, 2.08, 2.5, 6.0, 10.0, 25.0, 50.0]
    for thinner, thicker in pairwise(sizes):
        assert outer_diameter_mm(thinner) < outer_diameter_mm(thicker)
        assert mass_g_per_m(thinner) < mass_g_per_m(thicker)
    assert all(mass_g_per_m(size) > 8.89 * size for size in sizes)


def test_one_more_wire_never_shrinks_a_bundle_of_the_loom(tmp_path: Path) -> None:
    before = patched_plan(tmp_path / "before", [])
    wire = "{from: B1.3, to: K1.20, size: 0.35 mm², reason: a second one beside the first}"
    lines = [
        "B1: housings.A.cavities.3 = {roles: [pedal.a.signal], holds: 2}",
        "K1: housings.A.cavities.20 = {roles: [pedal.a.signal], holds: 2}",
        f"conversion: loom.wires.3 = {wire}",
    ]
    after = patched_plan(tmp_path / "after", lines)
    assert len(after.wiring.wires) == len(before.wiring.wires) + 1
    for run, bundle in before.bundles.items():
        assert after.bundles[run].diameter_mm >= bundle.diameter_mm - 1e-9
        assert after.bundles[run].round_mm >= bundle.round_mm - 1e-9
    assert len(after.bundles["board-pedal"].tags) == len(before.bundles["board-pedal"].tags) + 1


def test_the_names_of_stations_and_runs_change_nothing(tmp_path: Path) -> None:
    home = patched_copy(tmp_path / "before", [])
    renamed = patched_copy(tmp_path / "after", []) / "conversion.yaml"
    text = renamed.read_text("utf-8")
    for old, new in (("bulkhead-engine", "a-first"), ("controller", "zz-place")):
        text = re.sub(rf"(?<![\w.-]){old}(?=:|$)", new, text, flags=re.MULTILINE)
    renamed.write_text(text, "utf-8")
    before, after = Plan(read_description(home)), Plan(read_description(renamed.parent))
    assert "a-first" in after.bundles and "bulkhead-engine" in before.bundles
    assert after.lengths == before.lengths
    pairs = zip(before.bundles.values(), after.bundles.values(), strict=True)
    assert all(
        (one.tags, one.diameter_mm, one.round_mm) == (two.tags, two.diameter_mm, two.round_mm) for one, two in pairs
    )
