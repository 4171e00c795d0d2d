"""Faults of a sensing circuit, one and two at a time, against solving each case and starting ngspice for each."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
import time
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np

from conversion.circuit import Network, Operating, Resistor, solve
from conversion.circuit.network import Array, Indices
from conversion.description import read_description
from conversion.faults import Joined, Weakened
from conversion.plan import Plan
from conversion.plan.faults.gathered import list_faults
from tests.benchmarks.bench_commands import demo
from tests.benchmarks.framework import NotMeasured, Times, benchmark, best_of, times_of
from tests.circuit.networks import sensing_circuit
from tests.published.test_circuit_against_ngspice import POSITION, deck_of

LADDER_OHM = 10.0 ** np.arange(0, 7)
# The reference is timed on this many of the same cases, and scaled.
ONE_BY_ONE = 60
FIRSTS, SECONDS = 300, 2500
Changes = tuple[Indices, Indices, Array]


@cache
def single_faults() -> tuple[Network, Changes, Indices]:
    """The circuit of the demo's pedal, its electrical faults over a ladder of resistances, and its two inputs."""
    plan = Plan(read_description(Path(demo())))
    circuit = plan.circuit("pedal")
    network = circuit.network
    a, b, added = [], [], []
    for fault in list_faults(plan, "pedal", circuit):
        change = fault.change
        if isinstance(change, Joined):
            siemens = [np.inf, *(1.0 / LADDER_OHM)]
        elif isinstance(change, Weakened):
            own = 1.0 / change.element_ohm
            siemens = [-own] if change.is_open else [1.0 / (change.element_ohm + more) - own for more in LADDER_OHM]
        else:
            continue
        a += [network.index(change.a)] * len(siemens)
        b += [network.index(change.b)] * len(siemens)
        added += siemens
    changes = (np.array(a), np.array(b), np.array(added))
    return network, changes, network.indices(list(circuit.inputs.values()))


def in_blocks(base: Operating, changes: Changes) -> list[tuple[Array, Array]]:
    """The matrices and right-hand sides of bridges that are not dead shorts, as a batched solve takes them."""
    a, b, siemens = changes
    blocks = []
    for one, other, g in zip(a, b, siemens, strict=True):
        e = np.zeros(base.solved.matrix.shape[1])
        e[one], e[other] = 1.0, -1.0
        e[0] = 0.0
        blocks.append(base.solved.matrix + g * np.outer(e, e))
    right = np.broadcast_to(base.solved.right, (len(blocks), *base.solved.right.shape)).reshape(-1, len(e))
    return [(np.concatenate(blocks), np.ascontiguousarray(right)[:, :, None])]


def chosen_bridges(changes: Changes) -> Changes:
    a, b, siemens = changes
    plain = np.flatnonzero((siemens > 0.0) & np.isfinite(siemens))
    some = np.random.default_rng(5).choice(plain, ONE_BY_ONE, replace=False)
    return a[some], b[some], siemens[some]


def batched(base: Operating, changes: Changes, observed: Indices) -> Array:
    """The same volts by a full solution each; (cases, positions, observed)."""
    found = [np.linalg.solve(matrix, right)[:, :, 0] for matrix, right in in_blocks(base, changes)]
    return np.concatenate(found).reshape(len(changes[0]), base.network.positions, -1)[:, :, observed]


def check_same(base: Operating, changes: Changes, observed: Indices) -> None:
    """Where nothing bends both must say the same."""
    curve = base.hyperbola(changes[0], changes[1], observed)
    holds = changes[2][:, None] <= curve.most
    ours, theirs = base.changed(*changes, observe=observed), batched(base, changes, observed)
    if not holds.any() or not np.allclose(ours[holds], theirs[holds], atol=1e-6):
        raise NotMeasured("updates and full solutions disagree, so there is nothing to compare")


@benchmark("single faults of market-van, a case", at_least=5.0, reference="batched numpy.linalg.solve, matrices given")
def against_batched_solve() -> Times:
    network, changes, observed = single_faults()
    base = solve(network)
    sample = chosen_bridges(changes)
    check_same(base, sample, observed)
    ((matrix, right),) = in_blocks(base, sample)
    # Preparing the updates is part of them; assembling the reference's matrices is not part of it.
    times = times_of(
        lambda: solve(network).changed(*changes, observe=observed), lambda: np.linalg.solve(matrix, right), repeats=5
    )
    return Times(times.measured_s / (len(changes[0]) * network.positions), times.reference_s / len(matrix))


@benchmark(
    "single faults of market-van, a case and a start", at_least=5000.0, reference="ngspice started for each case"
)
def against_ngspice() -> Times:
    if shutil.which("ngspice") is None:
        raise NotMeasured("ngspice is not installed")
    network, changes, observed = single_faults()
    measured_s = best_of(lambda: solve(network).changed(*changes, observe=observed), 5)
    input_node = network.nodes[observed[0]]
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        file = Path(folder) / "case.cir"
        file.write_text(deck_of(network, list(network.nodes[1:])), encoding="ascii")

        def start() -> str:
            return subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=60).stdout

        said = re.search(rf"v\(n0x{observed[0]}\) = (\S+)", start())
        if said is None or abs(float(said[1]) - solve(network).at(input_node)[POSITION]) > 1e-5:
            raise NotMeasured("ngspice and treadle disagree, so there is nothing to compare")
        reference_s = best_of(start, 5)
    return Times(measured_s / (len(changes[0]) * network.positions), reference_s)


@cache
def forty_nodes() -> Network:
    """A sensing circuit and the line of a switch, together 40 nodes."""
    network = sensing_circuit("potentiometer")
    line = ["K1 a supply", *(f"switch {number}" for number in range(40 - len(network.nodes))), "chassis"]
    links = enumerate(pairwise(line))
    return network.with_elements(*(Resistor(f"line {n}", a, b, 0.05 if n else 4700.0) for n, (a, b) in links))


def pairs_of_faults(network: Network) -> tuple[Changes, Changes]:
    """Bridges at random over a ladder, and weakened and opened conductors among them."""
    random = np.random.default_rng(9)
    fixed = [e for e in network.elements if isinstance(e, Resistor) and np.ndim(e.ohm) == 0]

    def some(count: int) -> Changes:
        pairs = np.array([random.choice(len(network.nodes), 2, replace=False) for _ in range(count // 8)])
        a, b = (np.repeat(pairs[:, side], 8)[:count] for side in (0, 1))
        siemens = np.tile([np.inf, *(1.0 / LADDER_OHM)], len(pairs))[:count]
        weakened = np.flatnonzero(random.random(len(a)) < 0.2)
        for place in weakened:
            element = fixed[int(random.integers(len(fixed)))]
            own = 1.0 / float(element.ohm)
            more = float(random.choice([np.inf, *LADDER_OHM]))
            a[place], b[place] = network.index(element.a), network.index(element.b)
            siemens[place] = 1.0 / (float(element.ohm) + more) - own
        return a, b, siemens

    return some(FIRSTS), some(SECONDS)


@benchmark(
    "pairs of faults, 300 x 2 500 x 41", at_least=5.0, within_s=10.0, reference="batched numpy.linalg.solve, scaled"
)
def pairs() -> Times:
    network = forty_nodes()
    if len(network.nodes) != 40:
        raise NotMeasured(f"the circuit has {len(network.nodes)} nodes")
    firsts, seconds = pairs_of_faults(network)
    base = solve(network)
    observed = network.indices(["a input", "b input"])
    ((matrix, right),) = in_blocks(base, chosen_bridges(seconds))
    start = time.perf_counter()
    cases = 0
    for a, b, siemens in zip(*firsts, strict=True):
        # Where the first fault is, a second one cannot be.
        low, high = min(a, b), max(a, b)
        other = (np.minimum(*seconds[:2]) != low) | (np.maximum(*seconds[:2]) != high)
        after = base.after(network.nodes[a], network.nodes[b], siemens)
        after.changed(*(each[other] for each in seconds), observe=observed)
        cases += int(other.sum()) * network.positions
    measured_s = time.perf_counter() - start
    check_memory()
    return Times(measured_s, best_of(lambda: np.linalg.solve(matrix, right), 5) / len(matrix) * cases)


def check_memory() -> None:
    """All of it within 1 GB, where the machine can tell."""
    try:
        import resource
    except ImportError:
        return
    peak_kb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if peak_kb > 1_000_000:
        raise NotMeasured(f"it took {peak_kb / 1e6:.2f} GB, and 1 GB is promised")
