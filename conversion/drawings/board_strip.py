"""Along the lower edge of the board: what it is, what its marks mean, and a rule to check its scale by."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.drawings.board_words import SMALL_MM, counted
from conversion.drawings.font_widths import text_width_mm
from conversion.drawings.labels import shortened
from conversion.fit.shapes import CAPITAL, Circle, Line, Purpose, Shape, Text
from conversion.linkage.turning import Array
from conversion.plan import Plan
from conversion.plan.loom.board import STRIP_MM

TITLE_MM = 4.5
_LEFT_MM = 20.0
_SIGN_MM = 16.0
_TICK_MM = 100.0
_TITLE_UP, _LEGEND_UP, _RULE_UP = STRIP_MM - 9.0, STRIP_MM - 21.0, 8.0


def strip_shapes(plan: Plan, width_mm: float) -> Iterator[Shape]:
    """The strip, from the board's left edge to its right. [mm]"""
    yield Line(np.array([[0.0, STRIP_MM], [width_mm, STRIP_MM]]), Purpose.BOARD)
    title = shortened(_title(plan), TITLE_MM / CAPITAL, width_mm - 2 * _LEFT_MM)
    yield _from_left(title, TITLE_MM, _LEFT_MM, _TITLE_UP)
    yield from _legend(plan, width_mm)
    yield from _rule(width_mm)


def _title(plan: Plan) -> str:
    conversion, layout = plan.description.conversion, plan.board.layout
    words = [
        f"{conversion.title}, revision {conversion.revision}, {conversion.date.isoformat()}",
        "the loom on its board at true scale",
        "lengths in mm along the middle of the loom",
    ]
    if not layout.fits:
        words.append(
            f"the described board is too small: this takes {layout.width_mm:.0f} × {layout.height_mm + STRIP_MM:.0f} mm"
        )
    if layout.folds:
        words.append(counted(len(layout.folds), "fold"))
    if any(hung.drip_mm for hung in plan.board.hung.values()):
        words.append("a tail of 150 + 60 mm has 60 mm in its drip loop")
    if layout.over:
        words.append(f"{len(layout.over)} lying over something")
    return "; ".join(words)


def _legend(plan: Plan, width_mm: float) -> Iterator[Shape]:
    """Each kind of mark that is on the board, as far as there is room."""
    x, y = _LEFT_MM, _LEGEND_UP
    for purpose, words in (
        ("loom", "loom, as thick as it is, and its middle"),
        ("station", "station: runs and tails meet"),
        ("splice", "splice at the station"),
        ("clip", "clip"),
        ("band", "labels go here"),
        ("housing", "housing, bolt or clamp"),
        ("fold", "fold of the board"),
    ):
        if purpose == "fold" and not plan.board.layout.folds:
            continue
        wide = text_width_mm(words, SMALL_MM / CAPITAL)
        if x + _SIGN_MM + wide > width_mm - _LEFT_MM:
            return
        yield from _sign(purpose, np.array([x + _SIGN_MM / 2 - 2.0, y]))
        yield _from_left(words, SMALL_MM, x + _SIGN_MM, y - SMALL_MM / 2)
        x += _SIGN_MM + wide + 10.0


def _sign(what: str, at: Array) -> Iterator[Shape]:
    half = np.array([6.0, 2.5])
    corners = at + half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    if what == "loom":
        yield Line(corners, Purpose.LOOM, closed=True)
        yield Line(at + np.array([[-6.0, 0.0], [6.0, 0.0]]), Purpose.CENTRE)
    elif what == "station":
        yield Circle(at, 3.0, Purpose.MARK)
    elif what == "splice":
        yield Line(at + 4.0 * np.array([[1, 0], [0, 1], [-1, 0], [0, -1]]), Purpose.HOUSING, closed=True)
        yield Circle(at, 2.2, Purpose.MARK)
    elif what == "clip":
        yield Line(at + np.array([[0.0, -4.0], [0.0, 4.0]]), Purpose.CLIP)
    elif what == "band":
        yield Line(corners, Purpose.MARK, closed=True)
    elif what == "housing":
        yield Line(corners, Purpose.HOUSING, closed=True)
    else:
        yield Circle(at, 4.0, Purpose.MARK)


def _rule(width_mm: float) -> Iterator[Shape]:
    """A line with a stroke every 100 mm, as long as fits."""
    count = int((width_mm - 2 * _LEFT_MM - 90.0) // _TICK_MM)
    if count < 1:
        return
    start = np.array([_LEFT_MM, _RULE_UP])
    yield Line(np.array([start, start + np.array([count * _TICK_MM, 0.0])]), Purpose.BOARD)
    for tick in range(count + 1):
        at = start + np.array([tick * _TICK_MM, 0.0])
        yield Line(np.array([at, at + np.array([0.0, 3.0])]), Purpose.BOARD)
        yield Text(at + np.array([0.0, 4.0]), f"{tick * _TICK_MM:.0f}", SMALL_MM, Purpose.BOARD)
    yield _from_left(
        "mm: measure it before you trust the board",
        SMALL_MM,
        start[0] + count * _TICK_MM + 12.0,
        _RULE_UP,
        Purpose.BOARD,
    )


def _from_left(text: str, height_mm: float, left_mm: float, foot_mm: float, purpose: Purpose = Purpose.MARK) -> Text:
    middle = left_mm + text_width_mm(text, height_mm / CAPITAL) / 2
    return Text(np.array([middle, foot_mm]), text, height_mm, purpose)
