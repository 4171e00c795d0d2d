"""Points from a tape: exact cases, mirror images, slips, spread, and what cannot be placed."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from conversion.linkage.tape import (
    BadReading,
    CoincidentPoints,
    ImpossibleTriangle,
    Reading,
    SideNeeded,
    TapeError,
    TooFewReadings,
    locate,
    suspect,
)

KNOWN = {
    "pivot": [0.0, 0.0, 0.0], "bolt": [180.0, 70.0, -20.0], "seam": [-60.0, 30.0, -250.0],
    "stud": [300.0, -200.0, 50.0], "tube": [50.0, -150.0, -100.0], "edge": [220.0, 120.0, -330.0],
}  # fmt: skip
PIN = np.array([120.0, -40.0, -260.0])
DOWN = [0.0, 0.0, -1.0]


def tape(name: str, point: np.ndarray = PIN, slip: float = 0.0, tolerance: float = 1.0) -> Reading:
    known = np.array(KNOWN[name])
    return Reading("distance", name, float(np.linalg.norm(point - known)) + slip, tolerance, known_mm=known)


def protractor(name: str, point: np.ndarray = PIN, direction: list[float] = DOWN, slip: float = 0.0) -> Reading:
    known = np.array(KNOWN[name])
    way = point - known
    angle = math.acos(float(way @ direction) / float(np.linalg.norm(way)))
    return Reading("angle", name, angle + slip, math.radians(0.5), known_mm=known, direction=direction)


def test_three_four_five() -> None:
    readings = [
        Reading("distance", "a", 3.0, 0.1, known_mm=[0, 0, 0]),
        Reading("distance", "b", 4.0, 0.1, known_mm=[5, 0, 0]),
        Reading("coordinate", "z", 0.0, 0.1),
    ]
    left, right = locate(readings, "left"), locate(readings, "right")
    np.testing.assert_allclose(left.point_mm, [1.8, 2.4, 0.0], atol=1e-9)
    np.testing.assert_allclose(right.point_mm, [1.8, -2.4, 0.0], atol=1e-9)
    np.testing.assert_allclose(left.candidates[1], right.point_mm, atol=1e-9)
    assert left.agrees
    assert left.determined


def test_three_distances_lie_on_either_side_of_their_plane() -> None:
    readings = [
        Reading("distance", name, math.sqrt(3.0), 0.01, known_mm=known)
        for name, known in (("a", [2, 1, 0]), ("b", [1, 2, 0]), ("c", [0, 1, 0]))
    ]
    np.testing.assert_allclose(locate(readings, "up").point_mm, [1, 1, math.sqrt(2)], atol=1e-9)
    np.testing.assert_allclose(locate(readings, "down").point_mm, [1, 1, -math.sqrt(2)], atol=1e-9)
    with pytest.raises(SideNeeded, match="forward, back, left, right, up or down") as raised:
        locate(readings)
    assert len(raised.value.candidates) == 2
    with pytest.raises(SideNeeded, match="as far left"):
        locate(readings, "left")


def test_a_point_off_the_plane_needs_no_side() -> None:
    located = locate([tape(name) for name in ("pivot", "bolt", "seam", "stud")])
    np.testing.assert_allclose(located.point_mm, PIN, atol=1e-6)
    assert len(located.candidates) == 1


@pytest.mark.parametrize(
    ("readings", "side"),
    [
        ([tape("pivot"), protractor("pivot"), Reading("coordinate", "y", -40.0, 1.0)], "forward"),
        ([protractor("pivot"), protractor("bolt"), Reading("coordinate", "y", -40.0, 1.0)], "up"),
        ([tape("pivot"), Reading("coordinate", "y", -40.0, 1.0), Reading("coordinate", "z", -260.0, 1.0)], "forward"),
        ([tape("pivot"), tape("stud"), protractor("stud")], "right"),
    ],
    ids=["tape and protractor", "two protractors", "two coordinates", "protractor across"],
)  # fmt: skip
def test_mixed_readings(readings: list[Reading], side: str) -> None:
    located = locate(readings, side)  # type: ignore[arg-type]
    assert np.min(np.linalg.norm(located.candidates - PIN, axis=1)) < 1e-5
    if side != "right":
        np.testing.assert_allclose(located.point_mm, PIN, atol=1e-5)


def test_noise_within_the_tolerances_stays_within_the_spread() -> None:
    slips = (0.8, -0.9, 0.4, -0.3, 0.9, -0.6)
    located = locate([tape(name, slip=slip) for name, slip in zip(KNOWN, slips, strict=True)])
    assert located.agrees
    assert np.all(np.abs(located.point_mm - PIN) <= 1.02 * located.worst_mm)
    assert np.linalg.norm(located.point_mm - PIN) > 0.1


@pytest.mark.parametrize("wrong", KNOWN)
@pytest.mark.parametrize("slip", [10.0, -10.0])
def test_a_slip_of_ten_millimetres_is_found(wrong: str, slip: float) -> None:
    noise = dict(zip(KNOWN, (0.3, -0.2, 0.1, -0.3, 0.2, 0.1), strict=True))
    readings = [tape(name, slip=noise[name] + slip * (name == wrong)) for name in KNOWN]
    located = locate(readings)
    assert not located.agrees
    said = suspect(located)
    assert said.reading == list(KNOWN).index(wrong)
    right = float(np.linalg.norm(PIN - KNOWN[wrong]))
    assert said.should_be[0] == pytest.approx(right, abs=3.0)
    assert f"from {wrong} again" in said.text


def test_a_protractor_slip_is_told_in_degrees() -> None:
    readings = [*(tape(name) for name in KNOWN), protractor("pivot", slip=math.radians(8.0))]
    said = suspect(locate(readings))
    assert said.reading == 6
    assert "near 25.9°" in said.text


def test_one_reading_too_many_cannot_tell_which_is_wrong() -> None:
    readings = [tape("pivot"), tape("bolt", slip=25.0), tape("seam"), tape("stud")]
    said = suspect(locate(readings))
    assert said.reading is None
    assert len(said.readings) == 4
    assert "One more reading would tell which" in said.text


def test_two_slips_are_explained_by_none() -> None:
    readings = [tape(name, slip=30.0 * (name in ("pivot", "bolt"))) for name in KNOWN]
    said = suspect(locate(readings))
    assert said.readings == ()
    assert "no single one explains it" in said.text


def test_readings_that_agree_are_not_suspected() -> None:
    readings = [tape(name) for name in KNOWN]
    assert suspect(locate(readings)).readings == ()


def test_the_better_tape_weighs_more() -> None:
    readings = [tape(name) for name in ("pivot", "bolt", "seam", "stud")]
    for good in range(4):
        changed = [
            tape(reading.from_name, slip=1.0 if i == 0 else 0.0, tolerance=0.1 if i == good else 1.0)
            for i, reading in enumerate(readings)
        ]
        residuals = np.abs(locate(changed).residuals)
        even = np.abs(
            locate([tape(reading.from_name, slip=float(i == 0)) for i, reading in enumerate(readings)]).residuals
        )
        assert residuals[good] < even[good]


def test_spread_against_samples_of_the_readings() -> None:
    names = ("pivot", "bolt", "seam", "tube")
    located = locate([tape(name) for name in names])
    rng = np.random.default_rng(5)
    found = np.array([
        locate([tape(name, slip=slip) for name, slip in zip(names, rng.uniform(-1.0, 1.0, 4), strict=True)]).point_mm
        for _ in range(400)
    ])  # fmt: skip
    # A standard deviation from 400 samples is good to about 1/√800 = 3.5 %; three of those.
    np.testing.assert_allclose(found.std(axis=0), located.standard_mm, rtol=0.11)
    assert np.all(np.abs(found - PIN).max(axis=0) < 1.02 * located.worst_mm)
    corners = np.array(np.meshgrid(*[[-1.0, 1.0]] * 4)).reshape(4, -1).T
    worst = np.array([
        np.abs(locate([tape(name, slip=slip) for name, slip in zip(names, corner, strict=True)]).point_mm - PIN)
        for corner in corners
    ])  # fmt: skip
    np.testing.assert_allclose(worst.max(axis=0), located.worst_mm, rtol=0.05)


def loosely(name: str, off_mm: list[float], moved_mm: np.ndarray | None = None) -> Reading:
    """A reading toward the true pin from a mark that is written with a tolerance, and stands where it was moved to."""
    true = np.array(KNOWN[name])
    moved = true if moved_mm is None else true + moved_mm
    return Reading("distance", name, float(np.linalg.norm(PIN - moved)), 0.5, known_mm=true, known_tolerance_mm=off_mm)


def test_what_a_mark_may_be_off_is_added_to_the_spread() -> None:
    """Against the mark moved to every corner of its tolerance, its readings as they would be from there."""
    names, off = ("pivot", "bolt", "seam"), [3.0, 2.0, 1.0]
    exact = locate([loosely(name, [0.0, 0.0, 0.0]) for name in names], "down")
    loose = locate([loosely(name, off if name == "bolt" else [0.0, 0.0, 0.0]) for name in names], "down")
    corners = np.array(np.meshgrid(*[[-each, each] for each in off])).reshape(3, -1).T
    moved = np.array([
        locate([loosely("pivot", [0] * 3), loosely("bolt", off, corner), loosely("seam", [0] * 3)], "down").point_mm
        for corner in corners
    ])  # fmt: skip
    # What is left is of second order in a tolerance of 3 mm over some 100 mm.
    np.testing.assert_allclose(np.abs(moved - PIN).max(axis=0), loose.worst_mm - exact.worst_mm, rtol=0.05, atol=0.05)
    assert loose.readings[1].tolerance > 0.5 and loose.readings[0].tolerance == 0.5


def test_a_reading_from_a_loose_mark_may_disagree_by_more_and_weighs_less() -> None:
    names = ("pivot", "bolt", "seam", "stud", "tube")
    slipped = np.array([8.0, 0.0, 0.0])
    readings = [loosely(name, [0.0] * 3, slipped if name == "stud" else None) for name in names]
    assert not locate(readings).agrees
    assert suspect(locate(readings)).reading == 3
    allowed = [loosely(name, [8.0] * 3 if name == "stud" else [0.0] * 3, slipped if name == "stud" else None)
               for name in names]  # fmt: skip
    assert locate(allowed).agrees
    assert np.linalg.norm(locate(allowed).point_mm - PIN) < np.linalg.norm(locate(readings).point_mm - PIN)


def test_an_angle_from_a_loose_mark_is_widened_by_what_that_turns_it() -> None:
    seen = Reading("angle", "bolt", 0.5, 0.01, known_mm=[0, 0, 0], direction=[0, 0, 1], known_tolerance_mm=[0, 0, 4])
    assert seen.widened(np.array([200.0, 0.0, 0.0])).tolerance == pytest.approx(0.01 + 4.0 / 200.0, rel=1e-3)
    assert seen.widened().tolerance > 0.01 + 4.0 / 200.0


def test_a_point_in_the_plane_of_the_known_points_is_not_determined() -> None:
    readings = [
        Reading("distance", "a", 150.0, 1.0, known_mm=[0, 0, 0]),
        Reading("distance", "b", 150.0, 1.0, known_mm=[300, 0, 0]),
        Reading("coordinate", "y", 0.0, 1.0),
    ]
    touching = locate(readings)
    np.testing.assert_allclose(touching.point_mm, [150.0, 0.0, 0.0], atol=1e-3)
    assert not touching.determined
    assert np.all(np.isinf(touching.worst_mm))
    nearly = locate([Reading("distance", "a", 150.5, 1.0, known_mm=[0, 0, 0]), *readings[1:]], "up")
    assert nearly.point_mm[2] > 5.0
    assert not nearly.determined
    short = locate([Reading("distance", "a", 149.0, 1.0, known_mm=[0, 0, 0]), *readings[1:]])
    assert short.residuals[:2] == pytest.approx([-0.5, -0.5], abs=1e-6)
    assert short.agrees


@pytest.mark.parametrize(
    ("readings", "kind", "says", "which"),
    [
        ([("a", 0, 100.0), ("b", 300, 120.0)], ImpossibleTriangle, "300.0 mm apart, 80.0 mm more than both", (0, 1)),
        ([("a", 0, 500.0), ("b", 300, 120.0)], ImpossibleTriangle, "80.0 mm more than the shorter one", (0, 1)),
        ([("a", 0, 200.0), ("b", 0, 210.0)], CoincidentPoints, "a and b lie at the same place", (0, 1)),
        ([("a", 0, 0.0)], BadReading, "must be more than zero", (0,)),
        ([("a", 0, 200.0), ("b", 300, -3.0)], BadReading, "-3.0 mm from b must be more", (1,)),
        ([("a", 0, math.nan)], BadReading, "not a finite number", (0,)),
        ([("a", 0, 200.0), ("b", 300, 200.0)], TooFewReadings, "needs three readings, and there are two", (0, 1)),
        ([("a", 0, 200.0)], TooFewReadings, "there is one", (0,)),
        ([], TooFewReadings, "there are none", ()),
        ([("a", 0, 200.0), ("b", 300, 200.0), ("c", 200, 180.3)], TooFewReadings, "a, b, c lie in one line", (0, 1, 2)),
    ],
)  # fmt: skip
def test_readings_that_place_nothing(
    readings: list[tuple[str, float, float]], kind: type[TapeError], says: str, which: tuple[int, ...]
) -> None:
    with pytest.raises(kind, match=says) as raised:
        locate([Reading("distance", name, value, 1.0, known_mm=[at, 0, 0]) for name, at, value in readings])
    assert raised.value.readings == which


@pytest.mark.parametrize(
    ("reading", "says"),
    [
        (Reading("distance", "a", 5.0, 0.0), "needs a tolerance above zero"),
        (Reading("angle", "a", 3.2, 0.1, direction=DOWN), "between 0° and 180°"),
        (Reading("angle", "a", 0.2, 0.1), "needs a direction"),
        (Reading("coordinate", "w", 0.2, 0.1), "x, y or z, not 'w'"),
    ],
)
def test_single_readings_that_cannot_be(reading: Reading, says: str) -> None:
    with pytest.raises(BadReading, match=says):
        locate([reading])


def test_a_distance_too_short_for_a_coordinate() -> None:
    readings = [Reading("distance", "a", 50.0, 1.0), Reading("coordinate", "z", -80.0, 1.0)]
    with pytest.raises(ImpossibleTriangle, match=r"80\.0 mm away from a already"):
        locate(readings)


def test_a_coordinate_along_the_line_of_the_known_points_leaves_a_circle() -> None:
    readings = [
        Reading("distance", "a", 200.0, 1.0), Reading("distance", "b", 200.0, 1.0, known_mm=[300, 0, 0]),
        Reading("coordinate", "x", 150.0, 1.0),
    ]  # fmt: skip
    with pytest.raises(TooFewReadings, match="free to move along a line"):
        locate(readings)


coordinates = st.floats(-400.0, 400.0)
points = st.tuples(coordinates, coordinates, coordinates).map(np.array)


def flatness(known: list[np.ndarray]) -> float:
    """How far the known points are from lying in one plane, as a share of their extent."""
    sizes = np.linalg.svd(np.array(known) - np.mean(known, axis=0), compute_uv=False)
    return float(sizes[-1] / max(sizes[0], 1.0))


@given(points, st.lists(points, min_size=4, max_size=6))
def test_exact_distances_give_the_point_back(point: np.ndarray, known: list[np.ndarray]) -> None:
    distances = [float(np.linalg.norm(point - each)) for each in known]
    assume(min(distances) > 20.0 and flatness(known) > 0.1)
    apart = [np.linalg.norm(one - other) for i, one in enumerate(known) for other in known[:i]]
    assume(min(apart) > 5.0)
    readings = [
        Reading("distance", f"p{i}", distance, 0.5, known_mm=each)
        for i, (each, distance) in enumerate(zip(known, distances, strict=True))
    ]
    located = locate(readings)
    np.testing.assert_allclose(located.point_mm, point, atol=1e-4)
    np.testing.assert_allclose(located.residuals, 0.0, atol=1e-5)


@given(points, st.lists(st.floats(-0.9, 0.9), min_size=6, max_size=6))
def test_no_direction_is_left_in_which_the_residuals_would_shrink(point: np.ndarray, slips: list[float]) -> None:
    assume(min(np.linalg.norm(point - known) for known in KNOWN.values()) > 30.0)
    readings = [tape(name, point, slip) for name, slip in zip(KNOWN, slips, strict=True)]
    located = locate(readings)
    slopes = np.array([reading.slope_at(located.point_mm) for reading in readings])
    np.testing.assert_allclose(located.residuals_in_tolerances @ slopes, 0.0, atol=1e-5)
    truth = np.array([reading.value - reading.read_at(point) for reading in readings])
    assert np.sum(located.residuals**2) <= np.sum(truth**2) + 1e-9


@given(points, st.sampled_from(["up", "down"]))
def test_mirror_images_differ_in_the_side_alone(point: np.ndarray, side: str) -> None:
    assume(abs(point[2]) > 20.0)
    known = [np.array(each) for each in ([0, 0, 0], [200, 30, 0], [60, 220, 0])]
    readings = [
        Reading("distance", f"p{i}", float(np.linalg.norm(point - each)), 0.5, known_mm=each)
        for i, each in enumerate(known)
    ]
    up, down = locate(readings, "up").point_mm, locate(readings, "down").point_mm
    np.testing.assert_allclose(up, [*point[:2], abs(point[2])], atol=1e-4)
    np.testing.assert_allclose(down, up * [1, 1, -1], atol=1e-4)


@given(points)
def test_the_slope_of_an_angle_is_its_difference(point: np.ndarray) -> None:
    reading = Reading("angle", "pivot", 1.0, 0.1, known_mm=KNOWN["bolt"], direction=[1.0, 2.0, -2.0])
    way = point - KNOWN["bolt"]
    assume(np.linalg.norm(np.cross(way, [1.0, 2.0, -2.0])) > 60.0)
    step = 1e-4
    differences = [
        (reading.read_at(point + step * axis) - reading.read_at(point - step * axis)) / (2 * step) for axis in np.eye(3)
    ]
    np.testing.assert_allclose(reading.slope_at(point), differences, atol=1e-6)
