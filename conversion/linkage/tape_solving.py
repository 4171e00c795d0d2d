"""Every point that readings may mean: closed-form starts, then least squares from each of them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from conversion.linkage.tape_readings import Reading, on_circle
from conversion.linkage.turning import Array, cross, dot, length

STEPS = 60
# Points closer than this, after convergence, are one. [mm]
ONE_POINT_MM = 0.02
AROUND = 12
# How many circles are gone round, and how many closed forms are begun from.
CIRCLES, MET = 3, 24


def weighted(readings: Sequence[Reading], points: Array) -> tuple[Array, Array]:
    """Residuals read − expected in tolerances, (points, readings), and their slopes, (points, readings, 3)."""
    gaps = [(reading.value - reading.read_at(points)) / reading.tolerance for reading in readings]
    slopes = [-reading.slope_at(points) / reading.tolerance for reading in readings]
    return np.stack(gaps, axis=-1), np.stack(slopes, axis=-2)


def all_candidates(readings: Sequence[Reading]) -> Array:
    """Every point at which the weighted squares are least among its neighbours, the best first, (candidates, 3)."""
    points = _refined(readings, _starts(readings))
    gaps, _ = weighted(readings, points)
    cost = np.sum(gaps**2, axis=-1)
    chosen: list[int] = []
    for i in np.argsort(cost, kind="stable"):
        if all(length(points[i] - points[j]) > ONE_POINT_MM for j in chosen):
            chosen.append(int(i))
    return points[chosen]


def _refined(readings: Sequence[Reading], points: Array) -> Array:
    """Gauss and Newton's steps, damped wherever one does not bring the squares down, for all points at once."""
    damping = np.full(len(points), 1e-6)
    gaps, slopes = weighted(readings, points)
    cost = np.sum(gaps**2, axis=-1)
    for _ in range(STEPS):
        normal = np.swapaxes(slopes, -1, -2) @ slopes
        largest = np.maximum(np.trace(normal, axis1=-2, axis2=-1), 1e-12)
        damped = normal + (damping * largest)[:, None, None] * np.eye(3)
        step = -np.linalg.solve(damped, np.swapaxes(slopes, -1, -2) @ gaps[..., None])[..., 0]
        tried = points + step
        new_gaps, new_slopes = weighted(readings, tried)
        new_cost = np.sum(new_gaps**2, axis=-1)
        better = new_cost <= cost
        points = np.where(better[:, None], tried, points)
        gaps, slopes = np.where(better[:, None], new_gaps, gaps), np.where(better[:, None, None], new_slopes, slopes)
        cost = np.where(better, new_cost, cost)
        damping = np.clip(np.where(better, damping * 0.1, damping * 10.0), 1e-14, 1e6)
        if np.all((length(step) < 1e-9) | (damping >= 1.0)):
            break
    return points


def _starts(readings: Sequence[Reading]) -> Array:
    """Where to begin: where three readings meet in closed form, and points spread where only one or two do."""
    tapes = [reading for reading in readings if reading.kind == "distance"]
    others = [reading for reading in readings if reading.kind != "distance"]
    starts: list[Array] = []
    met: list[Array] = []
    for one, other in combinations(tapes, 2):
        circle = _circle(one, on_circle(other, [one]))
        if circle is None:
            continue
        # Each pair's circle holds the point, so going round some of them is enough.
        if len(starts) < CIRCLES:
            starts.append(_around(*circle))
        thirds = [tape for tape in tapes if tape is not one and tape is not other] + others
        met += [_where_met(circle, on_circle(third, [one, other])) for third in thirds]
    if not starts:
        for tape in tapes[:1]:
            starts.append(tape.known_mm + tape.value * _directions())
    if not starts:
        starts = [reading.known_mm + far * _directions() for reading in others for far in (50.0, 300.0, 1500.0)]
    return np.concatenate([*starts, *met[:MET]])


Circle = tuple[Array, Array, Array]
"""Centre, and two radii at right angles."""


def _circle(tape: Reading, plane: tuple[Array, float] | None) -> Circle | None:
    """Where a sphere is cut by a plane; a plane that just misses it touches it."""
    if plane is None or not length(plane[0]) > 0.0:
        return None
    normal, offset = plane[0] / length(plane[0]), plane[1] / float(length(plane[0]))
    away = offset - float(dot(normal, tape.known_mm))
    radius = np.sqrt(max(tape.value**2 - away**2, (1e-3 * tape.value) ** 2))
    sideways = cross(normal, np.eye(3)[np.argmin(np.abs(normal))])
    sideways *= radius / length(sideways)
    return tape.known_mm + away * normal, sideways, cross(normal, sideways)


def _around(centre: Array, first: Array, second: Array) -> Array:
    angle = 2.0 * np.pi * np.arange(AROUND)[:, None] / AROUND
    return centre + first * np.cos(angle) + second * np.sin(angle)


def _where_met(circle: Circle, plane: tuple[Array, float] | None) -> Array:
    """The two points of a circle in a plane, or the one nearest to it: p cos t + q sin t = r."""
    if plane is None:
        return np.zeros((0, 3))
    centre, first, second = circle
    p, q = float(dot(plane[0], first)), float(dot(plane[0], second))
    r = plane[1] - float(dot(plane[0], centre))
    opening = np.arctan2(np.sqrt(max(p * p + q * q - r * r, 0.0)), r)
    angle = np.arctan2(q, p) + np.array([[opening], [-opening]])
    return centre + first * np.cos(angle) + second * np.sin(angle)


def _directions() -> Array:
    """Forty-eight directions spread evenly over the sphere."""
    number = np.arange(48) + 0.5
    height, turn = 1.0 - number / 24.0, np.pi * (1.0 + 5.0**0.5) * number
    flat = np.sqrt(1.0 - height**2)
    return np.stack([flat * np.cos(turn), flat * np.sin(turn), height], axis=-1)
