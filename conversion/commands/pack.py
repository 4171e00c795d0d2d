"""``treadle pack``: the build pack."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import FOUND, add_command, exit_code, read_plan, summary, takes_description
from conversion.commands.search import search_described
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.description import Missing
    from conversion.plan.searching.search import SearchOutcome


def add(commands: Any) -> None:
    """The words of the command."""
    pack = add_command(commands, "pack", run, "write the build pack: PDF, page, drawings, tables")
    takes_description(pack)
    pack.add_argument(
        "--out", required=True, type=Path, metavar="DIR", help="folder to write; appears whole or not at all"
    )
    pack.add_argument("--search", action="store_true", help="search the settings as well and put what is found into it")
    pack.add_argument(
        "--latent", action="store_true", help="follow faults that nothing notices by second ones, and put that into it"
    )
    pack.add_argument("--board", action="store_true", help="put the loom's board into it at true scale, to be printed")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description import Missing
    from conversion.pack.folder import check_place, write_folder
    from conversion.rules import find_all

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        check_place(chosen.out)
        if chosen.board:
            from conversion.pack.loom_folder import check_board

            check_board(plan)
        progress.step("checking")
        findings = find_all(plan, studied=True)
        from conversion.checklist import build_checklist
        from conversion.pack.build import build_pack
        from conversion.pack.records import gather_records

        found: SearchOutcome | Missing | None = None
        if chosen.search:
            try:
                found = search_described(plan, chosen.description, progress)
            except Missing as missing:
                found = missing
        stages = build_checklist(plan, findings)
        recorded = gather_records(plan, stages, progress.step)
        files = build_pack(
            plan,
            findings,
            progress.step,
            found,
            recorded,
            stages=stages,
            latent=chosen.latent,
            board=chosen.board,
        )
        progress.step("writing")
        write_folder(chosen.out, files)
    print(f"{chosen.out}: {len(files)} files; begin with build-pack.pdf or build-pack.html.")
    print(summary(findings))
    failed = recorded.failed if recorded else ()
    if failed:
        print(f"What was measured fails: {' and '.join(failed)}; see the commissioning records.")
    return FOUND if failed else exit_code(findings)
