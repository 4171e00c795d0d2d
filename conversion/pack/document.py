"""What the build pack says, as plain data: the PDF and the HTML page are set from the same words and figures.

Every figure in here is text already rounded; a template lays out, and neither computes nor decides. Words of a
description are data all the way: nothing in here is markup of any kind.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, is_dataclass
from typing import Any, ClassVar, Literal

SHORT_CHARACTERS = 70
"""Longest title that a running header takes."""


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell of a table.

    Attributes:
        text: What stands in it.
        small: A second line, set smaller.
        strong: Whether it is set bold.
        fill: What the builder puts in it by hand: nothing, a tick, or a measured value.
        unit: Of the value to be written in.
    """

    text: str = ""
    small: str = ""
    strong: bool = False
    fill: Literal["", "tick", "value"] = ""
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its heading, its share of the width, and how its cells are set."""

    title: str
    share: float
    align: Literal["left", "right", "center"] = "left"
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that belong together, under a heading of their own unless that is empty."""

    title: str
    rows: tuple[tuple[Cell, ...], ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows under columns; the heading is repeated where it runs over a page.

    Attributes:
        columns: From left to right.
        groups: From top to bottom.
        caption: Below it.
        dense: Whether rows stand close, for a long table that nobody writes in.
        roomy: Whether rows are high enough to sign in.
    """

    kind: ClassVar[str] = "table"
    columns: tuple[Column, ...]
    groups: tuple[Group, ...]
    caption: str = ""
    dense: bool = False
    roomy: bool = False


@dataclass(frozen=True, slots=True)
class Paragraph:
    """Running text; ``leads`` where it belongs to the block that follows and must not be parted from it."""

    kind: ClassVar[str] = "paragraph"
    text: str
    small: bool = False
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Contents:
    """The sections with their pages, on paper; the page has its own list."""

    kind: ClassVar[str] = "contents"


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading within a section."""

    kind: ClassVar[str] = "heading"
    text: str


@dataclass(frozen=True, slots=True)
class Points:
    """A list of sentences, marked with dashes."""

    kind: ClassVar[str] = "points"
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Facts:
    """Words and what belongs to them, a line each."""

    kind: ClassVar[str] = "facts"
    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing of the pack, by the name of its file.

    Attributes:
        name: File stem.
        title: Above it.
        caption: Below it.
        width_mm: Width on paper. [mm]
        height_mm: Height on paper. [mm]
        leads: Whether it belongs to the heading before and the block after it, and needs no title of its own.
    """

    kind: ClassVar[str] = "picture"
    name: str
    title: str
    caption: str
    width_mm: float
    height_mm: float
    leads: bool = False


@dataclass(frozen=True, slots=True)
class Cautions:
    """What can hurt, in a heavy frame."""

    kind: ClassVar[str] = "cautions"
    title: str
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that is not in the pack, why, and how to get it."""

    kind: ClassVar[str] = "gap"
    what: str
    why: str
    remedy: str


@dataclass(frozen=True, slots=True)
class FindingLine:
    """One finding as documents print it."""

    severity: str
    rule: str
    subject: str
    place: str
    message: str
    remedy: str


@dataclass(frozen=True, slots=True)
class FindingList:
    """Findings in their order."""

    kind: ClassVar[str] = "findings"
    items: tuple[FindingLine, ...]


@dataclass(frozen=True, slots=True)
class Verdict:
    """What the findings mean for the builder's next step; never that a car is safe.

    Attributes:
        level: The gravest severity, or empty where nothing was found.
        headline: In a few words.
        text: In a sentence or two.
        counts: Severity, what it means, and how many findings have it.
    """

    kind: ClassVar[str] = "verdict"
    level: str
    headline: str
    text: str
    counts: tuple[tuple[str, str, int], ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing to measure or to look at: what, what this plan expects, and the unit of the empty box."""

    what: str
    expected: str
    unit: str


@dataclass(frozen=True, slots=True)
class Halt:
    """Where work waits until somebody has signed; the findings are those that block it here."""

    title: str
    findings: tuple[FindingLine, ...]
    signed_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepLine:
    """One step of the checklist.

    Attributes:
        number: Of the stage and in it.
        text: What to do.
        tools: What with.
        cautions: To be read before it.
        box: The box of the step as a whole; None where it has none.
        entries: What is measured or ticked one by one.
        halt: Set where work waits for a signature.
    """

    number: str
    text: str
    tools: str
    cautions: tuple[str, ...]
    box: Entry | None
    entries: tuple[Entry, ...]
    halt: Halt | None


@dataclass(frozen=True, slots=True)
class Stage:
    """A stage of the work: its cautions first, then its steps."""

    kind: ClassVar[str] = "stage"
    key: str
    title: str
    cautions: tuple[str, ...]
    steps: tuple[StepLine, ...]


@dataclass(frozen=True, slots=True)
class PhotoBoxes:
    """Empty frames to stick photographs in."""

    kind: ClassVar[str] = "photos"
    captions: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Signatures:
    """Lines to sign on: what is signed for, then name, signature and date by hand."""

    kind: ClassVar[str] = "signatures"
    lines: tuple[str, ...]


Block = (
    Table | Paragraph | Contents | Heading | Points | Facts | Picture | Cautions | Gap | FindingList | Verdict | Stage
    | PhotoBoxes | Signatures
)  # fmt: skip


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
    """

    title: str
    builder: str
    revision: str
    date: str
    facts: tuple[tuple[str, str], ...]
    sections: tuple[Section, ...] = field(default=())


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
        return " ".join(value.split())
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    if is_dataclass(value):
        data = {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
        if hasattr(value, "kind"):
            data["kind"] = value.kind
        return data
    return value


def _shortened(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1].rstrip() + "…"
