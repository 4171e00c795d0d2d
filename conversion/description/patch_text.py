"""Changes single values in the text of a file and leaves all the rest, comments too, as the builder wrote it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import yaml

from conversion.description.tree import Path


class CannotReplace(Exception):
    """A value stands where it cannot be replaced alone; the text says why."""


def replaced(text: str, changes: Mapping[Path, str]) -> str:
    """The text with other values at some paths.

    Args:
        text: A YAML file that was read without complaint.
        changes: Path of each value -> what shall stand there instead, as YAML of one line. A path counts list
            entries from 0; one that is not in the file is passed over.

    Returns:
        The new text; it differs in those values only.

    Raises:
        CannotReplace: a value is written once and used twice, by an alias.

    Example:
        >>> replaced("pivot: [0 mm, 5 mm]  # by tape\\nmass: 2 kg\\n", {("pivot", 1): "7 mm"})
        'pivot: [0 mm, 7 mm]  # by tape\\nmass: 2 kg\\n'
    """
    root = yaml.compose(text, Loader=yaml.SafeLoader)
    counted: dict[int, int] = {}
    for node in _nodes(root):
        counted[id(node)] = counted.get(id(node), 0) + 1
    spans: list[tuple[int, int, str]] = []
    for path, value in changes.items():
        met = _followed(root, path)
        if met is None:
            continue
        if any(counted[id(node)] > 1 for node in met):
            raise CannotReplace(f"{'.'.join(map(str, path))} is written once and used twice; write it out")
        spans.append((met[-1].start_mark.index, _end(met[-1]), value))
    for start, end, value in sorted(spans, reverse=True):
        text = text[:start] + value + text[end:]
    return text


def _nodes(node: yaml.Node | None) -> Iterator[yaml.Node]:
    """Every node, and one that an alias repeats once more for each alias, without going into it again."""
    seen: set[int] = set()
    waiting = [node] if node is not None else []
    while waiting:
        here = waiting.pop()
        yield here
        if id(here) not in seen:
            seen.add(id(here))
            waiting += _inner(here)


def _inner(node: yaml.Node) -> list[yaml.Node]:
    if isinstance(node, yaml.MappingNode):
        return [value for _, value in node.value]
    return list(node.value) if isinstance(node, yaml.SequenceNode) else []


def _followed(root: yaml.Node | None, path: Path) -> list[yaml.Node] | None:
    """The nodes on the way; None where the way is not there."""
    node, met = root, []
    for step in path:
        inner: yaml.Node | None = None
        if isinstance(node, yaml.MappingNode):
            inner = next((value for key, value in node.value if key.value == step), None)
        elif isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
            inner = node.value[step]
        if inner is None:
            return None
        node = inner
        met.append(node)
    return met or None


def _end(node: yaml.Node) -> int:
    """Where the value ends. The mark of an indented block is where the next thing begins, after any comments."""
    if isinstance(node, yaml.MappingNode) and not node.flow_style and node.value:
        return _end(node.value[-1][1])
    if isinstance(node, yaml.SequenceNode) and not node.flow_style and node.value:
        return _end(node.value[-1])
    return int(node.end_mark.index)
