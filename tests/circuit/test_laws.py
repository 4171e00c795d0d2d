"""Laws that hold for every network, and one that holds for passive ones alone."""

from __future__ import annotations

import hypothesis
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.circuit import Clamp, Drain, Follower, Network, Operating, Resistor, Source, solve
from tests.circuit.networks import random_network, sensing_circuit


def element_currents(operating: Operating) -> np.ndarray:
    """Current that leaves each node into its elements, from each element's own law; (positions, nodes). [A]"""
    network = operating.network
    leaving = np.zeros((network.positions, len(network.nodes)))

    def flow(start: str, end: str, amps: np.ndarray) -> None:
        # Elements of which a part hangs in the air carry nothing.
        known = np.nan_to_num(amps)
        leaving[:, network.index(start)] += known
        leaving[:, network.index(end)] -= known

    def across(a: str, b: str) -> np.ndarray:
        return operating.at(a) - operating.at(b)

    for each in network.elements:
        match each:
            case Resistor():
                flow(each.a, each.b, across(each.a, each.b) / each.ohm)
            case Source():
                gives = (each.volts - across(each.plus, each.minus)) / each.ohm
                most = np.inf if each.limit_a is None else each.limit_a
                least = -np.inf if each.sink_a is None else -np.asarray(each.sink_a)
                flow(each.minus, each.plus, np.clip(gives, least, most))
            case Drain():
                assert each.knee_v is not None
                flow(each.start, each.end, each.amps * np.minimum(across(each.start, each.end) / each.knee_v, 1.0))
            case Clamp():
                flow(each.node, each.to, np.maximum(across(each.node, each.to) - each.volts, 0.0) / each.ohm)
            case Follower():
                wants = operating.at(each.minus) + each.ratio * across(each.plus, each.minus)
                gives = (wants - operating.at(each.out)) / each.ohm
                flow(each.plus, each.out, np.maximum(gives, 0.0))
                flow(each.out, each.minus, np.maximum(-gives, 0.0))
    return leaving


@given(seed=st.integers(0, 10**6))
def test_currents_at_each_node_sum_to_nothing(seed: int) -> None:
    operating = solve(random_network(seed))
    # With an output undetermined, what it gives is not known either.
    balance = np.where(operating.undetermined.any(axis=1, keepdims=True), 0.0, element_currents(operating))
    assert balance[:, 1:] == pytest.approx(np.zeros_like(balance[:, 1:]), abs=2e-9)


@pytest.mark.parametrize("principle", ["potentiometer", "hall"])
@pytest.mark.parametrize("fault", [None, ("B1 a signal", "battery positive"), ("K1 a supply", "0")])
def test_currents_balance_with_clamps_and_limits_at_work(principle: str, fault: tuple[str, str] | None) -> None:
    network = sensing_circuit(principle)
    if fault:
        network = network.with_elements(Resistor("fault", *fault, 30.0))
    operating = solve(network)
    driven = ~operating.undetermined.any(axis=1)
    assert driven.any()
    assert element_currents(operating)[driven, 1:] == pytest.approx(0.0, abs=2e-9)


def seen_from(network: Network, driven: str, read: str) -> np.ndarray:
    """Volts at one node for one ampere into another; (positions,). [Ω]"""
    base = solve(network)
    push = solve(network.with_elements(Drain("push", "0", driven, 1.0)))
    return push.at(read) - base.at(read)


@given(seed=st.integers(0, 10**6))
def test_reciprocity_of_passive_networks(seed: int) -> None:
    network = random_network(seed, passive=True)
    one, other = network.nodes[1], network.nodes[3]
    hypothesis.assume(not solve(network).undetermined.any())
    there, back = seen_from(network, one, other), seen_from(network, other, one)
    assert there == pytest.approx(back, rel=1e-7, abs=1e-7, nan_ok=True)


def test_no_reciprocity_with_a_ratiometric_output() -> None:
    network = Network(
        (
            Source("supply", "plus", "0", 5.0, 10.0),
            Follower("output", "out", "plus", "0", 0.5, 100.0),
            Resistor("load", "out", "0", 1000.0),
        )
    )
    from_supply = solve(network.with_elements(Drain("push", "0", "plus", 1e-3))).at("out") - solve(network).at("out")
    # A milliampere less than the load takes, so that the output still gives.
    from_output = solve(network.with_elements(Drain("push", "0", "out", 1e-3))).at("plus") - solve(network).at("plus")
    assert from_supply[0] == pytest.approx(0.5 * 0.01 * 1000 / 1100, rel=2e-2)
    assert abs(from_output[0] - from_supply[0]) > 1e-3


@given(seed=st.integers(0, 10**6), shuffled=st.randoms(use_true_random=False))
def test_order_of_elements_changes_nothing(seed: int, shuffled: object) -> None:
    network = random_network(seed)
    elements = list(network.elements)
    shuffled.shuffle(elements)  # type: ignore[attr-defined]
    other = solve(Network(tuple(elements), lone=network.nodes))
    assert other.volts == pytest.approx(solve(network).volts, abs=1e-6, nan_ok=True)
