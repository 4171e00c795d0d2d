"""Fenced blocks of the documents: found, applied to a folder as files, or run as a user would run them.

A ``yaml`` block says in its first line, a comment, what it is:

``# parts/module.yaml``
    the whole file, this line included;
``# conversion.yaml, further``
    lines that are added at its end;
``# conversion.yaml, in place of springs``
    what replaces that key, which is also what happens where the file has no such key yet.

``yaml wrong`` marks an example of a mistake.

A ``console`` block holds a command after ``$`` and below it what it prints. ``console first=8`` shows the first eight
lines alone and ends with an ellipsis; ``console from=Link`` shows what follows from the first line that begins with
that word, with ``first=8`` eight lines of it; ``console only=travel`` shows the findings of that topic and the last
line but one, which sums up.
"""

from __future__ import annotations

import contextlib
import io
import os
import re
import shlex
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from unittest.mock import patch

from conversion.cli import main

ELLIPSIS = "…"
_FENCE = re.compile(r"^```(?P<info>[^\n`]*)\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
_TARGET = re.compile(r"# (?P<file>[\w./-]+\.yaml)(?:, (?P<how>further|in place of (?P<key>[\w.-]+)))?")
_TERMINAL = {"COLUMNS": "100", "NO_COLOR": "1"}


@dataclass(frozen=True, slots=True)
class Fence:
    """One fenced block: what stands behind its opening marks, its text, and where its text begins and ends."""

    info: str
    body: str
    start: int
    end: int

    @property
    def language(self) -> str:
        """First word of the info line."""
        return self.info.split(" ")[0]

    @property
    def options(self) -> dict[str, str]:
        """What follows the first word, such as ``first=8``."""
        words = (word.partition("=") for word in self.info.split(" ")[1:])
        return {name: value for name, _, value in words}


def fences(text: str) -> Iterator[Fence]:
    """Every fenced block of a Markdown text, in order."""
    for match in _FENCE.finditer(text):
        yield Fence(match["info"].strip(), match["body"], match.start("body"), match.end("body"))


def apply_yaml(fence: Fence, folder: Path) -> str:
    """Write what a ``yaml`` block says into the files of a folder; returns the file's name.

    Raises:
        ValueError: its first line does not say which file it belongs to.
    """
    head, _, body = fence.body.partition("\n")
    match = _TARGET.fullmatch(head)
    if match is None:
        raise ValueError(f"a yaml block begins with a comment that names its file, not with {head!r}")
    file = folder / match["file"]
    file.parent.mkdir(parents=True, exist_ok=True)
    old = file.read_text("utf-8") if file.is_file() else ""
    if match["key"]:
        text = _with_key(old, match["key"].split("."), body)
    else:
        text = old + "\n" + body if match["how"] else fence.body
    file.write_text(text, "utf-8", newline="\n")
    return match["file"]


def _with_key(old: str, path: list[str], body: str) -> str:
    """A file with one key replaced, or added at the end of what it belongs to; all other lines stay as they are.

    A body for a key further in begins with the keys around it, which are there already.
    """
    lines, (start, end) = old.splitlines(keepends=True), (0, old.count("\n"))
    new = body.splitlines(keepends=True)
    for depth, key in enumerate(path):
        found = _block(lines[start:end], key, depth)
        last = depth == len(path) - 1
        gap = [] if depth else ["\n"]
        if found is None:
            at = _end_of_text(lines, start, end)
            return "".join([*lines[:at], *gap, *new, *lines[at:]])
        if last:
            return "".join([*lines[: start + found[0]], *new, *gap, *lines[start + found[1] :]])
        start, end, new = start + found[0] + 1, start + found[1], new[1:]
    raise ValueError("a key is needed")


def _block(lines: list[str], key: str, depth: int) -> tuple[int, int] | None:
    """First line of a key at its depth, and the line after its last; the keys of a mapping stand two spaces in."""
    indent = "  " * depth
    for first, line in enumerate(lines):
        if line.startswith(f"{indent}{key}:"):
            after = first + 1
            while after < len(lines) and (not lines[after].strip() or lines[after].startswith((f"{indent} ", "#"))):
                after += 1
            return first, after
    return None


def _end_of_text(lines: list[str], start: int, end: int) -> int:
    """After the last line of a block that is not empty."""
    while end > start and not lines[end - 1].strip():
        end -= 1
    return end


def run_console(fence: Fence, folder: Path) -> str:
    """The text of a ``console`` block as it should read: each command and what it prints, run in a folder."""
    blocks = []
    for line in fence.body.splitlines():
        if line.startswith("$ "):
            printed = _printed(shlex.split(line[2:]), folder)
            blocks.append("\n".join([line, *_shown(printed.splitlines(), fence.options)]))
    return "\n\n".join(blocks) + "\n"


def _printed(words: list[str], folder: Path) -> str:
    """What ``treadle`` prints, errors included, with a terminal of a fixed width."""
    assert words[0] == "treadle", f"only treadle is run from the documents, not {words[0]}"
    out, here = io.StringIO(), Path.cwd()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(out), patch.dict(os.environ, _TERMINAL):
        os.chdir(folder)
        try:
            main(words[1:])
        except SystemExit:
            pass
        finally:
            os.chdir(here)
    return out.getvalue()


def _shown(lines: list[str], options: dict[str, str]) -> list[str]:
    if "only" in options:
        kept = _findings_of(lines, options["only"])
        assert kept, f"nothing is printed about {options['only']}"
        return [*kept, ELLIPSIS, lines[-2]]
    if "from" in options:
        begins = [index for index, line in enumerate(lines) if line.startswith(options["from"])]
        assert begins, f"no printed line begins with {options['from']}"
        kept = lines[begins[0] :]
        return [ELLIPSIS, *kept[: int(options.get("first", len(kept)))]]
    if "first" in options and len(lines) > int(options["first"]):
        return [*lines[: int(options["first"])], ELLIPSIS]
    return lines


def _findings_of(lines: list[str], topic: str) -> list[str]:
    """The findings whose rule belongs to a topic, each with the indented lines below it."""
    kept, inside = [], False
    for line in lines:
        if not line.startswith(" "):
            inside = f"  {topic}/" in line
        if inside:
            kept.append(line)
    return kept


def replayed(text: str, folder: Path) -> str:
    """A document with every ``console`` block printed anew, its ``yaml`` blocks written on the way, in order."""
    pieces, read_to = [], 0
    for fence in fences(text):
        if fence.language == "yaml":
            apply_yaml(fence, folder)
        elif fence.language == "console":
            pieces += [text[read_to : fence.start], run_console(fence, folder)]
            read_to = fence.end
    return "".join([*pieces, text[read_to:]])
