"""``treadle study``: what the tolerances do."""

from __future__ import annotations

import argparse
import json
from typing import Any

from conversion.commands.common import (
    FOUND,
    OK,
    add_command,
    print_missing,
    read_plan,
    seed,
    takes_description,
    whole,
)
from conversion.progress import Progress

# As the description's own section allows; a test holds the two together, since reading that room takes time.
LEAST_SAMPLES, MOST_SAMPLES = 100, 100_000


def add(commands: Any) -> None:
    """The words of the command."""
    study = add_command(commands, "study", run, "what the tolerances do: bands, worst case, chances, what matters most")
    takes_description(study)
    study.add_argument(
        "--samples",
        type=_samples,
        metavar="N",
        help=f"linkages to draw, {LEAST_SAMPLES} to {MOST_SAMPLES}; default: what the description says, or 4000",
    )
    study.add_argument("--seed", type=seed, metavar="N", help="of the draw; default: what the description says, or 1")
    study.add_argument("--json", action="store_true", help="the study as JSON, every position")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description import Missing
    from conversion.plan.study.as_json import study_json
    from conversion.plan.study.text import study_lines

    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        progress.step("computing the travel")
        try:
            found = plan.sampled_study(
                chosen.samples, chosen.seed, lambda done, total: progress.step(f"drawing: {done} of {total} linkages")
            )
        except Missing as missing:
            print_missing(missing)
            return FOUND
        progress.step("ranking what matters most")
        if chosen.json:
            text = json.dumps(study_json(found), ensure_ascii=False, indent=2)
        else:
            text = "\n".join(study_lines(found, plan.description.conversion.title))
    print(text)
    for lacking in found.lacking:
        print_missing(lacking)
    return FOUND if found.lacking else OK


def _samples(text: str) -> int:
    return whole(text, LEAST_SAMPLES, MOST_SAMPLES)
