"""What the build pack says, as plain data: the PDF and the HTML page are set from the same words and figures.

Every figure in here is text already rounded; a template lays out, and neither computes nor decides. Words of a
description are data all the way: nothing in here is markup of any kind.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass
from functools import cache
from typing import Any

from conversion.pack.blocks import Block

SHORT_CHARACTERS = 70
"""Longest title that a running header takes."""


@dataclass(frozen=True, slots=True)
class Section:
    """A section of the pack.

    Attributes:
        key: For links; lower case and hyphens.
        title: Its heading.
        lead: One or two sentences: what it is for.
        blocks: What stands in it.
        landscape: Whether its paper lies on its long side.
        new_page: Whether it begins a page.
        to_scale: Whether its drawings are to be measured on paper; a line to check the printer by stands below.
    """

    key: str
    title: str
    lead: str
    blocks: tuple[Block, ...]
    landscape: bool = False
    new_page: bool = True
    to_scale: bool = False


@dataclass(frozen=True, slots=True)
class DataTable:
    """A table for other programs: plain figures without units, which the names in the head carry.

    Attributes:
        name: File stem.
        head: Names of the columns.
        rows: Texts; an empty one where there is nothing to say.
    """

    name: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Document:
    """The whole pack before it is set.

    Attributes:
        title: Of the conversion.
        builder: Who builds it.
        revision: Of the description.
        date: Of the description, year-month-day.
        facts: What the cover says of the vehicle.
        sections: In the order of the pack; the first is the cover's.
        subject: What it is, above the title.
    """

    title: str
    builder: str
    revision: str
    date: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...] = field(default=())
    subject: str = "Build pack of a conversion from throttle cable to electronic throttle"


def as_data(document: Document) -> dict[str, Any]:
    """The document as JSON can hold it; each block carries its ``kind``, each text stands on one line.

    Example:
        >>> as_data(Document("A\\n van", "me", "A", "2026-01-02", ()))["title"]
        'A van'
    """
    data = _plain(document)
    data["running"] = {
        "title": _shortened(data["title"], SHORT_CHARACTERS),
        "revision": _shortened(data["revision"], SHORT_CHARACTERS // 3),
    }
    for number, section in enumerate(data["sections"], start=1):
        section["number"] = number
    return data


def _plain(value: Any) -> Any:
    if isinstance(value, str):
        return " ".join(value.split()) if value else value
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if (names := _names(value.__class__)) is not None:
        data = {name: _plain(getattr(value, name)) for name in names}
        if hasattr(value, "kind"):
            data["kind"] = value.kind
        return data
    return value


@cache
def _names(kind: type) -> tuple[str, ...] | None:
    """Of the fields; there are few kinds, and thousands of each. None where it has none."""
    return tuple(each.name for each in fields(kind)) if is_dataclass(kind) else None


def _shortened(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
