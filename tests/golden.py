"""Golden findings: what each worked conversion comes out with, saved. They prove only that nothing has changed.

``python -m tests.golden`` writes them anew; look at the difference before you commit it.
"""

from __future__ import annotations

import sys
from pathlib import Path

from conversion import resources
from conversion.description import read_description
from conversion.plan import Plan
from conversion.rules import Finding, find_all

FOLDER = Path(__file__).parent / "goldens"
DEMOS = ("market-van", "trials-buggy", "first-attempt")


def findings_of(demo: str) -> tuple[Finding, ...]:
    """Everything that the rules say about a worked conversion."""
    return find_all(Plan(read_description(resources.harnesses_dir() / demo)))


def golden_text(demo: str) -> str:
    """One line a finding: severity, rule, subject; no figures, which change with every better measurement."""
    lines = [
        f"{finding.severity:4}  {finding.rule}  {finding.subject}{'' if finding.decided else '  (undecided)'}"
        for finding in findings_of(demo)
    ]
    return "".join(f"{line}\n" for line in lines)


def golden_file(demo: str) -> Path:
    """Where the lines of a worked conversion are kept."""
    return FOLDER / f"{demo}.txt"


def main() -> int:
    """Write every golden file."""
    FOLDER.mkdir(exist_ok=True)
    for demo in DEMOS:
        golden_file(demo).write_text(golden_text(demo), "utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
