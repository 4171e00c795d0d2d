"""Source     ngspice, batch operating point (Debian package): a general circuit solver, not of this project.
Read from  its printed node voltages, run here, for the circuits of two worked conversions: sound, and with faults of
           their own lists at 1 kohm (bridges) or 100 kohm (contacts) of resistance.
Tolerance  2e-6 V: the circuits are linear there, and ngspice adds 1e-12 S from every node to ground.
"""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from conversion import resources
from conversion.circuit import Network, Resistor, Source, solve
from conversion.description import read_description
from conversion.faults.fault import Fault, Joined, Weakened
from conversion.plan import Plan
from conversion.plan.circuits.parts import SensingCircuit
from conversion.plan.faults.gathered import list_faults
from conversion.sensing import Sensor

POSITIONS = (0, 17, 40)
BRIDGE_OHM, CONTACT_OHM = 1e3, 1e5
# A supply that gives no more than its limit and takes none back is not linear: faults that ask that are left out.
LINEAR = ("contact", "bridge", "to-supply", "to-chassis", "supply-dragged")


def _deck(number: int, network: Network, position: int) -> tuple[str, dict[str, str]]:
    """The network at one position as a list of elements, and the name of each node in it."""
    names = {node: "0" if node == "0" else f"n{number}x{index}" for index, node in enumerate(network.nodes)}
    lines = []
    for index, each in enumerate(network.elements):
        mark = f"{number}x{index}"
        if isinstance(each, Resistor):
            ohm = float(each.ohm if isinstance(each.ohm, float) else each.ohm[position])
            lines.append(f"R{mark} {names[each.a]} {names[each.b]} {max(ohm, 1e-4)!r}")
        else:
            assert isinstance(each, Source), "these conversions have potentiometers and protected inputs"
            lines.append(f"V{mark} s{mark} {names[each.minus]} {each.volts!r}")
            lines.append(f"R{mark} s{mark} {names[each.plus]} {each.ohm!r}")
    return "\n".join(lines), names


def _with_fault(circuit: SensingCircuit, fault: Fault | None) -> tuple[Network, str, str, float]:
    """The faulty network for the other solver, and the same as a change of conductance for ours."""
    network = circuit.network
    match fault.change if fault else None:
        case Joined(a, b):
            return network.with_elements(Resistor("fault", a, b, BRIDGE_OHM)), a, b, 1.0 / BRIDGE_OHM
        case Weakened(element, a, b, own):
            resistor = network.element(element)
            assert isinstance(resistor, Resistor)
            total = own + CONTACT_OHM
            return network.with_elements(replace(resistor, ohm=total)), a, b, 1.0 / total - 1.0 / own
    return network, "0", next(iter(circuit.inputs.values())), 0.0


def _cases(demo: str, sensor: Sensor) -> tuple[SensingCircuit, list[Fault | None]]:
    plan = Plan(read_description(resources.harnesses_dir() / demo))
    circuit = plan.circuit(sensor)
    linear = [fault for fault in list_faults(plan, sensor, circuit) if fault.kind in LINEAR]
    return circuit, [None, *linear[::5]]


@pytest.mark.needs("ngspice")
@pytest.mark.parametrize(
    ("demo", "sensor"), [("market-van", "pedal"), ("market-van", "throttle"), ("first-attempt", "pedal")]
)
def test_described_circuits_agree_with_a_circuit_solver(demo: str, sensor: Sensor, tmp_path: Path) -> None:
    circuit, faults = _cases(demo, sensor)
    operating = solve(circuit.network)
    elements: list[str] = []
    probes: list[str] = []
    ours: dict[str, tuple[float, int, str, int]] = {}
    for index, fault in enumerate(faults):
        faulty, a, b, siemens = _with_fault(circuit, fault)
        volts = operating.changed([a], [b], [siemens])[0]
        for position in POSITIONS:
            number = len(elements)
            deck, names = _deck(number, faulty, position)
            elements.append(deck)
            for track, node in circuit.inputs.items():
                probes.append(f"print v({names[node]})")
                value = volts[position, circuit.network.index(node)]
                ours[names[node]] = (float(value), index, track, position)
    control = "\n".join(probes)
    file = tmp_path / "circuits.cir"
    text = "circuits\n" + "\n".join(elements) + f"\n.control\nset numdgt=12\nop\n{control}\nquit\n.endc\n.end\n"
    file.write_text(text, encoding="ascii")
    printed = subprocess.run(["ngspice", "-b", str(file)], capture_output=True, text=True, timeout=120).stdout
    found = dict(re.findall(r"v\((n\d+x\d+)\) = ([-+0-9.eE]+)", printed))
    assert len(found) == len(ours) and len(faults) >= 5, printed[-2000:]
    for name, (value, index, track, position) in ours.items():
        told = faults[index].name if faults[index] else "sound"  # type: ignore[union-attr]
        assert float(found[name]) == pytest.approx(value, abs=2e-6), (told, track, position)
