"""The SVG builder: the same bytes, no ids, words stay words; the width of text; labels that keep apart."""

from __future__ import annotations

import json
import math
import xml.etree.ElementTree as ET
from itertools import pairwise
from pathlib import Path
from typing import Literal

import pytest
import typst
from hypothesis import given
from hypothesis import strategies as st

from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened, spread, wrapped
from conversion.drawings.svg import Canvas, escaped, figure
from conversion.resources import FONT_FAMILY, fonts_dir
from tests.drawings.picture import SVG, Picture

HOSTILE = [
    "<b>x</b>",
    "a & b &amp; c",
    'say "go"',
    "</text></svg>",
    "]]>",
    "<!-- x -->",
    "'; drop",
    "\u202eright to left",
    "漢字",
]


def document(canvas: Canvas) -> str:
    return canvas.document(60.0, 40.0, "A title", "What it shows")


def one_text(words: str) -> ET.Element:
    canvas = Canvas()
    canvas.text((1.0, 5.0), words)
    (found,) = ET.fromstring(document(canvas)).iter(f"{SVG}text")
    return found


def test_sizes_are_millimetres() -> None:
    root = ET.fromstring(document(Canvas()))
    assert root.attrib["width"] == "60mm" and root.attrib["height"] == "40mm"
    assert root.attrib["viewBox"] == "0 0 60 40"


def test_a_drawing_says_what_it_is() -> None:
    root = ET.fromstring(Canvas().document(10.0, 10.0, "<Title> & more", 'Says "this"'))
    assert [(child.tag, child.text) for child in root][:2] == [
        (f"{SVG}title", "<Title> & more"),
        (f"{SVG}desc", 'Says "this"'),
    ]
    assert root.attrib["role"] == "img"


def test_the_shipped_font_comes_first() -> None:
    assert ET.fromstring(document(Canvas())).attrib["font-family"].split(",")[0] == FONT_FAMILY


def everything() -> Canvas:
    canvas = Canvas()
    canvas.line((1, 1), (20, 20))
    canvas.polyline([(1, 2), (3, 4), (5, 2)])
    canvas.polygon([(1, 2), (3, 4), (5, 2)])
    canvas.circle((30, 10), 3)
    canvas.rect((30, 20), 10, 5, round_by=1)
    canvas.capsule((10, 30), (20, 35), 2)
    canvas.arrow_head((50, 10), (40, 10))
    canvas.hatch((40, 20), 10, 10)
    canvas.wall((5, 38), (15, 38))
    canvas.text((20, 38), "words", halo=True, bold=True)
    return canvas


def test_the_same_calls_give_the_same_bytes() -> None:
    assert document(everything()) == document(everything())


def test_nothing_has_an_id() -> None:
    """Two drawings in one page must not share names."""
    assert not [element for element in ET.fromstring(document(everything())).iter() if "id" in element.attrib]


def test_what_is_placed_keeps_its_pieces() -> None:
    canvas = Canvas()
    canvas.place(everything().body, 3.0, 4.0, 0.5)
    (group,) = ET.fromstring(document(canvas)).iter(f"{SVG}g")
    assert group.attrib["transform"] == "translate(3 4) scale(0.5)"
    assert len(group) == everything().body.count("\n")


@pytest.mark.parametrize(("anchor", "left"), [("start", 20.0), ("middle", None), ("end", None)])
def test_a_line_behind_text_is_cleared_by_a_box(anchor: Literal["start", "middle", "end"], left: float | None) -> None:
    """Strokes around letters are no way: the typesetter's cut into the letter before."""
    canvas = Canvas()
    canvas.text((20.0, 10.0), "pivot & pin", 2.5, anchor, halo=True)
    picture = Picture(document(canvas))
    box, (text,) = picture.shapes_of("rect")[-1], picture.texts
    assert box.attributes["fill"] == "#ffffff" and "stroke" not in box.attributes
    (x0, y0), (x1, y1) = box.points
    assert x0 == pytest.approx(text.box.left - 0.2, abs=1e-3) and x1 == pytest.approx(text.box.right + 0.2, abs=1e-3)
    assert y0 < text.box.top and text.box.bottom < y1
    assert left is None or text.box.left == left
    assert all("stroke" not in element.attrib for element in picture.root.iter(f"{SVG}text"))


@pytest.mark.parametrize("words", HOSTILE)
def test_hostile_words_are_shown_as_written(words: str) -> None:
    assert one_text(words).text == words


@given(st.text(max_size=60))
def test_any_words_make_one_line_of_valid_xml(words: str) -> None:
    shown = one_text(words).text or ""
    assert "\n" not in shown and "\r" not in shown
    assert escaped(words) == escaped(escaped_back(escaped(words)))


def escaped_back(text: str) -> str:
    return text.replace("&quot;", '"').replace("&gt;", ">").replace("&lt;", "<").replace("&amp;", "&")


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6))
def test_figures_are_short_and_near(value: float) -> None:
    assert abs(float(figure(value)) - value) <= 0.0005 + 1e-9 * abs(value)
    assert figure(value) != "-0" and "e" not in figure(value)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_a_picture_never_holds_what_is_no_number(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        Canvas().line((0.0, value), (1.0, 1.0))


@given(st.floats(0.5, 30.0), st.floats(0.5, 20.0), st.floats(0.3, 4.0))
def test_hatching_stays_in_its_rectangle_and_rises_at_45_degrees(width: float, height: float, spacing: float) -> None:
    canvas = Canvas()
    canvas.hatch((5.0, 5.0), width, height, spacing)
    for shape in Picture(document(canvas)).shapes_of("path"):
        for (x0, y0), (x1, y1) in zip(shape.points[::2], shape.points[1::2], strict=True):
            assert 5.0 - 1e-3 <= x0 <= x1 <= 5.0 + width + 1e-3
            assert 5.0 - 1e-3 <= y1 <= y0 <= 5.0 + height + 1e-3
            assert x1 - x0 == pytest.approx(y0 - y1, abs=2.1e-3)


def test_the_strokes_of_a_wall_stand_on_the_left() -> None:
    canvas = Canvas()
    canvas.wall((10.0, 20.0), (30.0, 20.0))
    (strokes,) = Picture(document(canvas)).shapes_of("path")
    # Walking to the right, left is up the page.
    assert {y for _, y in strokes.points[1::2]} == {19.2}


def test_an_arrow_head_ends_at_its_tip() -> None:
    canvas = Canvas()
    canvas.arrow_head((50.0, 10.0), (40.0, 10.0), 2.0)
    (head,) = Picture(document(canvas)).shapes_of("polygon")
    assert head.points[0] == (50.0, 10.0)
    assert all(48.0 <= x < 48.2 for x, _ in head.points[1:])


@pytest.mark.parametrize("words", ["W12 BUWH", "pedal's full stop 62.5 mm", "24.0° ± 0.5°", "Ω µ é Ж ∞", "ffi ijk WAV"])
@pytest.mark.parametrize("bold", [False, True])
def test_text_is_as_wide_as_the_typesetter_sets_it(words: str, bold: bool, tmp_path: Path) -> None:
    """Source: the typesetter's own measure of the same font, kerning and ligatures off."""
    weight = "bold" if bold else "regular"
    template = tmp_path / "width.typ"
    template.write_text(
        f'#set text(font: "{FONT_FAMILY}", size: 10pt, weight: "{weight}", kerning: false, ligatures: false)\n'
        f"#context [#metadata(measure({json.dumps(words, ensure_ascii=False)}).width / 1pt) <width>]\n",
        "utf-8",
    )
    found = typst.query(
        str(template), "<width>", field="value", font_paths=[str(fonts_dir())], ignore_system_fonts=True
    )
    assert text_width_mm(words, 10.0, bold) == pytest.approx(json.loads(found)[0], rel=1e-4)


@given(st.text(max_size=30), st.floats(1.0, 5.0), st.floats(4.0, 60.0))
def test_shortened_text_fits(words: str, size: float, width: float) -> None:
    shown = shortened(words, size, width)
    assert text_width_mm(shown, size) <= max(width, text_width_mm("…", size)) + 1e-9


def test_shortening_keeps_both_ends() -> None:
    assert shortened("first-spring-on-the-left-1", 2.5, 25.0).startswith("first")
    assert shortened("first-spring-on-the-left-1", 2.5, 25.0).endswith("-1")


@given(st.lists(st.text("abc", min_size=1, max_size=8), max_size=12).map(" ".join), st.integers(1, 5))
def test_wrapped_text_keeps_to_width_and_number_of_lines(words: str, lines: int) -> None:
    found = wrapped(words, 2.5, 20.0, lines)
    assert len(found) <= lines
    assert all(text_width_mm(line, 2.5) <= 20.0 + 1e-9 for line in found)
    if len(wrapped(words, 2.5, 20.0)) <= lines:
        assert " ".join(found).split() == words.split()


LABELS = st.lists(st.tuples(st.floats(-20.0, 120.0), st.floats(1.0, 9.0)), max_size=12)


@given(LABELS)
def test_spread_labels_never_overlap(labels: list[tuple[float, float]]) -> None:
    wanted, heights = [at for at, _ in labels], [height for _, height in labels]
    middles = spread(wanted, heights, 0.0, 100.0)
    spans = sorted((at - height / 2, at + height / 2) for at, height in zip(middles, heights, strict=True))
    assert all(before[1] <= after[0] + 1e-6 for before, after in pairwise(spans))
    if sum(heights) <= 100.0:
        assert all(low >= -1e-6 and high <= 100.0 + 1e-6 for low, high in spans)


@given(LABELS)
def test_spread_keeps_the_order(labels: list[tuple[float, float]]) -> None:
    wanted = [at for at, _ in labels]
    middles = spread(wanted, [height for _, height in labels], 0.0, 100.0)
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    assert [middles[index] for index in order] == sorted(middles)


def test_labels_with_room_stay_where_they_are_wanted() -> None:
    assert spread([50.0, 10.0, 30.0], [4.0, 4.0, 4.0], 0.0, 100.0) == [50.0, 10.0, 30.0]
