"""``treadle compare``: what changed between two descriptions, for a loom that is half built."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import UNREADABLE, add_command, exit_code, read_plan, tell
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.plan import Plan


def add(commands: Any) -> None:
    """The words of the command."""
    compare = add_command(commands, "compare", run, "what changed between two descriptions, and what to do about it")
    compare.add_argument("old", type=Path, metavar="OLD", help="the description by which the loom was begun")
    compare.add_argument("new", type=Path, metavar="NEW", help="the description by which it is to be finished")
    compare.add_argument("--json", action="store_true", help="wires, figures and findings as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code, which is that of the new description."""
    from conversion.bench.compare import compare_plans
    from conversion.bench.compare.as_json import comparison_json
    from conversion.bench.compare.text import comparison_lines
    from conversion.rules import find_all

    with Progress() as progress:
        plans = [_read(path, progress) for path in (chosen.old, chosen.new)]
        old, new = plans
        if old is None or new is None:
            return UNREADABLE
        progress.step("checking both")
        old_findings, new_findings = find_all(old), find_all(new)
        progress.step("comparing")
        found = compare_plans(old, new, old_findings, new_findings)
        if chosen.json:
            text = json.dumps(comparison_json(found), ensure_ascii=False, indent=2)
        else:
            text = "\n".join(comparison_lines(found))
    print(text)
    return exit_code(new_findings)


def _read(path: Path, progress: Progress) -> Plan | None:
    """The plan, or None after saying what is wrong: of two descriptions, every fault of both is told."""
    from conversion.description import DescriptionError

    try:
        return read_plan(path, progress)
    except DescriptionError as error:
        progress.close() if hasattr(progress, "close") else None
        print(f"In {path}:", file=sys.stderr)
        tell(error)
        return None
