"""Divider and loaded potentiometer.

Source     Formula V = V₀ (R₂ ∥ R_L) / (R₁ + R₂ ∥ R_L): lecture notes on direct-current circuits, published on the web.
           Divider for 9 V, 5 V and 10 mA with a load of 1 kΩ: Hambley, Electrical Engineering, problem 2.40, as quoted.
           Greatest deviation of a loaded potentiometer: a published calculator for laboratory work.
           The same as about 15 % of R_P / R_L, near two thirds of the travel: Doebelin, Measurement Systems (memory).
Read from  stored copies of the pages, but for what says memory; the answer to the problem was worked out here.
Tolerance  the digits that are printed.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.circuit import Network, Resistor, Source, solve


def loaded(ratio: np.ndarray, track_ohm: float, load_ohm: float) -> np.ndarray:
    """What a potentiometer across 1 V gives into a load."""
    network = Network(
        (
            Source("supply", "v", "0", 1.0, 0.0),
            Resistor("upper", "v", "w", track_ohm * (1.0 - ratio)),
            Resistor("lower", "w", "0", track_ohm * ratio),
            Resistor("load", "w", "0", load_ohm),
        )
    )
    return solve(network).at("w")


def test_divider_with_and_without_its_load() -> None:
    # 900 ohm draw 10 mA from 9 V, and 500 of them stand across the 5 V.
    divider = Network(
        (Source("battery", "v", "0", 9.0, 0.0), Resistor("r1", "v", "out", 400.0), Resistor("r2", "out", "0", 500.0))
    )
    operating = solve(divider)
    assert operating.at("out") == pytest.approx([5.0], abs=1e-5)
    assert (9.0 - operating.at("out")) / 400.0 == pytest.approx([0.010], abs=1e-6)
    with_load = operating.changed(["out"], ["0"], np.array([1e-3]), observe=["out"])
    assert with_load[0, 0, 0] == pytest.approx(9.0 * (1000 / 3) / (400 + 1000 / 3), abs=1e-5)
    assert with_load[0, 0, 0] == pytest.approx(4.09, abs=0.005)


@pytest.mark.parametrize(("load_ohm", "printed_percent"), [(200e3, 0.75), (1e6, 0.15), (20e3, 7.5)])
def test_greatest_deviation_of_a_potentiometer_of_ten_kilohms(load_ohm: float, printed_percent: float) -> None:
    ratio = np.linspace(0.0, 1.0, 1001)[1:-1]
    deviation = 100.0 * (ratio - loaded(ratio, 10e3, load_ohm))
    assert deviation.max() < printed_percent, "it is printed as a bound"
    # The bound neglects the load against itself, which for a load of twice the track is a ninth of it.
    assert deviation.max() > 0.88 * printed_percent
    assert deviation.min() > -1e-4, "a load to ground only ever pulls down"


def test_deviation_is_about_fifteen_hundredths_of_the_resistances_ratio_near_two_thirds() -> None:
    ratio = np.linspace(0.0, 1.0, 1001)[1:-1]
    deviation = ratio - loaded(ratio, 1e3, 20e3)
    assert deviation.max() / (1e3 / 20e3) == pytest.approx(0.15, abs=0.005)
    assert ratio[np.argmax(deviation)] == pytest.approx(2.0 / 3.0, abs=0.01)


def test_loaded_potentiometer_agrees_with_the_formula_everywhere() -> None:
    ratio = np.linspace(0.01, 0.99, 50)
    lower = 1.0 / (1.0 / (2200.0 * ratio) + 1.0 / 4700.0)
    formula = lower / (2200.0 * (1.0 - ratio) + lower)
    assert loaded(ratio, 2200.0, 4700.0) == pytest.approx(formula, abs=1e-6)
