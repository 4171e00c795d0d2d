"""The hyperbolas of a conductance: exact for every one of them, and honest about how far they hold."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.circuit import Clamp, Network, Resistor, Source, solve
from tests.circuit.networks import random_network, sensing_circuit


@given(seed=st.integers(0, 10**6), power=st.floats(-7, 3))
def test_exact_for_every_conductance_within_its_bounds(seed: int, power: float) -> None:
    network = random_network(seed)
    operating = solve(network)
    random = np.random.default_rng(seed)
    pairs = np.array([random.choice(len(network.nodes), 2, replace=False) for _ in range(6)])
    curve = operating.hyperbola(pairs[:, 0], pairs[:, 1])
    assert (curve.least <= 0.0).all() and (curve.most >= 0.0).all()
    within = [np.full(curve.ohm.shape, 10**power), np.where(np.isinf(curve.most), 1.0, 0.999 * curve.most)]
    for siemens in [*within, 0.999 * curve.least]:
        holds = (siemens >= curve.least) & (siemens <= curve.most)
        exact = operating.changed(pairs[:, 0], pairs[:, 1], np.where(holds, siemens, 0.0))
        found = np.where(np.isnan(exact), np.nan, curve.volts(np.where(holds, siemens, 0.0)))
        assert found == pytest.approx(exact, abs=1e-6, nan_ok=True)


def test_resistance_at_which_a_limit_is_just_reached() -> None:
    operating = solve(sensing_circuit("potentiometer"))
    inputs = ["a input", "b input"]
    curve = operating.hyperbola(["B1 a signal"], ["B1 b signal"], observe=inputs)
    # The two inputs 0.2 V apart, where at most positions they are farther apart while sound.
    siemens = curve.siemens_at([1.0, -1.0], 0.2)
    found = np.isfinite(siemens[0])
    assert found.sum() > 30
    volts = operating.changed(["B1 a signal"], ["B1 b signal"], np.where(found, siemens, 0.0), observe=inputs)[0]
    assert (volts[found, 0] - volts[found, 1]) == pytest.approx(0.2, abs=1e-9)
    # Slightly less of a bridge, and they are farther apart.
    less = operating.changed(["B1 a signal"], ["B1 b signal"], np.where(found, 0.9 * siemens, 0.0), observe=inputs)[0]
    assert (less[found, 0] - less[found, 1] > 0.2).all()


def test_bound_is_where_a_clamp_begins() -> None:
    # 12 V through R onto 1000 ohm; the clamp begins at 4 V, that is at R = 2000 ohm.
    network = Network(
        (
            Source("battery", "b", "0", 12.0, 1e-3),
            Resistor("pull", "in", "0", 1000.0),
            Clamp("clamp", "in", "0", 4.0, 10.0),
        )
    )
    operating = solve(network)
    curve = operating.hyperbola(["b"], ["in"], observe=["in"])
    assert 1.0 / curve.most[0, 0] == pytest.approx(2000.0, rel=1e-5)
    assert np.isnan(curve.siemens_at([1.0], 4.5)).all(), "beyond the bound it does not say"
    assert 1.0 / curve.siemens_at([1.0], 3.0)[0, 0] == pytest.approx(3000.0, rel=1e-5)


def test_nothing_is_promised_for_nodes_that_hang_in_the_air() -> None:
    network = Network((Source("s", "v", "0", 5.0, 1.0), Resistor("load", "v", "0", 99.0)), lone=("x",))
    curve = solve(network).hyperbola(["v", "x"], ["x", "0"])
    assert (curve.least == 0.0).all() and (curve.most == 0.0).all()


def test_opened_element_is_the_lower_bound() -> None:
    network = Network((Source("s", "v", "0", 5.0, 1.0), Resistor("r", "v", "w", 4.0), Resistor("load", "w", "0", 5.0)))
    curve = solve(network).hyperbola(["v"], ["w"], observe=["w"])
    assert curve.least[0, 0] == pytest.approx(-0.25)
    assert curve.volts([-0.25 + 1.0 / 94.0])[0, 0, 0] == pytest.approx(5.0 * 5.0 / 100.0)
