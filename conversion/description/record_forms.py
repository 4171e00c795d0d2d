"""Records of the finished conversion: a logged sweep of the pedal, and the values of the bench test."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar

from pydantic import Field

from conversion.description.complaints import Place
from conversion.description.parts import Described
from conversion.description.text_kinds import Name, Text
from conversion.description.tree import Tree


class SweepForm(Described):
    """A logged sweep whose headings are not all recognised."""

    words_of: ClassVar[str] = "a logged sweep"
    file: Text = Field(description="The log, in the conversion's folder.")
    columns: dict[Name, Text] = Field(
        default_factory=dict,
        description="Heading of a column by what it is: time, a track's name, pad, percent, supply.",
    )


class RecordsForm(Described):
    """What was measured on the finished conversion; the build pack shows it."""

    words_of: ClassVar[str] = "the records"
    sweep: Text | SweepForm | None = Field(
        None, description="Log of a slow sweep of the pedal, in the conversion's folder."
    )
    bench: Text | None = Field(None, description="File with the values of the bench test.")


@dataclass(frozen=True)
class Records:
    """The records that a description names, found and readable.

    Attributes:
        sweep: The log; None where none is named.
        sweep_name: As messages call it.
        columns: Heading of its columns by name.
        bench: The values of the bench test; None where none are named.
        bench_name: As messages call them.
        place: Where the records are named.
    """

    place: Place
    sweep: Path | None = None
    sweep_name: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    bench: Tree | None = None
    bench_name: str = ""
