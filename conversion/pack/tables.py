"""Tables for other programs: comma-separated, UTF-8, lines ended with LF.

RFC 4180 writes CRLF and every reader of it also takes LF; LF is what version control and the tools of a shell expect.
"""

from __future__ import annotations

import csv
import io
import re

from conversion.pack.document import DataTable

_FORMULA = re.compile(r"[=+\-@\t\r]")
_NUMBER = re.compile(r"[+-]?\d+(?:\.\d+)?")


def csv_bytes(table: DataTable) -> bytes:
    """The file of a table, its head first.

    Example:
        >>> csv_bytes(DataTable("t", ("what", "deg"), (("=1+1", "-0.7"),)))
        b"what,deg\\n'=1+1,-0.7\\n"
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(table.head)
    writer.writerows([_harmless(cell) for cell in row] for row in table.rows)
    return text.getvalue().encode("utf-8")


def _harmless(cell: str) -> str:
    """The text so that a spreadsheet takes it for text, not for a formula; a number stays a number."""
    cell = " ".join(cell.split())
    return f"'{cell}" if _FORMULA.match(cell) and not _NUMBER.fullmatch(cell) else cell
