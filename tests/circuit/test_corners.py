"""The corners of a way: each where a limit is reached by hand, and nothing but straight lines between them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray

from conversion.circuit import Clamp, Network, Operating, Resistor, Source, solve
from tests.circuit.networks import random_network, sensing_circuit

Array = NDArray[np.float64]


def check_straight(operating: Operating, a: Array, b: Array, toward: Array) -> int:
    """Between two corners all volts run along one line, in proportion to Δg / (1 + Δg ohm); how many were looked at."""
    corners = operating.corners(a, b, toward)
    ends = [np.zeros((1, *toward.shape)), corners.siemens, toward[None]]
    knots = np.concatenate(ends)
    looked = 0
    for piece in range(len(knots) - 1):
        begins = np.nan_to_num(knots[piece])
        # Where there are no more corners, the piece goes on to the end.
        stops = np.where(np.isnan(knots[piece + 1]), toward, knots[piece + 1])
        inside = [begins * (1.0 + 1e-6), stops * np.where(np.isinf(stops), 1.0, 1.0 - 1e-6)]
        middle = np.where(np.isinf(stops), np.maximum(10.0 * begins, 1e-3), begins + 0.3 * (stops - begins))
        inside.insert(1, middle)
        there = np.isfinite(knots[piece]) & np.isfinite(corners.ohm[piece])
        first, between, last = (operating.changed(a, b, np.where(there, g, 0.0)) for g in inside)
        with np.errstate(divide="ignore", invalid="ignore"):
            ohm = corners.ohm[piece]
            more = [g - begins for g in inside]
            shares = [np.where(np.isinf(g), 1.0 / ohm, g / (1.0 + g * ohm)) for g in more]
            share = (shares[1] - shares[0]) / (shares[2] - shares[0])
        # What an output without rails drives may be known at one end and unknown at the other.
        known = np.isfinite(first) & np.isfinite(between) & np.isfinite(last)
        looks = there & np.isfinite(share) & (np.abs(stops) > 1e-9)
        expected = first + share[..., None] * (last - first)
        compared = known & looks[..., None]
        assert between[compared] == pytest.approx(expected[compared], abs=1e-5)
        looked += int(looks.sum())
    return looked


@given(seed=st.integers(0, 10**6))
def test_straight_between_corners_of_bridges_in_random_networks(seed: int) -> None:
    network = random_network(seed)
    random = np.random.default_rng(seed)
    pairs = np.array([random.choice(len(network.nodes), 2, replace=False) for _ in range(5)])
    check_straight(solve(network), pairs[:, 0], pairs[:, 1], np.full((5, network.positions), np.inf))


@pytest.mark.parametrize("principle", ["potentiometer", "hall"])
def test_straight_between_corners_in_sensing_circuits(principle: str) -> None:
    network = sensing_circuit(principle, 5)
    operating = solve(network)
    random = np.random.default_rng(2)
    pairs = np.array([random.choice(len(network.nodes), 2, replace=False) for _ in range(80)])
    looked = check_straight(operating, pairs[:, 0], pairs[:, 1], np.full((80, 5), np.inf))
    assert looked > 500, "many of them have corners"
    wires = [each for each in network.elements if isinstance(each, Resistor) and np.ndim(each.ohm) == 0]
    a, b = (network.indices([getattr(each, end) for each in wires]) for end in ("a", "b"))
    own = np.array([1.0 / float(each.ohm) for each in wires])
    # To a thousand times its own resistance.
    check_straight(operating, a, b, np.repeat(-0.999 * own[:, None], 5, axis=1))


def test_corner_where_a_supply_reaches_its_limit() -> None:
    # 5 V behind 1 ohm, at most 60 mA: reached at 5 / 0.06 - 1 = 82.33 ohm; then 60 mA into whatever is there.
    network = Network((Source("supply", "v", "0", 5.0, 1.0, limit_a=0.06), Resistor("small", "v", "0", 1e6)))
    corners = solve(network).corners(["v"], ["0"], [np.inf])
    assert corners.siemens.shape == (1, 1, 1)
    assert 1.0 / (corners.siemens[0, 0, 0] + 1e-6) == pytest.approx(5.0 / 0.06 - 1.0, rel=1e-6)
    assert corners.ohm[0, 0, 0] == pytest.approx(1.0, rel=1e-5)
    # Behind its limit the supply is no way any more, and the load itself is the only one.
    assert corners.ohm[1, 0, 0] == pytest.approx(5.0 / 0.06 - 1.0, rel=1e-5)


def test_two_clamps_are_two_corners() -> None:
    # 12 V through R on 1 kohm: 4 V at 2 kohm. Beyond, 4 V behind 100 ohm helps to hold it; the second begins at 5 V.
    network = Network(
        (
            Source("battery", "b", "0", 12.0, 0.0),
            Resistor("pull", "in", "0", 1000.0),
            Clamp("first", "in", "0", 4.0, 100.0),
            Clamp("second", "in", "0", 5.0, 10.0),
        )
    )
    operating = solve(network)
    corners = operating.corners(["b"], ["in"], [np.inf])
    # At 5 V the pull takes 5 mA and the first clamp 10 mA, out of 7 V.
    assert 1.0 / corners.siemens[:, 0, 0] == pytest.approx([2000.0, 7.0 / 0.015], rel=1e-5)
    volts = operating.changed(["b"] * 2, ["in"] * 2, corners.siemens[:, :, 0].T[0], observe=["in"])
    assert volts[:, 0, 0] == pytest.approx([4.0, 5.0], abs=1e-5)
    # The way ends before the second.
    assert operating.corners(["b"], ["in"], [1e-3]).siemens.shape == (1, 1, 1)


def test_no_corner_where_nothing_bends_or_a_node_hangs_in_the_air() -> None:
    network = Network((Source("s", "v", "0", 5.0, 1.0), Resistor("load", "v", "0", 99.0)), lone=("x",))
    assert solve(network).corners(["v", "x"], ["0", "v"], [np.inf, np.inf]).siemens.size == 0
