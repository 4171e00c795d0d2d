"""Invented logs: a sweep as the demo's plan expects it, and ways to spoil it."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from conversion import resources
from conversion.bench.log.judge import LogVerdict, judge_log
from conversion.bench.log.record import read_log
from conversion.bench.log.wanted import Wanted, wanted_of
from conversion.description import read_description
from conversion.plan import Plan

Array = NDArray[np.float64]

KEYS = ((0, 0), (1.5, 0), (6, 1), (7.5, 1), (12, 0), (13, 0), (13.6, 1), (14.4, 1), (14.56, 0), (16, 0))
"""Seconds and share of the travel: rest, slowly down, hold, slowly back, then a release."""


@cache
def plan() -> Plan:
    """The demo's plan."""
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


@cache
def wanted() -> Wanted:
    """What it expects of a sweep."""
    return wanted_of(plan())


def sweep(
    rate_hz: float = 200.0, noise_v: float = 0.004, keys: Sequence[tuple[float, float]] = KEYS, seed: int = 1
) -> tuple[Array, Array, dict[str, Array]]:
    """Time [s], pad travel [mm] and volts of each track; (rows,) each."""
    random = np.random.default_rng(seed)
    time = np.arange(0.0, keys[-1][0], 1.0 / rate_hz)
    pad = np.interp(time, *np.transpose(keys)) * wanted().pad_mm[-1]
    volts = {
        name: np.interp(pad, wanted().pad_mm, track.volts) + random.normal(0.0, noise_v / 2**number, len(time))
        for number, (name, track) in enumerate(wanted().tracks.items())
    }
    return time, pad, volts


def text(time: Array, volts: dict[str, Array], pad: Array | None = None) -> str:
    """A log with points and semicolons."""
    columns = [time, *volts.values(), *([] if pad is None else [pad])]
    head = ";".join(["time [s]", *(f"track {name} [V]" for name in volts), *([] if pad is None else ["pad [mm]"])])
    rows = [";".join(f"{figure:.4f}" for figure in row) for row in np.column_stack(columns)]
    return "\n".join([head, *rows]) + "\n"


def judged(folder: Path, log: str | bytes, chosen: dict[str, str] | None = None) -> LogVerdict:
    """A log held against the demo's plan."""
    path = folder / "log.csv"
    path.write_bytes(log if isinstance(log, bytes) else log.encode("utf-8"))
    return judge_log(plan(), read_log(path, "log.csv", wanted(), chosen or {}), wanted())


def names(verdict: LogVerdict) -> dict[str, str]:
    """Severity of each finding by its name, without the topic."""
    return {found.name.removeprefix("readings/"): found.severity for found in verdict.findings}
