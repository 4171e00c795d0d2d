"""``treadle explain``: why a rule is there."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from conversion.commands.common import OK, UNREADABLE, add_command


def add(commands: Any) -> None:
    """The words of the command."""
    explain = add_command(commands, "explain", run, "why a rule is there and how to put it right")
    explain.add_argument("rule", nargs="?", metavar="RULE", help="name of the rule; without it all are listed")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description.complaints import nearest
    from conversion.rules import all_rules
    from conversion.rules.document import explain_text

    rules = {each.name: each for each in all_rules()}
    if chosen.rule is None:
        for name, each in rules.items():
            print(f"{each.severity:4}  {name:44}  {each.title}")
        return OK
    if chosen.rule not in rules:
        near = nearest(chosen.rule, rules)
        hint = f"did you mean '{near}'?" if near else "'treadle explain' lists them all."
        print(f"treadle: there is no rule '{chosen.rule}'; {hint}", file=sys.stderr)
        return UNREADABLE
    print(explain_text(rules[chosen.rule]))
    return OK
