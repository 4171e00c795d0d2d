"""``treadle travel``: the pedal's whole travel."""

from __future__ import annotations

import argparse
import json
from typing import Any

from conversion.commands.common import FOUND, OK, add_command, print_missing, read_plan, takes_description
from conversion.progress import Progress


def add(commands: Any) -> None:
    """The words of the command."""
    travel = add_command(commands, "travel", run, "pad travel, lever angle, volts and per cent")
    takes_description(travel)
    travel.add_argument("--json", action="store_true", help="every position as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.plan.link.travel_json import travel_json
    from conversion.plan.link.travel_text import fact_lines, travel_lines

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        progress.step("computing the travel")
        found, lacking = travel_json(plan)
        lines = [] if chosen.json else [*travel_lines(found["positions"]), *fact_lines(plan)]
    if chosen.json:
        print(json.dumps(found, ensure_ascii=False, indent=2))
    for line in lines:
        print(line)
    for missing in lacking:
        print_missing(missing)
    return FOUND if lacking else OK
