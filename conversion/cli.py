"""The command ``treadle``: parses words, calls the rooms in order, prints. It computes nothing.

Exit codes: 0 nothing above NOTE, 1 a HOLD or FIX (or something that could not be computed), 2 the words or the
description cannot be read, 3 a fault of treadle itself.
"""

from __future__ import annotations

import argparse
import atexit
import gc
import os
import sys
from collections.abc import Sequence

from conversion.commands import COMMANDS
from conversion.commands.common import OK, UNREADABLE, tell

OUR_FAULT = 3
GARBAGE_THRESHOLD = 500_000
"""New objects after which unused cycles are looked for. A command makes a hundred thousand that stay, and few cycles,
so that looking as often as the interpreter does by default costs a tenth of the time."""


def main(words: Sequence[str] | None = None) -> int:
    """Run the command with its words; returns the exit code and never lets an exception out."""
    _speak_utf8()
    gc.set_threshold(GARBAGE_THRESHOLD)
    # Nor are they looked for at the end, when all memory is given back anyway.
    atexit.register(gc.freeze)
    parser = build_parser()
    chosen = parser.parse_args(words)
    if "run" not in chosen:
        parser.print_help()
        return UNREADABLE
    try:
        code = int(chosen.run(chosen))
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        print("treadle: stopped; nothing was left half-written.", file=sys.stderr)
        return 130
    except BrokenPipeError:
        # The reader of our output has gone; what it wanted it has.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return OK
    except Exception as error:
        if (code_told := tell(error)) is not None:
            return code_told
        if os.environ.get("TREADLE_DEBUG"):
            raise
        kind = type(error).__name__
        print(
            f"treadle: this is a fault of treadle, not of your description ({kind}: {error}).\n"
            "Nothing was left half-written. Run it again with TREADLE_DEBUG=1 set, and report what it prints.",
            file=sys.stderr,
        )
        return OUR_FAULT


def build_parser() -> argparse.ArgumentParser:
    """The words of the command."""
    parser = argparse.ArgumentParser(
        prog="treadle",
        description="From the description of a cable pedal and an electronic throttle to a build pack: checks, travel, "
        "drawings, checklist.",
        epilog="It never says that a car is safe or legal: the approval authority and licensed practice decide.",
    )
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for command in COMMANDS:
        command.add(commands)
    return parser


def _speak_utf8() -> None:
    """Units and signs must not break a terminal that was set to another character set."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(encoding="utf-8", errors="replace")
