"""The tolerance study of a description: what is varied, what comes of it, and what is said of it."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from conversion.description import DescriptionError, Missing
from conversion.description.study_forms import DEFAULT_SAMPLES
from conversion.plan import POSITIONS, Plan
from conversion.plan.study.as_json import study_json
from conversion.plan.study.text import chance_words, study_lines
from conversion.plan.study.travel import TravelStudy
from conversion.rules import find_all
from conversion.study import chance
from tests.kinds import KINDS
from tests.rules.patching import patched_plan
from tests.study.cases import demo_plan, market_van, without_tolerances

TIGHT_STOP = "conversion: linkage.pedal.full_stop.set_at = 23.6° ± 0.5°"
TIGHT_WINDOW = "K1: accepts.pedal.tracks.a.full = 3.80 V..4.05 V"
FEW = "conversion: study = {samples: 400}"


def share(found: TravelStudy, event: str) -> float:
    return found.study.chances[event].share


def test_the_demo_varies_what_a_hand_written_case_varies() -> None:
    case, figures = market_van()
    found = demo_plan().study
    assert found.study.samples == DEFAULT_SAMPLES
    drawn = {figure.drawn.name.replace("supply.one", "a.supply_v").replace("supply.two", "b.supply_v"): figure.drawn
             for figure in found.figures}  # fmt: skip
    assert set(drawn) == {figure.name for figure in figures}
    for figure in figures:
        assert (drawn[figure.name].low, drawn[figure.name].high) == pytest.approx((figure.low, figure.high))
    assert found.study.positions == pytest.approx(case.pad_travel_mm)
    assert found.lacking == () and found.idle_shapes == ()


def test_the_samples_go_round_the_planned_travel_and_stay_inside_the_corners() -> None:
    plan = demo_plan()
    study = plan.study.study
    assert study.bands["lever_rad"].nominal == pytest.approx(plan.travel.lever_rad)
    for name, band in study.bands.items():
        slack = 1e-6 * np.maximum(1.0, np.abs(band.nominal))
        assert np.all(band.least >= study.corners.least[name] - slack), name
        assert np.all(band.most <= study.corners.most[name] + slack), name
        assert np.all((band.least <= band.p05) & (band.p05 <= band.p50) & (band.p50 <= band.p95)), name
    # The worst case at the pedal's full stop is that of the setting, to the corner.
    assert np.degrees(study.corners.most["margin_rad"]) == pytest.approx([24.5 - 22.0])
    assert np.degrees(study.corners.least["margin_rad"]) == pytest.approx([23.5 - 23.0])


def test_the_same_seed_gives_the_same_answer_and_another_one_another() -> None:
    plan = demo_plan()
    once, again, other = (plan.sampled_study(300, seed) for seed in (5, 5, 6))
    for name, kept in once.study.kept.items():
        assert np.array_equal(kept, again.study.kept[name])
    assert not np.array_equal(once.study.kept["lever_rad"], other.study.kept["lever_rad"])
    assert json.dumps(study_json(once)) == json.dumps(study_json(again))


def test_without_tolerances_nothing_has_a_width(tmp_path: Path) -> None:
    found = without_tolerances(tmp_path).study
    assert found.figures == ()
    for name, band in found.study.bands.items():
        assert band.most == pytest.approx(band.least, abs=1e-5), name
        assert found.study.corners.most[name] == pytest.approx(found.study.corners.least[name], abs=1e-12), name
    assert all(ranking.method == "none" for ranking in found.rankings.values())


def test_a_full_stop_set_tight_lets_the_module_stop_first(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, [TIGHT_STOP]).study
    # The stop lies in 23.1..24.1, the swing in 23.5..24.5: it is passed in the triangle of 0.6 by 0.6 over 1 by 1.
    assert share(found, "module-full-stop-first") == pytest.approx(0.18, abs=0.03)
    assert share(demo_plan().study, "module-full-stop-first") == 0.0
    ranking = found.rankings["module-full-stop-first"]
    assert set(list(ranking.share)[:2]) == {"full_set_rad", "swing_rad"}


def test_a_narrow_window_is_missed_and_the_other_track_is_not(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, [FEW, TIGHT_STOP, TIGHT_WINDOW]).study
    assert share(found, "full-window-missed.a") > 0.1
    assert share(found, "full-window-missed.b") == 0.0
    assert found.study.corners.happens["full-window-missed.a"]


def test_a_tight_limit_of_agreement_makes_the_tracks_disagree(tmp_path: Path) -> None:
    lines = [
        "K1: accepts.pedal.agreement = {of: percent, at_most: 2 %, within: 100 ms}",
        "K1: accepts.pedal.scale = fixed",
    ]
    assert share(patched_plan(tmp_path, [FEW, *lines]).study, "tracks-disagree") > 0.3
    assert share(demo_plan().study, "tracks-disagree") == 0.0


def test_a_shape_is_that_of_the_longest_name_that_fits(tmp_path: Path) -> None:
    study = "{shape: triangular, shapes: {linkage.module.pivot: normal, linkage.module.pivot.3: uniform}}"
    found = patched_plan(tmp_path, [f"conversion: study = {study}"]).study
    shapes = {figure.name: figure.drawn.shape for figure in found.figures}
    pivot = [shapes[f"linkage.module.pivot.{number}"] for number in (1, 2, 3)]
    assert pivot == ["normal", "normal", "uniform"]
    assert shapes["B1: lever.swing"] == "triangular"


def test_a_likelier_middle_gives_a_narrower_band(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, ["conversion: study = {shape: triangular}"]).study.study.bands["margin_rad"]
    uniform = demo_plan().study.study.bands["margin_rad"]
    assert found.p95[0] - found.p05[0] < 0.85 * (uniform.p95[0] - uniform.p05[0])


def test_a_shape_that_changes_nothing_is_told(tmp_path: Path) -> None:
    line = "conversion: study = {shapes: {linkage.rod.length: normal}}"
    assert patched_plan(tmp_path, [line]).study.idle_shapes == ("linkage.rod.length",)


@pytest.mark.parametrize(
    ("study", "said"),
    [
        ("{shapes: {linkage.module.pivt: normal}}", "did you mean 'linkage.module.pivot'?"),
        ("{shapes: {linkage.pedal.pivot: normal}}", "has no tolerance"),
        ("{shapes: {'B1: lever.swing': bell}}", "choose uniform, normal or triangular"),
        ("{shape: unifrm}", "did you mean 'uniform'?"),
        ("{samples: 2}", "write at least 100"),
        ("{samples: 200000}", "write at most 100000"),
        ("{sample: 200}", "did you mean 'samples'?"),
    ],
)
def test_a_wrong_study_is_refused_at_its_place(tmp_path: Path, study: str, said: str) -> None:
    with pytest.raises(DescriptionError) as refused:
        patched_plan(tmp_path, [f"conversion: study = {study}"])
    assert said in str(refused.value)
    assert all(complaint.place.line > 100 for complaint in refused.value.complaints)


def test_without_a_figure_of_the_linkage_there_is_no_study(tmp_path: Path) -> None:
    with pytest.raises(Missing, match=r"lever\.swing"):
        _ = patched_plan(tmp_path, ["B1: lever.swing = unknown"]).study


def test_an_unknown_output_leaves_the_lever(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, [FEW, "B1: tracks.a.output = {rest: unknown, full: 82 %}"]).study
    assert [missing.path for missing in found.lacking] == ["B1: tracks.a.output.rest"]
    assert found.tracks == () and "lever_rad" in found.study.bands and "percent" not in found.study.bands


def test_an_unknown_window_is_not_judged(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, [FEW, "K1: accepts.pedal.tracks.a.full = unknown"]).study
    assert [missing.path for missing in found.lacking] == ["K1: accepts.pedal.tracks.a.full"]
    assert "full-window-missed.a" not in found.study.chances and "full-window-missed.b" in found.study.chances


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_linkage_is_studied(tmp_path: Path, kind: str) -> None:
    plan = patched_plan(tmp_path, [FEW, *KINDS[kind]])
    found = plan.study
    names = {figure.name for figure in found.figures}
    setting = {"cable": "cable", "contact": "contact", "bell-crank": "rod", "direct": "module"}[kind]
    assert {f"linkage.{setting}.set_at_rest", "linkage.pedal.full_stop.set_at", "B1: lever.swing"} <= names
    assert found.study.bands["lever_rad"].nominal == pytest.approx(plan.travel.lever_rad)
    assert share(found, "does-not-close") == 0.0


@pytest.mark.parametrize("kind", KINDS)
def test_beginning_at_the_plan_finds_the_full_stop_that_a_search_finds(
    tmp_path: Path, kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = patched_plan(tmp_path, KINDS[kind])
    near = plan.sampled_study(200).study
    monkeypatch.setattr("conversion.study.linkage_study.NEAR_RAD", -1.0)
    searched = plan.sampled_study(200).study
    assert near.bands["pad_at_full_mm"].p95 > near.bands["pad_at_full_mm"].p05
    assert near.kept["pad_at_full_mm"] == pytest.approx(searched.kept["pad_at_full_mm"], abs=1e-5)


def test_a_table_of_an_output_and_an_angle_of_full_output_are_varied(tmp_path: Path) -> None:
    points = "[{at: 0°, output: 18 % ± 1 %}, {at: 10°, output: 40 % ± 1 %}, {at: 23°, output: 82 % ± 1 %}]"
    plan = patched_plan(
        tmp_path, [FEW, "B1: lever.full_at = 23° ± 0.5°", f"B1: tracks.a.output = {{points: {points}}}"]
    )
    names = {figure.name for figure in plan.study.figures}
    assert {"B1: tracks.a.output.points.1.output", "B1: tracks.a.output.points.3.output", "B1: lever.full_at"} <= names
    assert plan.study.study.bands["volts.a"].nominal == pytest.approx(plan.pedal.tracks["a"].volts)


def test_rules_do_without_a_study(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("a rule asked for the study")

    monkeypatch.setattr("conversion.plan.study.travel.study_travel", refuse)
    plan = Plan(demo_plan().written)
    assert find_all(plan)
    with pytest.raises(AssertionError):
        _ = plan.study


def test_the_plain_data_names_its_units() -> None:
    data = study_json(demo_plan().study)
    assert set(data) == {
        "samples", "seed", "figures", "positions", "at_stops", "chances", "corners", "rankings", "lacking",
        "idle_shapes",
    }  # fmt: skip
    assert len(data["positions"]) == POSITIONS
    middle = data["positions"][POSITIONS // 2]
    assert set(middle) == {"pad_travel_mm", "lever_deg", "tracks", "percent"}
    spread = middle["lever_deg"]
    order = [spread[key] for key in ("worst_least", "least", "p05", "p50", "p95", "greatest", "worst_greatest")]
    assert order == sorted(order)
    assert data["at_stops"]["margin_deg"]["nominal"] == pytest.approx(1.5)
    assert data["at_stops"]["tracks"]["a"]["volts_at_full_v"]["nominal"] == pytest.approx(3.88, abs=0.01)
    assert {(one["event"], one["track"]) for one in data["chances"]} >= {
        ("module-full-stop-first", None), ("rest-window-missed", "a"), ("full-window-missed", "b"),
        ("valid-range-left", "a"), ("tracks-disagree", None),
    }  # fmt: skip
    assert {"name": "B1: tracks.a.output.rest", "nominal": 18.0, "unit": "%", "shape": "uniform"}.items() <= next(
        figure for figure in data["figures"] if figure["name"] == "B1: tracks.a.output.rest"
    ).items()
    json.dumps(data, allow_nan=False)


def test_the_lines_say_how_often_and_what_matters(tmp_path: Path) -> None:
    found = patched_plan(tmp_path, [TIGHT_STOP]).sampled_study(samples=1000, seed=3)
    text = "\n".join(study_lines(found, "Any van"))
    assert text.startswith("Any van: 1 000 samples of 25 figures, seed 3;")
    assert "the module's own full stop is met before the pedal's: 1" in text
    assert "track b lies outside its window at full: 0 of 1 000; with 95 % confidence below 0.37 %" in text
    assert "linkage.pedal.full_stop.set_at" in text
    assert all(len(line) <= 100 for line in text.splitlines())


def test_the_lines_show_the_bands_over_the_travel() -> None:
    plan = demo_plan()
    lines = list(study_lines(plan.study, "Any van"))
    start = next(index for index, line in enumerate(lines) if line.startswith("Over the travel"))
    heads, rows = lines[start + 1].split("  "), [line.split() for line in lines[start + 3 : start + 14]]
    assert [head.strip() for head in heads if head][:4] == ["pad", "lever", "5..95 %", "worst case"]
    lever = np.degrees(plan.travel.lever_rad[::4])
    assert [float(row[1]) for row in rows] == pytest.approx(lever, abs=0.051)
    for row, planned in zip(rows, lever, strict=True):
        (p05, p95), (least, greatest) = (map(float, cell.split("..")) for cell in row[2:4])
        assert least <= p05 <= planned + 0.06 and planned - 0.06 <= p95 <= greatest


def test_how_far_the_study_is_gets_told() -> None:
    told: list[tuple[int, int]] = []
    demo_plan().sampled_study(3000, progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (3000, 3000) and len(told) > 1 and told == sorted(told)


@pytest.mark.parametrize(
    ("happened", "samples", "said"),
    [
        (0, 4000, "0 of 4 000; with 95 % confidence below 0.093 %"),
        (4000, 4000, "4 000 of 4 000; with 95 % confidence above 99.907 %"),
        (1, 4000, "1 of 4 000, 0.025 %; with 95 % confidence between 0.00063 % and 0.14 %"),
        (50, 100, "50 of 100, 50.0 %; with 95 % confidence between 39.8 % and 60.2 %"),
    ],
)
def test_a_chance_is_rounded_away_from_certainty(happened: int, samples: int, said: str) -> None:
    assert chance_words(chance(happened, samples)) == said
