"""Each element by hand: a divider, a clamp, a limit, a drain, an output with its rails."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.circuit import Clamp, Drain, Follower, Network, Resistor, Source, solve

SUPPLY = Source("supply", "v", "0", 5.0, 1.0)


def test_divider_at_each_position() -> None:
    ratio = np.array([0.1, 0.5, 0.9])
    track = (Resistor("upper", "v", "w", 999.0 * (1 - ratio)), Resistor("lower", "w", "0", 999.0 * ratio))
    operating = solve(Network((SUPPLY, *track)))
    # 5 V over 1 ohm and 999 ohm: 5 mA.
    assert operating.at("w") == pytest.approx(0.005 * 999.0 * ratio, abs=1e-12)
    assert operating.at("0") == pytest.approx([0.0, 0.0, 0.0], abs=0.0)


def test_resistance_of_nothing_is_taken_as_a_tenth_of_a_milliohm() -> None:
    operating = solve(Network((SUPPLY, Resistor("joint", "v", "w", 0.0), Resistor("load", "w", "0", 4.0))))
    assert operating.at("v") - operating.at("w") == pytest.approx([1e-4 * 5.0 / 5.0001], rel=1e-9)


@pytest.mark.parametrize(
    ("volts", "expected"),
    [
        # Below 4 V nothing flows into the clamp.
        (3.0, 3.0),
        # Above: 9 V over 100 ohm against 4 V over 25 ohm, weighted by conductance.
        (9.0, (9.0 / 100.0 + 4.0 / 25.0) / (1.0 / 100.0 + 1.0 / 25.0)),
    ],
)
def test_clamp(volts: float, expected: float) -> None:
    operating = solve(
        Network((Source("outside", "in", "0", volts, 100.0), Clamp("clamp", "in", "0", 4.0, 25.0)), lone=("out",))
    )
    assert operating.at("in") == pytest.approx([expected], abs=1e-12)


@pytest.mark.parametrize(
    ("load_ohm", "expected"),
    [
        # 5 V over 1 + 99 ohm: 50 mA, within the limit.
        (99.0, 4.95),
        # A limit of 60 mA is reached at 5 / 0.06 - 1 = 82.33 ohm; below that the current stays.
        (50.0, 3.0),
        (0.5, 0.03),
    ],
)
def test_current_limit(load_ohm: float, expected: float) -> None:
    supply = Source("supply", "v", "0", 5.0, 1.0, limit_a=0.06)
    operating = solve(Network((supply, Resistor("load", "v", "0", load_ohm))))
    assert operating.at("v") == pytest.approx([expected], abs=1e-12)


def test_regulator_that_takes_nothing_back_is_lifted_by_what_is_put_on_it() -> None:
    regulator = Source("regulator", "v", "0", 5.0, 1.0, limit_a=0.06, sink_a=0.0)
    network = Network((regulator, Source("battery", "b", "0", 12.0, 0.1), Resistor("load", "v", "0", 1000.0)))
    lifted = solve(network.with_elements(Resistor("bridge", "b", "v", 100.0)))
    assert lifted.at("v") == pytest.approx([12.0 * 1000.0 / 1100.1], abs=1e-9)
    # One that takes back what comes holds nearly its volts.
    stiff = Source("regulator", "v", "0", 5.0, 1.0)
    held = solve(network.with_elements(Resistor("bridge", "b", "v", 100.0), stiff))
    assert held.at("v") == pytest.approx(
        [(12.0 / 100.1 + 5.0) / (1 / 100.1 + 1.0 + 1 / 1000.0)],
        abs=1e-9,
    )


def test_drain_holds_its_current_above_the_knee_and_lets_go_below() -> None:
    drain = Drain("own", "v", "0", 0.01, knee_v=1.0)
    assert solve(Network((SUPPLY, drain))).at("v") == pytest.approx([5.0 - 0.01], abs=1e-12)
    # Behind 900 ohm the full 10 mA would leave -4 V; below 1 V it is 100 ohm.
    behind = Network((Source("supply", "v", "0", 5.0, 900.0), drain))
    assert solve(behind).at("v") == pytest.approx([5.0 * 100.0 / 1000.0], abs=1e-12)
    # Without its supply there is no current, and no volts below the reference.
    assert solve(Network((drain,))).at("v") == pytest.approx([0.0], abs=1e-12)


def test_motor_current_lifts_a_ground() -> None:
    motor = Drain("motor", "battery", "ground", 4.0)
    network = Network((Source("battery", "battery", "0", 12.0, 0.01), motor, Resistor("wire", "ground", "0", 0.05)))
    assert solve(network).at("ground") == pytest.approx([0.2], abs=1e-12)


def follower(least_v: float = 2.5) -> Follower:
    return Follower("output", "out", "plus", "minus", 0.4, 100.0, least_v=least_v)


def test_output_follows_its_rails_and_loads_them() -> None:
    network = Network(
        (
            Source("supply", "plus", "0", 5.0, 10.0),
            Resistor("ground", "minus", "0", 2.0),
            follower(),
            Resistor("load", "out", "0", 900.0),
        )
    )
    operating = solve(network)
    plus, minus, out = (operating.at(node)[0] for node in ("plus", "minus", "out"))
    gives = (minus + 0.4 * (plus - minus) - out) / 100.0
    assert out / 900.0 == pytest.approx(gives, rel=1e-12)
    assert (5.0 - plus) / 10.0 == pytest.approx(gives, rel=1e-9), "what it gives comes out of the upper rail"
    assert minus == pytest.approx(0.0, abs=1e-12)


def test_output_that_is_pulled_up_takes_current_into_its_lower_rail() -> None:
    network = Network(
        (
            Source("supply", "plus", "0", 5.0, 10.0),
            Resistor("ground", "minus", "0", 2.0),
            follower(),
            Source("pull", "up", "0", 12.0, 1.0),
            Resistor("pull resistor", "up", "out", 899.0),
        )
    )
    operating = solve(network)
    plus, minus, out = (operating.at(node)[0] for node in ("plus", "minus", "out"))
    takes = (12.0 - out) / 900.0
    assert minus == pytest.approx(2.0 * takes, rel=1e-9)
    assert plus == pytest.approx(5.0, abs=1e-12)
    assert out == pytest.approx(minus + 0.4 * (plus - minus) + 100.0 * takes, rel=1e-12)


def loaded_output(supply_v: float, *others: Resistor) -> Network:
    return Network(
        (
            Source("supply", "from", "0", supply_v, 1.0),
            Resistor("supply wire", "from", "plus", 0.1),
            Drain("own", "plus", "minus", 0.01, knee_v=1.0),
            Resistor("ground", "minus", "0", 0.1),
            follower(),
            Resistor("pull", "out", "0", 100e3),
            *others,
        )
    )


def test_output_without_a_rail_is_undetermined() -> None:
    cut = solve(loaded_output(5.0).without("supply wire"))
    assert cut.undetermined[0, cut.network.index("out")]
    assert np.isnan(cut.at("out")).all()
    assert cut.at("from") == pytest.approx([5.0], abs=1e-9), "what it does not drive is known"
    assert cut.at("plus") == pytest.approx([0.0], abs=1e-9), "its own current empties its rail"


def test_output_with_too_little_between_its_rails_is_undetermined() -> None:
    assert np.isnan(solve(loaded_output(2.0)).at("out")).all()
    assert solve(loaded_output(4.0)).at("out")[0] == pytest.approx(0.4 * 4.0, abs=0.02)


def test_node_that_an_output_without_rails_hardly_moves_stays_known() -> None:
    # Shorted to ground, the output stays there whatever its chip does.
    shorted = solve(loaded_output(5.0, Resistor("short", "out", "0", 0.01)).without("supply wire"))
    assert shorted.at("out") == pytest.approx([0.0], abs=1e-3)


def test_what_hangs_in_the_air_is_undetermined_and_never_nothing() -> None:
    network = Network((SUPPLY, Resistor("load", "v", "0", 99.0), Resistor("loose", "x", "y", 10.0)), lone=("z",))
    operating = solve(network)
    for node in ("x", "y", "z"):
        assert np.isnan(operating.at(node)).all(), node
        assert operating.undetermined[:, network.index(node)].all()
    assert operating.at("v") == pytest.approx([4.95])


def test_clamp_alone_does_not_hold_a_node() -> None:
    operating = solve(Network((SUPPLY, Clamp("clamp", "x", "v", 0.5, 10.0))))
    assert np.isnan(operating.at("x")).all()


@pytest.mark.parametrize(
    ("elements", "said"),
    [
        ((SUPPLY, SUPPLY), "two elements are called supply"),
        ((Resistor("r", "a", "0", -1.0),), "ohm of r is -1.0"),
        ((Resistor("r", "a", "0", float("nan")),), "ohm of r is nan"),
        ((Source("s", "a", "0", float("nan"), 1.0),), "volts of s is nan"),
        (
            (Resistor("r", "a", "0", np.ones(3)), Resistor("q", "a", "0", np.ones(4))),
            "r is given at 3 positions and q at 4",
        ),
    ],
)
def test_network_that_makes_no_sense_is_refused(elements: tuple[Resistor, ...], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        Network(elements)


def test_elements_are_replaced_by_name_and_nodes_keep_their_numbers() -> None:
    network = Network((SUPPLY, Resistor("r", "v", "x", 10.0), Resistor("q", "x", "0", 10.0)))
    changed = network.with_elements(Resistor("r", "x", "new", 20.0)).without("q")
    assert changed.nodes[: len(network.nodes)] == network.nodes
    assert changed.element("r") == Resistor("r", "x", "new", 20.0)
    with pytest.raises(KeyError):
        changed.element("q")
