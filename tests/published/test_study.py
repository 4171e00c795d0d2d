"""Published worked examples of what a study rests on: the interval of a share, and shares of variance.

Source     InfluentialPoints, confidence intervals of proportions, worked example: 5 seedlings of 25 survive, 95 % exact
           limits 0.068 and 0.407, from Conover's tables and from the formula (READ).
           NIST/SEMATECH e-Handbook of Statistical Methods, 7.2.4.2: 4 defectives of 20, two-sided 90 % (READ);
           limits 0.071354 and 0.401029 (MEMORY).
           R. G. Newcombe, Statistics in Medicine 17 (1998): 81 of 263 and 0 of 20, exact limits (MEMORY).
           Ishigami's function with a = 7 and b = 0.1: variance a²/8 + bπ⁴/5 + b²π⁸/18 + 1/2, first-order indices
           0.3139, 0.4424 and 0, after Saltelli and others, Global Sensitivity Analysis: The Primer, 2008 (READ,
           quoted).
Read from  stored copies of the pages where it says READ; nothing was looked at where it says MEMORY.
Tolerance  Half a unit of the last figure printed; two units of the sixth for the handbook's, which a spreadsheet's
           search found. Indices: 0.01, since 100 000 samples scatter by a few thousandths.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest

from conversion.study import Toleranced, chance, draw, rank, run_study


@pytest.mark.parametrize(
    ("happened", "samples", "confidence", "least", "most", "within"),
    [
        (5, 25, 0.95, 0.068, 0.407, 5e-4),
        (4, 20, 0.90, 0.071354, 0.401029, 2e-6),
        (81, 263, 0.95, 0.2527, 0.3676, 5e-5),
        (0, 20, 0.95, 0.0, 0.1684, 5e-5),
    ],
)
def test_exact_limits_of_a_share(
    happened: int, samples: int, confidence: float, least: float, most: float, within: float
) -> None:
    found = chance(happened, samples, confidence)
    assert found.least == pytest.approx(least, abs=within)
    assert found.most == pytest.approx(most, abs=within)


ANGLES = [Toleranced(f"x{i}", 0.0, -np.pi, np.pi) for i in (1, 2, 3)]


def ishigami(drawn: Mapping[str, np.ndarray]) -> np.ndarray:
    x1, x2, x3 = (drawn[f"x{i}"] for i in (1, 2, 3))
    return np.sin(x1) + 7.0 * np.sin(x2) ** 2 + 0.1 * x3**4 * np.sin(x1)


def test_first_order_indices() -> None:
    drawn = draw(ANGLES, 100_000, seed=6)
    output = ishigami(drawn)
    ranking = rank(drawn, output)
    assert ranking.method == "variance"
    assert ranking.share == pytest.approx({"x2": 0.4424, "x1": 0.3139, "x3": 0.0}, abs=0.01)
    assert list(ranking.share) == ["x2", "x1", "x3"]
    # A line sees of x1 its slope alone, and nothing of the others.
    assert ranking.r_squared < 0.25


def test_mean_and_variance() -> None:
    study = run_study(lambda drawn: {"y": ishigami(drawn)}, ANGLES, [0.0], samples=100_000, seed=6)
    variance = 49 / 8 + 0.1 * np.pi**4 / 5 + 0.01 * np.pi**8 / 18 + 0.5
    assert study.bands["y"].mean[0] == pytest.approx(3.5, abs=5 * np.sqrt(variance / 100_000))
    assert float(study.kept["y"].var(dtype=np.float64)) == pytest.approx(variance, rel=0.02)
