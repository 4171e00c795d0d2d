"""``treadle search``: the best settings that can be made."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import (
    FOUND,
    OK,
    add_command,
    count,
    print_missing,
    read_plan,
    seed,
    takes_description,
)
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.plan import Plan
    from conversion.plan.searching.search import SearchOutcome


def add(commands: Any) -> None:
    """The words of the command."""
    search = add_command(commands, "search", run, "find the best settings that can be made: holes, rod, module's place")
    takes_description(search)
    search.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for tables, chart and patch; whole or not at all"
    )
    search.add_argument(
        "--candidates", type=count, metavar="N", help="linkages to look at, at most; default 1200000, or all there are"
    )
    search.add_argument("--seed", type=seed, default=1, metavar="N", help="of the draw; same seed, same answer")
    search.add_argument("--json", action="store_true", help="the result as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description import Missing
    from conversion.description.reader import conversion_file
    from conversion.pack.folder import check_place, write_folder
    from conversion.plan.searching.as_json import search_json
    from conversion.plan.searching.text import lines

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        file = conversion_file(chosen.description)
        if chosen.out:
            check_place(chosen.out)
        try:
            outcome = search_described(plan, chosen.description, progress, chosen.candidates, chosen.seed)
        except Missing as missing:
            print_missing(missing)
            return FOUND
        if chosen.out and outcome.settings:
            from conversion.pack.search_folder import search_files

            progress.step("writing")
            write_folder(chosen.out, search_files(outcome, file.name))
    if chosen.json:
        print(json.dumps(search_json(outcome), ensure_ascii=False, indent=2))
    else:
        for line in lines(outcome):
            print(line)
    if chosen.out:
        said = f"{chosen.out}: written; begin with search.txt." if outcome.settings else "Nothing was written."
        print(said, file=sys.stderr if chosen.json else sys.stdout)
    return OK if outcome.settings else FOUND


def search_described(
    plan: Plan, description: Path, progress: Progress, candidates: int | None = None, seed: int = 1
) -> SearchOutcome:
    """Search the settings of a plan as its file asks for."""
    from conversion.description.reader import conversion_file
    from conversion.plan.searching.search import search_plan
    from conversion.study.search import CANDIDATES

    return search_plan(plan, conversion_file(description), candidates or CANDIDATES, seed, progress.step)
