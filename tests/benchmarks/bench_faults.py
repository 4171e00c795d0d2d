"""The fault study as a user waits for it, single faults and pairs of both sensors."""

from __future__ import annotations

from tests.benchmarks.bench_commands import IMPORTS, demo
from tests.benchmarks.framework import Times, benchmark, command_times, python, treadle


@benchmark("treadle faults, market-van", at_most=8.0, reference=IMPORTS)
def faults() -> Times:
    return command_times(treadle("faults", demo()), python(IMPORTS), repeats=3)


@benchmark("treadle faults --latent, market-van", at_most=50.0, reference=IMPORTS, within_s=10.0)
def latent() -> Times:
    return command_times(treadle("faults", demo(), "--latent"), python(IMPORTS), repeats=1)
