"""The pack on paper: everything of the plan is on it, on A4, and texts of a description are only texts."""

from __future__ import annotations

import io
from pathlib import Path

import pypdf
import pytest

from conversion.description import read_description
from conversion.drawings.drawing import Drawing
from conversion.pack.document import as_data
from conversion.pack.paper_text import printable_in_pdf
from conversion.pack.pdf import pack_pdf
from conversion.plan import Plan, travel_positions
from conversion.quantities import number
from conversion.rules import find_all
from tests.pack.made import (
    FOREIGN,
    HOSTILE,
    LONG,
    POINTS_PER_MM,
    crushed,
    demo_pack,
    demo_plan,
    document_of,
    hostile_copy,
    pack_of,
    pages_of,
    squeezed,
    text_of,
)  # fmt: skip
from tests.rules.patching import patched_plan

A4_MM = (210.0, 297.0)


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return demo_pack()["build-pack.pdf"]


@pytest.fixture(scope="module")
def pages(pdf: bytes) -> list[str]:
    return pages_of(pdf)


def test_every_section_has_its_heading_and_its_line_in_the_contents(pages: list[str]) -> None:
    from conversion.drawings import draw_all

    plan = demo_plan()
    sections = document_of(plan, find_all(plan), draw_all(plan)).sections
    assert len(sections) >= 14
    for number_, section in enumerate(sections, start=1):
        heading = f"{number_} {section.title}"
        assert heading in pages[0], "contents"
        assert any(heading in page for page in pages[1:]) or number_ == 1, heading


def test_every_page_is_a4_and_says_which_it_is(pdf: bytes, pages: list[str]) -> None:
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    for at, page in enumerate(reader.pages):
        size = sorted((float(page.mediabox.width) / POINTS_PER_MM, float(page.mediabox.height) / POINTS_PER_MM))
        assert size == pytest.approx(A4_MM, abs=0.01)
        assert f"page {at + 1} of {len(pages)}" in pages[at]
        assert "revision B 2026-03-14" in pages[at]


def test_no_page_is_empty(pages: list[str]) -> None:
    # What every page has: title, revision and date above, two lines below.
    running = len(
        "Market van, cable pedal kept revision B 2026-03-14 treadle build pack: a plan to work by page 10 of 30"
    )
    for at, page in enumerate(pages):
        assert len(page) > running + 60, f"page {at + 1}: {page}"


def test_every_wire_has_its_tag_ends_and_purpose(pages: list[str]) -> None:
    text = " ".join(pages)
    for wire in demo_plan().wiring.wires:
        assert f" {wire.tag} " in text
        assert wire.purpose in text
        assert wire.start.name in text and wire.end.name in text


def test_every_tenth_of_the_travel_has_its_volts(pages: list[str]) -> None:
    text = " ".join(pages)
    positions, _ = travel_positions(demo_plan())
    for position in positions[::4]:
        for track in position["tracks"].values():
            nominal, least, greatest = (number(track[what], "voltage") for what in ("volts", "volts_min", "volts_max"))
            assert f"{nominal} {least} to {greatest}" in text


def test_every_drawing_is_on_a_page(pages: list[str]) -> None:
    from conversion.drawings import draw_all

    text = crushed(" ".join(pages))
    for drawing in draw_all(demo_plan()).drawings:
        assert crushed(drawing.caption) in text, drawing.name


def test_title_author_and_date_are_in_the_file(pdf: bytes) -> None:
    said = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    conversion = demo_plan().description.conversion
    assert said is not None
    assert said.title == conversion.title
    assert said.author == conversion.builder
    assert said.creation_date is not None and said.creation_date.date() == conversion.date


def test_a_hold_is_on_the_cover_and_where_it_stops_the_work(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: linkage.module.opens = clockwise"])
    files, findings = pack_of(plan)
    holds = [finding for finding in findings if finding.severity == "HOLD"]
    pages = pages_of(files["build-pack.pdf"])
    assert holds
    assert "DO NOT FIT OR START" in pages[0]
    first = next(at for at, page in enumerate(pages) if "Hold point" in page)
    for hold in holds:
        text = crushed(hold.rule)
        assert any(text in crushed(page) for page in pages[:first]), hold.rule
        assert any(text in crushed(page) for page in pages[first:]), hold.rule


def test_a_clean_demo_is_not_called_safe(pages: list[str]) -> None:
    assert "DO NOT FIT" not in " ".join(pages)
    assert "does not say that the car is safe or legal" in " ".join(pages)


def test_hostile_texts_are_only_texts(tmp_path: Path) -> None:
    plan = Plan(read_description(hostile_copy(tmp_path)))
    files, _ = pack_of(plan)
    text = crushed(text_of(files["build-pack.pdf"]))
    assert crushed(HOSTILE) in text
    assert crushed(LONG) in text
    assert crushed(printable_in_pdf("Ἑλλάς Привет 日本語")) in text


def outside(pdf: bytes) -> list[tuple[int, float, float, str]]:
    """Pieces of text that begin off the paper: page, place in points, text."""
    found = []
    for at, page in enumerate(pypdf.PdfReader(io.BytesIO(pdf)).pages, start=1):
        width, height = float(page.mediabox.width), float(page.mediabox.height)

        def look(
            text: str,
            cm: list[float],
            tm: list[float],
            *_: object,
            at: int = at,
            size: tuple[float, float] = (width, height),
        ) -> None:
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            if text.strip() and not (0.0 <= x <= size[0] and 0.0 <= y <= size[1]):
                found.append((at, x, y, text))

        page.extract_text(visitor_text=look)
    return found


def test_nothing_is_set_off_the_paper(pdf: bytes) -> None:
    assert outside(pdf) == []


def test_texts_as_long_as_may_be_stay_on_the_paper(tmp_path: Path) -> None:
    words, word = ("so long a text as anybody can write " * 60)[:1990].strip(), "W" * 1990
    lines = [
        f"conversion: title = {word}",
        f"conversion: revision = {words}",
        f"conversion: vehicle.identity = {word}",
        f"conversion: loom.wires.1.reason = {word}",
        f"conversion: loom.stations.board = {words}",
        f"conversion: devices.M1.place = {word}",
        f"conversion: devices.S1.place = {words}",
        f"conversion: devices.F1.place = {words}",
        f"B1: title = {words}",
        f"M1: title = {word}",
        f"K1: note = {word}",
        "conversion: linkage.module.opens = clockwise",
    ]
    files, _ = pack_of(patched_plan(tmp_path, lines))
    assert outside(files["build-pack.pdf"]) == []
    text = crushed(text_of(files["build-pack.pdf"]))
    assert text.count(crushed(words)) >= 4
    assert text.count(word) >= 4


def test_a_letter_that_the_font_lacks_is_not_left_out_in_silence() -> None:
    assert printable_in_pdf("日") == "[U+65E5]"
    assert printable_in_pdf("Ἑλλάς Привет ±²Ω→☐") == "Ἑλλάς Привет ±²Ω→☐"
    assert "\u65e5" in FOREIGN


def test_what_is_not_known_is_said_with_how_to_find_it(tmp_path: Path) -> None:
    plan = patched_plan(
        tmp_path, ["conversion: linkage.rod.length = unknown", "conversion: linkage.rod.set_at_rest removed"]
    )
    files, _ = pack_of(plan)
    text = text_of(files["build-pack.pdf"])
    assert "The travel cannot be given here." in text
    assert "rests on linkage.rod.length" in text
    assert "between the centres of the two ball joints" in text


def test_a_picture_that_is_too_large_is_made_to_fit() -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="1200mm" viewBox="0 0 900 1200" '
        'font-family="DejaVu Sans"><text x="880" y="1190" font-size="9">corner</text></svg>'
    )
    plan = demo_plan()
    from conversion.drawings import draw_all

    drawn = draw_all(plan)
    large = Drawing("circuit-large", "Large", "Too large for any paper.", svg, 900.0, 1200.0)
    drawings = (*drawn.drawings, large)
    document = document_of(plan, (), type(drawn)(drawings, drawn.left_out))
    pages = pages_of(pack_pdf(as_data(document), drawings, plan.description.conversion.date)())
    (page,) = [page for page in pages if "Too large for any paper." in page]
    assert "corner" in squeezed(page)
