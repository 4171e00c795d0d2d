"""``treadle readings``: a logged sweep of the pedal against the plan."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from conversion.commands.common import (
    FOUND,
    OK,
    UNREADABLE,
    add_command,
    print_missing,
    read_plan,
    takes_description,
)
from conversion.progress import Progress


def add(commands: Any) -> None:
    """The words of the command."""
    readings = add_command(commands, "readings", run, "hold a logged sweep of the pedal against the plan")
    takes_description(readings)
    readings.add_argument(
        "log", type=Path, metavar="LOG", help="rows of time and track volts; commas, semicolons or tabs"
    )
    readings.add_argument(
        "--column",
        action="append",
        default=[],
        metavar="NAME=HEADING",
        help="which heading is which, where it is not recognised: time, a, b, pad, percent, supply; may be repeated",
    )
    readings.add_argument(
        "--out", type=Path, metavar="DIR", help="folder for the pictures and what was found; whole or not at all"
    )
    readings.add_argument("--json", action="store_true", help="what was read and found as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.bench.log.judge import judge_log
    from conversion.bench.log.record import read_log
    from conversion.bench.log.text import log_json, log_lines
    from conversion.bench.log.wanted import wanted_of
    from conversion.description import Missing
    from conversion.pack.folder import write_folder

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        try:
            wanted = wanted_of(plan)
            columns = _columns(chosen.column, list(wanted.tracks))
            record = read_log(chosen.log, chosen.log.name, wanted, columns, progress.step)
        except Missing as missing:
            print_missing(missing)
            return FOUND
        except (ValueError, OSError) as error:
            why = error.strerror if isinstance(error, OSError) else error
            where = f"{chosen.log}: " if isinstance(error, OSError) else ""
            print(f"treadle: {where}{why}", file=sys.stderr)
            return UNREADABLE
        progress.step("judging")
        verdict = judge_log(plan, record, wanted)
        text = json.dumps(log_json(verdict), ensure_ascii=False, indent=2) if chosen.json else _joined(verdict)
        if chosen.out:
            from conversion.drawings.log_charts import log_charts

            files = {f"{drawing.name}.svg": drawing.svg.encode("utf-8") for drawing in log_charts(verdict)}
            files["readings.txt"] = ("\n".join(log_lines(verdict)) + "\n").encode("utf-8")
            write_folder(chosen.out, files)
    print(text)
    if chosen.out:
        print(f"{chosen.out}: {len(files)} files.", file=sys.stderr if chosen.json else sys.stdout)
    return OK if verdict.passes else FOUND


def _joined(verdict: Any) -> str:
    from conversion.bench.log.text import log_lines

    return "\n".join(log_lines(verdict))


def _columns(words: list[str], tracks: list[str]) -> dict[str, str]:
    """Heading by column name.

    Raises:
        ValueError: A word names no column, or none is given.
    """
    from conversion.bench.log.words import column_names
    from conversion.description.complaints import listed, nearest, quoted

    columns: dict[str, str] = {}
    for word in words:
        name, equals, heading = word.partition("=")
        name = name.strip()
        if not equals or not heading.strip():
            raise ValueError(f"--column {quoted(word)}: write NAME=HEADING, such as --column 'time=Elapsed'.")
        if name not in column_names(tracks):
            near = nearest(name, column_names(tracks))
            hint = f"did you mean '{near}'?" if near else f"there are {listed(column_names(tracks), 'and')}."
            raise ValueError(f"--column {quoted(word)}: {quoted(name)} is no column; {hint}")
        if name in columns:
            raise ValueError(f"--column: {quoted(name)} is given twice.")
        columns[name] = heading.strip()
    return columns
