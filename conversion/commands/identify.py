"""``treadle identify``: what an unknown module is, from resistances between its terminals; a sheet to measure with."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import FOUND, OK, UNREADABLE, add_command, whole

if TYPE_CHECKING:
    from conversion.bench.unknown.identify import Identification
    from conversion.bench.unknown.reader import Sheet

# As the form allows; a test holds the two together, since reading that room takes time.
FEWEST, MOST = 3, 10


def add(commands: Any) -> None:
    """The words of the command."""
    command = add_command(commands, "identify", run, "find out which terminal of an unknown pedal module is what")
    command.add_argument(
        "readings", nargs="?", type=Path, metavar="READINGS", help="YAML file of resistances between the terminals"
    )
    command.add_argument("--json", action="store_true", help="what was found as JSON")
    command.add_argument("--part", type=Path, metavar="FILE", help="write a part file of what was found")
    command.add_argument(
        "--sheet",
        type=_terminals,
        metavar="N",
        help=f"instead: a sheet to measure N terminals with, {FEWEST} to {MOST}, as PDF; goes with --out",
    )
    command.add_argument("--out", type=Path, metavar="FILE", help="where the sheet is written")
    command.set_defaults(refuse=command.error)


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    if chosen.sheet is not None:
        if chosen.out is None or chosen.readings or chosen.part or chosen.json:
            chosen.refuse("--sheet goes with --out FILE.pdf and nothing else")
        return _print_sheet(chosen.sheet, chosen.out)
    if chosen.readings is None or chosen.out:
        chosen.refuse("give READINGS, or --sheet N with --out FILE.pdf")
    return _identify(chosen)


def _terminals(text: str) -> int:
    return whole(text, FEWEST, MOST)


def _identify(chosen: argparse.Namespace) -> int:
    from conversion.bench.unknown.identify import identify
    from conversion.bench.unknown.reader import read_sheet
    from conversion.bench.unknown.text import lines
    from conversion.bench.unknown.told_json import as_json

    sheet = read_sheet(chosen.readings)
    found = identify(sheet.readings)
    print(
        json.dumps(as_json(sheet, found), ensure_ascii=False, indent=2)
        if chosen.json
        else "\n".join(lines(sheet, found))
    )
    written = _write_part(chosen, sheet, found) if chosen.part else OK
    return written or (OK if found.verdict == "found" else FOUND)


def _write_part(chosen: argparse.Namespace, sheet: Sheet, found: Identification) -> int:
    from conversion.bench.unknown.part import HEAD, NoPart, part_file

    file: Path = chosen.part
    try:
        text = part_file(sheet, found)
    except NoPart as reason:
        print(f"treadle: {reason}.", file=sys.stderr)
        return FOUND
    try:
        if file.exists() and not file.read_bytes().startswith(HEAD.encode("utf-8")):
            print(f"treadle: {file} is there already and was not written by this; name another file.", file=sys.stderr)
            return UNREADABLE
    except OSError:
        pass  # writing says why
    return _write(file, text.encode("utf-8"), "part file; where it says unknown or unused, it waits for the next step")


def _print_sheet(terminals: int, file: Path) -> int:
    from conversion.pack.measuring_sheet import measuring_sheet

    return _write(file, measuring_sheet(terminals), "print it at actual size and take it to the bench")


def _write(file: Path, content: bytes, what: str) -> int:
    try:
        file.write_bytes(content)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or type(error).__name__
        print(f"treadle: {file} cannot be written ({reason}); name a file in a folder that is there.", file=sys.stderr)
        return UNREADABLE
    print(f"{file}: {what}.", file=sys.stderr)
    return OK
