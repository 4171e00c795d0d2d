"""A sampled study: bands, chances, worst case and ranking of anything that can be computed from figures."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from conversion.study.corners import Corners, Evaluate, worst_case
from conversion.study.interval import Chance, chance
from conversion.study.ranking import Ranking, rank
from conversion.study.sampling import Array, Toleranced, draw

PERCENTILES = (5.0, 50.0, 95.0)
SAMPLES = 20_000
# Few enough for the arrays of a block to stay in the cache of one core, many enough for numpy to pay.
BLOCK = 1024

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Band:
    """One output over all samples; every array is (positions,), with one position for a single figure.

    Attributes:
        nominal: With every figure as planned.
        mean: Over the samples in which it is known.
        least: Least of all samples.
        most: Greatest of all samples.
        p05: A twentieth of the samples lies below.
        p50: Half of them lie below.
        p95: A twentieth lies above.
        unknown: In how many samples it is nan, such as a linkage that does not close.
    """

    nominal: Array
    mean: Array
    least: Array
    most: Array
    p05: Array
    p50: Array
    p95: Array
    unknown: NDArray[np.int64]


@dataclass(frozen=True)
class Study:
    """What a sampled study found.

    Attributes:
        figures: What was varied.
        positions: Where the outputs were computed, (positions,).
        samples: How many.
        seed: Of the samples.
        bands: Of each output.
        chances: Of each event.
        corners: The worst case.
        kept: Every sample of each output in single precision, (positions, samples).
        happened: In which samples each event happened, (samples,).
    """

    figures: tuple[Toleranced, ...]
    positions: Array
    samples: int
    seed: int
    bands: Mapping[str, Band]
    chances: Mapping[str, Chance]
    corners: Corners
    kept: Mapping[str, NDArray[np.float32]]
    happened: Mapping[str, NDArray[np.bool_]]

    def ranking(self, output: str, position: int = -1) -> Ranking:
        """Which figure matters most for an output at one of the positions."""
        return rank(self._inputs(), self.kept[output][position].astype(np.float64))

    def event_ranking(self, event: str) -> Ranking:
        """Which figure decides most whether an event happens."""
        return rank(self._inputs(), self.happened[event].astype(np.float64))

    def _inputs(self) -> dict[str, Array]:
        return draw((figure for figure in self.figures if figure.varies), self.samples, self.seed)


def run_study(
    evaluate: Evaluate,
    figures: Sequence[Toleranced],
    positions: ArrayLike,
    samples: int = SAMPLES,
    seed: int = 1,
    block: int = BLOCK,
    progress: Progress | None = None,
) -> Study:
    """Evaluate many samples of the figures in blocks, and gather what they do.

    Args:
        evaluate: From samples of each figure by name, (n,), to outputs by name: numbers (n, positions), or (n,)
            for a single figure; and events, bool (n,). Rows must not depend on each other.
        figures: What to vary; each with a name of its own.
        positions: Where the outputs are computed, (positions,); for reading the result.
        samples: How many; each output keeps 4 bytes a sample and position.
        seed: Same seed, same study, whatever the block.
        block: Samples that are computed together.
        progress: Called with how many samples have been drawn, and of how many.

    Returns:
        The study.

    Raises:
        ValueError: no samples, no figures, two figures of one name, or an output of a wrong shape.

    Example:
        >>> figures = [Toleranced("length", 100.0, 99.0, 101.0), Toleranced("width", 50.0, 49.5, 50.5)]
        >>> def evaluate(drawn):
        ...     area = drawn["length"] * drawn["width"]
        ...     return {"area": area, "large": area > 5050.0}
        >>> study = run_study(evaluate, figures, [0.0], samples=4000)
        >>> study.corners.most["area"].tolist(), study.bands["area"].nominal.tolist()
        ([5100.5], [5000.0])
        >>> 0.1 < study.chances["large"].share < 0.15
        True
    """
    if samples < 1 or block < 1:
        raise ValueError("a study needs at least one sample, and a block of at least one")
    if not figures:
        raise ValueError("a study needs at least one figure, be it without tolerance")
    where = np.atleast_1d(np.asarray(positions, dtype=np.float64))
    kept: dict[str, NDArray[np.float32]] = {}
    happened: dict[str, NDArray[np.bool_]] = {}
    for start in range(0, samples, block):
        count = min(block, samples - start)
        for name, values in evaluate(draw(figures, count, seed, start)).items():
            rows = np.asarray(values)
            if rows.dtype == np.bool_:
                _need_shape(name, rows, {(count,)})
                happened.setdefault(name, np.empty(samples, dtype=np.bool_))[start : start + count] = rows
                continue
            _need_shape(name, rows, {(count,), (count, where.size)})
            columns = rows.reshape(count, -1).T
            if name not in kept:
                kept[name] = np.empty((len(columns), samples), dtype=np.float32)
            kept[name][:, start : start + count] = columns
        if progress is not None:
            progress(start + count, samples)
    planned = evaluate({figure.name: np.array([figure.nominal]) for figure in figures})
    return Study(
        figures=tuple(figures),
        positions=where,
        samples=samples,
        seed=seed,
        bands={name: _band(values, np.asarray(planned[name], dtype=np.float64)) for name, values in kept.items()},
        chances={name: chance(int(rows.sum()), samples) for name, rows in happened.items()},
        corners=worst_case(evaluate, figures, seed, block),
        kept=kept,
        happened=happened,
    )


def _need_shape(name: str, rows: NDArray, allowed: set[tuple[int, ...]]) -> None:
    if rows.shape not in allowed:
        raise ValueError(f"output {name!r} has shape {rows.shape}; it must be {' or '.join(map(str, sorted(allowed)))}")


def _band(kept: NDArray[np.float32], nominal: Array) -> Band:
    columns = [_column(values) for values in kept]
    mean, least, most, p05, p50, p95, unknown = (np.array(each) for each in zip(*columns, strict=True))
    return Band(nominal.reshape(-1), mean, least, most, p05, p50, p95, unknown.astype(np.int64))


def _column(values: NDArray[np.float32]) -> tuple[float, ...]:
    """Mean, least, greatest, the percentiles and the count of nan of one position."""
    ordered = np.sort(values)  # nan comes last
    unknown = int(np.count_nonzero(np.isnan(values)))
    known = ordered[: len(values) - unknown]
    if not len(known):
        return (*[float("nan")] * (3 + len(PERCENTILES)), unknown)
    ranks = np.array(PERCENTILES) / 100.0 * (len(known) - 1)
    below = np.floor(ranks).astype(int)
    above = np.minimum(below + 1, len(known) - 1)
    at, past = known[below].astype(np.float64), known[above].astype(np.float64)
    percentiles = at + (ranks - below) * (past - at)
    return (float(known.mean(dtype=np.float64)), float(known[0]), float(known[-1]), *percentiles.tolist(), unknown)
