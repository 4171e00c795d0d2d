"""The command as a user waits for it, against the imports that any such program pays for."""

from __future__ import annotations

import shutil
import tempfile
from pathlib import Path

from conversion.resources import harnesses_dir
from tests.benchmarks.framework import NotMeasured, Times, benchmark, command_times, python, treadle

IMPORTS = "import numpy, networkx, yaml"
REPEATS = 5


def demo() -> str:
    path = harnesses_dir() / "market-van" / "conversion.yaml"
    if not path.is_file():
        raise NotMeasured(f"{path.name} of market-van is not there")
    return str(path)


@benchmark("treadle check, market-van", at_most=4.0, reference=IMPORTS)
def check() -> Times:
    return command_times(treadle("check", demo()), python(IMPORTS), REPEATS)


@benchmark("treadle pack, market-van", at_most=12.0, reference=IMPORTS)
def pack() -> Times:
    # The same folder each time: replacing an earlier pack is part of what is timed.
    folder = Path(tempfile.mkdtemp(prefix="treadle-"))
    try:
        return command_times(treadle("pack", demo(), "--out", str(folder / "out")), python(IMPORTS), REPEATS)
    finally:
        shutil.rmtree(folder)
