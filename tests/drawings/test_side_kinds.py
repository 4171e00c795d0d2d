"""The side view of every kind of link: true to scale, each part where the plan has it, and legible."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from conversion.drawings.drawing import Drawing
from conversion.drawings.side_link import link_pose
from conversion.drawings.side_view import side_view
from conversion.plan import Plan
from tests.drawings.picture import Picture
from tests.kinds import KINDS
from tests.rules.patching import patched_plan

NO_FIT = "conversion: fit removed"


def drawn(folder: Path, kind: str, *more: str) -> tuple[Plan, Drawing, Picture, float]:
    plan = patched_plan(folder, [*KINDS[kind], NO_FIT, *more])
    drawing = side_view(plan)
    (one_to,) = re.findall(r"Scale 1:([\d.]+)\.", drawing.caption)
    return plan, drawing, Picture(drawing.svg), float(one_to)


def words_of(picture: Picture) -> str:
    return " ".join(text.words for text in picture.texts).replace("\u00a0", " ")


@pytest.mark.parametrize("kind", KINDS)
def test_no_words_overlap_or_fall_off_the_sheet(kind: str, tmp_path: Path) -> None:
    _, drawing, picture, _ = drawn(tmp_path, kind)
    assert picture.overlapping() == [] and picture.outside() == []
    assert drawing.height_mm <= 240.0
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in picture.colours())


def test_a_cables_balls_are_as_far_apart_as_the_scale_says(tmp_path: Path) -> None:
    plan, _, picture, one_to = drawn(tmp_path, "cable")
    pin, nipple = (shape.points[0] for shape in picture.shapes_of("circle", r="0.3")[:2])
    lines = plan.travel.solution.link_lines_mm()
    apart = lines[1][0, -1] - lines[0][0, 0]
    assert (nipple[0] - pin[0], nipple[1] - pin[1]) == pytest.approx(
        (-apart[0] / one_to, -apart[2] / one_to), abs=0.002
    )
    words = words_of(picture)
    assert "groove 40.0 mm in radius" in words and "cable pin 60.0 mm" in words


def test_the_quadrants_groove_is_a_circle_of_its_radius(tmp_path: Path) -> None:
    plan, *_ = drawn(tmp_path, "cable")
    (groove,) = [stroke.points for stroke in link_pose(plan.travel.solution, 0).strokes if stroke.style == "groove"]
    linkage = plan.travel.geometry.linkage
    assert np.linalg.norm(groove - linkage.groove_centre_at_rest_stop, axis=1) == pytest.approx(40.0)  # type: ignore[attr-defined]
    assert np.ptp(groove[:, 1]) == pytest.approx(0.0, abs=1e-9)


def test_the_outer_leaves_its_ends_in_line_with_the_inner(tmp_path: Path) -> None:
    plan, *_ = drawn(tmp_path, "cable")
    strokes = link_pose(plan.travel.solution, 0).strokes
    (outer,) = [stroke.points for stroke in strokes if stroke.style == "outer"]
    inner = plan.travel.solution.link_lines_mm()[0][0]
    leaving, coming = outer[1] - outer[0], inner[1] - inner[0]
    assert leaving @ coming == pytest.approx(np.linalg.norm(leaving) * np.linalg.norm(coming), rel=1e-2)


def test_a_bell_crank_has_four_balls_and_three_bearings(tmp_path: Path) -> None:
    plan, _, picture, one_to = drawn(tmp_path, "bell-crank")
    balls = [shape.points[0] for shape in picture.shapes_of("circle", r="0.3")][:4]
    pedal, pin_in, pin_out, lever = balls
    solution = plan.travel.solution
    for one, other, line in ((pedal, pin_in, 0), (pin_out, lever, 2)):
        way = solution.link_lines_mm()[line][0]
        apart = way[1] - way[0]
        assert (other[0] - one[0], other[1] - one[1]) == pytest.approx(
            (-apart[0] / one_to, -apart[2] / one_to), abs=0.002
        )
    assert len(picture.shapes_of("circle", r="2")) == 3


BOTH_RODS = [
    "conversion: linkage.first_rod = {pedal_end: {bolt: left, limit: 20°}, crank_end: {bolt: [0.3, 1, 0]}}",
    "conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°, crank_end: {bolt: left}, lever_end: {bolt: left, limit: 9°}}",
]


def test_every_described_ball_joint_says_how_far_its_rod_leans(tmp_path: Path) -> None:
    plan, drawing, picture, _ = drawn(tmp_path, "bell-crank", *BOTH_RODS)
    assert picture.overlapping() == [] and picture.outside() == []
    said = words_of(picture)
    assert said.count("rod leans up to") == len(plan.rod_ends) == 4
    for end in plan.rod_ends:
        assert f"{np.degrees(np.nanmax(end.lean_rad)):.1f}°" in said
    assert "of 20.0°" in said and "of 9.0°" in said and said.count("no limit") == 2
    assert drawing.height_mm <= 240.0


@pytest.mark.parametrize("kind", KINDS)
def test_leaders_of_one_margin_do_not_cross(kind: str, tmp_path: Path) -> None:
    _, _, picture, _ = drawn(tmp_path, kind, *(BOTH_RODS if kind == "bell-crank" else []))
    leaders = [shape.points for shape in picture.shapes_of("line", **{"stroke-width": "0.1"})]
    assert len(leaders) > 6

    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    for margin in (
        [each for each in leaders if each[0][0] < 60.0],
        [each for each in leaders if each[0][0] > 120.0],
    ):
        for number, (a, b) in enumerate(margin):
            for c, d in margin[number + 1 :]:
                crossed = side(a, b, c) * side(a, b, d) < -1e-6 and side(c, d, a) * side(c, d, b) < -1e-6
                assert not crossed, (a, b, c, d)


def test_a_roller_touches_its_face(tmp_path: Path) -> None:
    plan, *_ = drawn(tmp_path, "contact")
    for index in (0, 20, 40):
        strokes = {stroke.style: stroke.points for stroke in link_pose(plan.travel.solution, index).strokes}
        along = strokes["face"][-1] - strokes["face"][0]
        out = strokes["roller"] - strokes["face"][0]
        off = np.linalg.norm(np.cross(out, along / np.linalg.norm(along)), axis=1)
        # The set-up leaves a packing of up to a few millimetres between the two.
        packing = float(plan.travel.geometry.linkage.packing_mm)  # type: ignore[attr-defined]
        assert float(off.min()) == pytest.approx(abs(packing), abs=1e-6)


def test_a_modules_own_pedal_has_no_link(tmp_path: Path) -> None:
    _, _, picture, _ = drawn(tmp_path, "direct")
    assert picture.shapes_of("circle", r="0.3") == []
    assert len(picture.shapes_of("circle", r="2")) == 1
    assert "the module's own axis" in words_of(picture) and "rod" not in words_of(picture)


@pytest.mark.parametrize(
    ("kind", "change"),
    [
        ("contact", "linkage.contact.roller_centre = [30 mm, 0 mm, -18 mm]"),
        ("contact", "linkage.module.axis = forward"),
        ("bell-crank", "linkage.rod = {length: 900 mm}"),
        ("cable", "linkage.quadrant.groove_radius = 5 mm"),
    ],
)
def test_a_link_that_does_not_close_is_still_drawn(kind: str, change: str, tmp_path: Path) -> None:
    by_travel = "conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}"
    _, _, picture, _ = drawn(tmp_path, kind, by_travel, f"conversion: {change}")
    assert "rest: pad 0.0 mm" in words_of(picture)
