"""How a log is written: which line is its header, what parts its cells, which column is which."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import TextIO

from conversion.bench.log.words import UNITS, Heading, column_names, dimension_of, heading, known_unit, recognised
from conversion.description.complaints import Complaint, DescriptionError, Place, listed, nearest, quoted

COMMENT_MARKS = ("#", "//", "%%", "!")
HEADER_WITHIN = 200
"""The header is looked for in so many lines: loggers write a page of their own words before it."""
LONGEST_LINE = 65_536

_SEPARATORS = {"\t": "tabs", ";": "semicolons", ",": "commas"}
_NUMBER = re.compile(r"\s*[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?\s*")
_DECIMAL_COMMA = re.compile(r"\s*[+-]?\d*,\d+([eE][+-]?\d+)?\s*")
_LOOKED_AT = 50


@dataclass(frozen=True, slots=True)
class LogColumn:
    """One column that is read.

    Attributes:
        name: ``time``, a track, ``pad``, ``percent``, ``supply`` or ``supply TRACK``.
        index: Its place in a line, from 0.
        factor: From what is written to seconds, volts, millimetres or per cent.
        title: Its heading as written.
    """

    name: str
    index: int
    factor: float
    title: str


@dataclass(frozen=True, slots=True)
class LogFormat:
    """What has to be known to read the figures of a log.

    Attributes:
        path: The file.
        name: As messages call it.
        encoding: Of its text.
        separator: Between cells.
        decimal_comma: Whether figures are written with a comma.
        width: How many cells a line has.
        columns: Those that are read, time first, then the tracks in their order.
        unread: Headings of the others.
        first_line: Number of the first line that may hold figures.
    """

    path: Path
    name: str
    encoding: str
    separator: str
    decimal_comma: bool
    width: int
    columns: tuple[LogColumn, ...]
    unread: tuple[str, ...]
    first_line: int

    def index_of(self, name: str) -> int | None:
        """The place of a column among those that are read; None where the log has none of this name."""
        return next((at for at, column in enumerate(self.columns) if column.name == name), None)


def open_log(path: Path, encoding: str) -> TextIO:
    """The log as text, whatever ends its lines; strange bytes become a mark that is no figure."""
    return path.open(encoding=encoding, errors="replace", newline=None)


def read_format(path: Path, name: str, tracks: Sequence[str], chosen: Mapping[str, str]) -> LogFormat:
    """Find the header of a log and what its columns are.

    Args:
        path: The file.
        name: As messages call it.
        tracks: The tracks that have to be in it.
        chosen: Heading of a column by its name, where the words are not recognised.

    Raises:
        DescriptionError: There is no header, a column is missing or stands twice, or a unit does not fit.
        OSError: It cannot be read.
    """
    encoding = _encoding(path)
    with open_log(path, encoding) as file:
        lines = [line.rstrip("\n") for line in islice(_bounded(file), HEADER_WITHIN + _LOOKED_AT)]
    best: tuple[int, int, str, list[Heading]] | None = None
    for number, line in enumerate(lines[:HEADER_WITHIN], 1):
        if not line.strip():
            continue
        for separator in _SEPARATORS:
            # A header may itself be written as a comment.
            text = line.lstrip("#/%! ") if line.startswith(COMMENT_MARKS) else line
            cells = [heading(cell) for cell in text.split(separator)]
            known = sum(_name_of(cell, tracks, chosen) is not None for cell in cells)
            if len(cells) > 1 and known > (best[0] if best else 0):
                best = known, number, separator, cells
    if best is None:
        raise DescriptionError([_no_header(name, lines, tracks)])
    _, number, separator, cells = best
    columns, complaints = _columns(name, number, lines[number - 1], separator, cells, tracks, chosen)
    after = lines[number:]
    first = number + 1
    units = after[0].split(separator) if after else []
    if len(units) == len(cells) and any(map(str.strip, units)) and all(_is_unit(unit) for unit in units):
        columns, more = _with_units(name, number + 1, after[0], separator, units, columns)
        complaints += more
        first, after = first + 1, after[1:]
    if complaints:
        raise DescriptionError(complaints)
    comma = separator != "," and _has_decimal_comma(after, separator)
    used = {column.index for column in columns}
    unread = tuple(cell.text for at, cell in enumerate(cells) if at not in used and cell.text)
    return LogFormat(path, name, encoding, separator, comma, len(cells), tuple(columns), unread, first)


def _encoding(path: Path) -> str:
    with path.open("rb") as file:
        start = file.read(4)
    if start.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    return "utf-8-sig"


def _bounded(file: TextIO) -> Iterable[str]:
    while line := file.readline(LONGEST_LINE):
        yield line


def _name_of(cell: Heading, tracks: Sequence[str], chosen: Mapping[str, str]) -> str | None:
    for name, text in chosen.items():
        if text.strip() in (cell.text, cell.name):
            return name
    found = recognised(cell.word, tracks)
    return None if found in chosen else found


def _no_header(name: str, lines: Sequence[str], tracks: Sequence[str]) -> Complaint:
    example = ";".join(["time [s]", *(f"track {track} [V]" for track in tracks)])
    filled = [(number, line) for number, line in enumerate(lines, 1) if line.strip()]
    place = Place(name, filled[0][0] if filled else 1, 1)
    if not filled:
        return Complaint(place, "", f"the file is empty; a log begins with a header such as '{example}'.")
    if all(_NUMBER.fullmatch(cell) for cell in re.split(r"[;\t]|,(?=\s*\D)", filled[0][1]) if cell.strip()):
        return Complaint(place, "", f"the columns have no headings; write a first line such as '{example}'.")
    shown = quoted(filled[0][1])
    return Complaint(
        place,
        "",
        f"no heading is recognised in {shown} or the lines after it; write '{example}', or say which heading is which: "
        "--column time=HEADING.",
    )


def _columns(
    name: str,
    number: int,
    line: str,
    separator: str,
    cells: Sequence[Heading],
    tracks: Sequence[str],
    chosen: Mapping[str, str],
) -> tuple[list[LogColumn], list[Complaint]]:
    complaints: list[Complaint] = []
    found: dict[str, LogColumn] = {}
    for at, cell in enumerate(cells):
        what = _name_of(cell, tracks, chosen)
        if what is None:
            continue
        place = cell_place(name, number, line, separator, at)
        if what in found:
            text = f"both {quoted(found[what].title)} and {quoted(cell.text)} look like {what}"
            complaints.append(Complaint(place, "", f"{text}; say which is meant: --column '{what}=HEADING'."))
            continue
        factor = _factor(what, cell.unit)
        if factor is None:
            complaints.append(_wrong_unit(place, what, cell.unit))
        found[what] = LogColumn(what, at, factor or 1.0, cell.text)
    for what, text in chosen.items():
        if what not in found:
            near = nearest(text, [word for cell in cells for word in (cell.name, cell.text)])
            hint = (
                f"did you mean {quoted(near)}?"
                if near
                else f"there are {listed([quoted(c.text) for c in cells], 'and')}."
            )
            complaints.append(Complaint(Place(name, number, 1), "", f"no column is headed {quoted(text)}; {hint}"))
    for what in ("time", *tracks):
        if what not in found and what not in chosen:
            words = "time" if what == "time" else f"track {what}"
            have = listed([quoted(cell.text) for cell in cells], "and")
            complaints.append(
                Complaint(
                    Place(name, number, 1),
                    "",
                    f"no column is recognised as {words}; head it '{words}', or name it: --column '{what}=HEADING'. "
                    f"The headings are {have}.",
                )
            )
    order = {what: at for at, what in enumerate(column_names(tracks))}
    return sorted(found.values(), key=lambda column: order[column.name]), complaints


def _factor(what: str, unit: str) -> float | None:
    units = UNITS[dimension_of(what)]
    return next(iter(units.values())) if not unit else units.get(unit)


def _wrong_unit(place: Place, what: str, unit: str) -> Complaint:
    known = listed(list(dict.fromkeys(UNITS[dimension_of(what)]))[:4])
    return Complaint(place, "", f"{quoted(unit)} is no unit of the column {what}; write {known} in brackets behind it.")


def _is_unit(text: str) -> bool:
    body = text.strip().strip('"').strip("[]() ")
    return not body or known_unit(body)


def _with_units(
    name: str, number: int, line: str, separator: str, units: Sequence[str], columns: Sequence[LogColumn]
) -> tuple[list[LogColumn], list[Complaint]]:
    """The columns with the units of a line of their own below the header."""
    done, complaints = [], []
    for column in columns:
        unit = units[column.index].strip().strip('"').strip("[]() ")
        factor = _factor(column.name, unit) if unit else column.factor
        if factor is None:
            complaints.append(_wrong_unit(cell_place(name, number, line, separator, column.index), column.name, unit))
        done.append(LogColumn(column.name, column.index, factor or 1.0, column.title))
    return done, complaints


def _has_decimal_comma(lines: Sequence[str], separator: str) -> bool:
    cells = [cell.strip('" ') for line in lines for cell in line.split(separator)]
    return any(_DECIMAL_COMMA.fullmatch(cell) for cell in cells)


def cell_place(name: str, number: int, line: str, separator: str, index: int) -> Place:
    """Where a cell begins: line and column of the file, both from 1."""
    before = line.split(separator)[:index]
    return Place(name, number, 1 + sum(len(cell) + 1 for cell in before))
