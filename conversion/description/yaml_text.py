"""Reads one YAML file into plain dictionaries, lists and texts, with the place of every value.

Nothing is converted: `on`, `012`, `12:30`, `1e3` and `~` stay the text that was written, and what a text
means is decided where its meaning is known. No object is ever constructed, and deep nesting cannot
exhaust the stack, since the tree is built from the parser's events.
"""

from __future__ import annotations

from typing import Any

import yaml

from conversion.description.complaints import Complaint, DescriptionError, Place
from conversion.description.tree import Limits, Node, Path, Tree
from conversion.description.yaml_syntax import decoded, syntax_complaint
from conversion.description.yaml_tree import CannotGoOn, TreeBuilder

__all__ = ["Limits", "Node", "Path", "Tree", "read_tree", "survey"]

DEFAULT_LIMITS = Limits()

LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
"""libyaml where it is installed, else the parser in pure Python; only the events of either are used."""


def read_tree(text: bytes, name: str, limits: Limits = DEFAULT_LIMITS, loader: Any = None) -> Tree:
    """The whole file, if it has no fault.

    Args:
        text: Bytes of the file.
        name: The file as messages shall call it.
        limits: Size, nesting, aliases and values allowed.
        loader: A loader class of `yaml`; the fastest one installed if None.

    Raises:
        DescriptionError: with every fault of the file; a fault of syntax ends the list, as nothing behind
            it is sure.
    """
    tree, complaints = survey(text, name, limits, loader)
    if tree is None or complaints:
        raise DescriptionError(complaints)
    return tree


def survey(
    text: bytes, name: str, limits: Limits = DEFAULT_LIMITS, loader: Any = None
) -> tuple[Tree | None, list[Complaint]]:
    """As `read_tree`, but with the sound part of a faulty file, so that its values can be judged in one run.

    Returns:
        The tree (None if the file cannot be read to its end) and the complaints, sorted by place.
    """
    try:
        source = decoded(text, name, limits.max_bytes)
    except DescriptionError as refused:
        return None, list(refused.complaints)
    builder = TreeBuilder(name, limits)
    tree = None
    try:
        _feed(builder, source, loader or LOADER)
        tree = builder.finished()
    except CannotGoOn:
        pass  # the reason is the builder's last complaint
    return tree, sorted(builder.complaints)


def _feed(builder: TreeBuilder, source: str, loader: Any) -> None:
    parser = loader(source)
    try:
        while not isinstance(event := parser.get_event(), yaml.StreamEndEvent):
            builder.take(event)
    except yaml.MarkedYAMLError as fault:
        if "nesting depth" in (fault.problem or ""):  # libyaml looks ahead, and gives up before it reports the events
            builder.refuse_depth(source)
        builder.refuse(syntax_complaint(fault, source, builder.name))
    except (ValueError, OverflowError):  # the pure parser takes any eight hexadecimal digits for a character
        mark = parser.get_mark()
        place = Place(builder.name, mark.line + 1, mark.column + 1)
        builder.refuse(Complaint(place, "", "no character has this number; use single quotes."))
    finally:
        parser.dispose()
