"""Labels that keep clear of each other: shortening, breaking into lines, and spreading along a margin."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import hypot

from conversion.drawings.font_widths import text_width_mm


def shortened(text: str, size_mm: float, width_mm: float, bold: bool = False) -> str:
    """The text, or its beginning and its end with an ellipsis between, as much as fits a width.

    Names that differ do so at their ends more often than in their middles.

    Example:
        >>> shortened("second-return-spring-3", 2.5, 22.0)
        'second-re…ing-3'
    """
    text = re.sub(r"[ \t\r\n]+", " ", text).strip()
    if text_width_mm(text, size_mm, bold) <= width_mm:
        return text
    room = width_mm - text_width_mm("…", size_mm, bold)
    begins = _fitting(text, size_mm, room * 2 / 3, bold)
    ends = _fitting(text[::-1], size_mm, room / 3, bold)[::-1]
    return f"{begins}…{ends}"


def _fitting(text: str, size_mm: float, room: float, bold: bool) -> str:
    """As much of the beginning as fits."""
    for kept, letter in enumerate(text):
        room -= text_width_mm(letter, size_mm, bold)
        if room < 0.0:
            return text[:kept]
    return text


def wrapped(text: str, size_mm: float, width_mm: float, lines: int = 99) -> list[str]:
    """The text broken between words into lines of a width.

    What the lines cannot hold is cut off, with an ellipsis; a word that is too long for a line is shortened. A no-break
    space (U+00A0) holds a figure and its unit together.

    Example:
        >>> wrapped("return spring of the pedal", 2.5, 22.0)
        ['return spring of', 'the pedal']
    """
    found: list[str] = []
    words = [word for word in re.split(r"[ \t\r\n]+", text) if word]
    while words:
        last = len(found) + 1 == lines
        line = words.pop(0)
        while words and text_width_mm(f"{line} {words[0]}", size_mm) <= width_mm:
            line = f"{line} {words.pop(0)}"
        if last and words:
            while " " in line and text_width_mm(f"{line} …", size_mm) > width_mm:
                line = line.rpartition(" ")[0]
            line, words = f"{line} …", []
        found.append(shortened(line, size_mm, width_mm))
    return found


def spread(wanted: Sequence[float], heights: Sequence[float], low: float, high: float) -> list[float]:
    """Middles of labels in one column: as near to where each is wanted as can be without overlap.

    Where all want a place that is too small they are pushed apart evenly, so that the sum of squares of the shifts is
    least; the column is moved into the margin as a whole. A margin that is too short is overrun at its end.

    Args:
        wanted: Where each label's middle would best lie; (labels,).
        heights: Of each label, spacing included; (labels,).
        low: Where the margin begins.
        high: Where it ends.

    Returns:
        Middles in the order given; (labels,).

    Example:
        >>> spread([10.0, 11.0, 30.0], [4.0, 4.0, 4.0], 0.0, 40.0)
        [8.5, 12.5, 30.0]
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    # Each block is a stack of labels that touch: its members, its height, and the best place of its start.
    blocks: list[tuple[list[int], float, float]] = []
    for index in order:
        members, height, start = [index], heights[index], wanted[index] - heights[index] / 2
        start = _within(start, height, low, high)
        while blocks and blocks[-1][2] + blocks[-1][1] > start + 1e-9:
            above, above_height, _ = blocks.pop()
            members, height = above + members, above_height + height
            start = _within(_best_start(members, wanted, heights), height, low, high)
        blocks.append((members, height, start))
    middles = [0.0] * len(wanted)
    for members, _, start in blocks:
        for index in members:
            middles[index] = start + heights[index] / 2
            start += heights[index]
    return middles


def beside(
    points: Sequence[tuple[float, float]], heights: Sequence[float], starts: Sequence[float], low: float, high: float
) -> list[float]:
    """Middles of labels in one column beside their points, the leaders crossing each other as little as can be.

    Labels begin in the order of their points' heights; neighbours whose leaders cross change places until none do.

    Args:
        points: Where each leader ends; (labels,).
        heights: Of each label, spacing included; (labels,).
        starts: Across the page, where each leader begins; (labels,).
        low: Where the margin begins.
        high: Where it ends.

    Returns:
        Middles in the order given; (labels,).

    Example:
        Two points side by side, reached from below: the farther one from farther down, so that its leader passes
        under the nearer.

        >>> beside([(60.0, 20.0), (30.0, 20.0)], [4.0, 4.0], [10.0, 10.0], 18.0, 40.0)
        [24.0, 20.0]
    """
    order = sorted(range(len(points)), key=lambda index: points[index][1])
    wanted = [points[index][1] for index in order]
    for _ in range(len(points) ** 2):
        middles = spread(wanted, [heights[index] for index in order], low, high)
        crossing = next(
            (
                rank
                for rank in range(len(order) - 1)
                if _cross(
                    (starts[order[rank]], middles[rank]), points[order[rank]],
                    (starts[order[rank + 1]], middles[rank + 1]), points[order[rank + 1]],
                )
            ),
            None,
        )  # fmt: skip
        if crossing is None:
            break
        order[crossing : crossing + 2] = reversed(order[crossing : crossing + 2])
    middles = spread(wanted, [heights[index] for index in order], low, high)
    return [middles[order.index(index)] for index in range(len(points))]


def _cross(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float], d: tuple[float, float]) -> bool:
    """Whether the leaders from a to b and from c to d cross or touch; two that end at one point do not."""
    if hypot(b[0] - d[0], b[1] - d[1]) < 0.5:
        return False

    def side(p: tuple[float, float], q: tuple[float, float], r: tuple[float, float]) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    return side(a, b, c) * side(a, b, d) <= 0.0 and side(c, d, a) * side(c, d, b) <= 0.0


def _best_start(members: Sequence[int], wanted: Sequence[float], heights: Sequence[float]) -> float:
    offset, total = 0.0, 0.0
    for index in members:
        total += wanted[index] - heights[index] / 2 - offset
        offset += heights[index]
    return total / len(members)


def _within(start: float, height: float, low: float, high: float) -> float:
    return max(low, min(start, high - height))
