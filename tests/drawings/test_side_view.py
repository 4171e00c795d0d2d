"""The side view: true to scale in both views, front to the left, and legible for any pedal."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from conversion import resources
from conversion.description import Missing, read_description
from conversion.drawings.drawing import Drawing
from conversion.drawings.side_view import _standard_scale, side_view
from conversion.plan import Plan
from conversion.quantities import show
from tests.drawings.picture import Picture
from tests.drawings.varied import BEHIND, FAR, FLOOR_HINGED, LEANING, PENDANT, TOO_SHORT, varied, with_linkage

LINKAGES: dict[str, dict[str, Any]] = {
    "pendant": PENDANT,
    "floor-hinged": FLOOR_HINGED,
    "behind": BEHIND,
    "leaning": LEANING,
    "far": FAR,
}
SPRINGS: dict[str, Any] = {
    "puller": {
        "acts_on": "pedal", "type": "extension", "fixed_end": ["-70 mm", "14 mm", "-20 mm"],
        "moving_end": ["-4 mm", "14 mm", "-60 mm"], "free_length": "62 mm", "rate": "0.9 N/mm",
    },
    "winder": {"acts_on": "lever", "type": "torsion", "rest_moment": "0.2 N·m", "rate": "0.01 N·m/°"},
}  # fmt: skip


@pytest.fixture(scope="module")
def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def sound(drawing: Drawing) -> Picture:
    picture = Picture(drawing.svg)
    assert picture.width == drawing.width_mm == 180.0
    assert drawing.height_mm <= 240.0
    assert picture.overlapping() == []
    assert picture.outside() == []
    return picture


def one_to(drawing: Drawing) -> float:
    """How many times smaller than the car the drawing says that it is."""
    (found,) = re.findall(r"Scale 1:([\d.]+)\.", drawing.caption)
    return float(found)


def pins(picture: Picture) -> list[tuple[float, float]]:
    """Centres of the rod's balls at rest: pedal and lever from the side, then the same from above."""
    return [shape.points[0] for shape in picture.shapes_of("circle", r="0.3")]


@pytest.mark.parametrize("name", LINKAGES)
def test_the_pins_are_as_far_apart_as_the_scale_says(name: str, tmp_path: Path) -> None:
    plan = with_linkage(tmp_path, LINKAGES[name], SPRINGS)
    drawing = side_view(plan)
    pedal_side, lever_side, pedal_above, lever_above = pins(sound(drawing))
    rod = plan.travel.solution.lever_pin_mm[0] - plan.travel.solution.pedal_pin_mm[0]
    assert np.linalg.norm(rod) == pytest.approx(float(plan.travel.geometry.linkage.rod_length_mm))
    # Forward is to the left, up is up; from above, the car's left side is at the bottom.
    from_side = (lever_side[0] - pedal_side[0], lever_side[1] - pedal_side[1])
    from_above = (lever_above[0] - pedal_above[0], lever_above[1] - pedal_above[1])
    assert from_side == pytest.approx((-rod[0] / one_to(drawing), -rod[2] / one_to(drawing)), abs=0.002)
    assert from_above == pytest.approx((-rod[0] / one_to(drawing), rod[1] / one_to(drawing)), abs=0.002)
    assert pedal_side[0] == pedal_above[0], "the views do not hang below each other"


@pytest.mark.parametrize("name", LINKAGES)
def test_the_pads_arc_is_as_long_as_the_scale_says(name: str, tmp_path: Path) -> None:
    plan = with_linkage(tmp_path, LINKAGES[name])
    drawing = side_view(plan)
    positions = plan.travel.pad_travel_mm.size
    (arc,) = [shape.points for shape in sound(drawing).shapes_of("polyline") if len(shape.points) == positions]
    length = sum(np.hypot(*(np.subtract(two, one))) for one, two in pairwise(arc))
    assert length * one_to(drawing) == pytest.approx(float(plan.travel.pad_travel_mm[-1]), rel=2e-3)
    assert arc[-1][0] < arc[0][0], "pressing moves the pad toward the front, which is left"


def test_a_pendant_pedal_hangs_and_a_floor_hinged_one_stands(tmp_path: Path) -> None:
    for folder, linkage, hangs in (("p", PENDANT, True), ("f", FLOOR_HINGED, False)):
        (tmp_path / folder).mkdir()
        picture = sound(side_view(with_linkage(tmp_path / folder, linkage)))
        # Bearings are the only circles of radius 2; the pedal's comes first.
        pivot, _ = (shape.points[0] for shape in picture.shapes_of("circle", r="2"))
        arc = max((shape.points for shape in picture.shapes_of("polyline")), key=len)
        assert (arc[0][1] > pivot[1]) is hangs
        # The mount is the triangle with its point in the pivot.
        (mount,) = [shape.points for shape in picture.shapes_of("polygon") if shape.points[0] == pivot]
        assert (mount[1][1] < pivot[1]) is hangs


def test_the_scale_bar_is_as_long_as_it_says(van: Plan) -> None:
    drawing = side_view(van)
    picture = sound(drawing)
    quarters = [shape.points for shape in picture.shapes_of("rect", height="1.4")]
    assert len(quarters) == 4
    length = quarters[-1][1][0] - quarters[0][0][0]
    label = next(text for text in picture.texts if re.fullmatch(r"\d+ mm", text.words))
    assert length * one_to(drawing) == pytest.approx(float(label.words.split()[0]), abs=0.02)


@pytest.mark.parametrize(
    ("width", "depth", "height", "scale"),
    [
        (50.0, 10.0, 50.0, 1.0),
        (200.0, 10.0, 200.0, 2.0),
        (230.0, 50.0, 320.0, 2.5),
        (500.0, 50.0, 320.0, 5.0),
        (90.0, 60.0, 90.0, 2.0),
        (900.0, 50.0, 320.0, 10.0),
        (0.0, 0.0, 0.0, 1.0),
        (3e5, 1.0, 1.0, 5000.0),
    ],
)
def test_the_scale_is_the_largest_standard_one_that_fits(
    width: float, depth: float, height: float, scale: float
) -> None:
    assert _standard_scale(width, depth, height) == scale


def test_lengths_are_those_in_space(van: Plan) -> None:
    linkage = van.travel.geometry.linkage
    words = " ".join(text.words for text in side_view_texts(van)).replace("\u00a0", " ")
    for length in (linkage.rod_length_mm, linkage.lever_radius_mm, linkage.pedal_radius_mm):
        assert show(float(length), "length") in words


def side_view_texts(plan: Plan) -> list[Any]:
    return Picture(side_view(plan).svg).texts


def test_how_far_the_rod_runs_sideways_is_said(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "b").mkdir()
    leaning = words_of(with_linkage(tmp_path / "a", LEANING))
    assert re.search(r"rod runs 2[78]\.\d mm sideways, to the right on its way forward", leaning)
    behind = words_of(with_linkage(tmp_path / "b", BEHIND))
    assert "rod runs 30.0 mm sideways, to the left on its way back" in behind


def words_of(plan: Plan) -> str:
    return " ".join(text.words for text in side_view_texts(plan)).replace("\u00a0", " ")


def test_a_rod_straight_ahead_has_no_dimension_lines(tmp_path: Path) -> None:
    assert "rod runs 0.0 mm sideways" in words_of(with_linkage(tmp_path, PENDANT))


def test_a_rod_that_cannot_close_is_not_drawn_as_if_it_did(tmp_path: Path) -> None:
    plan = with_linkage(tmp_path, TOO_SHORT)
    picture = sound(side_view(plan))
    words = words_of(plan)
    assert "it cannot close at rest" in words
    assert "rest: pad 0.0 mm, the linkage cannot close" in words
    # One bar fewer in either view than where the rod closes.
    assert len(picture.shapes_of("path")) < len(Picture(side_view_of(tmp_path, PENDANT).svg).shapes_of("path"))


def side_view_of(folder: Path, linkage: dict[str, Any]) -> Drawing:
    (folder / "other").mkdir()
    return side_view(with_linkage(folder / "other", linkage))


def test_springs_are_drawn_between_their_ends(van: Plan, tmp_path: Path) -> None:
    plan = with_linkage(tmp_path, PENDANT, SPRINGS)
    drawing = side_view(plan)
    picture = sound(drawing)
    (fixed,) = [shape.points for shape in picture.shapes_of("rect", width="2.4")]
    middle = (fixed[0][0] + fixed[1][0]) / 2, (fixed[0][1] + fixed[1][1]) / 2
    (moving,) = [shape.points[0] for shape in picture.shapes_of("circle", r="0.5")]
    across = (middle[0] - moving[0]) * one_to(drawing), (middle[1] - moving[1]) * one_to(drawing)
    # From [-4, 14, -60] to [-70, 14, -20] of the description.
    assert across == pytest.approx((66.0, -40.0), abs=0.01)
    assert "extension spring puller" in words_of(plan) and "torsion spring winder" in words_of(plan)


def test_many_springs_about_one_axis_share_a_label(tmp_path: Path) -> None:
    spring = {"acts_on": "pedal", "type": "torsion", "rest_moment": "0.4 N·m", "rate": "0.02 N·m/°"}
    springs = {f"a-spring-with-a-name-as-long-as-names-may-be-{number:02}": spring for number in range(30)}
    sound(side_view(varied(tmp_path, lambda data: data.update(springs=springs))))


def test_a_spring_with_an_unknown_end_is_left_out(tmp_path: Path) -> None:
    springs = SPRINGS | {"puller": SPRINGS["puller"] | {"fixed_end": ["unknown", "0 mm", "0 mm"]}}
    assert "puller" not in words_of(with_linkage(tmp_path, PENDANT, springs))


def test_an_unknown_point_is_a_reason_not_to_draw(tmp_path: Path) -> None:
    linkage = PENDANT | {"module": PENDANT["module"] | {"pivot": ["146 mm", "unknown", "-20 mm"]}}
    with pytest.raises(Missing, match=r"linkage\.module\.pivot"):
        side_view(with_linkage(tmp_path, linkage))


def test_the_demo_is_drawn_the_same_each_time_and_without_colour(van: Plan) -> None:
    again = Plan(read_description(resources.harnesses_dir() / "market-van"))
    assert side_view(van) == side_view(again)
    picture = sound(side_view(van))
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in picture.colours())
