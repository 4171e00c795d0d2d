"""The search of the demo against looking at its candidates one by one."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from conversion.description import read_description
from conversion.linkage import adjusted_at_rest, pedal_angle_for_lever, solve
from conversion.linkage.turning import across, length
from conversion.plan import Plan
from conversion.plan.searching.case import gather_search
from conversion.study.search import run_search, seen_in_full
from conversion.study.search_case import SearchCase
from conversion.study.search_grid import drawn
from conversion.study.search_wants import missed
from tests.benchmarks.bench_commands import demo
from tests.benchmarks.framework import NotMeasured, Times, benchmark, command_times, python, times_of, treadle

LOOPED, REPEATS, LEAST = 60, 2, 1_000_000


@cache
def case() -> SearchCase:
    found = gather_search(Plan(read_description(Path(demo()))).description).case
    if found.grid.size < LEAST:
        raise NotMeasured(f"the demo has {found.grid.size} candidates, and not a million")
    return found


def one_by_one(case: SearchCase, numbers: np.ndarray) -> list[bool]:
    """The candidates as one writes them down: a linkage each, its 41 positions, and whether it keeps to the wants."""
    good = []
    for number in numbers:
        setting = {name: float(values[0]) for name, values in case.grid.settings(np.array([number])).items()}
        good.append(_is_good(case, setting))
    return good


def _is_good(case: SearchCase, setting: dict[str, float]) -> bool:
    base, wants, thread = case.linkage, case.wants, case.thread
    pivot = np.array([setting[f"module_{axis}_mm"] for axis in "xyz"])
    lever_arm = base.lever_pin_at_rest_stop - base.module_pivot  # type: ignore[attr-defined]
    pedal_arm = base.pedal_pin_at_rest - base.pedal_pivot  # type: ignore[attr-defined]

    def at(arm: np.ndarray, axis: np.ndarray, radius: float) -> np.ndarray:
        radial = across(axis, arm)
        return np.asarray(arm - radial + radial * (radius / length(radial)))

    linkage = replace(  # type: ignore[type-var]
        base,
        module_pivot=pivot,
        lever_pin_at_rest_stop=pivot + at(lever_arm, base.module_axis, setting["lever_hole_mm"]),
        pedal_pin_at_rest=base.pedal_pivot + at(pedal_arm, base.pedal_axis, setting["pedal_hole_mm"]),
    )
    linkage = adjusted_at_rest(linkage, setting["rest_rad"])
    assert thread is not None
    linkage = replace(linkage, rod_length_mm=thread.nearest_mm(linkage.rod_length_mm))  # type: ignore[type-var,attr-defined]
    full = float(pedal_angle_for_lever(linkage, [setting["full_rad"]])[0])
    if not full > 0.0:
        return False
    motion = solve(linkage, np.linspace(0.0, full, 41))
    lever = motion.lever_angle_rad
    shares = (lever - lever[0]) / (lever[-1] - lever[0])
    off = np.max(np.abs(shares - np.linspace(0.0, 1.0, 41)))
    square = np.minimum(np.sin(motion.transmission_lever_rad), np.sin(motion.transmission_pedal_rad)).min()
    pad = full * case.pad_radius_mm
    margin = min(lever[0] - case.rest_minus_rad, case.swing_rad[1] - lever[-1] - case.full_plus_rad)
    assert case.loads is not None
    moment = case.loads.pedal.at(motion.pedal_angle_rad) + case.loads.pedal_friction_nm
    moment = moment + motion.ratio * (case.loads.lever.at(lever) + case.loads.lever_friction_nm)
    force = moment * 1000.0 / case.pad_radius_mm
    return bool(
        np.all(np.diff(lever) > 0.0)
        and np.all(motion.ratio > 0.0)
        and wants.lever_at_rest_rad[0] <= lever[0] <= wants.lever_at_rest_rad[1]
        and wants.below_full_rad[0] <= case.swing_rad[0] - lever[-1] <= wants.below_full_rad[1]
        and wants.pad_travel_mm[0] <= pad <= wants.pad_travel_mm[1]
        and margin >= wants.margin_rad
        and thread.least_mm <= linkage.rod_length_mm <= thread.most_mm  # type: ignore[attr-defined]
        and off <= wants.feel_within
        and np.arcsin(square) >= wants.transmission_rad
        and force.min() >= wants.force_n[0]
        and force.max() <= wants.force_n[1]
    )


@benchmark(
    "search of a million candidates, one candidate",
    at_least=100.0,
    reference="solve and the wants in a Python loop over candidates, 41 positions each, without looking for events",
)
def against_one_by_one() -> Times:
    searched = case()
    numbers = drawn(searched.grid.size, 0, LOOPED, 1)
    misses = np.any(list(missed(searched.wants, seen_in_full(searched, numbers)).values()), axis=0)
    if one_by_one(searched, numbers) != (~misses).tolist():
        raise NotMeasured("search and loop disagree, so there is nothing to compare")
    times = times_of(lambda: run_search(searched), lambda: one_by_one(searched, numbers), REPEATS)
    return Times(times.measured_s / searched.grid.size, times.reference_s / LOOPED)


@benchmark(
    "search of a million candidates",
    at_least=3.0,
    reference="all 41 positions of every candidate, in blocks of numpy without a first look, one core",
)
def against_all_positions() -> Times:
    """The part that screening saves, against the same vectorised look at everything."""
    searched = case()
    block, blocks = 4096, 12

    def everything() -> None:
        for number in range(blocks):
            seen_in_full(searched, np.arange(number * block, (number + 1) * block))

    times = times_of(lambda: run_search(searched), everything, REPEATS)
    return Times(times.measured_s / searched.grid.size, times.reference_s / (block * blocks))


@benchmark(
    "treadle search, market-van, a million linkages",
    at_most=30.0,
    within_s=60.0,
    reference="import numpy, networkx, yaml",
)
def command() -> Times:
    return command_times(treadle("search", demo()), python("import numpy, networkx, yaml"), 3)
