"""What the commands share: exit codes, arguments, reading a description, telling findings."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.description import Missing
    from conversion.plan import Plan
    from conversion.rules import Finding

OK, FOUND, UNREADABLE = 0, 1, 2


def add_command(
    commands: Any, name: str, run: Callable[[argparse.Namespace], int], what: str
) -> argparse.ArgumentParser:
    """A command with its one line of help.

    Args:
        commands: The parser's own list of commands.
        name: Of the command.
        run: What it does; gives the exit code.
        what: For the list and as the head of its help.
    """
    command: argparse.ArgumentParser = commands.add_parser(
        name, help=what, description=what[0].upper() + what[1:] + "."
    )
    command.set_defaults(run=run)
    return command


def takes_description(command: argparse.ArgumentParser) -> None:
    """The description as the first word."""
    command.add_argument(
        "description", type=Path, metavar="DESCRIPTION", help="conversion.yaml, or the folder that holds it"
    )


def count(text: str) -> int:
    """A whole number from 1."""
    return whole(text, 1)


def seed(text: str) -> int:
    """A whole number from 0."""
    return whole(text, 0)


def whole(text: str, least: int, most: int = 999_999_999) -> int:
    """A whole number within limits, for an argument."""
    if not (text.isascii() and text.isdigit() and len(text) <= 9 and least <= int(text) <= most):
        raise argparse.ArgumentTypeError(f"'{text}' is no whole number from {least} to {most}")
    return int(text)


def read_plan(path: Path, progress: Progress) -> Plan:
    """The plan of a description.

    Raises:
        DescriptionError: the description, or what was read with a tape, cannot be used.
    """
    from conversion.description import DescriptionError, read_description
    from conversion.plan import Plan

    progress.step("reading")
    try:
        return Plan(read_description(path))
    except DescriptionError as error:
        count = len(error.complaints)
        error.add_note(f"treadle: {count} fault{'s' if count != 1 else ''} to mend before anything can be computed.")
        raise


def tell(error: Exception) -> int | None:
    """Say what is wrong with what was given, if that is what ended a command; the exit code, else None."""
    from conversion.description import DescriptionError
    from conversion.pack.folder import FolderError

    if isinstance(error, DescriptionError):
        print("\n".join([str(error), *getattr(error, "__notes__", ())]), file=sys.stderr)
        return UNREADABLE
    if isinstance(error, FolderError):
        print(f"treadle: {error}", file=sys.stderr)
        return UNREADABLE
    return None


def print_missing(missing: Missing) -> None:
    """Say which figure is missing, and where."""
    print(f"{missing.place}: {missing.path} {missing.state}; {missing.why}.", file=sys.stderr)


def summary(findings: tuple[Finding, ...]) -> str:
    """How many findings of each severity, in one line."""
    counts = {severity: sum(f.severity == severity for f in findings) for severity in ("HOLD", "FIX", "NOTE")}
    undecided = sum(not f.decided for f in findings)
    text = ", ".join(f"{count} {severity}" for severity, count in counts.items())
    return f"{text}; {undecided} undecided for want of a figure." if undecided else f"{text}."


def exit_code(findings: tuple[Finding, ...]) -> int:
    """1 where a HOLD or FIX was found."""
    return FOUND if any(finding.severity != "NOTE" for finding in findings) else OK
