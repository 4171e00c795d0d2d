"""``treadle bench``: values of the bench test against what the checklist expects."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from conversion.commands.common import FOUND, OK, UNREADABLE, add_command, read_plan, takes_description
from conversion.progress import Progress

if TYPE_CHECKING:
    from conversion.checklist import BenchRecord

_SHOWN_UNREAD = 5


def add(commands: Any) -> None:
    """The words of the command."""
    bench = add_command(commands, "bench", run, "hold the values of the bench test against the checklist")
    takes_description(bench)
    bench.add_argument("values", type=Path, metavar="VALUES", help="YAML file with what the meter showed")
    bench.add_argument("--json", action="store_true", help="every reading with its verdict as JSON")
    bench.add_argument("--all", action="store_true", help="tell every reading, and every one that is not recorded")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.checklist import build_checklist, judge_bench
    from conversion.description.yaml_text import Limits, read_tree

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        progress.step("reading the values")
        limits = Limits()
        try:
            with chosen.values.open("rb") as file:
                tree = read_tree(file.read(limits.max_bytes + 1), chosen.values.name, limits)
            record = judge_bench(build_checklist(plan, ()), tree, chosen.values.name)
        except OSError as error:
            print(f"treadle: {chosen.values}: {error.strerror}", file=sys.stderr)
            return UNREADABLE
    if chosen.json:
        print(json.dumps(_plain(record), ensure_ascii=False, indent=2))
    else:
        for line in _lines(record, everything=chosen.all):
            print(line)
    return OK if record.passes else FOUND


def _lines(record: BenchRecord, *, everything: bool) -> list[str]:
    lines = []
    for value in record.values:
        if everything or value.verdict != "pass":
            word = {"pass": "pass", "fail": "FAIL", "not judged": "?"}[value.verdict]
            lines.append(f"{word:4}  {value.step:5} {value.what}   {value.place}")
            lines.append(f"      read {value.said}; expected: {value.expected}")
    unread = record.unread if everything else record.unread[:_SHOWN_UNREAD]
    lines += [f"not recorded  {step:5} {what}" for step, what in unread]
    if len(record.unread) > len(unread):
        lines.append(f"not recorded  … and {len(record.unread) - len(unread)} more; --all lists them.")
    lines.append(
        f"{len(record.values)} readings: {record.count('pass')} pass, {record.count('fail')} fail, "
        f"{record.count('not judged')} not judged; {len(record.unread)} are not recorded."
    )
    return lines


def _plain(record: BenchRecord) -> dict[str, Any]:
    return {
        "date": record.date,
        "by": record.by,
        "readings": [
            {
                "reading": list(value.key),
                "step": value.step,
                "what": value.what,
                "expected": value.expected,
                "read": value.said,
                "verdict": value.verdict,
                "file": value.place.file,
                "line": value.place.line,
                "column": value.place.column,
            }
            for value in record.values
        ],
        "not_recorded": [{"step": step, "what": what} for step, what in record.unread],
        "summary": {
            "pass": record.count("pass"),
            "fail": record.count("fail"),
            "not judged": record.count("not judged"),
            "not recorded": len(record.unread),
        },
    }
