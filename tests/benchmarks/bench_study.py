"""The tolerance study of the demo against the same study in Python loops."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from conversion.linkage import adjusted_at_rest, pedal_angle_for_lever, solve
from conversion.linkage.kinds import with_figures
from conversion.study import LinkageCase, draw, sampled_volts, study_linkage
from tests.benchmarks.framework import NotMeasured, Times, benchmark, times_of
from tests.study.cases import market_van

SAMPLES, SEED, REPEATS = 20_000, 1, 3
# The loops are timed on this many of the same samples, and scaled.
LOOPED, ONE_BY_ONE = 200, 20


def against(loop: Callable[[LinkageCase, dict[str, np.ndarray], int], np.ndarray], looped: int) -> Times:
    """Study and loop over the same samples; the loop only fills in the per cent, and gathers nothing."""
    case, figures = market_van()
    drawn = draw(figures, looped, SEED)
    study = study_linkage(case, figures, SAMPLES, SEED)
    found = np.array([loop(case, drawn, i) for i in range(looped)])
    if not np.allclose(found, study.kept["percent"][:, :looped].T, atol=1e-4):
        raise NotMeasured("study and loop disagree, so there is nothing to compare")
    times = times_of(
        lambda: study_linkage(case, figures, SAMPLES, SEED),
        lambda: [loop(case, drawn, i) for i in range(looped)],
        REPEATS,
    )
    return Times(times.measured_s / SAMPLES, times.reference_s / looped)


@benchmark(
    "tolerance study, one sample with its 41 positions",
    at_least=300.0,
    reference="the same functions in a Python loop over samples and positions",
)
def against_one_by_one() -> Times:
    return against(_one_by_one, ONE_BY_ONE)


@benchmark(
    "tolerance study, one sample, its share of the statistics included",
    at_least=50.0,
    reference="numpy over the 41 positions in a Python loop over samples",
)
def against_sample_by_sample() -> Times:
    return against(_sample_by_sample, LOOPED)


def _sample_by_sample(case: LinkageCase, drawn: dict[str, np.ndarray], i: int) -> np.ndarray:
    return case.evaluate({name: values[i : i + 1] for name, values in drawn.items()})["percent"][0]


def _one_by_one(case: LinkageCase, drawn: dict[str, np.ndarray], i: int) -> np.ndarray:
    """One sample as one writes it down: set the linkage, then position by position lever, volts and per cent."""
    figures = {name: getattr(case.linkage, name).copy() for name in case.linkage.VECTORS}
    for name, values in drawn.items():
        owner, _, component = name.partition(".")
        if owner in figures:
            figures[owner]["xyz".index(component)] = values[i]
    linkage = adjusted_at_rest(with_figures(case.linkage, figures), drawn["set_at_rest_rad"][i])
    radius, full, swing = (float(drawn[name][i]) for name in ("pad_radius_mm", "full_set_rad", "swing_rad"))
    own = {name: values[i : i + 1] for name, values in drawn.items()} | {"stretch": np.array([swing / case.swing_rad])}
    pad_at_full = float(pedal_angle_for_lever(linkage, [full])[0]) * radius

    def volts(lever_rad: float) -> dict[str, float]:
        held = np.array([[min(max(lever_rad, 0.0), swing)]])
        return {name: float(sampled_volts(name, track, held, own)[0, 0]) for name, track in case.tracks.items()}

    def lever_at(pad_mm: float) -> float:
        return full if pad_mm > pad_at_full else float(solve(linkage, [pad_mm / radius]).lever_angle_rad[0])

    at_rest, at_full = volts(lever_at(0.0)), volts(full)
    percent = np.empty(len(case.pad_travel_mm))
    for position, pad in enumerate(case.pad_travel_mm):
        read = volts(lever_at(float(pad)))
        shares = [(read[name] - at_rest[name]) / (at_full[name] - at_rest[name]) for name in case.tracks]
        percent[position] = 100.0 * min(shares)
    return percent
