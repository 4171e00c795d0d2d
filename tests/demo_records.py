"""Writes the records of the market van: `python -m tests.demo_records`.

They are invented. The sweep is what the plan expects, moved as a foot moves a pedal, with a little offset, noise and
play, at a hundred rows a second; the values of the bench test are drawn from the middle of what the checklist
expects of each reading. Both come from a fixed seed, so that they are the same whenever they are written.
"""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import numpy as np

from conversion import resources
from conversion.bench.log.wanted import wanted_of
from conversion.checklist import build_checklist
from conversion.checklist.bench_record import recordable
from conversion.checklist.saying import Limited
from conversion.description import read_description
from conversion.plan import Plan
from conversion.quantities import show

FOLDER = resources.harnesses_dir() / "market-van"
RATE_HZ = 100.0
KEYS = ((0, 0), (1.2, 0), (5.2, 1), (6.4, 1), (10.4, 0), (11.2, 0), (11.8, 1), (12.8, 1), (12.92, 0), (14.0, 0))
"""Seconds and share of the travel: off, slowly down, held, slowly back, and once more with the foot taken off."""
BATTERY_V = 12.5


def sweep_text(plan: Plan) -> str:
    """The log: time, both tracks, and the pad's travel from a tape on the bulkhead."""
    random, wanted = np.random.default_rng(20260320), wanted_of(plan)
    time = np.arange(0.0, KEYS[-1][0], 1.0 / RATE_HZ)
    moved = np.interp(time, *np.transpose(KEYS))
    # A foot begins and ends its way gently.
    share = 0.5 - 0.5 * np.cos(math.pi * moved)
    pad = share * wanted.pad_mm[-1]
    play = 0.15 * np.sign(np.gradient(share)) * np.sin(math.pi * share)
    columns = [time]
    for offset, noise, track in zip((0.012, -0.004), (0.003, 0.002), wanted.tracks.values(), strict=True):
        volts = np.interp(pad - play, wanted.pad_mm, track.volts)
        columns.append(volts + offset + random.normal(0.0, noise, len(time)))
    columns.append(pad + random.normal(0.0, 0.1, len(time)))
    rows = [f"{row[0]:.2f};{row[1]:.3f};{row[2]:.3f};{row[3]:.1f}" for row in np.column_stack(columns).tolist()]
    head = [
        "# Invented log of the market van, written by tests/demo_records.py",
        "time [s];track a [V];track b [V];pad [mm]",
    ]
    return "\n".join([*head, *rows]) + "\n"


def bench_text(plan: Plan) -> str:
    """The values of the bench test, each within what the checklist expects."""
    random = np.random.default_rng(20260320)
    values: dict[str, Any] = {}
    for _, row in recordable(build_checklist(plan, ())):
        at = values
        for word in row.key[:-1]:
            at = at.setdefault(word, {})
        at[row.key[-1]] = _value(row.expected, random)
    lines = [
        "# Invented values of the market van, written by tests/demo_records.py.",
        "date: 2026-03-20",
        "by: The owner",
    ]
    lines += ["meter: {resistance: 1 %, voltage: 0.5 %}"]
    return "\n".join([*lines, *_written(values, 0)]) + "\n"


def _value(expected: str | None, random: np.random.Generator) -> str:
    if not isinstance(expected, Limited):
        return "pass"
    if math.isinf(expected.high):
        return "open"
    if expected.low <= 0.0:
        return show(0.4 * expected.high * float(random.uniform(0.5, 1.0)), expected.dimension)
    if expected.dimension == "voltage" and expected.low > 10.0:
        return show(BATTERY_V + float(random.uniform(-0.1, 0.1)), "voltage")
    middle, half = 0.5 * (expected.low + expected.high), 0.5 * (expected.high - expected.low)
    return show(middle + 0.4 * half * float(random.uniform(-1.0, 1.0)), expected.dimension)


def _written(values: dict[str, Any], depth: int) -> list[str]:
    """Mappings of values on one line, others on several."""
    lines = []
    for word, inner in values.items():
        indent = "  " * depth
        if isinstance(inner, str):
            lines.append(f"{indent}{word}: {inner}")
        elif depth and all(isinstance(value, str) for value in inner.values()):
            lines.append(f"{indent}{word}: {{{', '.join(f'{key}: {value}' for key, value in inner.items())}}}")
        else:
            lines += [f"{indent}{word}:", *_written(inner, depth + 1)]
    return lines


def records() -> dict[Path, str]:
    """Both files and what they hold."""
    plan = Plan(read_description(FOLDER))
    folder = FOLDER / "records"
    return {folder / "sweep.csv": sweep_text(plan), folder / "bench.yaml": bench_text(plan)}


if __name__ == "__main__":
    for path, text in records().items():
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8", newline="\n")
        print(f"wrote {path.name}")
