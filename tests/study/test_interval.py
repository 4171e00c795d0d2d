"""The confidence interval of a chance: its ends, its coverage, and another implementation."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import beta, binom

from conversion.study import chance

counts = st.integers(1, 3000).flatmap(lambda samples: st.tuples(st.integers(0, samples), st.just(samples)))


@given(counts, st.sampled_from([0.8, 0.95, 0.999]))
def test_against_quantiles_of_the_beta_distribution(count: tuple[int, int], confidence: float) -> None:
    happened, samples = count
    found, tail = chance(happened, samples, confidence), (1 - confidence) / 2
    least = beta.ppf(tail, happened, samples - happened + 1) if happened else 0.0
    most = beta.ppf(1 - tail, happened + 1, samples - happened) if happened < samples else 1.0
    assert found.least == pytest.approx(least, rel=1e-8, abs=1e-12)
    assert found.most == pytest.approx(most, rel=1e-8, abs=1e-12)
    assert found.least <= found.share <= found.most


def test_of_a_hundred_thousand() -> None:
    found = chance(31, 100_000)
    assert found.least == pytest.approx(beta.ppf(0.025, 31, 99_970), rel=1e-8)
    assert found.most == pytest.approx(beta.ppf(0.975, 32, 99_969), rel=1e-8)


def test_it_holds_the_true_chance_as_often_as_it_says() -> None:
    intervals = [chance(happened, 50) for happened in range(51)]
    for truth in (0.01, 0.1, 0.35, 0.5, 0.9):
        held = sum(float(binom.pmf(each.happened, 50, truth)) for each in intervals if each.least <= truth <= each.most)
        assert held >= 0.95


@given(st.integers(0, 40), st.integers(40, 400), st.integers(2, 20))
def test_more_samples_narrow_the_interval(happened: int, samples: int, times: int) -> None:
    few, many = chance(happened, samples), chance(happened * times, samples * times)
    assert many.most - many.least < few.most - few.least


def test_the_ends_mirror_each_other() -> None:
    low, high = chance(3, 40), chance(37, 40)
    assert low.least == pytest.approx(1.0 - high.most, abs=1e-12)
    assert chance(0, 40).least == 0.0
    assert chance(40, 40).most == 1.0
    assert chance(0, 40).most == pytest.approx(1.0 - 0.025 ** (1 / 40), rel=1e-9)


@pytest.mark.parametrize("arguments", [(-1, 5), (6, 5), (0, 0), (1, 5, 0.0), (1, 5, 1.0)])
def test_what_is_no_share_is_refused(arguments: tuple) -> None:
    with pytest.raises(ValueError, match=r"is no share|between 0 and 1"):
        chance(*arguments)


def test_the_interval_of_a_true_chance_covers_it_in_simulated_studies() -> None:
    seen = np.random.default_rng(2).binomial(2000, 0.03, 300)
    held = np.mean([chance(int(each), 2000).least <= 0.03 <= chance(int(each), 2000).most for each in seen])
    assert held >= 0.92
