"""Many changes at once against the changed network written down anew and solved in full.

Tolerance  10 µV on volts up to some tens: a weakened contact of milliohms among hundreds of kilohms leaves that many
           digits.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from conversion.circuit import LEAST_OHM, Network, Operating, Resistor, Source, solve
from conversion.circuit import changes as changes_module
from tests.circuit.networks import merged, random_network, sensing_circuit

Array = NDArray[np.float64]
TOLERANCE_V = 1e-5
CIRCUITS = {
    "potentiometers": sensing_circuit("potentiometer", 5),
    "hall": sensing_circuit("hall", 5),
    "hall, one ground": sensing_circuit("hall", 5, shared_ground=True),
}


def joined_anew(network: Network, a: str, b: str, siemens: float) -> Array:
    """The volts of the network with one more resistor, or with two nodes made one."""
    if np.isfinite(siemens):
        return solve(network.with_elements(Resistor("more", a, b, 1.0 / siemens))).volts
    one = solve(merged(network, a, b))
    volts = np.stack([one.at(node) for node in network.nodes], axis=1)
    gone, kept = (a, b) if b == "0" else (b, a)
    volts[:, network.index(gone)] = one.at(kept)
    return volts


def agree(found: Array, expected: Array, said: object) -> None:
    assert np.array_equal(np.isnan(found), np.isnan(expected)), said
    assert np.nan_to_num(found) == pytest.approx(np.nan_to_num(expected), abs=TOLERANCE_V), said


def check_bridges(network: Network, seed: int, count: int) -> None:
    random = np.random.default_rng(seed)
    pairs = [tuple(map(int, random.choice(len(network.nodes), 2, replace=False))) for _ in range(count)]
    siemens = np.where(random.random(count) < 0.3, np.inf, 10 ** random.uniform(-6, 1, count))
    names = [(network.nodes[a], network.nodes[b]) for a, b in pairs]
    found = solve(network).changed([a for a, _ in names], [b for _, b in names], siemens)
    assert found.shape == (count, network.positions, len(network.nodes))
    for number, (a, b) in enumerate(names):
        agree(found[number], joined_anew(network, a, b, float(siemens[number])), (a, b, siemens[number]))


def own_siemens(network: Network, resistors: list[Resistor]) -> Array:
    return np.stack([np.broadcast_to(1.0 / np.maximum(r.ohm, LEAST_OHM), network.positions) for r in resistors])


def check_weakened(network: Network, seed: int) -> None:
    resistors = [each for each in network.elements if isinstance(each, Resistor)]
    a, b = [each.a for each in resistors], [each.b for each in resistors]
    own, operating = own_siemens(network, resistors), solve(network)
    opened = operating.changed(a, b, -own)
    added = 10 ** np.random.default_rng(seed).uniform(-2, 6, len(resistors))
    weaker = operating.changed(a, b, 1.0 / (1.0 / own + added[:, None]) - own)
    for number, each in enumerate(resistors):
        agree(opened[number], solve(network.without(each.name)).volts, ("open", each.name))
        grown = Resistor(each.name, each.a, each.b, np.maximum(each.ohm, LEAST_OHM) + added[number])
        agree(weaker[number], solve(network.with_elements(grown)).volts, ("series", each.name, added[number]))


@given(seed=st.integers(0, 10**6))
def test_bridges_in_random_networks(seed: int) -> None:
    check_bridges(random_network(seed), seed, 6)


@given(seed=st.integers(0, 10**6))
def test_weakened_and_opened_elements_in_random_networks(seed: int) -> None:
    check_weakened(random_network(seed), seed)


@pytest.mark.parametrize("name", CIRCUITS)
def test_bridges_in_sensing_circuits(name: str) -> None:
    check_bridges(CIRCUITS[name], 5, 120)


@pytest.mark.parametrize("name", CIRCUITS)
def test_weakened_and_opened_elements_in_sensing_circuits(name: str) -> None:
    check_weakened(CIRCUITS[name], 7)


@pytest.mark.parametrize("name", CIRCUITS)
def test_second_changes_are_those_of_the_network_with_the_first_one_in_it(name: str) -> None:
    network = CIRCUITS[name]
    operating = solve(network)
    random = np.random.default_rng(11)
    wires = [each for each in network.elements if isinstance(each, Resistor) and np.ndim(each.ohm) == 0]

    def bridge() -> tuple[str, str, float]:
        a, b = random.choice(len(network.nodes), 2, replace=False)
        return network.nodes[a], network.nodes[b], float(10 ** random.uniform(-5, 0))

    firsts = [bridge() for _ in range(5)] + [(e.a, e.b, -1.0 / float(e.ohm)) for e in wires[2:20:3]]
    seconds = [bridge() for _ in range(20)] + [("B1 a signal", "B1 b signal", np.inf)]
    columns = [[a for a, _, _ in seconds], [b for _, b, _ in seconds]]
    for a, b, siemens in firsts:
        found = operating.after(a, b, siemens).changed(*columns, np.array([g for _, _, g in seconds]))
        opened = [each.name for each in wires if siemens < 0.0 and {each.a, each.b} == {a, b}]
        first = network.without(*opened) if opened else network.with_elements(Resistor("first", a, b, 1 / siemens))
        for number, (c, d, more) in enumerate(seconds):
            agree(found[number], joined_anew(first, c, d, more), (a, b, siemens, c, d, more))


def test_second_dead_short_of_one_pair_changes_nothing() -> None:
    shorted = solve(CIRCUITS["potentiometers"]).after("B1 a signal", "B1 b signal", np.inf)
    again = shorted.changed(["B1 b signal"], ["B1 a signal"], np.array([np.inf]))[0]
    agree(again, shorted.volts, "again")
    assert np.array_equal(shorted.after("B1 b signal", "B1 a signal", np.inf).volts, shorted.volts)


def test_only_what_is_asked_for_is_answered() -> None:
    operating = solve(CIRCUITS["hall"])
    a, b, siemens = ["B1 a signal"] * 2, ["B1 b signal", "chassis"], np.array([np.inf, 1e-3])
    some = operating.changed(a, b, siemens, observe=["b input", "a input"])
    every = operating.changed(a, b, siemens)
    numbers = [operating.network.index("b input"), operating.network.index("a input")]
    assert some.shape == (2, 5, 2)
    assert np.array_equal(some, every[:, :, numbers])


def test_a_conductance_may_differ_from_position_to_position() -> None:
    network = CIRCUITS["potentiometers"]
    siemens = np.array([0.0, 1e-4, 1e-3, 1e-2, np.inf])
    found = solve(network).changed(["B1 a signal"], ["0"], siemens[None])[0]
    for position, g in enumerate(siemens):
        expected = joined_anew(network, "B1 a signal", "0", g) if g else solve(network).volts
        agree(found[position], expected[position], g)


def test_more_than_there_is_cannot_be_taken_away() -> None:
    operating = solve(CIRCUITS["potentiometers"])
    with pytest.raises(ValueError, match="than there is between K1 a signal and K1 wire a signal"):
        operating.changed(["K1 a signal"], ["K1 wire a signal"], np.array([-101.0]))
    with pytest.raises(ValueError, match="at some positions only"):
        operating.after("K1 a signal", "0", np.array([np.inf, 1.0, 1.0, 1.0, 1.0]))


def test_most_changes_are_not_solved_in_full(monkeypatch: pytest.MonkeyPatch) -> None:
    """What makes it fast: bridges and weakened contacts of the whole loom, clamps and limits included, are updates."""
    solved: list[int] = []
    full = changes_module.in_full

    def counted(base: Operating, cases: changes_module.Cases, case: Array, position: Array) -> Array:
        solved.append(len(case))
        return full(base, cases, case, position)

    monkeypatch.setattr(changes_module, "in_full", counted)
    for network in CIRCUITS.values():
        check_bridges(network, 3, 200)
        check_weakened(network, 4)
    assert sum(solved) < 0.02 * len(CIRCUITS) * 5 * (200 + 60)


def test_superposition_where_nothing_bends() -> None:
    both = random_network(8, passive=True)
    sources = [each for each in both.elements if isinstance(each, Source)]
    alone = [
        solve(
            both.with_elements(*(Source(o.name, o.plus, o.minus, 0.0, o.ohm) for o in sources if o is not each))
        ).volts
        for each in sources
    ]
    assert len(sources) == 2
    assert sum(alone) == pytest.approx(solve(both).volts, abs=1e-9, nan_ok=True)
