"""Which figure matters most: shares of the variance of an output, by regression or by bins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.study.sampling import Array

# A straight line that explains less than this share of the variance cannot say whose share is whose.
LINEAR_ENOUGH = 0.9
BINS = 64
# Samples in a bin below which its mean says too little.
LEAST_IN_A_BIN = 16


@dataclass(frozen=True)
class Ranking:
    """How much of an output's variance each figure makes.

    Attributes:
        method: ``regression``: squared standardised regression coefficients. ``variance``: first-order Sobol
            indices, by bins, taken where a straight line explains too little. ``none``: the output does not vary.
        share: Of the variance, by figure, greatest first. What two figures only do together is in none of them,
            so first-order shares may add up to less than one.
        r_squared: Share of the variance that the straight line explains; nan where nothing varies.
        samples: How many samples it rests on; a share below about one in so many is chance.
    """

    method: Literal["regression", "variance", "none"]
    share: Mapping[str, float]
    r_squared: float
    samples: int


def rank(inputs: Mapping[str, Array], output: Array) -> Ranking:
    r"""Rank independent figures by their share of the variance of an output.

    .. math:: SRC_i^2 = \Big(b_i \frac{s_{x_i}}{s_y}\Big)^2, \qquad S_i = \frac{Var(E[y | x_i])}{Var(y)}

    Squared standardised regression coefficients where the line y = b₀ + Σ bᵢ xᵢ explains at least 0.9 of the
    variance (R² is given); else first-order Sobol indices, the means over equally filled bins of each figure,
    less what chance alone puts between the bins.

    Args:
        inputs: Samples of each figure, drawn independently, (samples,).
        output: What they make of it, (samples,); samples with nan are left out.

    Returns:
        The ranking, its method and R².

    Example:
        >>> rng = np.random.default_rng(4)
        >>> x, y = rng.normal(size=(2, 2000))
        >>> ranking = rank({"y": y, "x": x}, 3.0 * x + y)
        >>> ranking.method, list(ranking.share), round(ranking.share["x"], 1)
        ('regression', ['x', 'y'], 0.9)

    References:
        A. Saltelli and others, Global Sensitivity Analysis: The Primer, Wiley 2008, chapters 1 and 4.
    """
    known = np.isfinite(output)
    values = np.asarray(output, dtype=np.float64)[known]
    varying = {name: each[known] for name, each in inputs.items() if np.ptp(each) > 0.0}
    still = {name: 0.0 for name in inputs if name not in varying}
    spread = float(np.std(values)) if values.size else 0.0
    # Rounding of stored single precision is not variance.
    if len(values) < 2 * (len(varying) + 1) or not spread > 2e-7 * float(np.max(np.abs(values), initial=0.0)):
        return Ranking("none", dict.fromkeys(inputs, 0.0), float("nan"), len(values))
    standard = (values - values.mean()) / spread
    columns = np.array([(each - each.mean()) / each.std() for each in varying.values()])
    if len(columns):
        coefficients = np.linalg.solve(columns @ columns.T, columns @ standard)
        r_squared = 1.0 - float(np.mean((standard - coefficients @ columns) ** 2))
    else:
        coefficients, r_squared = np.zeros(0), 0.0
    method: Literal["regression", "variance"] = "regression" if r_squared >= LINEAR_ENOUGH else "variance"
    shares = coefficients**2 if method == "regression" else [_first_order(column, standard) for column in columns]
    found = {name: float(share) for name, share in zip(varying, shares, strict=True)} | still
    ordered = dict(sorted(found.items(), key=lambda item: (-item[1], item[0])))
    return Ranking(method, ordered, r_squared, len(values))


def _first_order(column: Array, standard: Array) -> float:
    """First-order index of one figure for an output of mean zero and variance one."""
    samples = len(column)
    bins = max(2, min(BINS, samples // LEAST_IN_A_BIN))
    edges = np.linspace(0, samples, bins + 1).astype(int)
    sums = np.add.reduceat(standard[np.argsort(column, kind="stable")], edges[:-1])
    between = float(np.sum(sums**2 / np.diff(edges))) / samples
    # With no effect at all, means of bins would still scatter by the variance within over the bin's count.
    by_chance = (1.0 - between) * (bins - 1) / max(samples - bins, 1)
    return max(0.0, between - by_chance)
