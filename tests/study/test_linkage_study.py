"""The study of a linkage against the plan, the worst-case band, the track model, and a solve of each sample alone."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.linkage import adjusted_at_rest, lever_band, pedal_angle_for_lever, rest_position, solve
from conversion.linkage.kinds import with_figures
from conversion.sensing import PullTo, Span, TrackModel
from conversion.study import (
    LinkageCase,
    StudiedTrack,
    Study,
    Toleranced,
    UnitReading,
    draw,
    linkage_figures,
    sampled_volts,
    study_linkage,
    track_figures,
)
from tests.linkage.kind_cases import KINDS, one_of
from tests.study.cases import demo_plan, market_van, planar_case

TOLERANCES = {
    "rod_length_mm": (0.5, 1.0), "module_pivot.x": (1.0, 1.0), "module_pivot.z": (1.0, 0.5),
    "pedal_pin_at_rest.x": (1.0, 1.0), "lever_pin_at_rest_stop.z": (0.5, 0.5), "pedal_axis.x": (0.01, 0.01),
}  # fmt: skip


@pytest.fixture(scope="module")
def demo() -> Study:
    return study_linkage(*market_van(), samples=3000)


@given(st.sampled_from(list(KINDS)), st.integers(0, 10_000), st.floats(5.0, 60.0), st.integers(0, 99))
@settings(deadline=None, max_examples=40)
def test_without_tolerance_no_linkage_has_a_band(kind: str, number: int, full_mm: float, seed: int) -> None:
    linkage = one_of(KINDS[kind](1, number), 0)
    names = [*(f"{name}.{letter}" for name in linkage.VECTORS for letter in "xyz"), *linkage.NUMBERS]
    exact = [figure for figure in linkage_figures(linkage, dict.fromkeys(names[:6], (0.0, 0.0)))]
    case = LinkageCase(linkage, 250.0, np.linspace(0.0, full_mm, 9), 0.4, full_stop_mm=full_mm)
    study = study_linkage(case, [*exact, Toleranced("full_stop_mm", full_mm, full_mm, full_mm)], 20, seed)
    for name, band in study.bands.items():
        np.testing.assert_array_equal(band.least, band.most)
        np.testing.assert_array_equal(band.p05, band.p95)
        np.testing.assert_allclose(band.least, band.nominal, rtol=1e-6, atol=1e-6)
        np.testing.assert_array_equal(study.corners.least[name], study.corners.most[name])
    # What no figure can change either always happens or never.
    assert all(chance.happened in (0, 20) for chance in study.chances.values())


def test_nominal_values_are_those_of_the_plan(demo: Study) -> None:
    plan = demo_plan()
    np.testing.assert_allclose(demo.bands["lever_rad"].nominal, plan.travel.lever_rad, atol=1e-12)
    assert demo.bands["margin_rad"].nominal == pytest.approx([plan.travel.margin_rad], abs=1e-12)
    assert demo.bands["pad_at_full_mm"].nominal == pytest.approx([plan.travel.pad_at_full_mm[0]], abs=1e-9)
    for name, track in plan.pedal.tracks.items():
        np.testing.assert_allclose(demo.bands[f"volts.{name}"].nominal, track.volts, atol=1e-12)
        np.testing.assert_allclose(demo.bands[f"percent.{name}"].nominal, track.percent, atol=1e-9)
    np.testing.assert_allclose(demo.bands["percent"].nominal, plan.pedal.percent, atol=1e-9)


def test_samples_and_corners_stay_within_the_first_order_worst_case_of_the_plan(demo: Study) -> None:
    travel = demo_plan().travel
    slack = 0.04 * (travel.lever_max_rad - travel.lever_min_rad)
    for least, most in (
        (demo.bands["lever_rad"].least, demo.bands["lever_rad"].most),
        (demo.corners.least["lever_rad"], demo.corners.most["lever_rad"]),
    ):
        assert np.all(most <= travel.lever_max_rad + slack)
        # At the last position the plan says where the setting leaves the lever; here the pedal may stop later.
        assert np.all(least[:-1] >= (travel.lever_min_rad - slack)[:-1])
    # At rest the setting alone decides, so its corner is reached.
    assert demo.corners.most["lever_rad"][0] == pytest.approx(travel.lever_max_rad[0], abs=1e-9)


def test_volts_of_samples_stay_within_the_sweep_of_the_plan(demo: Study) -> None:
    for name, track in demo_plan().pedal.tracks.items():
        band = demo.bands[f"volts.{name}"]
        assert np.all(band.most <= track.volts_max + 0.02)
        assert np.all(band.least[:-1] >= track.volts_min[:-1] - 0.02)


def test_the_demo_is_sound_in_every_sample_and_corner(demo: Study) -> None:
    assert {name: chance.happened for name, chance in demo.chances.items() if chance.happened} == {}
    assert not any(demo.corners.happens.values())
    assert len(demo.chances) == 10


def test_the_corners_are_those_of_the_band() -> None:
    case = planar_case()
    figures = linkage_figures(case.linkage, TOLERANCES)
    study = study_linkage(case, figures, samples=200)
    band = lever_band(case.linkage, TOLERANCES, case.pad_travel_mm / case.pad_radius_mm)
    slack = 0.04 * (band.lever_max_rad - band.lever_min_rad)
    assert study.corners.corners == 2**6
    np.testing.assert_array_less(np.abs(study.corners.most["lever_rad"] - band.lever_max_rad), slack)
    np.testing.assert_array_less(np.abs(study.corners.least["lever_rad"] - band.lever_min_rad), slack)


def test_each_sample_is_the_linkage_solved_alone() -> None:
    case, figures = market_van()
    drawn = draw(figures, 12, seed=5)
    found = case.evaluate(drawn)
    for i in range(12):
        fields = {name: getattr(case.linkage, name).copy() for name in (*case.linkage.VECTORS, "rod_length_mm")}
        for name in drawn:
            owner, _, component = name.partition(".")
            if owner in fields:
                fields[owner]["xyz".index(component)] = drawn[name][i]
        linkage = adjusted_at_rest(replace(case.linkage, **fields), drawn["set_at_rest_rad"][i])
        radius, full = drawn["pad_radius_mm"][i], drawn["full_set_rad"][i]
        pad_at_full = float(pedal_angle_for_lever(linkage, [full])[0]) * radius
        lever = solve(linkage, np.minimum(case.pad_travel_mm, pad_at_full) / radius).lever_angle_rad
        np.testing.assert_allclose(found["lever_rad"][i], lever, atol=1e-9)
        assert found["pad_at_full_mm"][i] == pytest.approx(pad_at_full, abs=1e-9)
        assert found["lever_at_rest_rad"][i] == pytest.approx(float(rest_position(linkage)), abs=1e-9)
        assert found["margin_rad"][i] == pytest.approx(drawn["swing_rad"][i] - full, abs=1e-12)


def test_a_full_stop_that_is_placed_by_pad_travel_moves_with_its_tolerance() -> None:
    case = planar_case()
    drawn = {"full_stop_mm": np.array([36.0, 40.0, 43.0]), "pad_radius_mm": np.array([250.0, 245.0, 250.0])}
    found = case.evaluate(drawn)
    for i in range(3):
        expected = solve(case.linkage, [drawn["full_stop_mm"][i] / drawn["pad_radius_mm"][i]]).lever_angle_rad[0]
        assert found["lever_at_full_rad"][i] == pytest.approx(expected, abs=1e-12)
    # Beyond its own full stop the first one's pedal stands still, and the last one's goes on past the positions.
    assert found["lever_rad"][0, -1] == found["lever_at_full_rad"][0]
    assert found["lever_rad"][2, -1] < found["lever_at_full_rad"][2]


def loaded_track(**changes: object) -> StudiedTrack:
    fields = {
        "position": np.array([0.0, 0.15, 0.4]), "ratio": np.array([0.2, 0.35, 0.8]),
        "ratio_low": np.array([0.19, 0.33, 0.77]), "ratio_high": np.array([0.22, 0.36, 0.82]),
        "stretch": Span(1.0, 0.98, 1.02), "supply_v": Span(5.0, 4.9, 5.1), "track_ohm": Span(1000.0, 800.0, 1200.0),
        "source_ohm": Span.exact(100.0), "module_pull": PullTo("supply", Span(2e4, 1.8e4, 2.2e4)),
        "series_ohm": Span(1000.0, 900.0, 1100.0), "unit_pull": PullTo("ground", Span(1e5, 0.9e5, 1.1e5)),
    }  # fmt: skip
    return StudiedTrack(TrackModel(**(fields | changes)), supply="supply_v")  # type: ignore[arg-type]


def test_volts_at_the_corners_are_those_of_the_track_model() -> None:
    track = loaded_track()
    figures = track_figures({"a": track})
    assert [figure.name for figure in figures] == [
        "a.output_at_rest", "a.output_at_full", "stretch", "supply_v", "a.track_ohm", "a.series_ohm",
        "a.module_pull_ohm", "a.unit_pull_ohm",
    ]  # fmt: skip
    ends = np.array(list(product(*((figure.low, figure.high) for figure in figures))))
    drawn = {figure.name: ends[:, i] for i, figure in enumerate(figures)}
    lever = np.linspace(-0.05, 0.45, 23)
    volts = sampled_volts("a", track, np.broadcast_to(lever, (len(ends), 23)), drawn)
    corners = track.model.corner_volts(lever)
    np.testing.assert_allclose(np.sort(volts, axis=0), np.sort(corners, axis=0), atol=1e-12)


def test_volts_without_samples_are_nominal() -> None:
    track, lever = loaded_track(), np.linspace(0.0, 0.4, 9)
    np.testing.assert_allclose(sampled_volts("a", track, lever[None], {})[0], track.model.volts(lever), atol=1e-15)


def with_tracks(reading: UnitReading, **changes: object) -> LinkageCase:
    case = planar_case()
    full = float(solve(case.linkage, [40.0 / 250.0]).lever_angle_rad[0])
    rest = float(rest_position(case.linkage))
    flat = dict.fromkeys(("ratio", "ratio_low", "ratio_high"), np.array([0.1, 0.9]))
    half = dict.fromkeys(("ratio", "ratio_low", "ratio_high"), np.array([0.05, 0.45]))
    tracks = {}
    for name, levels in (("a", flat), ("b", half)):
        track = loaded_track(
            position=np.array([0.0, case.swing_rad]), stretch=Span.exact(1.0), track_ohm=Span.exact(0.0),
            module_pull=None, unit_pull=None, **levels,
        )  # fmt: skip
        volts = [float(each) for each in track.model.volts(np.array([rest, full]))]
        windows = {"rest_v": (volts[0] - 0.1, volts[0] + 0.1), "full_v": (volts[1] - 0.1, volts[1] + 0.1)}
        tracks[name] = replace(track, valid_v=(0.1, 4.9), **windows)
    return replace(case, tracks=tracks, reading=reading, **changes)


def test_a_shared_supply_moves_both_tracks_together() -> None:
    case = with_tracks(UnitReading("learned", "smaller", "volts", at_most=0.01, factor=2.0))
    figures = track_figures(case.tracks)
    assert [figure.name for figure in figures if "supply" in figure.name] == ["supply_v"]
    together = study_linkage(case, figures, samples=500)
    assert together.chances["tracks-disagree"].happened == 0
    apart = replace(case, tracks=case.tracks | {"b": replace(case.tracks["b"], supply="other_v")})
    assert study_linkage(apart, track_figures(apart.tracks), samples=500).chances["tracks-disagree"].share > 0.5


def test_a_fixed_scale_reads_the_supply_and_a_learned_one_does_not() -> None:
    spreads = []
    for scale in ("fixed", "learned"):
        case = with_tracks(UnitReading(scale, "mean", "percent", at_most=5.0))  # type: ignore[arg-type]
        band = study_linkage(case, track_figures(case.tracks), samples=500).bands["percent"]
        assert band.nominal[[0, -1]] == pytest.approx([0.0, 100.0], abs=1e-6)
        spreads.append(float(band.most[-1] - band.least[-1]))
    assert spreads[0] > 3.0
    assert spreads[1] < 1e-3


@pytest.mark.parametrize(
    ("figure", "event"),
    [
        (Toleranced("swing_rad", 0.36, 0.05, 0.36), "module-full-stop-first"),
        (Toleranced("rod_length_mm", 166.3, 160.0, 167.0), "module-rest-stop-first"),
        (Toleranced("rod_length_mm", 166.3, 160.0, 300.0), "does-not-close"),
        (Toleranced("full_stop_mm", 40.0, 20.0, 40.0), "full-window-missed.a"),
        (Toleranced("rod_length_mm", 166.3, 160.0, 176.0), "rest-window-missed.b"),
        (Toleranced("supply_v", 5.0, 5.0, 6.0), "valid-range-left.a"),
        (Toleranced("a.output_at_rest", 0.0, -1.0, 1.0), "tracks-disagree"),
    ],
)
def test_each_event_happens_when_its_figure_strays(figure: Toleranced, event: str) -> None:
    reading = UnitReading("fixed", "smaller", "percent", at_most=1.0)
    case = with_tracks(reading)
    if event == "valid-range-left.a":
        case = replace(case, full_stop_mm=55.0)
    if event == "tracks-disagree":
        spread = replace(case.tracks["a"].model, ratio_high=np.array([0.15, 0.9]))
        case = replace(case, tracks=case.tracks | {"a": replace(case.tracks["a"], model=spread)})
    study = study_linkage(case, [figure], samples=300)
    assert study.chances[event].happened > 0
    assert study.corners.happens[event]
    still = study_linkage(case, [replace(figure, low=figure.nominal, high=figure.nominal)], samples=3)
    assert still.chances[event].happened == 0


def test_least_difference_in_volts_is_an_event() -> None:
    case = with_tracks(UnitReading("learned", "smaller", "volts", at_most=5.0, at_least=0.2))
    assert study_linkage(case, [], samples=4).chances["tracks-disagree"].happened == 0
    strict = replace(case, reading=replace(case.reading, at_least=4.0))  # type: ignore[type-var]
    assert study_linkage(strict, [], samples=4).chances["tracks-disagree"].happened == 4


def test_the_rod_matters_least_once_it_is_set_at_rest() -> None:
    case = planar_case()
    figures = linkage_figures(case.linkage, TOLERANCES)
    free = study_linkage(case, figures, samples=3000).ranking("lever_rad", 0)
    assert next(iter(free.share)) in ("rod_length_mm", "module_pivot.x", "pedal_pin_at_rest.x")
    adjusted = replace(case, set_at_rest_rad=float(rest_position(case.linkage)))
    setting = Toleranced("set_at_rest_rad", adjusted.set_at_rest_rad, 0.0, 0.06)  # type: ignore[arg-type]
    ranked = study_linkage(adjusted, [*figures, setting], samples=3000).ranking("lever_rad", 0)
    assert ranked.share["set_at_rest_rad"] == pytest.approx(1.0, abs=1e-3)
    assert ranked.share["rod_length_mm"] < 1e-3


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_solved_as_if_alone(kind: str) -> None:
    linkage = one_of(KINDS[kind](1, 11), 0)
    vector, number = linkage.VECTORS[0], linkage.NUMBERS[0]
    case = planar_case(linkage=linkage, swing_rad=2.0, pad_travel_mm=np.linspace(0.0, 30.0, 5), full_stop_mm=30.0)
    figures = linkage_figures(linkage, {f"{vector}.y": (0.2, 0.1), number: (0.0, 0.02)})
    drawn = draw(figures, 4, seed=2)
    found = case.evaluate(drawn)
    for i in range(4):
        moved = getattr(linkage, vector).copy()
        moved[1] = drawn[f"{vector}.y"][i]
        alone = with_figures(linkage, {vector: moved, number: drawn[number][i]})
        motion = solve(alone, case.pad_travel_mm / 250.0)
        np.testing.assert_allclose(found["lever_rad"][i], motion.lever_angle_rad, atol=1e-9)
        assert found["lever_at_rest_rad"][i] == pytest.approx(float(motion.driven_rad[0]), abs=1e-9, nan_ok=True)
    assert ("module-rest-stop-first" in found) is not linkage.one_way
    assert study_linkage(case, figures, samples=20).bands["lever_rad"].nominal.shape == (5,)


@pytest.mark.parametrize(
    "name",
    ["rod_length", "module_pivot.w", "module_pivot", "full_set_rad", "set_at_rest_rad", "c.track_ohm", "lever_sense"],
)
def test_figures_that_the_case_does_not_have(name: str) -> None:
    with pytest.raises(ValueError, match=f"'{name}' is not a figure of this case"):
        study_linkage(planar_case(), [Toleranced(name, 1.0, 0.5, 1.5)], samples=3)


def test_full_stops_and_tolerances_that_do_not_fit() -> None:
    with pytest.raises(ValueError, match="full_set_rad or full_stop_mm"):
        planar_case(full_set_rad=0.3)
    with pytest.raises(ValueError, match=r"tolerance of rod_length_mm \(200\) is larger than the figure"):
        linkage_figures(planar_case().linkage, {"rod_length_mm": (200.0, 1.0)})
    with pytest.raises(ValueError, match="not a figure of the linkage"):
        linkage_figures(planar_case().linkage, {"pad_radius_mm": (1.0, 1.0)})
