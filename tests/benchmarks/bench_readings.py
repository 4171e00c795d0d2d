"""A logged sweep read and judged, against reading its figures alone."""

from __future__ import annotations

import tempfile
from pathlib import Path

import numpy as np

from conversion.bench.log.judge import judge_log
from conversion.bench.log.record import read_log
from tests.bench.sweeps import plan, sweep, text, wanted
from tests.benchmarks.framework import NotMeasured, Times, benchmark, times_of

RATE_HZ, REPEATS = 12_500.0, 3


@benchmark("readings, a log of 200 000 rows read and judged", at_most=3.5, reference="numpy.loadtxt of the same file")
def readings() -> Times:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "log.csv"
        time, _, volts = sweep(RATE_HZ)
        path.write_text(text(time, volts), encoding="utf-8")

        def judged() -> bool:
            return judge_log(plan(), read_log(path, path.name, wanted(), {}), wanted()).passes

        if not judged():
            raise NotMeasured("a sound log does not pass")
        return times_of(judged, lambda: np.loadtxt(path, delimiter=";", skiprows=1), REPEATS)
