"""Reads the figures of a log block by block, so that a log of any length needs the same memory.

A cell without a figure is a gap and is counted; a cell with other text, or a line with too few or too many cells,
is a mistake that is told with its line and column. A line that is cut off at the end of the file is left out.
"""

from __future__ import annotations

import csv
import re
from array import array
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TextIO

import numpy as np
from numpy.typing import NDArray

from conversion.bench.log.format import COMMENT_MARKS, LONGEST_LINE, LogFormat, cell_place, open_log
from conversion.description.complaints import COMPLAINTS_PER_FILE, Complaint, DescriptionError, Place, quoted

Array = NDArray[np.float64]

BLOCK_CHARACTERS = 1 << 21
_GAPS = {"", "-", "--", "---", "nan", "na", "n/a", "null", "none", "#n/a"}
_INFINITE = re.compile(r"[+-]?inf(inity)?", re.IGNORECASE)


@dataclass
class LineNumbers:
    """The line of each row, kept as the rows at which rows and lines drift further apart."""

    rows: array[int] = field(default_factory=lambda: array("q"))
    lines: array[int] = field(default_factory=lambda: array("q"))

    def note(self, row: int, line: int) -> None:
        """Row and line where a stretch of consecutive lines begins."""
        if not self.rows or line - row != self.lines[-1] - self.rows[-1]:
            self.rows.append(row)
            self.lines.append(line)

    def line_of(self, row: int) -> int:
        """Number of the line in which a row stands."""
        at = bisect_right(self.rows, row) - 1
        return self.lines[at] + row - self.rows[at]


@dataclass
class LogReader:
    """One pass over a log.

    Attributes:
        format: How it is written.
        line_numbers: Filled while it is read.
        gaps: Number of cells without a figure, by column.
        first_gap: Place of the first of them, by column.
        cut_off: Place of a last line that is cut off, and so left out.
        comments: Number of comment lines after the header.
    """

    format: LogFormat
    line_numbers: LineNumbers = field(default_factory=LineNumbers)
    gaps: dict[str, int] = field(default_factory=dict)
    first_gap: dict[str, Place] = field(default_factory=dict)
    cut_off: Place | None = None
    comments: int = 0
    _rows: int = 0
    _complaints: list[Complaint] = field(default_factory=list)
    _left_out: int = 0

    def blocks(self) -> Iterator[Array]:
        """The rows in the order written, in seconds, volts, millimetres and per cent; (rows, columns), nan for a gap.

        Raises:
            DescriptionError: After the last block, where anything in the file is no figure.
        """
        line = self.format.first_line
        with open_log(self.format.path, self.format.encoding) as file:
            for _ in range(line - 1):
                while (text := file.readline(LONGEST_LINE)) and not text.endswith("\n"):
                    pass
            while text := file.read(BLOCK_CHARACTERS):
                text += _rest_of_line(text, file)
                ended = text.endswith("\n")
                lines = text.split("\n")
                if ended:
                    lines.pop()
                block = self._block(lines, line, last=not ended)
                line += len(lines)
                if len(block):
                    yield block * np.array([column.factor for column in self.format.columns])
        if self._complaints:
            if self._left_out:
                place = self._complaints[-1].place
                self._complaints.append(Complaint(place, "", f"{self._left_out} more like these follow."))
            raise DescriptionError(self._complaints)

    def _block(self, lines: list[str], first: int, last: bool) -> Array:
        """The figures of some lines; the last one may be cut off."""
        block = self._at_once(lines, first)
        if block is None:
            block = self._one_by_one(lines, first, last)
        else:
            self.line_numbers.note(self._rows, first)
        for at in np.flatnonzero(np.isnan(block).any(axis=0)):
            name = self.format.columns[at].name
            rows = np.flatnonzero(np.isnan(block[:, at]))
            self.gaps[name] = self.gaps.get(name, 0) + len(rows)
            if name not in self.first_gap:
                number = self.line_numbers.line_of(self._rows + int(rows[0]))
                text = lines[number - first]
                self.first_gap[name] = self._place(number, text, self.format.columns[at].index)
        self._rows += len(block)
        return block

    def _at_once(self, lines: list[str], first: int) -> Array | None:
        """All lines by the fast way; None where one of them is anything but plain figures."""
        form = self.format
        text = "\n".join(lines)
        if '"' in text or any(mark in text for mark in COMMENT_MARKS) or not lines:
            return None
        if not _all_as_wide(text, form.separator, form.width):
            return None
        if form.decimal_comma:
            lines = text.replace(",", ".").split("\n")
        try:
            block = np.loadtxt(
                lines,
                delimiter=form.separator,
                comments=None,
                ndmin=2,
                usecols=[column.index for column in form.columns],
            )
        except ValueError:
            return None
        return block if len(block) == len(lines) and not np.isinf(block).any() else None

    def _one_by_one(self, lines: list[str], first: int, last: bool) -> Array:
        form = self.format
        rows: list[list[float]] = []
        for number, line in enumerate(lines, first):
            if not line.strip():
                continue
            if line.lstrip().startswith(COMMENT_MARKS):
                self.comments += 1
                continue
            cells = _cells(line, form.separator)
            end_of_file = last and number == first + len(lines) - 1
            if len(cells) == form.width + 1 and not cells[-1].strip():
                cells.pop()
            if len(cells) < form.width and end_of_file:
                self.cut_off = Place(form.name, number, 1)
                continue
            if len(cells) != form.width:
                self._complain(Place(form.name, number, 1), self._wrong_width(len(cells)))
                continue
            figures = [self._figure(cells[column.index], number, line, column.index) for column in form.columns]
            self.line_numbers.note(self._rows + len(rows), number)
            rows.append(figures)
        return np.array(rows, dtype=np.float64).reshape(len(rows), len(form.columns))

    def _figure(self, cell: str, number: int, line: str, index: int) -> float:
        text = cell.strip().strip('"').strip()
        if text.casefold() in _GAPS:
            return float("nan")
        try:
            value = float(text.replace(",", ".") if self.format.decimal_comma or self.format.separator == "," else text)
        except ValueError:
            value = float("inf")
        if np.isfinite(value) and "_" not in text:
            return value
        titles = {column.index: column for column in self.format.columns}
        wanted = f"column {quoted(titles[index].title)} needs a figure, or nothing where none was read"
        what = "is not finite" if _INFINITE.fullmatch(text) else "is no figure"
        self._complain(self._place(number, line, index), f"{quoted(text)} {what}; {wanted}.")
        return float("nan")

    def _wrong_width(self, count: int) -> str:
        form = self.format
        hint = ""
        if form.separator == "," and count > form.width:
            hint = " Figures with a decimal comma need semicolons or tabs between the columns."
        return f"this line has {count} cells, and the header has {form.width}.{hint}"

    def _place(self, number: int, line: str, index: int) -> Place:
        return cell_place(self.format.name, number, line, self.format.separator, index)

    def _complain(self, place: Place, message: str) -> None:
        if len(self._complaints) < COMPLAINTS_PER_FILE:
            self._complaints.append(Complaint(place, "", message))
        else:
            self._left_out += 1


def _rest_of_line(text: str, file: TextIO) -> str:
    return "" if text.endswith("\n") else file.readline(LONGEST_LINE)


def _cells(line: str, separator: str) -> list[str]:
    if '"' not in line:
        return line.split(separator)
    return next(csv.reader([line], delimiter=separator))


def _all_as_wide(text: str, separator: str, width: int) -> bool:
    """Whether every line has as many cells as the header."""
    raw = np.frombuffer(text.encode("utf-8", "replace"), dtype=np.uint8)
    ends = np.append(np.flatnonzero(raw == 10), len(raw))
    separators = np.cumsum(raw == ord(separator))
    up_to = separators[np.maximum(ends - 1, 0)]
    counts = np.diff(up_to, prepend=0)
    return bool(np.all(counts == width - 1))
