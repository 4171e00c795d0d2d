"""Which figure matters most, on functions whose variances are known."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.study import Toleranced, draw, rank

UNIT = [Toleranced(name, 0.0, -1.0, 1.0) for name in "abcd"]


def test_a_line_shares_its_variance_by_squares() -> None:
    drawn = draw(UNIT, 20_000, seed=2)
    ranking = rank(drawn, 4.0 * drawn["a"] - 2.0 * drawn["b"] + 1.0 * drawn["c"])
    assert ranking.method == "regression"
    assert ranking.r_squared == pytest.approx(1.0, abs=1e-12)
    assert list(ranking.share) == ["a", "b", "c", "d"]
    assert list(ranking.share.values()) == pytest.approx([16 / 21, 4 / 21, 1 / 21, 0.0], abs=0.015)


def test_the_width_of_a_tolerance_counts_as_much_as_its_slope() -> None:
    figures = [Toleranced("narrow", 0.0, -1.0, 1.0), Toleranced("wide", 0.0, -3.0, 3.0)]
    drawn = draw(figures, 20_000, seed=2)
    ranking = rank(drawn, drawn["narrow"] + drawn["wide"])
    assert ranking.share["wide"] == pytest.approx(0.9, abs=0.01)


def test_a_square_is_ranked_by_its_variance_since_no_line_sees_it() -> None:
    drawn = draw(UNIT, 50_000, seed=2)
    ranking = rank(drawn, 3.0 * drawn["b"] ** 2 + 0.5 * drawn["c"])
    assert ranking.method == "variance"
    assert ranking.r_squared < 0.2
    assert next(iter(ranking.share)) == "b"
    # Var(3 b²) = 9 · 4/45, Var(c / 2) = 1/12, over uniform −1 … 1.
    total = 9 * 4 / 45 + 1 / 12
    assert ranking.share["b"] == pytest.approx(9 * 4 / 45 / total, abs=0.01)
    assert ranking.share["c"] == pytest.approx(1 / 12 / total, abs=0.01)


def test_what_two_do_only_together_is_in_neither() -> None:
    drawn = draw(UNIT, 50_000, seed=2)
    ranking = rank(drawn, drawn["a"] * drawn["b"])
    assert ranking.method == "variance"
    assert sum(ranking.share.values()) < 0.01


def test_unknown_samples_are_left_out() -> None:
    drawn = draw(UNIT, 5000, seed=2)
    output = np.where(drawn["d"] > 0.5, np.nan, drawn["a"])
    ranking = rank(drawn, output)
    assert ranking.samples == int(np.isfinite(output).sum())
    assert ranking.share["a"] == pytest.approx(1.0, abs=0.01)


@pytest.mark.parametrize("output", [np.full(100, 3.0), np.full(100, np.nan), 3.0 + 1e-9 * np.arange(100)])
def test_nothing_to_rank(output: np.ndarray) -> None:
    ranking = rank(draw(UNIT, 100, seed=2), output)
    assert ranking.method == "none"
    assert set(ranking.share.values()) == {0.0}


def test_a_figure_without_tolerance_has_no_share() -> None:
    drawn = draw([*UNIT, Toleranced("still", 7.0, 7.0, 7.0)], 2000, seed=2)
    assert rank(drawn, drawn["a"] + drawn["still"]).share["still"] == 0.0
