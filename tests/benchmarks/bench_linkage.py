"""The rod solver against a root finder, position by position, and against the same formula written out in numpy."""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from conversion.linkage import RodLinkage, solve
from tests.benchmarks.framework import NotMeasured, Times, benchmark

SAMPLES, POSITIONS, REPEATS = 500, 201, 5
# Root finding one by one is timed on this many of the same positions, and scaled.
ONE_BY_ONE = 1000


def linkages() -> RodLinkage:
    """One linkage of a footwell, its figures spread by tolerances of a tape measure, and closing all the way."""
    rng = np.random.default_rng(11)

    def near(x: float, y: float, z: float) -> np.ndarray:
        return np.array([x, y, z]) + rng.uniform(-1.0, 1.0, (SAMPLES, 3))

    return RodLinkage(
        pedal_pivot=near(0, 0, 0),
        pedal_axis=[0.0, 1.0, 0.0],
        pedal_sense=-1,
        pedal_pin_at_rest=near(15, 30, -95),
        module_pivot=near(180, 70, -20),
        module_axis=[0.0, 1.0, 0.0],
        lever_sense=-1,
        lever_pin_at_rest_stop=near(175, 62, -75),
        rod_length_mm=164.4,
    )


TRAVEL_RAD = np.linspace(0.0, 0.35, POSITIONS)


def timed(call: Callable[[], object]) -> float:
    start = time.perf_counter()
    call()
    return time.perf_counter() - start


def best(measured: Callable[[], object], reference: Callable[[], object]) -> Times:
    """Turn about, so that a busy moment of the machine meets both."""
    measured(), reference()
    pairs = [(timed(measured), timed(reference)) for _ in range(REPEATS)]
    return Times(min(first for first, _ in pairs), min(second for _, second in pairs))


@benchmark("rod solver, 100 500 positions", at_least=2000.0, reference="scipy.optimize.root, one by one")
def against_root_finding() -> Times:
    try:
        from scipy.optimize import root
    except ImportError as error:
        raise NotMeasured("scipy is not installed") from error
    many = linkages()
    lever = solve(many, TRAVEL_RAD).lever_angle_rad
    chosen = np.random.default_rng(12).integers((SAMPLES, POSITIONS), size=(ONE_BY_ONE, 2))
    found = np.empty(ONE_BY_ONE)

    def one_by_one() -> None:
        for i, (sample, position) in enumerate(chosen):
            found[i] = root(gap_function(many, sample, TRAVEL_RAD[position]), 0.0, method="hybr").x[0]

    times = best(lambda: solve(many, TRAVEL_RAD), one_by_one)
    if not np.allclose(found, lever[chosen[:, 0], chosen[:, 1]], atol=1e-6):
        raise NotMeasured("root finding and solver disagree, so there is nothing to compare")
    return Times(times.measured_s / (SAMPLES * POSITIONS), times.reference_s / ONE_BY_ONE)


def gap_function(many: RodLinkage, sample: int, pedal_rad: float) -> Callable[[np.ndarray], float]:
    """Square of the pins' distance less that of the rod, as a root finder needs it: as lean as numpy allows."""
    pivot, pin, pedal_pin = (
        many.module_pivot[sample],
        many.lever_pin_at_rest_stop[sample],
        turned_about_y(many.pedal_pin_at_rest[sample], many.pedal_pivot[sample], -pedal_rad),
    )
    length_squared = float(many.rod_length_mm) ** 2

    def gap(lever_rad: np.ndarray) -> float:
        apart = pedal_pin - turned_about_y(pin, pivot, -lever_rad[0])
        return apart @ apart - length_squared

    return gap


def turned_about_y(point: np.ndarray, pivot: np.ndarray, angle_rad: float) -> np.ndarray:
    x, y, z = point - pivot
    cosine, sine = np.cos(angle_rad), np.sin(angle_rad)
    return pivot + np.array([x * cosine + z * sine, y, z * cosine - x * sine])


@benchmark("rod solver, both branches", at_most=1.0, reference="the textbook formula over vectors in numpy, one branch")
def against_plain_numpy() -> Times:
    many = linkages()
    lever = solve(many, TRAVEL_RAD).lever_angle_rad
    found = plain(many)
    if not np.allclose(found, lever, atol=1e-8):
        raise NotMeasured("the plain formula and the solver disagree, so there is nothing to compare")
    return best(lambda: solve(many, TRAVEL_RAD), lambda: plain(many))


def plain(many: RodLinkage) -> np.ndarray:
    """The closure as one writes it down: pins as vectors at each position, then atan2 and arccos."""
    u, v = -many.pedal_axis, -many.module_axis
    arm = (many.pedal_pin_at_rest - many.pedal_pivot)[:, None, :]
    lever = (many.lever_pin_at_rest_stop - many.module_pivot)[:, None, :]
    angle = TRAVEL_RAD[None, :, None]
    along = np.sum(arm * u, axis=-1, keepdims=True) * u
    pin = along + (arm - along) * np.cos(angle) + np.cross(u, arm) * np.sin(angle)
    d = many.pedal_pivot[:, None, :] + pin - many.module_pivot[:, None, :]
    lever_along = np.sum(lever * v, axis=-1, keepdims=True) * v
    p = 2 * np.sum(d * (lever - lever_along), axis=-1)
    q = 2 * np.sum(d * np.cross(v, lever), axis=-1)
    r = np.sum(d * d, axis=-1) + np.sum(lever * lever, axis=-1) - float(many.rod_length_mm) ** 2
    r -= 2 * np.sum(d * lever_along, axis=-1)
    rod = many.pedal_pin_at_rest - many.lever_pin_at_rest_stop
    side = -np.sign(np.sum(rod * np.cross(v, lever[:, 0, :]), axis=-1))[:, None]
    angle_found = np.arctan2(q, p) + side * np.arccos(r / np.sqrt(p * p + q * q))
    return np.unwrap((angle_found + np.pi) % (2 * np.pi) - np.pi, axis=-1)
