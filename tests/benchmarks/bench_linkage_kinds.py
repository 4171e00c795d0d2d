"""Cable, contact and bell-crank against a root finder, position by position."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, Linkage, solve
from conversion.linkage.kinds import stacked, with_figures
from tests.benchmarks.bench_linkage import best
from tests.benchmarks.framework import NotMeasured, Times, benchmark
from tests.linkage import kind_cases

SAMPLES, POSITIONS = 500, 201
# Root finding one by one is timed on this many of the same positions, and scaled.
ONE_BY_ONE = 600
TRAVEL_RAD = np.linspace(0.0, 0.35, POSITIONS)

# The cases of the tests, with a cable that lies otherwise and hangs slack at rest, packing, and a longer second rod.
CABLE = replace(
    kind_cases.CABLE,
    module_outer_end=[200, 25, 0],
    nipple_at_rest_stop=[340, -15, 0],
    groove_centre_at_rest_stop=[300, -15, 0],
    slack_at_rest_mm=-3.0,
)
CONTACT = replace(kind_cases.CONTACT, packing_mm=4.0)
BELL_CRANK = replace(kind_cases.BELL_CRANK, second_rod_length_mm=155.2)


def spread(linkage: Linkage) -> Linkage:
    """The linkage with every point moved in its plane by as much as a tape measure errs."""
    rng = np.random.default_rng(11)
    many = stacked(linkage, SAMPLES)
    moved = {
        name: getattr(many, name) + rng.uniform(-1.0, 1.0, (SAMPLES, 3)) * [1.0, 1.0, 0.0]
        for name in linkage.VECTORS
        if name not in linkage.UNITS
    }
    return with_figures(many, moved)


Gap = Callable[[np.ndarray], float]


def measure(linkage: Linkage, gap_of: Callable[[Linkage, int, float], Gap]) -> Times:
    """All positions at once, against scipy's root finder on some of them from the angle at rest."""
    try:
        from scipy.optimize import root
    except ImportError as error:
        raise NotMeasured("scipy is not installed") from error
    many = spread(linkage)
    lever = solve(many, TRAVEL_RAD).lever_angle_rad
    chosen = np.random.default_rng(12).integers((SAMPLES, POSITIONS), size=(ONE_BY_ONE, 2))
    found = np.empty(ONE_BY_ONE)

    def one_by_one() -> None:
        for i, (sample, position) in enumerate(chosen):
            found[i] = root(gap_of(many, sample, TRAVEL_RAD[position]), 0.1, method="hybr").x[0]

    times = best(lambda: solve(many, TRAVEL_RAD), one_by_one)
    if not np.allclose(found, lever[chosen[:, 0], chosen[:, 1]], atol=1e-6):
        raise NotMeasured("root finding and solver disagree, so there is nothing to compare")
    return Times(times.measured_s / (SAMPLES * POSITIONS), times.reference_s / ONE_BY_ONE)


def turned(point: np.ndarray, pivot: np.ndarray, angle_rad: float) -> tuple[float, float]:
    """In the plane, right-handed about z."""
    x, y = float(point[0] - pivot[0]), float(point[1] - pivot[1])
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    return float(pivot[0]) + x * cosine - y * sine, float(pivot[1]) + x * sine + y * cosine


@benchmark("cable on an eccentric quadrant", at_least=200.0, reference="scipy.optimize.root, one by one")
def cable() -> Times:
    return measure(CABLE, cable_gap)


def cable_gap(many: CableLinkage, sample: int, pedal_rad: float) -> Gap:
    pivot, centre, nipple = (
        getattr(many, name)[sample] for name in ("module_pivot", "groove_centre_at_rest_stop", "nipple_at_rest_stop")
    )
    outer, radius = many.module_outer_end[sample], float(many.groove_radius_mm[sample])
    enters, pin = many.pedal_outer_end[sample], many.pedal_pin_at_rest[sample]
    x, y = turned(pin, many.pedal_pivot[sample], -pedal_rad)
    drawn = np.hypot(x - enters[0], y - enters[1]) - np.hypot(pin[0] - enters[0], pin[1] - enters[1])
    drawn -= float(many.slack_at_rest_mm[sample])
    start = np.arctan2(nipple[1] - centre[1], nipple[0] - centre[0])

    def run(lever_rad: float) -> float:
        at_x, at_y = turned(centre, pivot, lever_rad)
        apart_x, apart_y = outer[0] - at_x, outer[1] - at_y
        straight = np.sqrt(apart_x * apart_x + apart_y * apart_y - radius * radius)
        leaves = np.arctan2(apart_y, apart_x) - np.arctan2(straight, radius)
        return float(straight + radius * ((leaves - start - lever_rad) % (2 * np.pi)))

    wanted = run(0.0) - drawn
    return lambda lever_rad: run(lever_rad[0]) - wanted


@benchmark("contact, roller on a flat face", at_least=200.0, reference="scipy.optimize.root, one by one")
def contact() -> Times:
    return measure(CONTACT, contact_gap)


def contact_gap(many: ContactLinkage, sample: int, pedal_rad: float) -> Gap:
    pivot, point = many.module_pivot[sample], many.face_point[sample]
    x, y = turned(many.roller_centre[sample], many.pedal_pivot[sample], -pedal_rad)
    reach = float(many.roller_radius_mm[sample] + many.packing_mm[sample])

    def gap(lever_rad: np.ndarray) -> float:
        at_x, at_y = turned(point, pivot, lever_rad[0])
        return -(x - at_x) * np.cos(lever_rad[0]) - (y - at_y) * np.sin(lever_rad[0]) - reach

    return gap


@benchmark("bell-crank", at_least=200.0, reference="scipy.optimize.root for each of its two rods, one by one")
def bell_crank() -> Times:
    return measure(BELL_CRANK, bell_crank_gap)


def bell_crank_gap(many: BellCrankLinkage, sample: int, pedal_rad: float) -> Gap:
    from scipy.optimize import root

    one = {name: getattr(many, name)[sample] for name in many.VECTORS}
    pin_x, pin_y = turned(one["pedal_pin_at_rest"], one["pedal_pivot"], pedal_rad)
    first, second = float(many.first_rod_length_mm[sample]), float(many.second_rod_length_mm[sample])

    def crank_gap(crank_rad: np.ndarray) -> float:
        x, y = turned(one["crank_pin_in_at_rest"], one["crank_pivot"], crank_rad[0])
        return (x - pin_x) ** 2 + (y - pin_y) ** 2 - first**2

    solved: list[tuple[float, float]] = []

    def gap(lever_rad: np.ndarray) -> float:
        # The crank is solved once for each position, when the root finder first asks.
        if not solved:
            crank = root(crank_gap, 0.1, method="hybr").x[0]
            solved.append(turned(one["crank_pin_out_at_rest"], one["crank_pivot"], crank))
        x, y = turned(one["lever_pin_at_rest_stop"], one["module_pivot"], lever_rad[0])
        return (x - solved[0][0]) ** 2 + (y - solved[0][1]) ** 2 - second**2

    return gap
