"""Networks for the tests: a sensing circuit as one finds it in a car, and networks drawn at random."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from conversion.circuit import Clamp, Drain, Element, Follower, Network, Resistor, Source

TRAVEL = np.linspace(0.0, 1.0, 41)


def sensing_circuit(principle: str = "potentiometer", positions: int = 41, shared_ground: bool = False) -> Network:
    """Two tracks with their looms: three conductors each, a contact at both ends of each, inputs with pulls and clamps.

    The control unit's inside is one side of a contact, the module's inside the other.
    """
    travel = np.linspace(0.0, 1.0, positions)
    elements: list[Element] = [
        Resistor("battery ground", "chassis", "0", 0.004),
        Source("battery", "battery positive", "chassis", 12.6, 0.02),
    ]
    slopes = {"a": 0.16 + 0.64 * travel, "b": 0.08 + 0.32 * travel}
    for track, ratio in slopes.items():
        supply, ground = f"{track} supply", f"{track} ground" if not shared_ground else "ground"
        elements.append(Source(f"{track} regulator", f"K1 {supply}", "0", 5.0, 0.5, limit_a=0.1, sink_a=0.0))
        elements.append(Resistor(f"{track} regulator's divider", f"K1 {supply}", "0", 20e3))
        for line in (supply, f"{track} signal", ground):
            if any(each.name == f"wire {line}" for each in elements):
                continue
            elements += [
                Resistor(f"K1 contact {line}", f"K1 {line}", f"K1 wire {line}", 0.01),
                Resistor(f"wire {line}", f"K1 wire {line}", f"B1 wire {line}", 0.07),
                Resistor(f"B1 contact {line}", f"B1 wire {line}", f"B1 {line}", 0.01),
            ]
        if not any(each.name == f"inside {ground}" for each in elements):
            elements.append(Resistor(f"inside {ground}", f"K1 {ground}", "0", 0.02))
        if principle == "potentiometer":
            elements += [
                Resistor(f"{track} upper", f"B1 {supply}", f"{track} wiper", 1200.0 * (1.0 - ratio)),
                Resistor(f"{track} lower", f"{track} wiper", f"B1 {ground}", 1200.0 * ratio),
                Resistor(f"{track} wiper contact", f"{track} wiper", f"B1 {track} signal", 900.0),
            ]
        else:
            elements += [
                Drain(f"{track} own current", f"B1 {supply}", f"B1 {ground}", 0.009, knee_v=1.0),
                Follower(
                    f"{track} output", f"B1 {track} signal", f"B1 {supply}", f"B1 {ground}", ratio, 120.0, least_v=2.5
                ),
            ]
        signal = f"K1 {track} signal"
        elements += [
            Resistor(f"{track} series", signal, f"{track} input", 1000.0),
            Resistor(f"{track} pull", f"{track} input", "0", 220e3),
            Clamp(f"{track} clamp up", f"{track} input", f"K1 {supply}", 0.5, 20.0),
            Clamp(f"{track} clamp down", "0", f"{track} input", 0.5, 20.0),
        ]
    return Network(tuple(elements))


def random_network(seed: int, positions: int = 3, passive: bool = False) -> Network:
    """Nodes joined at random, most of them to the reference in the end; every kind of element unless passive."""
    random = np.random.default_rng(seed)
    nodes = ["0", *(f"n{number}" for number in range(int(random.integers(4, 9))))]

    def two() -> tuple[str, str]:
        one, other = random.choice(len(nodes), 2, replace=False)
        return nodes[one], nodes[other]

    def ohms(low: float = 0.0, high: float = 5.0) -> float:
        return float(10 ** random.uniform(low, high))

    elements: list[Element] = [Source("supply", nodes[1], "0", 5.0, 1.0)]
    for number in range(len(nodes) + 3):
        a, b = two()
        value = ohms() if number % 3 else 10 ** random.uniform(0, 5, positions)
        elements.append(Resistor(f"r{number}", a, b, value))
    if passive:
        elements.append(Source("second", *two(), float(random.uniform(-3, 9)), ohms(0, 3)))
        return Network(tuple(elements), lone=tuple(nodes))
    for number in range(2):
        elements.append(Clamp(f"clamp{number}", *two(), float(random.uniform(0.2, 4.0)), ohms(0, 2)))
        # Its rails are those of the supply: one fed by what it drives itself has more than one operating point.
        out = nodes[int(random.integers(2, len(nodes)))]
        ratio = random.uniform(0.05, 0.95, positions)
        elements.append(Follower(f"follower{number}", out, nodes[1], "0", ratio, ohms(1, 3), least_v=0.5))
    elements.append(Drain("own", nodes[1], "0", 0.01, knee_v=0.5))
    a, b = two()
    limited = Source("limited", a, b, float(random.uniform(1, 9)), ohms(0, 2), limit_a=0.02, sink_a=0.001)
    return Network((*elements, limited), lone=tuple(nodes))


def merged(network: Network, a: str, b: str) -> Network:
    """The network with two nodes made one, written down anew."""
    gone, kept = (a, b) if b == "0" else (b, a)

    def renamed(element: Element) -> Element:
        ends = {
            name: kept
            for name in ("a", "b", "plus", "minus", "start", "end", "out", "node", "to")
            if getattr(element, name, None) == gone
        }
        return replace(element, **ends)

    return Network(tuple(map(renamed, network.elements)), lone=network.nodes)
