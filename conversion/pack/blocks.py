"""What a section of the pack is made of: tables, pictures, cautions, findings, steps, frames to fill in.

Each block has a ``kind``, by which the templates know how to set it. Every text is data: nothing in here is markup.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar, Literal


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
    """One thing to measure or to look at.

    Attributes:
        what: What it is.
        expected: By this plan.
        unit: Of the empty box.
        recorded: What was measured, with its verdict; empty where the box is.
    """

    what: str
    expected: str
    unit: str
    recorded: str = ""


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
