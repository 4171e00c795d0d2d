"""What is wrong with a description, where, and what would be right.

A builder's mistake is a value that is gathered, so that one run reports every mistake at its place.
`DescriptionError` is raised only where reading cannot go on, and carries all that was gathered.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

SHOWN_CHARACTERS = 60
"""Longest piece of a builder's own text that a message repeats."""

COMPLAINTS_PER_FILE = 200
"""More than this many help nobody: the first ones are shown, and how many were left out."""

_WORD_BREAKS = re.compile(r"[-_\s]+")
_PLAIN_KEY = re.compile(r"[^\s.:'\"]+")


@dataclass(frozen=True, slots=True, order=True)
class Place:
    """A character of a file that the builder wrote; line and column count from 1."""

    file: str
    line: int
    column: int

    def __str__(self) -> str:
        return f"{printable(self.file)}:{self.line}:{self.column}"


@dataclass(frozen=True, slots=True, order=True)
class Complaint:
    """One mistake: where it stands, in which value (dotted path, "" for the whole file), and the sentence."""

    place: Place
    path: str
    message: str

    def __str__(self) -> str:
        where = f"{self.place}: {printable(self.path)}: " if self.path else f"{self.place}: "
        return where + printable(self.message)


class DescriptionError(Exception):
    """A description cannot be used; `complaints` holds every reason, sorted by place, none twice."""

    def __init__(self, complaints: Iterable[Complaint]) -> None:
        self.complaints: tuple[Complaint, ...] = tuple(sorted(set(complaints)))
        if not self.complaints:
            raise ValueError("an error in a description needs at least one complaint")
        super().__init__(self.complaints)

    def __str__(self) -> str:
        return "\n".join(str(complaint) for complaint in self.complaints)


def printable(text: str) -> str:
    """The text on one line, with each character that a terminal might obey or refuse written as an escape."""
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)


def shortened(text: str) -> str:
    """The text, cut to `SHOWN_CHARACTERS` with an ellipsis, and safe to print."""
    if len(text) > SHOWN_CHARACTERS:
        text = text[: SHOWN_CHARACTERS - 1].rstrip() + "…"
    return printable(text)


def quoted(text: str) -> str:
    """The builder's own text as a message repeats it: shortened, printable, in single quotes."""
    return f"'{shortened(text)}'"


def listed(words: Iterable[str], last: str = "or") -> str:
    """Words as a sentence lists them.

    Example:
        >>> listed(["rod", "cable", "contact"])
        'rod, cable or contact'
    """
    *head, tail = words
    return f"{', '.join(head)} {last} {tail}" if head else tail


def dotted(path: Iterable[str | int]) -> str:
    """A path as a builder reads it; entries of a list count from 1.

    Example:
        >>> dotted(("runs", 0, "length"))
        'runs.1.length'
    """
    return ".".join(_step(step) for step in path)


def _step(step: str | int) -> str:
    if isinstance(step, int):
        return str(step + 1)
    return shortened(step) if _PLAIN_KEY.fullmatch(step) else quoted(step)


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The known word that was probably meant, or None if nothing is near.

    Upper and lower case count as the same, and so do hyphen, underscore and space. Letters in the wrong
    order, one too many or one too few are forgiven.

    Example:
        >>> nearest("Signl", ["supply", "signal", "ground"])
        'signal'
        >>> nearest("full_stop", ["full-stop", "rest-stop"])
        'full-stop'
    """
    from difflib import get_close_matches  # only a description with mistakes needs it

    known: dict[str, str] = {}
    for candidate in words:
        known.setdefault(_folded(candidate), candidate)
    folded = _folded(word)
    if folded in known:
        return known[folded]
    letters = sorted(folded)
    for candidate, original in known.items():
        if len(candidate) == len(folded) and sorted(candidate) == letters:
            return original
    close = get_close_matches(folded, known, n=1, cutoff=0.65)
    return known[close[0]] if close else None


def _folded(word: str) -> str:
    return _WORD_BREAKS.sub("", word[:SHOWN_CHARACTERS]).casefold()
