"""Writes a page that the program makes, or says whether the one that is there is still true."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable, Sequence
from pathlib import Path


def write_or_check(module: str, page: Path, document: Callable[[], str], arguments: Sequence[str] | None) -> int:
    """The command line of a module that makes a page.

    Args:
        module: Its name, as it is run with ``python -m``.
        page: Where the page lies.
        document: Makes its text.
        arguments: Words of the command line; ``--check`` only compares.

    Returns:
        Exit code: 0 if the page is written or up to date, 1 if it is not up to date.
    """
    parser = argparse.ArgumentParser(prog=f"python -m {module}", description=f"Write docs/{page.name}.")
    parser.add_argument("--check", action="store_true", help="only say whether the page is up to date")
    chosen = parser.parse_args(arguments)
    text = document()
    if chosen.check:
        if page.is_file() and page.read_text("utf-8") == text:
            return 0
        print(f"{page.name} is not up to date; run python -m {module}", file=sys.stderr)
        return 1
    page.parent.mkdir(exist_ok=True)
    page.write_text(text, "utf-8", newline="\n")
    return 0
