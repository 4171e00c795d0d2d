"""The study itself: blocks, percentiles, chances, worst case, and how much memory it takes."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from conversion.study import Shape, Toleranced, run_study, worst_case

POSITIONS = np.linspace(0.0, 1.0, 5)


def figures(shape: Shape = "uniform", size: float = 1.0, count: int = 3) -> list[Toleranced]:
    return [
        Toleranced(f"f{i}", float(i), i - size * (1 + 0.3 * i), i + size * (1 + 0.1 * i), shape) for i in range(count)
    ]


def rising(drawn: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
    """Rises with every figure, at every position."""
    columns = list(drawn.values())
    total = sum(np.exp(0.1 * column) for column in columns)
    return {
        "total": total[:, None] * (1.0 + POSITIONS) + columns[0][:, None] ** 3,
        "single": columns[-1],
        "high": total > len(columns) * 1.15,
        "never": np.zeros(len(total), dtype=bool),
    }


@given(st.integers(1, 700), st.sampled_from(["uniform", "normal", "triangular"]))
@settings(max_examples=25)
def test_the_block_changes_nothing(block: int, shape: Shape) -> None:
    whole = run_study(rising, figures(shape), POSITIONS, samples=600, seed=9, block=600)
    parts = run_study(rising, figures(shape), POSITIONS, samples=600, seed=9, block=block)
    for name, band in whole.bands.items():
        for field in ("nominal", "mean", "least", "most", "p05", "p50", "p95"):
            # Single precision is kept; a wide instruction may round differently from a narrow one.
            np.testing.assert_allclose(getattr(parts.bands[name], field), getattr(band, field), rtol=2e-7)
    assert parts.chances == whole.chances
    assert parts.ranking("total").share == pytest.approx(whole.ranking("total").share, abs=1e-5)


@given(st.floats(0.0, 2.0), st.sampled_from(["uniform", "triangular"]), st.integers(1, 15))
@settings(max_examples=25)
def test_corners_hold_all_samples_of_what_only_rises(size: float, shape: Shape, count: int) -> None:
    study = run_study(rising, figures(shape, size, count), POSITIONS, samples=300)
    assert study.corners.method == ("all" if count <= 12 or size == 0.0 else "signed")
    for name, band in study.bands.items():
        slack = 1e-6 * (1.0 + np.abs(band.nominal))
        assert np.all(study.corners.least[name] <= band.least + slack)
        assert np.all(study.corners.most[name] >= band.most - slack)
    assert study.corners.happens["high"] or not study.chances["high"].happened


def test_signed_corners_are_the_corners_of_a_function_that_only_rises_or_falls() -> None:
    def mixed(drawn: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
        columns = list(drawn.values())
        signs = [1 if i % 3 else -1 for i in range(len(columns))]
        return {"out": sum(sign * np.tanh(column) for sign, column in zip(signs, columns, strict=True))}

    many = figures(count=16)
    found = worst_case(mixed, many, seed=1)
    ends = [(np.tanh(each.low), np.tanh(each.high)) for each in many]
    greatest = sum(high if i % 3 else -low for i, (low, high) in enumerate(ends))
    least = sum(low if i % 3 else -high for i, (low, high) in enumerate(ends))
    assert found.method == "signed"
    assert found.most["out"] == pytest.approx([greatest])
    assert found.least["out"] == pytest.approx([least])


def test_every_corner_of_a_few() -> None:
    found = worst_case(lambda drawn: {"product": drawn["f0"] * drawn["f1"]}, figures(count=2), seed=1)
    assert found.corners == 4
    corners = [x * y for x in (-1.0, 1.0) for y in (1.0 - 1.3, 1.0 + 1.1)]
    assert (found.least["product"][0], found.most["product"][0]) == pytest.approx((min(corners), max(corners)))


def test_no_tolerance_no_band() -> None:
    study = run_study(rising, figures(size=0.0), POSITIONS, samples=40)
    for name, band in study.bands.items():
        np.testing.assert_array_equal(band.least, band.most)
        np.testing.assert_array_equal(band.p05, band.p95)
        np.testing.assert_allclose(band.least, band.nominal, rtol=1e-6)
        np.testing.assert_allclose(study.corners.most[name], study.corners.least[name], rtol=1e-15)
    assert study.ranking("total").method == "none"


def test_figures_of_a_band_are_those_of_its_samples() -> None:
    study = run_study(rising, figures(), POSITIONS, samples=997)
    for name, band in study.bands.items():
        kept = study.kept[name].astype(np.float64)
        np.testing.assert_allclose(band.mean, kept.mean(axis=1), rtol=1e-12)
        np.testing.assert_allclose([band.p05, band.p50, band.p95], np.percentile(kept, [5, 50, 95], axis=1), rtol=1e-12)
        np.testing.assert_array_equal(band.most, kept.max(axis=1))


def test_unknown_samples_are_counted_and_left_out() -> None:
    def half_known(drawn: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
        return {"root": np.where(drawn["f0"] < 0.0, np.nan, drawn["f0"]), "none": np.full(len(drawn["f0"]), np.nan)}

    study = run_study(half_known, figures(count=1), [0.0], samples=2000)
    root, none = study.bands["root"], study.bands["none"]
    assert 900 < root.unknown[0] < 1100
    assert root.least[0] >= 0.0
    assert root.p50[0] == pytest.approx(0.5, abs=0.05)
    assert none.unknown[0] == 2000
    assert np.isnan(none.mean[0])
    assert np.isnan(study.corners.most["none"][0])
    assert study.corners.most["root"][0] == 1.0


def test_the_chance_of_an_event_is_near_its_true_one_and_narrows() -> None:
    few = run_study(lambda drawn: {"low": drawn["f0"] < -0.9}, figures(count=1), [0.0], samples=400)
    many = run_study(lambda drawn: {"low": drawn["f0"] < -0.9}, figures(count=1), [0.0], samples=40_000)
    for study in (few, many):
        assert study.chances["low"].least <= 0.05 <= study.chances["low"].most
    widths = [each.chances["low"].most - each.chances["low"].least for each in (few, many)]
    assert widths[1] < widths[0] / 5


def test_an_event_is_ranked_by_what_decides_it() -> None:
    def evaluate(drawn: Mapping[str, np.ndarray]) -> dict[str, np.ndarray]:
        return {"over": 3.0 * drawn["f0"] + 0.2 * drawn["f1"] > 2.0}

    ranking = run_study(evaluate, figures(count=3), [0.0], samples=10_000).event_ranking("over")
    assert ranking.method == "variance"
    assert next(iter(ranking.share)) == "f0"
    assert ranking.share["f0"] > 0.6


@pytest.mark.parametrize(
    ("output", "says"),
    [(np.zeros((7, 4)), r"'out' has shape \(7, 4\)"), (np.zeros((7, 5), dtype=bool), r"must be \(7,\)")],
)
def test_outputs_of_a_wrong_shape(output: np.ndarray, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        run_study(lambda drawn: {"out": output}, figures(), POSITIONS, samples=7)


def test_no_samples_no_study() -> None:
    with pytest.raises(ValueError, match="at least one sample"):
        run_study(rising, figures(), POSITIONS, samples=0)
    with pytest.raises(ValueError, match="at least one figure"):
        run_study(rising, [], POSITIONS, samples=5)


# The peak of this process's own memory: what getrusage counts includes that of whoever started it.
MEMORY = """
import re
from tests.study.cases import market_van
from conversion.study import study_linkage
case, figures = market_van()
study = study_linkage(case, figures, samples=100_000)
study.ranking("percent", 20)
assert study.positions.size == 41 and study.bands["percent"].most.shape == (41,)
print(int(re.search(r"VmHWM:\\s+(\\d+) kB", open("/proc/self/status").read())[1]) / 1024)
"""


@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="the peak is counted otherwise there")
def test_a_hundred_thousand_samples_fit_into_400_megabytes() -> None:
    """The whole process, interpreter and description included."""
    done = subprocess.run([sys.executable, "-c", MEMORY], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert float(done.stdout) < 400.0
