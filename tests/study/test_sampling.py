"""Samples: their shapes, and that they come out the same however they are asked for."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from conversion.study import Shape, Toleranced, draw

ROD = Toleranced("rod", 140.0, 138.0, 141.0)
FIGURES = [ROD, Toleranced("hole", 45.0, 44.0, 46.0, "triangular"), Toleranced("supply", 5.0, 4.9, 5.1, "normal")]


@given(st.integers(0, 500), st.integers(1, 200), st.integers(0, 2**40))
def test_a_stretch_of_samples_is_that_stretch_of_the_whole(start: int, count: int, seed: int) -> None:
    whole, part = draw(FIGURES, start + count, seed), draw(FIGURES, count, seed, start)
    for name in whole:
        np.testing.assert_array_equal(whole[name][start:], part[name])


def test_neither_order_nor_company_changes_a_figure() -> None:
    alone, among = draw([ROD], 50, seed=3), draw(reversed(FIGURES), 50, seed=3)
    np.testing.assert_array_equal(alone["rod"], among["rod"])


def test_seed_and_name_each_change_the_samples() -> None:
    first = draw([ROD], 50, seed=3)["rod"]
    assert np.all(first != draw([ROD], 50, seed=4)["rod"])
    assert np.all(first != draw([Toleranced("rod2", 140.0, 138.0, 141.0)], 50, seed=3)["rod2"])


def test_two_names_are_independent() -> None:
    drawn = draw(FIGURES, 40_000, seed=1)
    correlation = np.corrcoef(np.array(list(drawn.values())))
    # One over the root of the samples is 0.005; five of those.
    assert np.all(np.abs(correlation - np.eye(3)) < 0.025)


@pytest.mark.parametrize(
    ("shape", "mean", "variance"),
    [
        ("uniform", (2.0 + 8.0) / 2, 6.0**2 / 12),
        # Of a triangle from a to b with its top at c: (a + b + c) / 3 and (a² + b² + c² − ab − ac − bc) / 18.
        ("triangular", (2.0 + 8.0 + 3.0) / 3, (4 + 64 + 9 - 16 - 6 - 24) / 18),
        ("normal", 5.0, 1.0),
    ],
)
def test_shapes(shape: Shape, mean: float, variance: float) -> None:
    values = draw([Toleranced("it", 3.0, 2.0, 8.0, shape)], 200_000, seed=8)["it"]
    assert values.mean() == pytest.approx(mean, abs=5 * np.sqrt(variance / 200_000))
    assert values.var() == pytest.approx(variance, rel=0.02)
    outside = np.mean((values < 2.0) | (values > 8.0))
    if shape == "normal":
        # The share beyond three standard deviations; five standard errors of it.
        assert outside == pytest.approx(0.0027, abs=5 * np.sqrt(0.0027 / 200_000))
    else:
        assert outside == 0.0


def test_more_sigmas_within_the_limits_make_a_narrower_normal() -> None:
    values = [draw([Toleranced("it", 5.0, 2.0, 8.0, "normal", sigmas)], 20_000, seed=8)["it"] for sigmas in (3.0, 6.0)]
    assert values[0].std() == pytest.approx(2 * values[1].std(), rel=1e-9)


def test_a_triangle_with_its_top_at_a_limit() -> None:
    values = draw([Toleranced("it", 2.0, 2.0, 8.0, "triangular")], 50_000, seed=8)["it"]
    assert values.mean() == pytest.approx(4.0, abs=0.03)
    assert values.min() >= 2.0


@given(st.floats(-1e6, 1e6), st.sampled_from(["uniform", "normal", "triangular"]))
def test_no_tolerance_no_spread(value: float, shape: Shape) -> None:
    drawn = draw([Toleranced("it", value, value, value, shape)], 10, seed=1)["it"]
    np.testing.assert_array_equal(drawn, value)


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("it", 1.0, 2.0, 3.0), "does not lie between its limits"),
        (("it", 2.0, 3.0, 1.0), "does not lie between its limits"),
        (("it", 2.0, float("nan"), 3.0), "finite"),
        (("it", 2.0, 1.0, 3.0, "bell"), "'bell' is none of the shapes"),
        (("it", 2.0, 1.0, 3.0, "normal", 0.0), "sigmas must be positive"),
    ],
)
def test_figures_that_cannot_be(arguments: tuple, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Toleranced(*arguments)


def test_two_figures_of_one_name_are_refused() -> None:
    with pytest.raises(ValueError, match="two figures are called 'rod'"):
        draw([ROD, ROD], 5, seed=1)
