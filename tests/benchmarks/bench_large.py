"""A description of 60 devices and 2 000 wires, against the imports that any such program pays for."""

from __future__ import annotations

import tempfile
from pathlib import Path

from tests.benchmarks.framework import Times, benchmark, command_times, python, treadle
from tests.large_description import write_large_description

IMPORTS = "import numpy, networkx, yaml"


@benchmark("treadle check, 60 devices and 2 000 wires", at_most=12.0, reference=IMPORTS)
def check_large() -> Times:
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        file = write_large_description(Path(folder))
        # Thousands of wires of unknown load in one bundle ask for sizes that no contact takes: it ends with findings.
        return command_times(treadle("check", str(file)), python(IMPORTS), repeats=3, codes=(0, 1))
