"""Source     ngspice, batch operating point (Debian package): a general circuit solver, not of this project.
Read from  its printed node voltages, run here.
Tolerance  5 µV: limits and clamps are found by its own iteration, told to stop at a billionth.

The deck is written from the elements, each by its law, and knows nothing of conductance matrices, bends or updates.
Of the 55 networks ngspice finds 54 by itself; the other, one drawn at random, whose limits are hard for it, it holds
where treadle found them, as it would not if a current at any node were out of balance.
"""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import numpy as np
import pytest

from conversion.circuit import (
    LEAST_OHM,
    Clamp,
    Drain,
    Element,
    Follower,
    Network,
    Operating,
    Resistor,
    Source,
    solve,
)
from tests.circuit.networks import random_network, sensing_circuit

POSITION = 13
OF = 41
TOLERANCE_V = 5e-6
BRIDGES: list[tuple[str, str, float]] = [
    ("B1 a signal", "B1 b signal", np.inf),
    ("B1 a signal", "B1 b signal", 1e-3),
    ("B1 wire a signal", "K1 wire b signal", 1e-5),
    ("K1 wire a supply", "B1 wire a signal", np.inf),
    ("K1 wire a supply", "B1 wire b signal", 1e-3),
    ("B1 a supply", "B1 b supply", np.inf),
    ("B1 a supply", "B1 a ground", 0.1),
    ("B1 wire a signal", "chassis", np.inf),
    ("B1 wire b supply", "chassis", 1e-2),
    ("B1 wire a signal", "battery positive", np.inf),
    ("K1 wire b signal", "battery positive", 1e-3),
    ("K1 wire a supply", "battery positive", 1e-2),
]
OPENED = ["wire a signal", "B1 contact b signal", "K1 contact a ground", "wire b supply", "inside b ground"]
LOADED = [("B1 a signal", "0", 1e-4), ("K1 b supply", "0", 1.0 / 30.0), ("b input", "0", 1e-5)]


def cases() -> list[tuple[str, Operating, Network]]:
    """A name, the operating point as treadle finds it by its updates, and the network as it then is."""
    found: list[tuple[str, Operating, Network]] = []
    for principle in ("potentiometer", "hall"):
        network = sensing_circuit(principle, OF)
        base = solve(network)
        found.append((f"{principle}, sound", base, network))
        for a, b, siemens in BRIDGES + LOADED:
            bridge = Resistor("fault", a, b, 0.0 if np.isinf(siemens) else 1.0 / siemens)
            # ngspice has no resistor of nothing, so a dead short is the least resistance there.
            found.append((f"{principle}, {a} to {b}", base, network.with_elements(bridge)))
        found += [(f"{principle}, {name} open", base, network.without(name)) for name in OPENED]
    for seed in range(12):
        network = random_network(seed, positions=OF)
        found.append((f"random {seed}", solve(network), network))
    return found


def ours(base: Operating, network: Network) -> np.ndarray:
    """By an update where one element more or less makes the network, else as it was solved; (nodes,). [V]"""
    added = [each for each in network.elements if each not in base.network.elements]
    gone = [each for each in base.network.elements if each.name not in {e.name for e in network.elements}]
    if not added and not gone:
        return base.volts[POSITION]
    (change,), sign = (added, 1.0) if added else (gone, -1.0)
    assert isinstance(change, Resistor)
    siemens = np.array([sign / max(float(change.ohm), LEAST_OHM)])
    return base.changed([change.a], [change.b], siemens)[0, POSITION]


def lines(number: int, network: Network, known: set[str]) -> list[str]:
    """The elements as ngspice reads them, each node and name with the number of its network."""
    names = {name: f"n{number}x{index}" for index, name in enumerate(network.nodes)} | {"0": "0"}
    written = [
        line for index, each in enumerate(network.elements) for line in element(f"{number}x{index}", each, names)
    ]
    # It cannot leave a node in the air.
    written += [f"Rair{names[node]} {names[node]} 0 1" for node in network.nodes if node not in known]
    return written


def element(tag: str, each: Element, names: dict[str, str]) -> list[str]:
    def at(value: object) -> str:
        return repr(float(np.broadcast_to(np.asarray(value, dtype=float), OF)[POSITION]))

    def ohm(value: object) -> str:
        return repr(max(float(at(value)), LEAST_OHM))

    match each:
        case Resistor():
            return [f"R{tag} {names[each.a]} {names[each.b]} {ohm(each.ohm)}"]
        case Source():
            plus, minus = names[each.plus], names[each.minus]
            if each.limit_a is None:
                return [f"V{tag} s{tag} {minus} {at(each.volts)}", f"R{tag} s{tag} {plus} {ohm(each.ohm)}"]
            assert each.sink_a is not None
            gives = f"({at(each.volts)}-(v({plus})-v({minus})))/{ohm(each.ohm)}"
            return [f"B{tag} {minus} {plus} I=max(min({gives},{at(each.limit_a)}),-{at(each.sink_a)})"]
        case Drain():
            start, end = names[each.start], names[each.end]
            return [f"B{tag} {start} {end} I={at(each.amps)}*min((v({start})-v({end}))/{at(each.knee_v)},1)"]
        case Clamp():
            node, to = names[each.node], names[each.to]
            return [f"B{tag} {node} {to} I=max((v({node})-v({to})-{at(each.volts)})/{ohm(each.ohm)},0)"]
        case Follower():
            out, plus, minus = names[each.out], names[each.plus], names[each.minus]
            gives = f"(v({minus})+{at(each.ratio)}*(v({plus})-v({minus}))-v({out}))/{ohm(each.ohm)}"
            return [f"B{tag}g {plus} {out} I=max({gives},0)", f"B{tag}t {out} {minus} I=max(-({gives}),0)"]


def deck_of(network: Network, known: list[str], start: dict[str, float] | None = None) -> str:
    """A whole input of ngspice, that prints the volts of the nodes that are known."""
    index = {node: f"n0x{network.index(node)}" for node in known}
    options = ".options reltol=1e-7 abstol=1e-13 vntol=1e-9 itl1=2000"
    probes = [f"print v({name})" for name in index.values()]
    control = [".control", "set numdgt=12", "op", *probes, "quit", ".endc", ".end"]
    given = [f".nodeset v({index[node]})={volts!r}" for node, volts in (start or {}).items()]
    return "\n".join(["circuit", *lines(0, network, set(known)), options, *given, *control, ""])


def printed_volts(file: Path, network: Network, ours: dict[str, float]) -> dict[str, float]:
    """What ngspice finds for these nodes, from no start at all, or, where it finds nothing so, from our volts."""
    printed = ""
    for start in (None, ours):
        file.write_text(deck_of(network, list(ours), start), encoding="ascii")
        printed = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=60).stdout
        found = dict(re.findall(r"v\(n0x(\d+)\) = ([-+0-9.eE]+)", printed))
        if len(found) == len(ours):
            return {node: float(found[str(network.index(node))]) for node in ours}
    pytest.fail(printed[-1500:])


CASES = cases()


@pytest.mark.needs("ngspice")
@pytest.mark.parametrize(("name", "base", "network"), CASES, ids=[name for name, _, _ in CASES])
def test_operating_point(name: str, base: Operating, network: Network, tmp_path: Path) -> None:
    volts = dict(zip(base.network.nodes, ours(base, network), strict=True))
    known = [node for node, value in volts.items() if np.isfinite(value) and node != "0"]
    # An output without its rails gives what nobody knows: there it is left out, and what it drives is not compared.
    gone = [each.name for each in network.elements if isinstance(each, Follower) and each.out not in known]
    expected = {node: float(volts[node]) for node in known}
    assert len(expected) >= 4
    theirs = printed_volts(tmp_path / "circuit.cir", network.without(*gone), expected)
    assert theirs == pytest.approx(expected, abs=TOLERANCE_V)


def test_there_are_enough_of_each_kind() -> None:
    assert len(CASES) >= 30
