"""Small changes to the worked conversion, written as lines: the form in which rules show their examples.

``conversion: linkage.rod.length = 160 mm`` sets a value of the conversion file, ``B1: tracks.a.pull = none`` one of
the part file of device B1, and ``conversion: devices.S4 removed`` takes a value away. Steps of a path are parted by
dots; a step that has a dot of its own stands in quotes (``devices.K1.fed_from.'feed.30'``); entries of a list count
from 1, and one more than there are adds an entry. What stands behind ``=`` is YAML. A line that begins with a space
goes on from the line above it.
"""

from __future__ import annotations

import re
import shutil
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from conversion import resources
from conversion.description import read_description
from conversion.plan import Plan

BASE = "market-van"

_LINE = re.compile(r"(?P<file>\S+): (?P<path>\S.*?)(?: = (?P<value>.*)| (?P<removed>removed))", re.DOTALL)
_STEP = re.compile(r"'([^']*)'|([^.']+)")
_LOADER = type("_Loader", (getattr(yaml, "CBaseLoader", yaml.BaseLoader),), {})
_DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


def lines_of(text: str) -> list[str]:
    """The patch lines of a section of a rule's page, continued lines put together."""
    lines: list[str] = []
    for line in text.splitlines():
        if line.startswith(" ") and lines:
            lines[-1] += " " + line.strip()
        elif line.strip():
            lines.append(line.strip())
    return lines


def patched_plan(folder: Path, lines: Iterable[str], base: str = BASE) -> Plan:
    """The plan of a copy of a worked conversion with some lines applied, written under ``folder``.

    Raises:
        ValueError: a line that is no patch, or a path that leads nowhere.
        DescriptionError: the patched description cannot be read.
    """
    return Plan(read_description(patched_copy(folder, lines, base)))


def patched_copy(folder: Path, lines: Iterable[str], base: str = BASE) -> Path:
    """The folder of the patched copy; see :func:`patched_plan`."""
    home = folder / base
    shutil.copytree(resources.harnesses_dir() / base, home, dirs_exist_ok=True)
    trees: dict[Path, Any] = {home / "conversion.yaml": _text_tree((home / "conversion.yaml").read_text("utf-8"))}
    for line in lines:
        match = _LINE.fullmatch(line)
        if match is None:
            raise ValueError(f"no patch: {line!r}; write 'FILE: path = value' or 'FILE: path removed'")
        file = _file_of(home, trees, match["file"])
        steps = [quoted or plain for quoted, plain in _STEP.findall(match["path"])]
        value = None if match["removed"] else _text_tree(match["value"])
        _apply(trees[file], steps, value, bool(match["removed"]), line)
    for file, tree in trees.items():
        file.write_text(yaml.dump(tree, Dumper=_DUMPER, sort_keys=False, allow_unicode=True), "utf-8", newline="\n")
    return home


def _file_of(home: Path, trees: dict[Path, Any], name: str) -> Path:
    """The file that a line means; a shipped part is first copied into the conversion's folder."""
    conversion = trees[home / "conversion.yaml"]
    if name == "conversion":
        return home / "conversion.yaml"
    if name not in conversion["devices"]:
        raise ValueError(f"no device {name!r}")
    device = conversion["devices"][name]
    if device["part"].startswith("treadle:"):
        shipped = device["part"].removeprefix("treadle:")
        device["part"] = f"parts/{shipped}.yaml"
        if home / device["part"] not in trees:
            shutil.copy(resources.harnesses_dir() / "parts" / f"{shipped}.yaml", home / device["part"])
    file = home / device["part"]
    if file not in trees:
        trees[file] = _text_tree(file.read_text("utf-8"))
    return file


@cache
def _parsed(text: str) -> Any:
    return yaml.load(text, Loader=_LOADER)


def _text_tree(text: str) -> Any:
    """YAML in which every scalar stays the text that was written."""
    return _copied(_parsed(text))


def _copied(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _copied(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_copied(item) for item in value]
    return value


def _apply(tree: Any, steps: list[str], value: Any, removed: bool, line: str) -> None:
    *way, last = steps
    for step in way:
        tree = tree.setdefault(step, {}) if isinstance(tree, dict) and not removed else tree[_key(tree, step, line)]
    key = _key(tree, last, line)
    if removed:
        if isinstance(tree, dict) and key not in tree:
            raise ValueError(f"{line!r} removes what is not there")
        del tree[key]
    elif isinstance(tree, list) and key == len(tree):
        tree.append(value)
    else:
        tree[key] = value


def _key(tree: Any, step: str, line: str) -> Any:
    if isinstance(tree, dict):
        return step
    if isinstance(tree, list) and step.isdigit() and 1 <= int(step) <= len(tree) + 1:
        return int(step) - 1
    raise ValueError(f"{line!r} leads nowhere at {step!r}")
