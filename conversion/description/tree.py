"""A file as plain dictionaries, lists and texts, each with its place, and how large it may be."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TypeAlias

from conversion.description.complaints import Place

Node: TypeAlias = "dict[str, Node] | list[Node] | str"
Path: TypeAlias = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class Limits:
    """How much one file may ask for.

    A description of 60 devices and 2 000 wires with six words each is about 0.3 MiB, holds 15 000 values
    and is six levels deep. Each default leaves room for three times that and more, and keeps small the
    work that a hostile file can ask for.
    """

    max_bytes: int = 1024 * 1024
    max_depth: int = 30
    max_aliases: int = 100
    max_values: int = 200_000
    """Values, once every alias is written out."""


@dataclass(frozen=True, slots=True)
class Tree:
    """What a file holds, and where each piece stands.

    Attributes:
        name: The file as messages call it.
        data: Dictionaries with text keys, lists, and texts.
        places: Place of the value at each path; a path counts list entries from 0.
        key_places: Place of the key at each path that ends in a key.
        faulty: Paths whose value is not to be judged, since a complaint about it stands already.
    """

    name: str
    data: Node
    places: Mapping[Path, Place]
    key_places: Mapping[Path, Place]
    faulty: frozenset[Path] = frozenset()

    def place_of(self, path: Path) -> Place:
        """Place of the value at the path or, where there is none, of the nearest value around it."""
        while path and path not in self.places:
            path = path[:-1]
        return self.places.get(path) or Place(self.name, 1, 1)
