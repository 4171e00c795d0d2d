"""Figures of the tracks that fit the readings best: bounded least squares weighted by the meter's tolerance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from conversion.bench.unknown.network import Array, Tracks, Values, resistances

ROUNDS = 40
SETTLED = 1e-7
STIFFEST, SOFTEST = 1e8, 1e-9
_HOLD = 1e-9
"""Below this the readings leave a direction open: rounding alone makes more of it."""


@dataclass(frozen=True)
class Fits:
    """The best figures of each arrangement.

    Attributes:
        values: The figures.
        cost: (arrangements,), sum of squares of the residuals in units of the tolerance.
        expected_ohm: (arrangements, positions, pairs), what the figures give, also where nothing was read. [Ω]
        spread: Standard deviation of each figure, in the order of `Values.flat`, the tolerance taken as one; infinite
            where the readings do not hold a figure. (arrangements, values)
        held: (arrangements,), how many figures, or sums of them, the readings hold.
    """

    values: Values
    cost: Array
    expected_ohm: Array
    spread: Array
    held: Array


def fit(tracks: Tracks, start: Values, ohm: Array, tolerance_ohm: Array, rounds: int = ROUNDS) -> Fits:
    """Levenberg–Marquardt with analytic derivatives; a figure at its bound stays there as long as it is pushed outward.

    Args:
        tracks: Arrangements.
        start: Where to begin.
        ohm: (positions, pairs) as read; NaN or infinite where there is nothing to fit.
        tolerance_ohm: (positions, pairs), of each reading.
        rounds: At most; a runner-up that is far off need not be settled.
    """
    used = np.isfinite(ohm)
    weight = np.where(used, 1.0 / np.where(used, tolerance_ohm, 1.0), 0.0)
    target = np.where(used, ohm, 0.0)
    flat = start.flat()
    low, high = _bounds(tracks.count, flat.shape[1])
    flat = np.clip(flat, low, high)
    damping = np.full(len(flat), 1e-3)

    def at(point: Array) -> tuple[Array, Array, Array]:
        expected, slopes = resistances(tracks, Values.unflat(point, tracks.count))
        residual = ((expected - target) * weight).reshape(len(point), -1)
        return residual, (slopes * weight[..., None]).reshape(*residual.shape, -1), (residual**2).sum(axis=1)

    residual, slopes, cost = at(flat)
    for _ in range(rounds):
        step = _step(residual, slopes, flat, low, high, damping)
        tried = np.clip(flat + step, low, high)
        new_residual, new_slopes, new_cost = at(tried)
        better = new_cost < cost
        gain = cost - new_cost
        damping = np.clip(np.where(better, damping / 5.0, damping * 4.0), SOFTEST, STIFFEST)
        flat = np.where(better[:, None], tried, flat)
        residual = np.where(better[:, None], new_residual, residual)
        slopes = np.where(better[:, None, None], new_slopes, slopes)
        cost = np.where(better, new_cost, cost)
        settled = np.where(
            better, gain <= SETTLED * (1.0 + cost), (gain > -SETTLED * (1.0 + cost)) | (damping >= STIFFEST)
        )
        if settled.all():
            break
    values = Values.unflat(flat, tracks.count)
    return Fits(values, cost, resistances(tracks, values)[0], *_spread(slopes))


def _bounds(tracks: int, values: int) -> tuple[Array, Array]:
    low, high = np.zeros(values), np.ones(values)
    low[:tracks], high[:tracks] = 1.0, 1e7
    high[tracks : 2 * tracks] = 1e7
    return low, high


def _step(residual: Array, slopes: Array, flat: Array, low: Array, high: Array, damping: Array) -> Array:
    gradient = np.einsum("bnv,bn->bv", slopes, residual)
    held: npt.NDArray[np.bool_] = ((flat <= low) & (gradient > 0)) | ((flat >= high) & (gradient < 0))
    free = slopes * ~held[:, None, :]
    normal = np.einsum("bnv,bnw->bvw", free, free)
    diagonal = np.einsum("bvv->bv", normal)
    idle = diagonal <= 0.0
    added = np.where(idle, 1.0, diagonal * damping[:, None])
    normal = normal + added[:, :, None] * np.eye(flat.shape[1])
    step: Array = np.linalg.solve(normal, -(gradient * (~held & ~idle))[..., None])
    return step[..., 0]


def _spread(slopes: Array) -> tuple[Array, Array]:
    """Spread of each figure, infinite where it has no hold, and how many are held; columns scaled to length one."""
    length = np.sqrt((slopes**2).sum(axis=1))
    scale = np.where(length > 0, length, 1.0)
    normal = np.einsum("bnv,bnw->bvw", slopes / scale[:, None], slopes / scale[:, None])
    worth, directions = np.linalg.eigh(normal)
    held = worth > _HOLD
    variance = (directions**2 / np.maximum(worth, _HOLD)[:, None, :]).sum(axis=2)
    loose = (directions**2 * ~held[:, None, :]).sum(axis=2) > _HOLD
    return np.where(loose, np.inf, np.sqrt(variance) / scale), held.sum(axis=1)
