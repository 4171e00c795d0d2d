"""Housing faces: both sides named, one the mirror of the other, every place in its place."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from conversion import resources
from conversion.description import read_description
from conversion.description.parts import GroundPoint, Supply
from conversion.drawings.drawing import Drawing
from conversion.drawings.housing_face import face_drawings
from conversion.plan import Plan
from tests.drawings.picture import Picture, Text
from tests.drawings.varied import varied


@pytest.fixture(scope="module")
def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def faces(plan: Plan) -> dict[str, Drawing]:
    return {drawing.name: drawing for drawing in face_drawings(plan)}


def sound(drawing: Drawing) -> Picture:
    picture = Picture(drawing.svg)
    assert drawing.width_mm == 180.0 and drawing.height_mm <= 250.0
    assert picture.overlapping() == []
    assert picture.outside() == []
    return picture


def outlines(picture: Picture) -> list[Any]:
    return picture.shapes_of("rect", rx="1.6")


def names_in(picture: Picture, outline: Any) -> dict[str, Text]:
    """Names of the places inside an outline."""
    (left, top), (right, bottom) = outline.points
    return {
        text.words: text
        for text in picture.texts
        if text.bold and left < text.box.middle[0] < right and top < text.box.middle[1] < bottom
    }


def renumbered(rows: list[list[str]] | None, positions: int, seen_from: str = "wire side") -> Any:
    """A change that gives the control unit a larger housing; places beyond the described ones are empty."""

    def change(data: dict[str, Any]) -> None:
        housing = data["housings"]["A"]
        cavities = {str(name): cavity for name, cavity in housing["cavities"].items()}
        names = [name for row in rows for name in row] if rows else [str(n) for n in range(1, positions + 1)]
        new: dict[str, Any] = {"positions": positions, "seen_from": seen_from}
        if rows:
            new["rows"] = rows
        new["cavities"] = {name: cavities.get(name, "empty") for name in names}
        data["housings"]["A"] = new

    return change


def in_rows(*lengths: int) -> list[list[str]]:
    start, rows = 1, []
    for length in lengths:
        rows.append([str(number) for number in range(start, start + length)])
        start += length
    return rows


BIG = {
    "34 places": (in_rows(17, 17), 34),
    "60 places": (in_rows(20, 20, 20), 60),
    "121 places": (in_rows(30, 30, 30, 31), 121),
    "121 places, rows not described": (None, 121),
    "40 places in four rows": (in_rows(10, 10, 10, 10), 40),
    "rows of different lengths": (in_rows(8, 3, 20, 5), 36),
}


def test_every_housing_with_several_places_is_drawn(van: Plan) -> None:
    several = [
        reference
        for reference, part in van.description.parts.items()
        if any(housing.positions > 1 for housing in part.housings.values())
        and not isinstance(part, GroundPoint | Supply)
    ]
    assert [drawing.title for drawing in face_drawings(van)] == [f"Housing of {each}" for each in several]


def test_a_single_row_leaves_no_room_for_tags_below_it(van: Plan) -> None:
    """Two places beside each other, and four in two rows, each with one wire of two lines."""
    one, two = (faces(van)[name] for name in ("face-s2", "face-s1"))
    assert two.height_mm - one.height_mm == pytest.approx(12.0 + 2 * 2.7 + 2.0)


def test_faces_of_the_demo_are_sound_and_the_same_each_time(van: Plan) -> None:
    for drawing in face_drawings(van):
        sound(drawing)
        assert re.fullmatch(r"[a-z0-9-]+", drawing.name)
    again = Plan(read_description(resources.harnesses_dir() / "market-van"))
    assert face_drawings(van) == face_drawings(again)


@pytest.mark.parametrize("size", BIG)
@pytest.mark.parametrize("seen_from", ["wire side", "mating side"])
def test_one_side_is_the_mirror_of_the_other(size: str, seen_from: str, tmp_path: Path) -> None:
    rows, positions = BIG[size]
    picture = sound(faces(varied(tmp_path, control_unit=renumbered(rows, positions, seen_from)))["face-k1"])
    titles = [text.words for text in picture.texts if text.bold and text.words.endswith("side")]
    assert titles == ["Wire side", "Mating side"]
    wire, mating = outlines(picture)
    described, mirrored = (wire, mating) if seen_from == "wire side" else (mating, wire)
    shown, turned = names_in(picture, described), names_in(picture, mirrored)
    assert len(shown) == len(turned) == positions
    first = (rows or [[str(number) for number in range(1, positions + 1)]])[0]
    # The row runs to the right where it was read, and to the left seen from the other side.
    assert shown[first[0]].box.middle[0] < shown[first[1]].box.middle[0]
    assert turned[first[0]].box.middle[0] > turned[first[1]].box.middle[0]
    if rows:
        centre, other = ((each.points[0][0] + each.points[1][0]) / 2 for each in (described, mirrored))
        for name in shown:
            x, y = shown[name].box.middle
            mx, my = turned[name].box.middle
            assert mx - other == pytest.approx(centre - x, abs=0.01)
            assert my - mirrored.points[0][1] == pytest.approx(y - described.points[0][1], abs=0.01)


def test_the_tag_and_colour_of_each_wire_stand_over_or_under_their_place(van: Plan) -> None:
    picture = sound(faces(van)["face-k1"])
    face = outlines(picture)[0]
    names = names_in(picture, face)
    wires = {
        terminal.cavity: van.wiring.at(terminal) for terminal, _ in van.description.terminals("K1")
    }  # fmt: skip
    checked = 0
    for cavity, text in names.items():
        for wire in wires.get(cavity, ()):
            tags = [each for each in picture.texts if each.words == wire.tag]
            nearest = min(tags, key=lambda tag: abs(tag.box.middle[1] - text.box.middle[1]))
            assert nearest.box.middle[0] == pytest.approx(text.box.middle[0], abs=0.01)
            under = [
                each.words
                for each in picture.texts
                if abs(each.box.middle[0] - text.box.middle[0]) < 0.01
                and 0.0 < each.box.middle[1] - nearest.box.middle[1] < 3.0
            ]
            assert under == [wire.colour]
            checked += 1
    assert checked > 20


def test_places_without_a_wire_are_told_apart(tmp_path: Path) -> None:
    def change(data: dict[str, Any]) -> None:
        data["housings"]["A"]["cavities"].update({5: "empty", 6: {"unused": "nothing there"}})

    picture = sound(faces(varied(tmp_path, pedal_module=change))["face-b1"])
    words = [text.words for text in picture.texts]
    assert "no terminal in this place: plug" in words and "terminal left without a wire, with a reason: plug" in words

    def unsealed(data: dict[str, Any]) -> None:
        change(data)
        data["housings"]["A"]["sealed"] = False

    picture = sound(faces(varied(tmp_path / "unsealed", pedal_module=unsealed))["face-b1"])
    words = [text.words for text in picture.texts]
    assert "no terminal in this place" in words and "terminal left without a wire, with a reason" in words
    assert "place not described" not in words


def test_a_place_that_is_not_described_says_so(tmp_path: Path) -> None:
    plan = varied(tmp_path, clutch_switch=lambda data: data["housings"]["A"].update(positions=5))
    assert "place not described" in [text.words for text in sound(faces(plan)["face-s2"]).texts]


def test_more_wires_than_fit_are_counted(tmp_path: Path) -> None:
    """Without a splice all that the fuse feeds would leave it through one terminal."""
    plan = varied(tmp_path, lambda data: data["loom"].pop("splices"))
    ends = {terminal.cavity: len(plan.wiring.at(terminal)) for terminal, _ in plan.description.terminals("F2")}
    most = max(ends.values())
    assert most > 2
    assert f"+{most - 2}" in [text.words for text in sound(faces(plan)["face-f2"]).texts]


def test_very_large_housings_are_split_over_two_sheets(tmp_path: Path) -> None:
    found = faces(varied(tmp_path, control_unit=renumbered(None, 2000)))
    sheets = [found["face-k1-wire-side"], found["face-k1-mating-side"]]
    for drawing in sheets:
        picture = Picture(drawing.svg)
        assert drawing.height_mm <= 250.0
        assert picture.outside() == []
        assert len(names_in(picture, outlines(picture)[0])) == 2000
    assert "goes on in the line below" in sheets[0].caption


def test_rows_that_were_not_described_are_not_passed_off_as_known(tmp_path: Path) -> None:
    caption = faces(varied(tmp_path, control_unit=renumbered(None, 40)))["face-k1"].caption
    assert "rows are not described" in caption


def test_housings_whose_names_differ_only_in_case_get_files_of_their_own(tmp_path: Path) -> None:
    def change(data: dict[str, Any]) -> None:
        data["housings"]["a"] = {"positions": 2, "cavities": {"1": "empty", "2": "empty"}}

    plan = varied(tmp_path, pedal_module=change)
    names = [drawing.name for drawing in face_drawings(plan) if drawing.name.startswith("face-b1")]
    assert names == ["face-b1-a", "face-b1-a-2"]


def test_long_names_and_hostile_titles_stay_inside(tmp_path: Path) -> None:
    def change(data: dict[str, Any]) -> None:
        data["title"] = "<script>alert('x')</script> & \"more\""
        data["housings"]["b"] = {
            "positions": 2,
            "cavities": {f"a-place-with-a-name-as-long-as-names-may-be-{number}": "empty" for number in (1, 2)},
            "rows": [[f"a-place-with-a-name-as-long-as-names-may-be-{number}" for number in (1, 2)]],
        }

    drawing = faces(varied(tmp_path, pedal_module=change))["face-b1-b"]
    picture = sound(drawing)
    assert "<script>" not in drawing.svg
    assert (picture.root[1].text or "").startswith("<script>alert('x')</script> & \"more\"")
    (left, _), (right, _) = outlines(picture)[0].points
    for text in names_in(picture, outlines(picture)[0]).values():
        assert left < text.box.left and text.box.right < right
        assert text.words.endswith(("1", "2"))


def test_only_greys_are_used(van: Plan) -> None:
    for drawing in face_drawings(van):
        assert all(c[1:3] == c[3:5] == c[5:7] for c in Picture(drawing.svg).colours())
