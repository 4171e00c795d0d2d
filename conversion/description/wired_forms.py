"""What was really wired: pairs of ends, in the conversion file or in a file of its own beside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar

from pydantic import BeforeValidator, Field, RootModel, WithJsonSchema

from conversion.description.complaints import Place, dotted, quoted
from conversion.description.text_kinds import MAX_NAME, Name
from conversion.description.tree import Path, Tree

_EXAMPLE = "[K1.18, B1.1]"


def _pair(value: Any) -> Any:
    if isinstance(value, str):
        raise ValueError(f"{quoted(value) if value else 'an empty text'} is no pair of ends; write {_EXAMPLE}")
    if not isinstance(value, list):
        raise ValueError(f"a mapping is no pair of ends; write {_EXAMPLE}")
    if len(value) != 2:
        count = {0: "no end stands", 1: "one end stands"}.get(len(value), f"{len(value)} ends stand")
        raise ValueError(
            f"{count} here and an entry has two, such as {_EXAMPLE}; where several wires meet, each is an entry"
        )
    return value


Pair = Annotated[
    list[Name],
    BeforeValidator(_pair),
    WithJsonSchema(
        {
            "type": "array",
            "items": {"type": "string", "maxLength": MAX_NAME},
            "minItems": 2,
            "maxItems": 2,
        }
    ),
]
"""The two ends of one wire: terminals such as ``K1.18`` or ``K1.A.18``, or a splice such as ``Z1``."""

Pairs = Annotated[list[Pair], Field(min_length=1)]


class WiredFile(RootModel[Pairs]):
    """A file that holds the pairs and nothing else."""

    words_of: ClassVar[str] = "a list of what was wired"


@dataclass(frozen=True, slots=True)
class AsWired:
    """The pairs as they were written, and where each stands.

    Attributes:
        pairs: The two ends of each entry.
        tree: The file in which they stand.
        path: Where in it; empty where the file holds nothing else.
    """

    pairs: tuple[tuple[str, str], ...]
    tree: Tree
    path: Path

    @classmethod
    def of(cls, pairs: Sequence[Sequence[str]], tree: Tree, path: Path) -> AsWired:
        """From a list that was read."""
        return cls(tuple((one, other) for one, other in pairs), tree, path)

    def place(self, *steps: int) -> Place:
        """Where the list stands, or one of its entries, or one end of an entry; entries count from 0."""
        return self.tree.place_of((*self.path, *steps))

    def said(self, *steps: int) -> str:
        """The same as a path that a complaint names."""
        return dotted((*self.path, *steps))
