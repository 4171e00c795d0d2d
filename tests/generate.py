"""Writes every document that is made by the program: ``python -m tests.generate``, or with ``--check`` only compares.

The pages on the format and on the rules are made by their own rooms; the page on the commands and what stands in
the worked example is printed by the command itself; its pictures are the drawings of its pack.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import sys
import tempfile
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path
from unittest.mock import patch

from conversion import cli, resources
from conversion.description import document as description_page
from conversion.description import read_description
from conversion.drawings import draw_all
from conversion.plan import Plan
from conversion.rules import document as rules_page
from tests.fences import replayed

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "docs"
WORKED_EXAMPLE = DOCS / "first-conversion.md"
MEASURING = DOCS / "measuring.md"
READINGS = DOCS / "readings.md"
KINDS_OF_LINK = DOCS / "kinds-of-link.md"
IDENTIFY = DOCS / "identify.md"
LOOM = DOCS / "loom.md"
PICTURES = DOCS / "pictures"
TERMINAL = {"COLUMNS": "100", "NO_COLOR": "1"}
_PICTURE = re.compile(r"\]\(pictures/([\w-]+\.svg)\)")

_COMMANDS_BEGIN = """\
# Commands

<!-- Generated from the command's own help by `python -m tests.generate`; change that, not this page. -->

| exit code | means |
|---|---|
| 0 | done; nothing above NOTE |
| 1 | done; there is a HOLD or a FIX, or something could not be computed |
| 2 | the command or the description cannot be read |
| 3 | a fault of treadle itself |

A HOLD means: do not fit, power or start. A FIX is to be put right before sign-off. A NOTE is to be known.
"""


def commands_page() -> str:
    """The help of the command and of each of its subcommands."""
    with patch.dict(os.environ, TERMINAL):
        parser = cli.build_parser()
        helps = {"treadle": parser.format_help()}
        for action in parser._actions:
            if isinstance(action, argparse._SubParsersAction):
                helps |= {f"treadle {name}": command.format_help() for name, command in action.choices.items()}
    blocks = [f"## {name}\n\n```text\n{text.rstrip()}\n```\n" for name, text in helps.items()]
    return "\n".join([_COMMANDS_BEGIN, *blocks])


@cache
def worked_example() -> tuple[str, dict[str, str]]:
    """The worked example with its commands run anew, and the drawings that it shows, by file name."""
    with tempfile.TemporaryDirectory() as folder:
        text = replayed(WORKED_EXAMPLE.read_text("utf-8"), Path(folder))
        drawn = draw_all(Plan(read_description(Path(folder)))).drawings
    drawings = {f"{drawing.name}.svg": drawing.svg for drawing in drawn}
    return text, {name: drawings[name] for name in _PICTURE.findall(text)}


def measuring_session() -> str:
    """The session with a tape, its commands run anew in a copy of the worked conversion."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "market-van"
        shutil.copytree(resources.harnesses_dir() / "market-van", home)
        return replayed(MEASURING.read_text("utf-8"), home)


def readings_session() -> str:
    """The page on logs and meter readings, its commands run anew in a copy of the worked conversion."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "market-van"
        shutil.copytree(resources.harnesses_dir() / "market-van", home)
        return replayed(READINGS.read_text("utf-8"), home)


def loom_session() -> str:
    """The page on the loom, its commands run anew in a copy of the worked conversion beside an untouched one."""
    with tempfile.TemporaryDirectory() as folder:
        for name in ("before", "market-van"):
            shutil.copytree(resources.harnesses_dir() / "market-van", Path(folder) / name)
        return replayed(LOOM.read_text("utf-8"), Path(folder) / "market-van")


def multimeter_session() -> str:
    """The session with a multimeter, its commands run anew in an empty folder."""
    with tempfile.TemporaryDirectory() as folder:
        return replayed(IDENTIFY.read_text("utf-8"), Path(folder))


def without_fit_and_search(folder: Path) -> Path:
    """A copy of the worked conversion without what was made for its rod alone."""
    home = folder / "market-van"
    shutil.copytree(resources.harnesses_dir() / "market-van", home)
    file = home / "conversion.yaml"
    text = file.read_text("utf-8")
    for key in ("fit", "search"):
        text = re.sub(rf"^{key}:.*\n(?:(?:[ #].*)?\n)*", "", text, flags=re.MULTILINE)
    file.write_text(text, "utf-8", newline="\n")
    return home


def kinds_of_link() -> str:
    """The page on the kinds of link, what it shows of each printed anew."""
    with tempfile.TemporaryDirectory() as folder:
        return replayed(KINDS_OF_LINK.read_text("utf-8"), without_fit_and_search(Path(folder)))


def documents() -> dict[Path, Callable[[], str]]:
    """Each generated document, and what makes its text."""
    made: dict[Path, Callable[[], str]] = {
        DOCS / "description.md": description_page.document,
        DOCS / "rules.md": rules_page.document,
        DOCS / "commands.md": commands_page,
        WORKED_EXAMPLE: lambda: worked_example()[0],
        MEASURING: measuring_session,
        READINGS: readings_session,
        KINDS_OF_LINK: kinds_of_link,
        IDENTIFY: multimeter_session,
        LOOM: loom_session,
    }
    for name in _PICTURE.findall(WORKED_EXAMPLE.read_text("utf-8")):
        made[PICTURES / name] = lambda name=name: worked_example()[1][name]
    return made


def main(arguments: Sequence[str] | None = None) -> int:
    """Write or compare; returns the exit code."""
    parser = argparse.ArgumentParser(prog="python -m tests.generate", description=__doc__)
    parser.add_argument("--check", action="store_true", help="only say which documents are not up to date")
    chosen = parser.parse_args(arguments)
    stale = []
    for file, make in documents().items():
        text = make()
        if file.is_file() and file.read_text("utf-8") == text:
            continue
        stale.append(file.relative_to(ROOT).as_posix())
        if not chosen.check:
            file.parent.mkdir(exist_ok=True)
            file.write_text(text, "utf-8", newline="\n")
    for name in stale:
        print(f"{name} {'is not up to date' if chosen.check else 'written'}")
    return 1 if stale and chosen.check else 0


if __name__ == "__main__":
    sys.exit(main())
