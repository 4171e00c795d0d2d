"""The typesetter: same input same bytes, words stay words, and nothing is left out in silence."""

from __future__ import annotations

import datetime
import io
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pypdf
import pytest

from conversion.pack.typeset import TypesetError, compile_pdf

DATE = datetime.date(2024, 2, 29)
HOSTILE = """#panic("x") $ * _ @a \\ <b> & "q" 's' `r` [x] {y} // c /* = - + ~ #{1}"""
PLAIN = '#set text(font: "DejaVu Sans")\n'
POINTS_PER_MM = 72 / 25.4


def picture(family: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="90" height="30">'
        f'<text y="20" font-family="{family}">inside</text></svg>'
    ).encode()


def typeset(
    folder: Path, markup: str, data: Mapping[str, Any] | None = None, files: Mapping[str, bytes] | None = None
) -> bytes:
    template = folder / "page.typ"
    template.write_text(markup, encoding="utf-8")
    return compile_pdf(template, data or {}, files or {}, DATE)


def first_page(pdf: bytes) -> pypdf.PageObject:
    return pypdf.PdfReader(io.BytesIO(pdf)).pages[0]


def test_same_input_gives_the_same_bytes(tmp_path: Path) -> None:
    markup = PLAIN + '#json("/data.json").word #image("/files/drawings/a.svg")'
    arguments = (markup, {"word": HOSTILE}, {"drawings/a.svg": picture("DejaVu Sans")})
    assert typeset(tmp_path, *arguments) == typeset(tmp_path, *arguments)


def test_the_date_is_the_given_one(tmp_path: Path) -> None:
    pdf = typeset(tmp_path, PLAIN + "#datetime.today().display()")
    assert first_page(pdf).extract_text() == "2024-02-29"
    stamp = pypdf.PdfReader(io.BytesIO(pdf)).metadata
    assert stamp is not None and stamp.creation_date is not None
    assert stamp.creation_date.date() == DATE


def test_hostile_words_arrive_as_words(tmp_path: Path) -> None:
    pdf = typeset(tmp_path, PLAIN + '#json("/data.json").word', {"word": HOSTILE})
    assert first_page(pdf).extract_text() == HOSTILE


def test_a_hundred_millimetres_are_a_hundred_on_a4(tmp_path: Path) -> None:
    page = first_page(typeset(tmp_path, PLAIN + '#set page(paper: "a4")\n#line(length: 100mm)'))
    assert float(page.mediabox.width) == pytest.approx(210 * POINTS_PER_MM, abs=1e-3)
    assert float(page.mediabox.height) == pytest.approx(297 * POINTS_PER_MM, abs=1e-3)
    contents = page.get_contents()
    assert contents is not None
    (length,) = re.findall(rb"0 0 m (\S+) 0 l", contents.get_data())
    assert float(length) == pytest.approx(100 * POINTS_PER_MM, abs=1e-4)


def test_text_of_a_picture_is_kept(tmp_path: Path) -> None:
    markup = PLAIN + '#image("/files/a.svg")'
    pdf = typeset(tmp_path, markup, files={"a.svg": picture("DejaVu Sans, sans-serif")})
    assert "inside" in first_page(pdf).extract_text()


@pytest.mark.parametrize("family", ["sans", "Times", ""])
def test_text_of_a_picture_in_another_font_is_refused(tmp_path: Path, family: str) -> None:
    with pytest.raises(TypesetError, match=r"a\.svg: its text asks for"):
        typeset(tmp_path, PLAIN + '#image("/files/a.svg")', files={"a.svg": picture(family)})


def test_a_missing_font_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(TypesetError, match="unknown font family"):
        typeset(tmp_path, '#set text(font: "No Such Letters")\nwords')


def test_an_error_says_where_and_not_on_which_machine(tmp_path: Path) -> None:
    with pytest.raises(TypesetError) as caught:
        typeset(tmp_path, "\n#panic()")
    assert "page.typ:2:1" in str(caught.value)
    assert "treadle-" not in str(caught.value)


def test_a_template_may_import_its_neighbours(tmp_path: Path) -> None:
    (tmp_path / "shared.typ").write_text("#let greet = [from next door]", "utf-8")
    pdf = typeset(tmp_path, '#import "shared.typ": greet\n' + PLAIN + "#greet")
    assert first_page(pdf).extract_text() == "from next door"


def test_a_template_cannot_read_the_machine(tmp_path: Path) -> None:
    (tmp_path / "private.txt").write_text("private", "utf-8")
    with pytest.raises(TypesetError, match="not found"):
        typeset(tmp_path, '#read("/private.txt")')


@pytest.mark.parametrize("name", ["../a.svg", "/a.svg", "a\\..\\b.svg", "C:a.svg", ""])
def test_a_picture_stays_in_the_folder(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="not a file name"):
        typeset(tmp_path, "x", files={name: b"x"})


def test_a_number_that_json_has_not_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="not JSON compliant"):
        typeset(tmp_path, "x", {"volts": float("nan")})
