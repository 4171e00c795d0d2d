"""Drawings of the fit: to scale, with the plan's own figures, and readable with many obstacles."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from conversion.drawings import draw_all
from conversion.drawings.bracket_view import bracket_view
from conversion.drawings.fit_sides import HATCHES
from conversion.drawings.fit_view import fit_view
from conversion.drawings.recess_view import recess_views
from conversion.fit import Kind
from conversion.plan import Plan
from conversion.quantities import show
from tests.drawings.picture import Picture
from tests.drawings.varied import varied
from tests.pack.made import demo_plan


def picture(plan: Plan) -> Picture:
    (drawing,) = fit_view(plan)
    return Picture(drawing.svg)


def many(data: dict[str, Any]) -> None:
    """Twelve more obstacles, all about the pedal, some with names as long as they may be."""
    for count in range(12):
        turn = 2 * math.pi * count / 12
        centre = [f"{150 * math.cos(turn):.1f} mm", f"{-150 + 25 * count} mm", f"{-180 + 190 * math.sin(turn):.1f} mm"]
        data["fit"]["obstacles"][f"piece-of-the-heater-housing-{count}"] = {
            "kind": "other",
            "block": {"centre": centre, "size": ["14 mm", "20 mm", "14 mm"]},
        }


@pytest.mark.parametrize("change", [lambda data: None, many], ids=["demo", "many obstacles"])
def test_words_keep_clear_and_inside(change: Any, tmp_path: Path) -> None:
    drawn = picture(varied(tmp_path, change))
    assert not drawn.overlapping()
    assert not drawn.outside()
    assert all(colour[1:3] == colour[3:5] == colour[5:7] for colour in drawn.colours() if colour.startswith("#"))


def test_dimensions_are_drawn_to_scale() -> None:
    """Pad to floor runs upright, so that it is drawn at its true length; 100 mm of the scale bar tell the scale."""
    plan = demo_plan()
    fit = plan.fit
    assert fit is not None
    drawn = picture(plan)
    scale = float(
        next(text.words for text in drawn.texts if text.words.startswith("Scale 1:")).removeprefix("Scale 1:")
    )
    (floor,) = [each for each in fit.clearances if each.obstacle.name == "floor" and each.clearance.body == "pad"]
    wanted = floor.clearance.distance_mm / scale
    uprights = [
        abs(line.points[0][1] - line.points[1][1])
        for line in drawn.shapes_of("line", stroke_width="0.18")
        if line.points[0][0] == pytest.approx(line.points[1][0], abs=0.01)
    ]
    assert min(abs(each - wanted) for each in uprights) < 0.01
    bars = [abs(line.points[0][0] - line.points[1][0]) for line in drawn.shapes_of("line", stroke_width="0.5")]
    assert bars == [pytest.approx(100.0 / scale)]


def test_each_obstacle_has_its_number_reach_and_least_clearance() -> None:
    plan = demo_plan()
    fit = plan.fit
    assert fit is not None
    words = " ".join(text.words for text in picture(plan).texts).replace("\u00a0", " ")
    for count, standing in enumerate(fit.obstacles, 1):
        assert f"{count} {standing.name}" in words
    (brake,) = [each for each in fit.clearances if each.obstacle.name == "brake" and each.clearance.body == "shoe"]
    assert f"{show(brake.clearance.distance_mm, 'length')} from shoe at" in words
    assert "y 80.9 to 143.1 mm" in words
    assert "beside, " in words
    assert "behind the bulkhead" in words


def test_every_kind_has_a_hatch_of_its_own_or_lies_elsewhere() -> None:
    what_moves = {Kind.PEDAL, Kind.LEVER, Kind.LINK, Kind.MODULE}
    assert set(HATCHES) == set(Kind) - what_moves
    # Mat and carpet lie on the floor and are never in one car at one place.
    different = {(hatch.turns_deg, hatch.spacing_mm, hatch.dashes) for hatch in HATCHES.values()}
    assert len(different) == len(HATCHES) - 1


def test_the_recess_has_the_planned_dimensions() -> None:
    plan = demo_plan()
    fit = plan.fit
    assert fit is not None
    (drawing,) = recess_views(plan)
    drawn = Picture(drawing.svg.replace(' transform="rotate', ' data-turn="rotate'))
    assert not drawn.outside()
    words = [text.words for text in drawn.texts]
    box, flat = fit.recesses[0].recess.box, fit.recesses[0].recess.flat
    for length in (box.width_mm, box.height_mm, box.depth_mm, box.flange_mm, *flat.size_mm):
        assert show(length, "length") in words, length
    xs = sorted(
        {round(float(bend.start_mm[0]), 6) for bend in flat.bend_lines[:4] if bend.start_mm[0] == bend.end_mm[0]}
    )
    assert show(xs[-1] - xs[0], "length") in words
    assert any(show(fit.recesses[0].recess.least_depth_mm, "length") in each.replace("\u00a0", " ") for each in words)


def test_no_recess_is_drawn_where_none_is_needed(tmp_path: Path) -> None:
    def farther(data: dict[str, Any]) -> None:
        data["fit"]["obstacles"]["bulkhead"]["sheet"]["corners"] = [["260 mm", "180 mm"], ["260 mm", "-400 mm"]]

    plan = varied(tmp_path, farther)
    assert recess_views(plan) == ()
    assert {sheet.name for sheet in draw_all(plan).templates} == {"lever", "bracket-face", "mock-up"}


def test_the_bracket_says_which_width_is_meant(tmp_path: Path) -> None:
    """A corner of 64 mm and 25 mm more; common practice, no source."""

    def both(data: dict[str, Any]) -> None:
        one = {"leg": "64 mm", "member": "25 mm"}
        data["fit"]["infills"] = {
            "slanted": one | {"measured": "along the leg"},
            "square": one | {"measured": "across the member"},
        }

    (drawing,) = bracket_view(varied(tmp_path, both))
    drawn = Picture(drawing.svg.replace(' transform="rotate', ' data-turn="rotate'))
    words = [text.words.replace("\u00a0", " ") for text in drawn.texts]
    assert {"125.9 mm", "140.5 mm", "90.5 mm", "64.0 mm", "25.0 mm"} <= set(words)
    text = " ".join(words)
    assert "told along the leg" in text
    assert "told square across" in text
    # Each says what the same figure would come to, had it been measured the other way.
    other = "told the other way, {}, the same figure would make the outside edge {}"
    assert other.format("square across the member", "140.5 mm") in text
    assert other.format("along the leg, on the slant", "125.9 mm") in text
    assert not drawn.outside()
    assert not drawn.overlapping()


def test_a_plane_that_faces_sideways_is_told_and_drawn_from_above(tmp_path: Path) -> None:
    def wall(data: dict[str, Any]) -> None:
        plane = {"point": ["0 mm", "-150 mm", "0 mm"], "outward": "left"}
        data["fit"]["obstacles"]["tunnel"] = {"kind": "other", "plane": plane}

    drawn = picture(varied(tmp_path, wall))
    assert any(text.words == "6 tunnel" for text in drawn.texts)
    # Its number stands at its words, at the distance, and where it is seen from above.
    assert sum(text.words == "6" for text in drawn.texts) == 2
    assert not drawn.overlapping() and not drawn.outside()


def test_members_of_the_bracket_have_a_number_too() -> None:
    assert any(text.words == "8 member arm" for text in picture(demo_plan()).texts)


def test_an_infill_is_drawn_to_scale(tmp_path: Path) -> None:
    (drawing,) = bracket_view(varied(tmp_path, lambda data: data["fit"].pop("members")))
    scale = float(drawing.caption.partition("1:")[2].partition(". ")[0])
    polygons = [np.array(shape.points) for shape in Picture(drawing.svg).shapes_of("polygon", stroke_width="0.3")]
    (infill,) = polygons
    sides = sorted(float(np.linalg.norm(infill[i] - infill[i - 1])) * scale for i in range(4))
    assert sides == pytest.approx([25.0, 25.0, 90.51, 125.87], abs=0.02)


def test_without_a_fit_nothing_of_it_is_drawn(tmp_path: Path) -> None:
    drawn = draw_all(varied(tmp_path, lambda data: (data.pop("fit"), data.pop("search", None))))
    assert not [each.name for each in drawn.drawings if each.name.startswith(("fit", "recess", "bracket"))]
    assert drawn.templates == drawn.templates_left_out == ()
    assert not [title for title, _ in drawn.left_out if title.startswith(("Clear", "Recess", "Members"))]
