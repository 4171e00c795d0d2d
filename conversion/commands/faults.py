"""``treadle faults``: what each fault would make the control unit believe."""

from __future__ import annotations

import argparse
import json
from typing import Any

from conversion.commands.common import FOUND, OK, add_command, print_missing, read_plan, takes_description
from conversion.progress import Progress


def add(commands: Any) -> None:
    """The words of the command."""
    faults = add_command(commands, "faults", run, "what each fault would make the control unit believe")
    takes_description(faults)
    faults.add_argument("--latent", action="store_true", help="also every second fault after one that nothing notices")
    faults.add_argument("--json", action="store_true", help="every fault and every pair as JSON")


def run(chosen: argparse.Namespace) -> int:
    """Do it; gives the exit code."""
    from conversion.description import Missing
    from conversion.plan.faults.as_json import faults_json
    from conversion.plan.faults.judged import SENSORS
    from conversion.plan.faults.text import fault_lines, latent_lines

    studies, latents, lacking = [], [], []
    with Progress() as progress:
        plan = read_plan(chosen.description, progress)
        for sensor in SENSORS:
            progress.step(f"judging the faults of the {sensor}")
            try:
                studies.append(plan.faults(sensor))
                if chosen.latent:
                    latents.append(
                        plan.latent(
                            sensor,
                            lambda done, total: progress.step(f"following fault {done + 1} of {total} that can wait"),
                        )
                    )
            except Missing as missing:
                lacking.append(missing)
        if chosen.json:
            text = json.dumps(faults_json(studies, latents), ensure_ascii=False, indent=2)
        else:
            parts = ["\n".join(fault_lines(study)) for study in studies]
            parts += ["\n".join(latent_lines(latent)) for latent in latents]
            text = "\n\n".join([plan.description.conversion.title, *parts])
    print(text)
    for figure in lacking:
        print_missing(figure)
    return FOUND if lacking or any(study.above_limit for study in studies) else OK
