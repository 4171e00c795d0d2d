"""Builds the tree of a file from a parser's events, and gathers what a description may not contain.

A parser reports a mapping, a list or a text as it meets it, with its place. The builder keeps the
containers that are still open on a list of its own, so that deep nesting costs nothing but a complaint.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, NoReturn

import yaml

from conversion.description.complaints import COMPLAINTS_PER_FILE, Complaint, Place, dotted, quoted, shortened
from conversion.description.tree import Limits, Node, Path, Tree
from conversion.description.yaml_syntax import NOT_TEXT, place_of_offset
from conversion.quantities import EVIDENCES

_NOTHING_WRITTEN = "nothing is written here; write `unknown` if you do not know the figure yet, or remove the line."
_CORE_TAGS = "tag:yaml.org,2002:"
_QUOTES = ("'", '"')


def _nothing_written(key: str | int) -> str:
    """Inside braces a comma ends a value, so that the rest of a text looks like a key without one."""
    if isinstance(key, str) and (" " in key or key in EVIDENCES):
        return (
            f"{quoted(key)} stands like a key; where it belongs to the text before the comma, put that text in quotes."
        )
    return _NOTHING_WRITTEN


class CannotGoOn(Exception):
    """The rest of the file is not worth reading."""


class _Open:
    """A mapping or list whose end has not come yet."""

    __slots__ = ("anchor", "height", "key", "node", "path", "place", "size_before")

    def __init__(self, node: Any, path: Path, place: Place, anchor: str | None, size_before: int) -> None:
        self.node, self.path, self.place, self.anchor = node, path, place, anchor
        self.size_before = size_before
        self.height = 1
        self.key: str | None = None  # of a mapping: the key whose value comes next


@dataclass(frozen=True, slots=True)
class _Anchored:
    node: Node
    path: Path
    place: Place
    size: int
    height: int


class TreeBuilder:
    """Takes the events of one file in order; `complaints` grows as it goes.

    A value whose key cannot be used stands under a key of the builder's own until the end, so that the
    mistakes inside it are found as well.
    """

    def __init__(self, name: str, limits: Limits) -> None:
        self.name, self.limits = name, limits
        self.complaints: list[Complaint] = []
        self._open: list[_Open] = []
        self._root: Node | None = None
        self._places: dict[Path, Place] = {}
        self._key_places: dict[Path, Place] = {}
        self._faulty: set[Path] = set()
        self._unusable: list[tuple[dict[str, Node], str]] = []
        self._anchors: dict[str, _Anchored | None] = {}  # None while the value is still open
        self._values = self._aliases = self._documents = self._read_to = 0
        self._skipped_levels = 0  # open levels of a list or mapping that stands in place of a key
        self._takers: dict[type, Callable[[Any], None]] = {
            yaml.ScalarEvent: self._take_text,
            yaml.MappingStartEvent: self._take_start,
            yaml.SequenceStartEvent: self._take_start,
            yaml.MappingEndEvent: self._take_end,
            yaml.SequenceEndEvent: self._take_end,
            yaml.AliasEvent: self._take_alias,
            yaml.DocumentStartEvent: self._take_document,
        }

    def take(self, event: yaml.Event) -> None:
        """Adds the event to the tree; raises `CannotGoOn` where a limit is passed."""
        if self._skipped_levels:
            self._skip(event)
        elif self._documents < 2:
            taker = self._takers.get(type(event))
            if taker:
                taker(event)

    def _skip(self, event: Any) -> None:
        if isinstance(event, yaml.CollectionStartEvent):
            self._enter(event)
            self._skipped_levels += 1
        elif isinstance(event, yaml.CollectionEndEvent):
            self._skipped_levels -= 1

    def finished(self) -> Tree | None:
        """The tree, once all events are taken; None for a file that holds nothing."""
        if self._root is None or self._root == "":
            self.complain(Place(self.name, 1, 1), (), "the file is empty; write the description into it.")
            return None
        for mapping, key in self._unusable:
            del mapping[key]
        return Tree(self.name, self._root, self._places, self._key_places, frozenset(self._faulty))

    def complain(self, place: Place, path: Path, message: str) -> None:
        """Adds a complaint; raises `CannotGoOn` when there are too many."""
        self.complaints.append(Complaint(place, dotted(path), message))
        if len(self.complaints) >= COMPLAINTS_PER_FILE:
            self._refuse(place, "there may be more mistakes from here on; put these right first.")

    def refuse_depth(self, text: str) -> NoReturn:
        """Refuses nesting on which the parser itself gave up, at the bracket that is one too many."""
        depth, offset = len(self._open) + self._skipped_levels, self._read_to
        while depth <= self.limits.max_depth and offset < len(text):
            depth += (text[offset] in "[{") - (text[offset] in "]}")
            offset += 1
        self._refuse(place_of_offset(text, offset - 1, self.name), self._too_deep())

    def _too_deep(self) -> str:
        return f"this is nested deeper than {self.limits.max_depth} levels; ten are enough."

    def refuse(self, complaint: Complaint) -> NoReturn:
        """Adds the complaint that ends the reading."""
        self.complaints.append(complaint)
        raise CannotGoOn

    def _refuse(self, place: Place, message: str) -> NoReturn:
        self.refuse(Complaint(place, "", message))

    def _place(self, event: Any) -> Place:
        return Place(self.name, event.start_mark.line + 1, event.start_mark.column + 1)

    def _wants_key(self) -> bool:
        return bool(self._open) and self._open[-1].key is None and type(self._open[-1].node) is dict

    def _next_path(self) -> Path:
        if not self._open:
            return ()
        top = self._open[-1]
        return (*top.path, len(top.node) if top.key is None else top.key)

    def _attach(self, node: Node, place: Place, values: int = 1) -> Path:
        """Puts a value where the events have come to, and says at which path."""
        self._values += values
        if self._values > self.limits.max_values:
            self._refuse(
                place,
                f"the file comes to more than {self.limits.max_values} values; use fewer, or fewer aliases.",
            )
        path = self._next_path()
        self._places[path] = place
        if not self._open:
            self._root = node
        elif self._open[-1].key is None:
            self._open[-1].node.append(node)
        else:
            self._open[-1].node[self._open[-1].key] = node
            self._open[-1].key = None
        return path

    def _take_document(self, event: Any) -> None:
        self._documents += 1
        if self._documents == 2:
            self.complain(self._place(event), (), "a second document begins here; a file holds one: remove the '---'.")
        elif event.version or event.tags:
            self.complain(Place(self.name, 1, 1), (), "a line that begins with '%' is not read here; remove it.")

    def _take_text(self, event: Any) -> None:
        if self._wants_key():
            self._take_key(event)
            return
        place, text = self._place(event), event.value
        path = self._attach(text, place)
        self._note_properties(event, place, path)
        if event.anchor is not None:
            self._anchors[event.anchor] = _Anchored(text, path, place, 1, 0)
        if not text and event.style not in _QUOTES and path:
            self._faulty.add(path)
            self.complain(self._key_places.get(path, place), path, _nothing_written(path[-1]))
        elif strange := _hidden_character(event):
            self._faulty.add(path)
            self.complain(place, path, f"this text holds the hidden character {strange}; write it without.")

    def _take_key(self, event: Any) -> None:
        place, top, key = self._place(event), self._open[-1], event.value
        path = (*top.path, key)
        self._note_properties(event, place, top.path)
        if event.anchor is not None:
            self._anchors[event.anchor] = _Anchored(key, path, place, 1, 0)
        if not key and event.style not in _QUOTES:
            self._drop_key(place, "a key is missing before this ':'; write the key, or remove the line.")
        elif key == "<<" and event.style not in _QUOTES:
            self._drop_key(place, "'<<' does not merge anything here; write the lines out in full.")
        elif strange := _hidden_character(event):
            self._drop_key(place, f"this key holds the hidden character {strange}; write it without.")
        elif key in top.node:
            first = self._key_places[path].line
            self._drop_key(place, f"{quoted(key)} stands twice; the first one is in line {first}: remove one of them.")
        else:
            top.key = key
            self._key_places[path] = place

    def _drop_key(self, place: Place, message: str) -> None:
        top = self._open[-1]
        top.key = f"line {place.line}, column {place.column}"
        self._unusable.append((top.node, top.key))
        self.complain(place, top.path, message)

    def _note_properties(self, event: Any, place: Place, path: Path) -> None:
        """Refuses the type of a value, and claims the name of its anchor."""
        if event.tag is not None:
            tag = "!!" + event.tag.removeprefix(_CORE_TAGS) if event.tag.startswith(_CORE_TAGS) else event.tag
            self.complain(
                place, path, f"the type {quoted(tag)} is not read here; remove it, every value is plain text."
            )
        if event.anchor is not None:
            if event.anchor in self._anchors:
                self.complain(place, path, f"'&{shortened(event.anchor)}' stands twice; give each its own name.")
            self._anchors[event.anchor] = None

    def _enter(self, event: Any) -> Place:
        """The place of a mapping or list that begins, if there may be one more inside the others."""
        place = self._place(event)
        self._read_to = event.end_mark.index
        if len(self._open) + self._skipped_levels >= self.limits.max_depth:
            self._refuse(place, self._too_deep())
        return place

    def _take_start(self, event: Any) -> None:
        place, mapping = self._enter(event), type(event) is yaml.MappingStartEvent
        if self._wants_key():
            self._skipped_levels = 1
            kind = "a mapping" if mapping else "a list"
            self._drop_key(place, f"{kind} cannot be a key; write a word, or put the text in quotes.")
            return
        node: Any = {} if mapping else []
        path = self._attach(node, place)
        self._note_properties(event, place, path)
        self._open.append(_Open(node, path, place, event.anchor, self._values - 1))

    def _take_end(self, event: Any) -> None:
        done = self._open.pop()
        self._raise_height(done.height)
        if done.anchor is not None:
            size = self._values - done.size_before
            self._anchors[done.anchor] = _Anchored(done.node, done.path, done.place, size, done.height)

    def _raise_height(self, below: int) -> None:
        if self._open:
            self._open[-1].height = max(self._open[-1].height, below + 1)

    def _take_alias(self, event: Any) -> None:
        place, name = self._place(event), shortened(event.anchor)
        self._aliases += 1
        if self._aliases > self.limits.max_aliases:
            self._refuse(
                place,
                f"a file may use {self.limits.max_aliases} aliases; write this value out.",
            )
        if self._wants_key():
            self._drop_key(place, f"the alias '*{name}' cannot be a key; write the key out.")
            return
        source = self._anchors.get(event.anchor)
        if source is None:
            path = self._attach("", place)
            self._faulty.add(path)
            inside = f"'*{name}' stands inside the value that it stands for; write the value out."
            unknown = f"no '&{name}' stands before this '*{name}'; write the value out."
            self.complain(place, path, inside if event.anchor in self._anchors else unknown)
            return
        if len(self._open) + source.height > self.limits.max_depth:
            self._refuse(place, self._too_deep())
        target = self._next_path()
        self._attach("", place, source.size)  # counts, and refuses too many, before anything is copied
        copy = self._copied(source.node, source.path, target)
        if self._open:
            self._open[-1].node[target[-1]] = copy
        self._raise_height(source.height)

    def _copied(self, node: Node, source: Path, target: Path) -> Node:
        """A copy of an anchored value for the path of its alias; its places are those of the written text."""
        self._places[target] = self._places[source] if source in self._places else self._key_places[source]
        if source in self._faulty:
            self._faulty.add(target)
        if isinstance(node, list):
            return [self._copied(entry, (*source, i), (*target, i)) for i, entry in enumerate(node)]
        if isinstance(node, dict):
            for key in node:
                if (*source, key) in self._key_places:
                    self._key_places[(*target, key)] = self._key_places[(*source, key)]
            return {key: self._copied(value, (*source, key), (*target, key)) for key, value in node.items()}
        return node


def _hidden_character(event: Any) -> str | None:
    """Code of the first character that only an escape in double quotes can bring in, and that is no text."""
    strange = NOT_TEXT.search(event.value) if event.style == '"' else None
    return f"U+{ord(strange[0]):04X}" if strange else None
