"""The search of a description: what it takes from it, and that the patched description keeps what was promised."""

from __future__ import annotations

from functools import cache
from math import degrees, radians
from pathlib import Path

import numpy as np
import pytest
import yaml

from conversion import resources
from conversion.description import DescriptionError, Missing, read_description
from conversion.description.search_faults import MAY_MOVE
from conversion.description.search_forms import MayMove
from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, Linkage, RodLinkage
from conversion.plan import Plan
from conversion.plan.searching.as_json import search_json
from conversion.plan.searching.case import ANGLES, LENGTHS, gather_search
from conversion.plan.searching.patch import patch_text
from conversion.plan.searching.search import SearchOutcome, search_plan
from conversion.plan.searching.text import at_an_end, lines
from conversion.study.search_case import ALL, as_described, look
from conversion.study.search_moves import BY_KIND, MODULE_AXES
from tests.kinds import KINDS as OTHER_KINDS
from tests.rules.patching import patched_copy

VAN = resources.harnesses_dir() / "market-van" / "conversion.yaml"
KINDS: dict[str, type[Linkage]] = {
    "rod": RodLinkage, "bell-crank": BellCrankLinkage, "cable": CableLinkage, "contact": ContactLinkage,
}  # fmt: skip
FEW = 20_000


def searched(file: Path, candidates: int = FEW, seed: int = 1) -> SearchOutcome:
    return search_plan(Plan(read_description(file)), file, candidates, seed, lambda said: None)


@cache
def van() -> SearchOutcome:
    return searched(VAN)


def copy(folder: Path, *patches: str) -> Path:
    return patched_copy(folder, patches) / "conversion.yaml"


def test_each_kind_may_move_the_same_in_words_and_in_numbers() -> None:
    axes = LENGTHS | ANGLES
    for kind, keys in MAY_MOVE.items():
        named = {axes[key] for key in keys if key in axes} | (set(MODULE_AXES) if "module" in keys else set())
        assert named == set(BY_KIND[KINDS[kind]])
        assert set(keys) <= set(MayMove.model_fields)


def test_the_demo_has_a_million_linkages_to_look_at() -> None:
    case = gather_search(Plan(read_description(VAN)).description).case
    assert case.grid.size >= 1_000_000
    assert case.thread is not None and case.thread.step_mm == 0.5
    assert degrees(case.rest_minus_rad) == pytest.approx(0.5) and case.loads is not None


def test_the_patched_description_does_what_was_promised() -> None:
    outcome = van()
    assert len(outcome.settings) >= 4
    for setting in outcome.settings:
        again = Plan(read_description(VAN, content=setting.text.encode("utf-8")))
        travel, looked = again.travel, setting.looked
        swing = travel.geometry.swing_rad[0]
        assert travel.lever_rad[0] == pytest.approx(looked.lever_at_rest_rad[0], abs=radians(0.02))
        assert travel.lever_rad[-1] == pytest.approx(swing - looked.below_full_rad[0], abs=radians(0.02))
        assert travel.pad_travel_mm[-1] == pytest.approx(looked.pad_travel_mm[0], abs=0.05)
        assert travel.worst_margin_rad >= looked.margin_rad[0] - 1e-6
        square = np.minimum(np.sin(travel.transmission_lever_rad), np.sin(travel.transmission_pedal_rad))
        assert np.arcsin(square.min()) == pytest.approx(looked.transmission_rad[0], abs=radians(0.05))
        shares = (travel.lever_rad - travel.lever_rad[0]) / np.ptp(travel.lever_rad)
        assert np.abs(shares - np.linspace(0, 1, 41)).max() == pytest.approx(looked.off_feel[0], abs=1e-4)
        force = again.returns.pad_force_pressing_n
        assert force.max() == pytest.approx(looked.force_most_n[0], abs=0.02)
        assert force.min() == pytest.approx(looked.force_least_n[0], abs=0.02)
        assert again.travel.geometry.linkage.rod_length_mm == pytest.approx(looked.rod_mm[0], abs=0.02)  # type: ignore[attr-defined]


def test_only_lines_that_change_are_touched_and_the_patch_holds_just_them() -> None:
    before = VAN.read_text("utf-8").splitlines()
    best = van().settings[0]
    after = best.text.splitlines()
    assert len(before) == len(after)
    differing = sum(one != other for one, other in zip(before, after, strict=True))
    assert 0 < differing <= len(best.changes)
    patch = yaml.load(patch_text(best.changes, "Found."), Loader=yaml.BaseLoader)
    whole = yaml.load(best.text, Loader=yaml.BaseLoader)
    for change in best.changes:
        inside, in_whole = patch, whole
        for step in change.path:
            inside, in_whole = inside[step], in_whole[step]
        assert inside == in_whole


def test_the_linkage_as_described_stands_beside_the_settings() -> None:
    outcome, plan = van(), Plan(read_description(VAN))
    travel, now = plan.travel, outcome.now
    assert now.lever_at_rest_rad[0] == pytest.approx(travel.lever_rad[0], abs=1e-9)
    assert now.below_full_rad[0] == pytest.approx(travel.margin_rad, abs=1e-9)
    assert now.pad_travel_mm[0] == pytest.approx(travel.pad_travel_mm[-1], abs=1e-6)
    assert now.force_most_n[0] == pytest.approx(plan.returns.pad_force_pressing_n.max(), abs=0.02)
    assert any(line.startswith("now ") for line in lines(outcome))
    assert search_json(outcome)["now"]["pad_travel_mm"] == pytest.approx(travel.pad_travel_mm[-1], abs=1e-6)


@pytest.mark.parametrize("kind", ["cable", "contact", "bell-crank"])
def test_other_kinds_are_seen_as_their_travel_has_them(tmp_path: Path, kind: str) -> None:
    file = copy(tmp_path, *OTHER_KINDS[kind], "conversion: search = {may_move: {module: {x: [120 mm]}}}")
    plan = Plan(read_description(file))
    travel, case = plan.travel, gather_search(plan.description).case
    seen, _ = look(case, as_described(case), ALL)
    assert seen.pad_travel_mm[0] == pytest.approx(travel.pad_travel_mm[-1], abs=1e-6)
    assert seen.lever_at_rest_rad[0] == pytest.approx(travel.lever_rad[0], abs=1e-9)
    ends = [
        np.abs(np.degrees(each) - 90.0)
        for each in (travel.transmission_lever_rad, travel.transmission_pedal_rad)
        if np.isfinite(each).any()
    ]
    if kind == "bell-crank":  # whose crank has two more
        first, second = travel.solution.first, travel.solution.second  # type: ignore[attr-defined]
        ends += [
            np.abs(np.degrees(each) - 90.0) for each in (first.transmission_lever_rad, second.transmission_pedal_rad)
        ]
    assert degrees(seen.transmission_rad[0]) == pytest.approx(90.0 - np.max(ends), abs=1e-6)
    assert seen.force_most_n[0] == pytest.approx(plan.returns.pad_force_pressing_n.max(), abs=0.02)


def test_what_stands_at_an_end_is_told() -> None:
    outcome = van()
    taken = outcome.settings[outcome.taken].settings
    grid = {axis.name: axis.values for axis in outcome.found.case.grid.axes}
    at_end = {name for name, value in taken.items() if value in (grid[name].min(), grid[name].max())}
    assert at_end and len(at_end) == len(at_an_end(outcome))
    text = " ".join(lines(outcome))
    assert "At the end of what it may be in setting" in text and "there may be better beyond" in text


def test_each_setting_has_the_chance_that_its_tracks_miss_something(tmp_path: Path) -> None:
    for setting in van().settings:
        missed = setting.study.window_missed
        assert missed is not None and missed.samples == setting.study.study.samples
        single = [
            chance.happened
            for event, chance in setting.study.study.chances.items()
            if "window" in event or "ran" in event
        ]
        assert max(single) <= missed.happened <= sum(single)
    narrow = "K1: accepts.pedal.tracks.a.full = 3.80 V..3.85 V"
    found = searched(copy(tmp_path, narrow), 3000).settings[0].study.window_missed
    assert found is not None and found.happened > 0.3 * found.samples


def test_turns_of_the_thread_and_rod_agree() -> None:
    for setting in van().settings:
        assert setting.turns is not None and (2 * setting.turns) == pytest.approx(round(2 * setting.turns))
        assert 140.0 + setting.turns * 1.0 == pytest.approx(float(setting.looked.rod_mm[0]))


def test_the_body_of_the_module_goes_with_its_lever() -> None:
    def middle(description: object) -> np.ndarray:
        fit, link = description.conversion.fit, description.conversion.linkage  # type: ignore[attr-defined]
        return np.array([[one.nominal for one in point] for point in (fit.bodies.module.centre, link.module.pivot)])

    was = middle(Plan(read_description(VAN)).description)
    now = middle(Plan(read_description(VAN, content=van().settings[0].text.encode("utf-8"))).description)
    assert not np.allclose(was, now) and np.allclose(was[0] - was[1], now[0] - now[1], atol=2e-3)


def test_same_seed_same_answer() -> None:
    assert search_json(van()) == search_json(searched(VAN))
    assert "\n".join(lines(van())) == "\n".join(lines(searched(VAN)))


def test_a_point_from_a_tape_gives_way_to_coordinates(tmp_path: Path) -> None:
    file = copy(
        tmp_path,
        "conversion: marks.top = [0 mm, -12 mm, 0 mm]",
        "conversion: marks.left = [0 mm, 60 mm, -78 mm]",
        "conversion: marks.fore = [90 mm, -12 mm, -40 mm]",
        "conversion: linkage.pedal.rod_pin = {from: {top: 78.4 mm, left: 72.4 mm, fore: 90.3 mm}, side: down}",
    )
    outcome = searched(file, 5000)
    change = next(change for change in outcome.settings[0].changes if change.path[-1] == "rod_pin")
    assert change.text.startswith("[") and change.values[0][0] == change.path
    again = read_description(file, content=outcome.settings[0].text.encode("utf-8"))
    assert isinstance(again.conversion.linkage.pedal.rod_pin, list)  # type: ignore[union-attr]


def test_a_rod_of_fixed_length_gets_another_length(tmp_path: Path) -> None:
    file = copy(
        tmp_path, "conversion: linkage.rod = {length: 140.2 mm}", "conversion: search.may_move.rest = [1.0°]",
        "conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made, lockable: true, load: 900 N}",
        "conversion: search.may_move.full removed",
    )  # fmt: skip
    outcome = searched(file, 5000)
    paths = {".".join(map(str, change.path)) for change in outcome.settings[0].changes}
    assert "linkage.rod.length" in paths and "linkage.rod.set_at_rest" not in paths
    assert not any("full_stop" in path for path in paths)
    assert outcome.settings[0].travel.pad_travel_mm[-1] == 60.0


def test_unknown_springs_leave_the_force_out_unless_it_is_wanted(tmp_path: Path) -> None:
    unknown = "conversion: springs.second.rest_moment = unknown"
    with pytest.raises(Missing, match=r"springs.second.rest_moment"):
        searched(copy(tmp_path / "a", unknown), 500)
    outcome = searched(copy(tmp_path / "b", unknown, "conversion: search.wants.force removed"), 2000)
    assert outcome.lacking is not None and np.isnan(outcome.settings[0].looked.force_most_n[0])
    assert any("not judged" in line for line in lines(outcome))


def test_an_unknown_step_is_missing(tmp_path: Path) -> None:
    file = copy(tmp_path, "conversion: search.may_move.lever_hole = [40 mm, unknown]")
    with pytest.raises(Missing, match=r"search.may_move.lever_hole has a figure that is not known"):
        searched(file, 100)


def test_nothing_found_says_what_is_in_the_way(tmp_path: Path) -> None:
    outcome = searched(copy(tmp_path, "conversion: search.wants.pad_travel = 200 mm..220 mm"), 3000)
    assert outcome.settings == () and outcome.obstacles[0].want == "pad_travel"
    text = "\n".join(lines(outcome))
    assert "Nothing keeps to every want." in text and "In the way: pad travel at the full stop" in text
    assert "search.wants.pad_travel" in text


@pytest.mark.parametrize(
    ("patch", "said"),
    [
        ("search.may_move.groove_radius = [20 mm]", "a linkage of kind 'rod' has no such thing to move"),
        ("search.may_move = {rod: {pitch: 1 mm}}", "nothing may move"),
        ("search.may_move.module = {}", "a box needs at least one of 'x', 'y' and 'z'"),
        ("search.may_move.lever_hole = []", "lever_hole"),
        ("search.may_move.lever_hole = {over: 35 mm..60 mm}", "'step' is missing"),
        ("search.may_move.lever_hole = {over: 35 mm..60 mm, step: 0 mm}", "must be above"),
        ("search.may_move.lever_hole = {over: 35 mm..60 mm, step: 0.001 mm}", "makes more than 10000"),
        ("search.may_move.lever_hole = {over: 60 mm..35 mm, step: 1 mm}", "runs downwards"),
        ("search.may_move.lever_hole = {over: 35 mm, step: 1 mm}", "is a single figure; write the least and the"),
        ("search.may_move.lever_hole = {over: 35 mm..60 mm, step: 80 mm}", "is longer than '35 mm..60 mm'"),
        ("search.may_move.lever_hole = {over: 35 mm..60 mm, step: 1 mm..2 mm}", "a single one is needed here"),
        ("search.may_move.lever_hole = [35 mm..60 mm]", "goes from one figure to another"),
        ("search.may_move.rod = {pitch: 1 mm, length: 140 mm}", "is a single figure"),
        ("search.may_move.rest = [30°, 40°]", "beyond the module's own swing of 24.0° ± 0.5°"),
        ("search.may_move.full = {over: 25°..30°, step: 1°}", "beyond the module's own swing"),
        ("search.wants.below_full = 25°..26°", "nothing remains of its swing"),
        ("search.wants.margin = 13°", "leave nothing of the module's own swing"),
        ("search.wants.margin = 0.2°..0.5°", "a single one is needed here"),
        ("search.wants.force = 30 N", "such as '10 N..40 N'"),
        ("search.wants.pad_travel = 50 mm", "such as '35 mm..60 mm'"),
        ("search.wants.lever_at_rest = 1°", "such as '0.5°..2°'"),
        ("search.wants.feel = {points: []}", "write at least 1"),
        (
            "search.wants.weights = {feel: 0 %, sweep: 0 %, margin: 0 %, transmission: 0 %, force: 0 %}",
            "nothing is better than anything",
        ),
        ("search.may_move.rest = [1 mm]", "is a length; an angle is needed"),
        ("search.wants.transmission = 100°", "rises above 90.0°"),
        ("search.wants.feel = {half: 99 %}", "is no feel"),
        ("search.wants.feel = {points: [{pad: 50 %, lever: 40 %}, {pad: 40 %, lever: 60 %}]}", "rise in 'pad'"),
        ("search.wants.feel = {half: 40 %, points: []}", "write at least 1"),
        ("search.wants.feel = {half: 40 %, points: [{pad: 50 %, lever: 40 %}]}", "either 'half' or 'points'"),
        ("search.wants.smooth = 3", "'smooth' is not a word of the wants"),
        ("search.wants.weights = {feel: -5 %}", "falls below"),
        ("linkage.pedal.full_stop = {at: 60 mm, origin: made}", "the full stop is placed by pad travel"),
    ],
)
def test_a_search_that_cannot_be_is_refused_at_its_place(tmp_path: Path, patch: str, said: str) -> None:
    with pytest.raises(DescriptionError) as refused:
        searched(copy(tmp_path, f"conversion: {patch}"), 100)
    assert said in str(refused.value)
    assert all(complaint.place.line > 1 for complaint in refused.value.complaints)


def test_a_spring_that_would_stay_behind_is_told(tmp_path: Path) -> None:
    spring = (
        "conversion: springs.lever = {acts_on: lever, type: extension, fixed_end: [200 mm, 0 mm, 0 mm], "
        "moving_end: [150 mm, 0 mm, -40 mm], free_length: 40 mm, rate: 0.2 N/mm}"
    )
    with pytest.raises(DescriptionError, match="only right where the module is now"):
        searched(copy(tmp_path, spring), 100)
