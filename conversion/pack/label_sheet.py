"""The labels of the loom on the sheet that the builder bought, or on plain paper to be cut: one PDF at true scale."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any

from conversion.description.board_forms import PAPER_MM
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened
from conversion.pack.paper_text import printable_in_pdf
from conversion.pack.typeset import compile_pdf
from conversion.plan import Plan
from conversion.plan.loom.tables.labels import Label, SheetLayout, all_labels, sheet_layout
from conversion.resources import templates_dir

BAR = "This bar must be 100 mm. Fit-to-page of a printer breaks the scale; print at actual size."
TRIAL = (
    "Print this page on plain paper, hold it against a sheet of labels to the light, and see that every frame lies on "
    "its label. Then print the other pages on the labels."
)
TRIAL_PLAIN = (
    "The other pages are printed on plain paper. Cut each label out along its frame, wind it round the wire, and "
    "shrink clear tube over it."
)
CUT_SHORT = "{} too narrow for all words, which are cut short there; wider labels hold them whole."
_LARGEST_MM, _LEAST_MM, _STEP_MM = 3.0, 1.5, 0.1
_EDGE_MM = 1.2
_LINE = 1.45
"""From line to line, as a share of the text size."""


def label_sheet(plan: Plan, date: datetime.date) -> bytes | None:
    """The sheets of labels with a page to try them; None where there is nothing to label or a measure is not known.

    Args:
        plan: What was computed.
        date: Of the description; it becomes the date of the PDF.
    """
    loom = plan.description.conversion.loom
    layout = sheet_layout(loom.labels if loom else None)
    labels = all_labels(plan)
    if layout is None or not labels:
        return None
    return compile_pdf(templates_dir() / "label-sheet.typ", _data(layout, labels), {}, date)


def _data(layout: SheetLayout, labels: Sequence[Label]) -> dict[str, Any]:
    width, height = PAPER_MM[layout.paper]
    trial = TRIAL if layout.bought else TRIAL_PLAIN
    if short := sum(label.kind == "wire" and is_cut_short(layout, label.pieces) for label in labels):
        trial += " " + CUT_SHORT.format("1 wire's label is" if short == 1 else f"{short} of the wires' labels are")
    known: dict[tuple[str, ...], list[dict[str, Any]]] = {}
    for label in labels:
        if label.pieces not in known:
            known[label.pieces] = laid_out(layout, label.pieces)
    return {
        "title": f"Labels of the loom: {len(labels)} on {-(-len(labels) // layout.each)} sheets",
        "trial": trial,
        "bar": BAR,
        "paper": {"width": width, "height": height},
        "width": layout.width_mm,
        "height": layout.height_mm,
        "cut": not layout.bought,
        "words": {"x": (width - 130.0) / 2, "y": height / 2 - 25.0, "width": 130.0},
        "places": [
            {"x": layout.left_mm + column * layout.step_across_mm, "y": layout.top_mm + row * layout.step_down_mm}
            for row in range(layout.down)
            for column in range(layout.across)
        ],
        "sheets": [
            [{"place": place, "lines": known[label.pieces]} for place, label in enumerate(sheet)]
            for sheet in (labels[at : at + layout.each] for at in range(0, len(labels), layout.each))
        ],
    }


def laid_out(layout: SheetLayout, pieces: Sequence[str]) -> list[dict[str, Any]]:
    """The lines of a label: its words on one line or on several, again and again over its whole height.

    Returns:
        Text, its size, and the left end of its base line from the label's upper left corner. [mm]
    """
    words = [printable_in_pdf(" ".join(piece.split())) for piece in pieces]
    room = layout.width_mm - 2 * _EDGE_MM
    lines = [" ".join(words)]
    size = _fitting(lines, room)
    if size is None:
        # The near end stays with the tag, the far end goes below it.
        lines = [" ".join(words[:-1]), words[-1]] if len(words) > 1 else lines
        size = _fitting(lines, room)
    if size is None:
        size = _LEAST_MM
        lines = [shortened(line, size, room, bold=True) for line in lines]
    pitch = _LINE * size
    times = max(1, int((layout.height_mm - 2 * _EDGE_MM) / (pitch * len(lines))))
    return [
        {
            "text": line,
            "size": size,
            "bold": position == 0,
            "x": _EDGE_MM,
            "y": round(_EDGE_MM + pitch * (turn * len(lines) + position) + size, 3),
        }
        for turn in range(times)
        for position, line in enumerate(lines)
    ]


def is_cut_short(layout: SheetLayout, pieces: Sequence[str]) -> bool:
    """Whether some of the words of a label have no room on it."""
    whole = " ".join(printable_in_pdf(" ".join(piece.split())) for piece in pieces)
    return whole not in " ".join(line["text"] for line in laid_out(layout, pieces))


def _fitting(lines: Sequence[str], room: float) -> float | None:
    """The largest text size at which all lines fit; None where even the least does not."""
    widest = max(text_width_mm(line, 1.0, bold=True) for line in lines)
    size = min(_LARGEST_MM, int(room / widest / _STEP_MM) * _STEP_MM)
    return round(size, 1) if size >= _LEAST_MM else None
