"""The sheets of labels: every label on its place of the paper, whole, and the bar of its true length."""

from __future__ import annotations

import datetime
import io
import re
from pathlib import Path

import pypdf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.description import DescriptionError
from conversion.drawings.font_widths import text_width_mm
from conversion.pack.label_sheet import BAR, TRIAL, TRIAL_PLAIN, is_cut_short, label_sheet, laid_out
from conversion.plan import Plan
from conversion.plan.loom.tables.labels import PLAIN_PAPER, SheetLayout, all_labels, sheet_layout, wire_labels
from tests.pack.made import HOSTILE, POINTS_PER_MM, demo_pack, demo_plan, repr_yaml, squeezed
from tests.rules.patching import patched_plan

DATE = datetime.date(2026, 3, 14)
SHEET = "{paper: Letter, across: 2, down: 5, width: 90 mm, height: 40 mm, left: 10 mm, top: 15 mm, gap_across: 5 mm}"


def placed(page: pypdf.PageObject) -> list[tuple[str, float, float]]:
    """Texts of a page with the left end of their base lines, from the upper left corner. [mm]"""
    found: list[tuple[str, float, float]] = []
    height = float(page.mediabox.height)

    def visit(text: str, ctm: list[float], tm: list[float], font: object, size: float) -> None:
        if text.strip():
            x, y = tm[4] * ctm[0] + ctm[4], tm[5] * ctm[3] + ctm[5]
            found.append((squeezed(text).strip(), x / POINTS_PER_MM, (height - y) / POINTS_PER_MM))

    page.extract_text(visitor_text=visit)
    return found


@pytest.mark.parametrize("sheet", [None, SHEET])
def test_every_label_lies_whole_on_its_place(sheet: str | None, tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [f"conversion: loom.labels = {sheet}"] if sheet else [])
    layout = sheet_layout(plan.description.conversion.loom.labels)
    labels = all_labels(plan)
    pdf = pypdf.PdfReader(io.BytesIO(label_sheet(plan, DATE) or b""))
    assert len(pdf.pages) == 1 + -(-len(labels) // layout.each)
    for number, page in enumerate(pdf.pages[1:]):
        here = labels[number * layout.each : (number + 1) * layout.each]
        met = placed(page)
        for place, label in enumerate(here):
            left = layout.left_mm + place % layout.across * layout.step_across_mm
            top = layout.top_mm + place // layout.across * layout.step_down_mm
            inside = [
                text for text, x, y in met
                if left <= x < left + layout.width_mm and top < y <= top + layout.height_mm
            ]  # fmt: skip
            assert "".join(inside).startswith(label.tag), label
            # A long title may be shortened, and is read piece by piece.
            near = squeezed(" ".join(label.pieces))
            assert label.kind != "wire" or set(inside) == {near}, label
        taken = sum(layout.left_mm <= x and layout.top_mm <= y for _, x, y in met)
        assert taken == len(met)


def test_the_first_page_is_for_trying_and_says_how() -> None:
    first = pypdf.PdfReader(io.BytesIO(demo_pack()["labels/label-sheet.pdf"])).pages[0]
    text = squeezed(first.extract_text())
    assert TRIAL in text and BAR in text
    operators = first.get_contents().get_data().decode("latin-1")
    lines = re.findall(r"([\d.-]+) ([\d.-]+) m\s+([\d.-]+) ([\d.-]+) l", operators)
    lengths = [abs(float(x2) - float(x1)) / POINTS_PER_MM for x1, _, x2, _ in lines]
    assert any(length == pytest.approx(100.0, abs=0.01) for length in lengths)


def test_words_that_have_no_room_are_told_on_the_first_page(tmp_path: Path) -> None:
    least = patched_plan(tmp_path, ["conversion: loom.labels.width = 15 mm", "conversion: loom.labels.height = 7 mm"])
    assert not any(is_cut_short(_layout(least), label.pieces) for label in wire_labels(least))
    splice = ["conversion: loom.splices.Z1 removed", f"conversion: loom.splices.{'Z' * 40} = {{joins: [feed.15]}}"]
    plan = patched_plan(tmp_path, [*splice, "conversion: loom.labels.width = 15 mm"])
    short = sum(is_cut_short(_layout(plan), label.pieces) for label in wire_labels(plan))
    assert short > 0
    first = pypdf.PdfReader(io.BytesIO(label_sheet(plan, DATE) or b"")).pages[0]
    assert f"{short} of the wires" in squeezed(first.extract_text())


def _layout(plan: Plan) -> SheetLayout:
    layout = sheet_layout(plan.description.conversion.loom.labels)  # type: ignore[union-attr]
    assert layout is not None
    return layout


def test_paper_that_is_not_described_is_plain_and_cut(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, ["conversion: loom.labels removed"])
    assert sheet_layout(plan.description.conversion.loom.labels) == PLAIN_PAPER
    pdf = pypdf.PdfReader(io.BytesIO(label_sheet(plan, DATE) or b""))
    assert TRIAL_PLAIN in squeezed(pdf.pages[0].extract_text())


def test_equal_input_is_equal_bytes_and_nothing_to_label_is_no_sheet(tmp_path: Path) -> None:
    assert label_sheet(demo_plan(), DATE) == label_sheet(demo_plan(), DATE)
    unknown = patched_plan(tmp_path, ["conversion: loom.labels.height = unknown"])
    assert label_sheet(unknown, DATE) is None


def test_hostile_words_stay_words(tmp_path: Path) -> None:
    plan = patched_plan(tmp_path, [f"S2: title = {repr_yaml(HOSTILE)}"])
    pdf = pypdf.PdfReader(io.BytesIO(label_sheet(plan, DATE) or b""))
    assert "<script>" in "".join(page.extract_text() for page in pdf.pages)


@settings(max_examples=60)
@given(st.lists(st.text(min_size=1, max_size=60), min_size=1, max_size=3))
def test_no_line_is_wider_or_lower_than_its_label(pieces: list[str]) -> None:
    for line in laid_out(PLAIN_PAPER, pieces):
        assert text_width_mm(line["text"], line["size"], bold=line["bold"]) <= PLAIN_PAPER.width_mm - line["x"]
        assert line["size"] <= line["y"] <= PLAIN_PAPER.height_mm


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("conversion: loom.labels.across = 4", "4 labels of 60 mm reach 261.0 mm and A4 is 210 mm wide"),
        ("conversion: loom.labels.down = 9", "9 labels of 34 mm reach 318.0 mm and A4 is 297 mm high"),
        ("conversion: loom.labels.width = 5 mm", "a label 5 mm wide has no room"),
        ("conversion: loom.labels.height = 3 mm", "take labels at least 15 mm wide and 7 mm high"),
    ],
)
def test_labels_beyond_the_paper_or_too_small_are_told_at_their_place(line: str, says: str, tmp_path: Path) -> None:
    with pytest.raises(DescriptionError) as raised:
        patched_plan(tmp_path, [line])
    (complaint,) = raised.value.complaints
    assert says in str(complaint) and "loom.labels" in str(complaint)
