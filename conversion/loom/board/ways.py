"""The ways in which a run or a tail can be laid from its station: straight, with one bend, with two."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from conversion.linkage.turning import Array

STEP_DEG = 15
DIRECTIONS_RAD = np.radians(np.arange(0, 360, STEP_DEG))
# Where more leave one station than there are plain directions.
FINE_RAD = np.radians(np.arange(0, 360, 5))
_SHARES = (0.15, 0.3, 0.5, 0.7, 0.85)
_TURNS_DEG = (90, -90, 45, -45, 135, -135)
_ASIDE_MM = (40.0, 80.0)


def straight_legs(origin: Array, length_mm: float, directions_rad: Array = DIRECTIONS_RAD) -> Array:
    """One way in each direction, (ways, 1, 4), from an origin, (2,). [mm]"""
    ends = origin + length_mm * _unit(directions_rad)
    return np.concatenate([np.broadcast_to(origin, ends.shape), ends], axis=1)[:, None, :]


def bent_legs(origin: Array, length_mm: float) -> Array:
    """Ways with one bend in them, (ways, 2, 4). [mm]"""
    first, share, turn = (
        each.ravel() for each in np.meshgrid(DIRECTIONS_RAD, _SHARES, np.radians(_TURNS_DEG), indexing="ij")
    )
    corner = origin + (share * length_mm)[:, None] * _unit(first)
    end = corner + ((1.0 - share) * length_mm)[:, None] * _unit(first + turn)
    start = np.broadcast_to(origin, corner.shape)
    return np.stack([np.concatenate([start, corner], axis=1), np.concatenate([corner, end], axis=1)], axis=1)


def doubled_legs(origin: Array, length_mm: float) -> Array:
    """Ways that go out, a little aside, and back or on, (ways, 3, 4); none for what is too short. [mm]"""
    found = []
    for aside in _ASIDE_MM:
        rest = length_mm - aside
        if rest < aside:
            continue
        first, share, side, back = (
            each.ravel()
            for each in np.meshgrid(DIRECTIONS_RAD, (0.5, 0.65, 0.8), (1.0, -1.0), (np.pi, 0.0), indexing="ij")
        )
        one = origin + (share * rest)[:, None] * _unit(first)
        two = one + aside * _unit(first + side * np.pi / 2)
        end = two + ((1.0 - share) * rest)[:, None] * _unit(first + back)
        points = [np.broadcast_to(origin, one.shape), one, two, end]
        found.append(np.stack([np.concatenate([a, b], axis=1) for a, b in pairwise(points)], axis=1))
    return np.concatenate(found) if found else np.empty((0, 3, 4))


def boxes_at(legs: Array, box_mm: tuple[float, float]) -> Array:
    """The box at the end of each way, its middle straight on from the last leg, (ways, 4). [mm]"""
    last = legs[:, -1]
    way = last[:, 2:] - last[:, :2]
    way = way / np.maximum(np.linalg.norm(way, axis=1, keepdims=True), 1e-9)
    half = np.array(box_mm) / 2
    reach = np.min(half / np.maximum(np.abs(way), 1e-9), axis=1)
    middle = last[:, 2:] + reach[:, None] * way
    return np.concatenate([middle - half, middle + half], axis=1)


def plainness(directions_rad: Array) -> Array:
    """What a direction costs: nothing level or upright, a little at 45°, more at 30° and 60°, most at 15° and 75°."""
    off = np.rint(np.degrees(directions_rad)).astype(int) % 90
    cost = {0: 0.0, 45: 0.25, 30: 0.45, 60: 0.45, 15: 0.8, 75: 0.8}
    return np.array([cost.get(int(each), 1.0) for each in off])


def points_of(legs: Array) -> Array:
    """Corners of one way, (legs + 1, 2), of its legs, (legs, 4). [mm]"""
    return np.concatenate([legs[:1, :2], legs[:, 2:]])


def _unit(angle_rad: Array) -> Array:
    return np.stack([np.cos(angle_rad), np.sin(angle_rad)], axis=-1)
