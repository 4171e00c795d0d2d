"""Source     ngspice, batch operating point (Debian package): a general circuit solver, not of this project.
Read from  its printed node voltages, run here.
Tolerance  1e-6 V: ngspice's default relative tolerance is 1e-3 on convergence, but linear circuits solve exactly.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest

from conversion.sensing.track_model import Loads, loaded_volts

CASES = 36


def _random_loads(seed: int) -> tuple[float, Loads]:
    random = np.random.default_rng(seed)
    pulls = [float(10 ** random.uniform(3, 6)) if random.random() < 0.7 else np.inf for _ in range(2)]
    loads = Loads(
        supply_v=float(random.uniform(3.3, 12.0)),
        track_ohm=float(10 ** random.uniform(2, 4.5)) if random.random() < 0.8 else 0.0,
        source_ohm=float(10 ** random.uniform(0, 4)),
        series_ohm=float(10 ** random.uniform(0, 4)),
        module_pull_ohm=pulls[0],
        unit_pull_ohm=pulls[1],
        module_pull_to_supply=bool(random.random() < 0.5),
        unit_pull_to_supply=bool(random.random() < 0.5),
    )
    return float(random.uniform(0.02, 0.98)), loads


def _netlist(number: int, ratio: float, loads: Loads) -> str:
    """The same circuit as a list of elements: nodes s supply, w wiper, m module output, u control unit input."""
    node = f"c{number}"
    lines = [f"V{node} s{node} 0 {loads.supply_v!r}"]
    if loads.track_ohm > 0.0:
        lines.append(f"R{node}1 s{node} w{node} {(1.0 - ratio) * loads.track_ohm!r}")
        lines.append(f"R{node}2 w{node} 0 {ratio * loads.track_ohm!r}")
    else:
        lines.append(f"E{node} w{node} 0 s{node} 0 {ratio!r}")
    lines.append(f"R{node}3 w{node} m{node} {loads.source_ohm!r}")
    lines.append(f"R{node}4 m{node} u{node} {loads.series_ohm!r}")
    for index, (at, ohm, to_supply) in enumerate(
        (
            ("m", loads.module_pull_ohm, loads.module_pull_to_supply),
            ("u", loads.unit_pull_ohm, loads.unit_pull_to_supply),
        )
    ):
        if np.isfinite(ohm):
            lines.append(f"R{node}p{index} {at}{node} {f's{node}' if to_supply else '0'} {ohm!r}")
    return "\n".join(lines)


@pytest.mark.needs("ngspice")
def test_loaded_tracks_agree_with_a_circuit_solver(tmp_path: Path) -> None:
    cases = [_random_loads(seed) for seed in range(CASES)]
    elements = "\n".join(_netlist(number, *case) for number, case in enumerate(cases))
    probes = "\n".join(f"print v(uc{number})" for number in range(CASES))
    deck = f"tracks\n{elements}\n.control\nset numdgt=12\nop\n{probes}\nquit\n.endc\n.end\n"
    file = tmp_path / "tracks.cir"
    file.write_text(deck, encoding="ascii")
    printed = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=60).stdout
    found = dict(re.findall(r"v\(uc(\d+)\) = ([-+0-9.eE]+)", printed))
    assert len(found) == CASES, printed
    for number, (ratio, loads) in enumerate(cases):
        ours, _ = loaded_volts(np.array([ratio]), loads)
        assert float(found[str(number)]) == pytest.approx(ours[0], abs=1e-6), (number, ratio, loads)
