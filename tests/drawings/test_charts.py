"""Charts: true to their axes, readable without colour, and unbroken by figures that are not there."""

from __future__ import annotations

import re
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion import resources
from conversion.description import Missing, read_description
from conversion.drawings import charts
from conversion.drawings.drawing import Drawing
from conversion.drawings.panel import LIMIT, STYLES, Curve, Level, Mark, Panel, Whisker, Window
from conversion.drawings.panel_sheet import INNER, chart
from conversion.drawings.scales import Scale, inside, marks, round_step, rounded_outward, shown_range
from conversion.drawings.svg import PALE
from conversion.drawings.tolerance_chart import tolerance_chart
from conversion.plan import Plan
from tests.drawings.picture import Picture
from tests.drawings.varied import BEHIND, FLOOR_HINGED, LEANING, PENDANT, TOO_SHORT, varied, with_linkage
from tests.rules.arrangements import OPPOSITE_SHARED
from tests.rules.patching import patched_plan

CHARTS: dict[str, Callable[[Plan], Drawing]] = {
    "lever": charts.lever_angle_chart,
    "ratio": charts.ratio_chart,
    "volts": charts.pedal_volts_chart,
    "percent": charts.percent_chart,
    "force": charts.force_chart,
    "return": charts.return_chart,
    "throttle": charts.throttle_volts_chart,
    "tolerance of the lever": lambda plan: tolerance_chart(plan)[0],
    "tolerance of the volts": lambda plan: tolerance_chart(plan)[1],
}


@pytest.fixture(scope="module")
def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def sound(drawing: Drawing) -> Picture:
    """The picture, after what every chart has to keep."""
    picture = Picture(drawing.svg)
    assert (picture.width, picture.height) == (drawing.width_mm, pytest.approx(drawing.height_mm, abs=1e-3))
    assert picture.overlapping() == []
    assert picture.outside() == []
    return picture


def axis(picture: Picture, which: str, panel: int = 0) -> Callable[[float], float]:
    """From a figure to its place on the page, read from the marks of a panel's axis as a reader would."""
    frames = [
        shape for shape in picture.shapes_of("rect", fill="none") if shape.points[1][0] - shape.points[0][0] > 100.0
    ]
    (left, top), (_, bottom) = frames[panel].points
    grid = [shape.points for shape in picture.shapes_of("line", stroke_width="0.1")]
    levels = sorted({one[1] for one, two in grid if one[1] == two[1]})
    uprights = sorted({one[0] for one, two in grid if one[0] == two[0]})
    found = []
    for text in picture.texts:
        (x, y), words = text.box.middle, text.words
        if not re.fullmatch(r"-?[0-9.]+", words):
            continue
        if which == "y" and text.box.right < left and top - 2.0 < y < bottom + 2.0:
            found.append((float(words), min(levels, key=lambda level: abs(level - y))))
        if which == "x" and text.box.top > bottom and y < bottom + 5.0:
            found.append((float(words), min(uprights, key=lambda upright: abs(upright - x))))
    values, places = np.array(sorted(found)).T
    slope, start = np.polyfit(values, places, 1)
    assert np.allclose(places, start + slope * values, atol=0.01), "the marks are not evenly spaced"
    return lambda value: float(start + slope * value)


def lines_of(picture: Picture, pen: int = 0) -> list[tuple[tuple[float, float], ...]]:
    """The curves drawn in a style."""
    style = STYLES[pen]
    found = picture.shapes_of("polyline", stroke_width=f"{style.width_mm:g}")
    return [shape.points for shape in found if ("stroke-dasharray" in shape.attributes) == bool(style.dashes)]


@pytest.mark.parametrize("name", CHARTS)
def test_every_chart_of_the_demo_is_readable(van: Plan, name: str) -> None:
    picture = sound(CHARTS[name](van))
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in picture.colours()), "a colour is used"


@pytest.mark.parametrize("name", CHARTS)
def test_the_same_plan_gives_the_same_bytes(van: Plan, name: str) -> None:
    again = Plan(read_description(resources.harnesses_dir() / "market-van"))
    assert CHARTS[name](van) == CHARTS[name](again)


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(
    "linkage", [FLOOR_HINGED, BEHIND, PENDANT, TOO_SHORT], ids=["floor", "behind", "flat", "short"]
)
def test_charts_of_other_linkages_are_readable(name: str, linkage: dict[str, object], tmp_path: Path) -> None:
    spring = {"acts_on": "pedal", "type": "torsion", "rest_moment": "1 N·m", "rate": "0.02 N·m/°"}
    sound(CHARTS[name](with_linkage(tmp_path, linkage, {"only": spring})))


def test_the_band_of_the_samples_is_drawn_over_the_worst_case_and_inside_it(van: Plan) -> None:
    picture = sound(tolerance_chart(van)[0])
    y = axis(picture, "y")
    polygons = picture.shapes_of("polygon")
    pale, dark = (
        next(shape.points for shape in polygons if shape.attributes["fill"] == fill) for fill in (PALE, INNER)
    )
    study = van.study.study
    count = len(study.positions)
    for drawn, edge in ((pale, study.corners.most["lever_rad"]), (dark, study.bands["lever_rad"].p95)):
        assert drawn[20][1] == pytest.approx(y(float(np.degrees(edge[20]))), abs=0.01)
    for (_, outer), (_, inner) in zip(pale[:count], dark[:count], strict=True):
        assert outer <= inner + 0.01
    assert [shape.attributes["fill"] for shape in polygons][:2] == [PALE, INNER]


def test_the_lever_curve_lies_where_its_axes_say(van: Plan) -> None:
    picture = sound(charts.lever_angle_chart(van))
    x, y = axis(picture, "x"), axis(picture, "y")
    (curve,) = lines_of(picture)
    travel = van.travel
    assert len(curve) == travel.pad_travel_mm.size
    for index in (0, 17, -1):
        at = x(float(travel.pad_travel_mm[index])), y(float(np.degrees(travel.lever_rad[index])))
        assert curve[index] == pytest.approx(at, abs=0.1)


def test_the_band_lies_where_its_axes_say(van: Plan) -> None:
    picture = sound(charts.pedal_volts_chart(van))
    y = axis(picture, "y")
    band = picture.shapes_of("polygon")[0].points
    track = van.pedal.tracks["a"]
    heights = [height for _, height in band]
    assert min(heights) == pytest.approx(y(float(track.volts_max.max())), abs=0.1)
    assert max(heights) == pytest.approx(y(float(track.volts_min.min())), abs=0.1)


def test_windows_stand_at_the_volts_that_are_accepted(van: Plan) -> None:
    picture = sound(charts.throttle_volts_chart(van))
    y = axis(picture, "y")
    bars = [shape.points for shape in picture.shapes_of("line", stroke_width="0.4")]
    upright = {tuple(round(end[1], 1) for end in bar) for bar in bars if bar[0][0] == bar[1][0]}
    for track in van.throttle_tracks.values():
        assert track.accepts is not None
        for window in (track.accepts.rest, track.accepts.full):
            assert window is not None
            assert any(ends == pytest.approx((y(window.low), y(window.high)), abs=0.1) for ends in upright)


def test_equal_valid_limits_are_labelled_once(van: Plan, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, OPPOSITE_SHARED)
    words = [text.words for text in Picture(charts.throttle_volts_chart(plan).svg).texts]
    assert sum(word.startswith("valid limit a and b") for word in words) == 2
    # The van's own two ranges differ, and each of their four limits is labelled.
    words = [text.words for text in Picture(charts.throttle_volts_chart(van).svg).texts]
    assert sum(word.startswith("valid limit ") for word in words) == 4
    assert not any(word.startswith("valid limit a and b") for word in words)


def test_the_modules_stops_are_hatched(van: Plan) -> None:
    picture = Picture(charts.lever_angle_chart(van).svg)
    y = axis(picture, "y")
    swing = y(float(np.degrees(van.travel.geometry.swing_rad[0])))
    hatched = [shape.points for shape in picture.shapes_of("path")]
    assert len(hatched) == 2
    spans = sorted((min(py for _, py in points), max(py for _, py in points)) for points in hatched)
    assert spans[0] == (pytest.approx(swing - 2.0, abs=0.1), pytest.approx(swing, abs=0.1))
    assert spans[1] == (pytest.approx(y(0.0), abs=0.1), pytest.approx(y(0.0) + 2.0, abs=0.1))


def test_the_module_that_stops_first_is_marked(tmp_path: Path) -> None:
    longer = PENDANT | {"pedal": PENDANT["pedal"] | {"full_stop": {"origin": "made", "at": "150 mm"}}}
    plan = with_linkage(tmp_path, longer)
    assert plan.travel.ended_by == "module"
    words = [text.words for text in sound(charts.lever_angle_chart(plan)).texts]
    assert any(word.startswith("module stops first") for word in words)


def test_one_track_has_one_curve_and_no_difference(tmp_path: Path) -> None:
    def one(data: dict[str, dict[str, object]]) -> None:
        del data["tracks"]["b"]
        for cavity in (4, 5, 6):
            data["housings"]["A"]["cavities"][cavity] = "empty"  # type: ignore[index]

    plan = varied(tmp_path, pedal_module=one)
    assert [text.words for text in sound(charts.pedal_volts_chart(plan)).texts].count("track a") == 1
    assert not any(text.words == "track b" for text in sound(charts.percent_chart(plan)).texts)


def test_tracks_that_agree_can_still_be_told_apart(van: Plan) -> None:
    """The demo's per cent lines lie on each other; one is thin, one thick and broken."""
    picture = sound(charts.percent_chart(van))
    samples = {tuple(sorted(shape.attributes.items())) for shape in picture.shapes_of("polyline")}
    pens = {(dict(each)["stroke-width"], dict(each).get("stroke-dasharray")) for each in samples}
    assert len(pens - {("0.1", None)}) >= 3


def test_an_unknown_figure_leaves_only_its_charts_out(tmp_path: Path) -> None:
    plan = varied(tmp_path, lambda data: data["springs"]["second"].update(rest_moment="unknown"))
    with pytest.raises(Missing, match=r"springs\.second\.rest_moment"):
        charts.return_chart(plan)
    sound(charts.lever_angle_chart(plan))


def test_many_springs_leave_room_for_their_names(tmp_path: Path) -> None:
    spring = {"acts_on": "pedal", "type": "torsion", "rest_moment": "0.4 N·m", "rate": "0.02 N·m/°"}
    springs = {f"a-spring-with-a-name-as-long-as-names-may-be-{number:02}": spring for number in range(20)}
    drawing = charts.return_chart(varied(tmp_path, lambda data: data.update(springs=springs)))
    assert "worst cases of" in drawing.caption
    sound(drawing)


def test_the_transmission_angle_does_not_ramp_across_its_step(tmp_path: Path) -> None:
    """A rod that leans sideways steps across 90°: no stroke may join both sides."""
    plan = with_linkage(tmp_path, LEANING)
    assert np.abs(np.diff(np.degrees(plan.travel.transmission_lever_rad))).max() > 10.0
    picture = sound(charts.ratio_chart(plan))
    y = axis(picture, "y", panel=1)
    _, *curves = lines_of(picture)
    assert len(curves) == 2, "the curve is not broken"
    five_degrees = abs(y(5.0) - y(0.0))
    assert all(abs(one[1] - two[1]) < five_degrees for curve in curves for one, two in pairwise(curve))


# The chart itself, without a plan.

X = np.linspace(0.0, 10.0, 11)


def plain(*ys: np.ndarray, **rest: object) -> Picture:
    curves = tuple(Curve(f"curve {number}", X, y, STYLES[number]) for number, y in enumerate(ys))
    return sound(chart("c", "t", "d", [Panel("x [mm]", "y [V]", curves, **rest)]))  # type: ignore[arg-type]


def test_a_gap_breaks_the_line() -> None:
    y = X.copy()
    y[4] = np.nan
    first, second = lines_of(plain(y))
    assert (len(first), len(second)) == (4, 6)


@pytest.mark.parametrize("value", [np.nan, np.inf, -np.inf])
def test_a_curve_without_figures_says_so(value: float) -> None:
    picture = plain(np.full(11, value))
    assert lines_of(picture) == []
    assert any("(no figure)" in text.words for text in picture.texts)


@pytest.mark.parametrize("value", [0.0, 3.0, -7.5, 1e-9, 1e12])
def test_a_flat_curve_lies_inside_the_plot(value: float) -> None:
    (line,) = lines_of(plain(np.full(11, value)))
    (frame,) = [shape for shape in plain(np.full(11, value)).shapes_of("rect", fill="none")]
    assert all(frame.points[0][1] < y < frame.points[1][1] for _, y in line)


def test_a_spike_does_not_flatten_the_rest() -> None:
    """Near a dead centre a few figures grow without end; the others must stay legible."""
    y = X.copy()
    y[5] = 1e9
    low, high = shown_range([y])
    assert low <= 0.0 and 10.0 <= high < 100.0
    for line in lines_of(plain(y)):
        assert all(1.0 < place < 100.0 for _, place in line)


def test_two_infinities_in_a_band_are_left_out() -> None:
    low, high = X - 1.0, X + 1.0
    low[3], high[8] = -np.inf, np.nan
    curve = Curve("banded", X, X, STYLES[0], low, high)
    picture = sound(chart("c", "t", "d", [Panel("x", "y", (curve,))]))
    assert len(picture.shapes_of("polygon")) == 3


def test_an_empty_panel_is_still_a_chart() -> None:
    sound(chart("c", "t", "d", [Panel("x", "y", ())]))


def test_hostile_labels_are_shown_as_written() -> None:
    words = '<script> & "quoted"'
    panel = Panel(
        "x", "y", (Curve(words, X, X, STYLES[0]),), (Level(5.0, "]]> level"),), (Mark(3.0, "</svg>", LIMIT),),
        (Window("left", 1.0, 2.0, "&"),), (Whisker(0.0, 1.0, 3.0),),
    )  # fmt: skip
    shown = {text.words for text in sound(chart("c", "<t>", "d & d", [panel])).texts}
    assert {words, "]]> level", "</svg>", "&"} <= shown


@given(st.floats(-1e6, 1e6), st.floats(1e-6, 1e6), st.integers(3, 9))
def test_axes_have_few_round_marks_and_hold_everything(low: float, span: float, wanted: int) -> None:
    high = low + span
    step = round_step(low, high, wanted)
    assert round(step / 10.0 ** np.floor(np.log10(step) + 1e-9), 6) in (1.0, 2.0, 5.0)
    first, last = rounded_outward(low, high, step)
    assert first <= low + 1e-6 * step and last >= high - 1e-6 * step
    assert 2 <= len(marks(first, last, step)) <= wanted + 3


@given(st.lists(st.floats(allow_nan=True, allow_infinity=True, width=32), max_size=30))
def test_the_shown_range_is_finite_and_not_empty(values: list[float]) -> None:
    low, high = shown_range([values], always=[0.0])
    assert np.isfinite(low) and np.isfinite(high) and low < high
    assert low <= 0.0 <= high


@given(st.lists(st.floats(-50.0, 50.0) | st.just(float("nan")), min_size=2, max_size=20))
def test_curves_are_cut_at_the_edge_of_the_plot(ys: list[float]) -> None:
    x_scale, y_scale = Scale(0.0, len(ys) - 1.0, 10.0, 90.0), Scale(-10.0, 10.0, 60.0, 20.0)
    for line in inside([float(index) for index in range(len(ys))], ys, y_scale, x_scale):
        assert len(line) >= 2
        assert all(10.0 - 1e-9 <= x <= 90.0 + 1e-9 and 20.0 - 1e-9 <= y <= 60.0 + 1e-9 for x, y in line)
