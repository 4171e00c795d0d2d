"""``treadle loom``: every wire with its way, length, size and reason, and the papers to build it from."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import FOUND, OK, UNREADABLE, add_command, read_plan, takes_description
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.plan import Plan

PAPERS = ("A4", "A3", "Letter")
"""As the room of true scale has them; a test holds the two together, since reading that room takes time."""


def add(commands: Any) -> None:
    """The words of the command."""
    loom = add_command(
        commands, "loom", run, "every wire's way, length and size, runs, splices, fuses, and what to buy"
    )
    takes_description(loom)
    loom.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for all papers to build it from; appears whole or not at all"
    )
    loom.add_argument("--paper", choices=PAPERS, help="what the board is cut into, with --out; default: pages of each")
    loom.add_argument("--json", action="store_true", help="wires, runs, splices, fuses and totals as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code: 1 where a wire has no way or no known length."""
    from conversion.plan.loom.as_json import loom_json
    from conversion.plan.loom.text import lacking_lines, loom_lines

    if chosen.paper and not chosen.out:
        print("treadle: --paper says how the board of --out is cut; name the folder with --out.", file=sys.stderr)
        return UNREADABLE
    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        if chosen.out:
            from conversion.pack.folder import check_place

            check_place(chosen.out)
        progress.step("laying the loom")
        uncut = _write(plan, chosen.out, chosen.paper, progress) if chosen.out else ()
        lines = [json.dumps(loom_json(plan), ensure_ascii=False, indent=2)] if chosen.json else list(loom_lines(plan))
    for line in lines:
        print(line)
    if chosen.out:
        print(f"{chosen.out}: written; begin with loom.pdf.", file=sys.stderr if chosen.json else sys.stdout)
    for paper in uncut:
        print(f"The board takes too many pages of {paper} to be joined, and is not cut into them.", file=sys.stderr)
    lacking = list(lacking_lines(plan))
    for line in lacking:
        print(line, file=sys.stderr)
    return FOUND if lacking else OK


def _write(plan: Plan, out: Path, paper: str | None, progress: Progress) -> tuple[str, ...]:
    """Write the folder; the papers that the board is not cut into, since it takes too many of them."""
    from conversion.fit import Paper
    from conversion.pack.board_files import not_cut
    from conversion.pack.folder import write_folder
    from conversion.pack.loom_folder import loom_files
    from conversion.rules import find_all

    progress.step("checking")
    findings = find_all(plan)
    papers = (Paper(paper),) if paper else tuple(Paper)
    files = loom_files(plan, findings, progress.step, papers)
    progress.step("writing")
    write_folder(out, files)
    return not_cut(files, papers)
