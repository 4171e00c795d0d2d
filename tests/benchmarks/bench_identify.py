"""A module of six terminals identified: the whole command, and the inference against one fit after another."""

from __future__ import annotations

import itertools
import tempfile
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

from conversion.bench.unknown.identify import identify
from conversion.bench.unknown.readings import Readings
from tests.bench.simulated_modules import module
from tests.bench.test_identify_file import as_file
from tests.benchmarks.framework import NotMeasured, Times, benchmark, command_times, python, times_of, treadle

IMPORTS = "import numpy, yaml, pydantic"
KIND, SEED = "shared ground and a contact on it", 1


@benchmark("treadle identify, 6 terminals", at_most=6.0, reference=IMPORTS, within_s=1.0)
def whole_command() -> Times:
    made = module(KIND, np.random.default_rng(SEED))
    with tempfile.TemporaryDirectory(prefix="treadle-") as folder:
        file = Path(folder) / "readings.yaml"
        file.write_text(as_file(made, made.ohm()), "utf-8")
        return command_times(treadle("identify", str(file)), python(IMPORTS), repeats=3)


@benchmark(
    "identification of 6 terminals, all of it",
    at_least=10.0,
    reference="one arrangement after another by scipy.optimize.least_squares, tracks alone",
    within_s=1.0,
)
def against_one_by_one() -> Times:
    made = module(KIND, np.random.default_rng(SEED))
    readings = made.measured(np.random.default_rng(SEED))
    core = sorted({terminal for ends, wiper in made.tracks for terminal in (*ends, wiper)})
    best = _one_by_one(readings, core)
    found = {(frozenset(track.ends), track.wiper) for track in identify(readings).tracks}
    if found != best or found != set(made.tracks):
        raise NotMeasured("the two ways disagree, so there is nothing to compare")
    return times_of(lambda: identify(readings), lambda: _one_by_one(readings, core), repeats=2)


def _one_by_one(readings: Readings, core: list[int]) -> set[tuple[frozenset[int], int]]:
    """Two tracks that share an end, every one of the sixty ways, as one writes it down."""
    pairs = list(itertools.combinations(range(5), 2))
    ohm, off = (np.array([[table[p, core[i], core[j]] for i, j in pairs] for p in range(2)])
                for table in (readings.ohm, readings.tolerance_ohm))  # fmt: skip
    least, best = np.inf, set()
    for shared in range(5):
        rest = [terminal for terminal in range(5) if terminal != shared]
        for a, x, b, y in itertools.permutations(rest):
            if a > b:
                continue
            wired = ((shared, a, x), (shared, b, y))
            start = [ohm.mean(), ohm.mean(), 100.0, 100.0, 0.3, 0.7, 0.3, 0.7]
            low, high = [1.0, 1.0, 0.0, 0.0] + [0.0] * 4, [1e6] * 4 + [1.0] * 4
            fitted = least_squares(
                lambda values, wired=wired: ((_expected(wired, values, pairs) - ohm) / off).ravel(),
                start, bounds=(low, high), x_scale=[1e3, 1e3, 1e3, 1e3, 1, 1, 1, 1], max_nfev=40,
            )  # fmt: skip
            if fitted.cost < least:
                least = fitted.cost
                best = {(frozenset((core[first], core[second])), core[wiper]) for first, second, wiper in wired}
    return best


def _expected(wired: tuple[tuple[int, int, int], ...], values: np.ndarray, pairs: list[tuple[int, int]]) -> np.ndarray:
    found = []
    for position in range(2):
        matrix = np.zeros((7, 7))
        for track, (first, second, wiper) in enumerate(wired):
            share, whole = values[4 + 2 * track + position], values[track]
            for end, ohm in ((first, whole * share), (second, whole * (1 - share)), (wiper, values[2 + track])):
                g = 1.0 / max(ohm, 1e-3)
                matrix[[end, 5 + track], [end, 5 + track]] += g
                matrix[[end, 5 + track], [5 + track, end]] -= g
        inverse = np.zeros((7, 7))
        inverse[1:, 1:] = np.linalg.inv(matrix[1:, 1:])
        found.append([inverse[i, i] + inverse[j, j] - 2 * inverse[i, j] for i, j in pairs])
    return np.array(found)
