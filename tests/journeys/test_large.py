"""A large description is read, planned and checked in bounded memory."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from conversion.description import read_description
from conversion.plan import Plan
from tests.large_description import write_large_description

LIMIT_MB = 500

# The peak of this process's own memory: what getrusage counts includes that of whoever started it.
_MEASURE = """
import re, sys
from conversion.cli import main
code = main(["check", sys.argv[1], "--json"])
peak_kb = re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())[1]
print(peak_kb, code, file=sys.stderr)
"""


def test_sixty_devices_and_two_thousand_wires_are_planned(tmp_path: Path) -> None:
    plan = Plan(read_description(write_large_description(tmp_path)))
    assert len(plan.description.parts) == 60
    assert len(plan.wiring.wires) >= 2000
    assert len({wire.tag for wire in plan.wiring.wires}) == len(plan.wiring.wires)


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the peak is counted otherwise there")
def test_memory_stays_below_the_limit(tmp_path: Path) -> None:
    file = write_large_description(tmp_path)
    done = subprocess.run([sys.executable, "-c", _MEASURE, str(file)], capture_output=True, text=True, timeout=120)
    peak_kb, code = done.stderr.split()[-2:]
    assert code in ("0", "1")
    assert int(peak_kb) < LIMIT_MB * 1024
