"""The arrangements of tracks that fit the readings between a few terminals, best first, and how sure the best is."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np

from conversion.bench.unknown.fit import ROUNDS, Fits, fit
from conversion.bench.unknown.network import Array, Tracks, Values
from conversion.bench.unknown.readings import SURE, Readings
from conversion.bench.unknown.shapes import arrangements, starts

LEAST_SWEEP = 0.05
"""A wiper that moves over less of its track than this is not taken for one: no sensor of a lever sweeps so little."""

MARGIN = 12.0
"""How much worse the runner-up must fit, in the sum of squares: odds of exp(6), that is 400 to 1, or more where the
meter's tolerance is a limit and not a standard deviation."""

_COARSE = 400.0
COARSE_ROUNDS, MOST_FINE = 8, 24
"""All arrangements are fitted coarsely, and the best of them to the end."""

MOST_UNSIEVED = 5
"""Terminals of a core for which every arrangement is fitted: 70 at most."""


@dataclass(frozen=True)
class Track:
    """One potentiometer track, terminals by their index.

    Attributes:
        ends: Both ends.
        wiper: The wiper.
        ohm, ohm_spread: End to end, and how far it may be off. [Ω]
        wiper_ohm, wiper_spread: From track to wiper terminal: contact and protection resistor. [Ω]
        share, share_spread: (positions,), of the track between first end and wiper, and how far it may be off.
    """

    ends: tuple[int, int]
    wiper: int
    ohm: float
    ohm_spread: float
    wiper_ohm: float
    wiper_spread: float
    share: Array
    share_spread: Array

    @property
    def sweep(self) -> float:
        """Share of the track that the wiper goes over from rest to full, positive from the first end to the second."""
        return float(self.share[-1] - self.share[0])


@dataclass(frozen=True)
class Candidate:
    """One arrangement with its best figures.

    Attributes:
        terminals: Index of each terminal in the readings.
        tracks: The tracks.
        cost: Sum of squares of the residuals, in units of the meter's tolerance.
        spare: Readings less figures that they hold: how many of them check the others.
        expected_ohm: (positions, terminals, terminals) between the terminals named. [Ω]
    """

    terminals: tuple[int, ...]
    tracks: tuple[Track, ...]
    cost: float
    spare: int
    expected_ohm: Array

    @property
    def fits(self) -> bool:
        """Whether the meter's tolerance explains what is left over."""
        return self.cost <= most_cost(self.spare)

    @property
    def fits_well(self) -> bool:
        """Whether it explains it without calling on much chance: once in 150."""
        return self.cost <= most_cost(self.spare, 2.5)

    @property
    def held(self) -> bool:
        """Whether the readings hold where each wiper stands."""
        return all(bool((track.share_spread < 0.2).all()) for track in self.tracks)

    @property
    def moves(self) -> bool:
        """Whether each wiper certainly moves with the lever."""
        return all(
            abs(track.sweep) > max(LEAST_SWEEP, SURE * float(np.hypot(*track.share_spread[[0, -1]])))
            for track in self.tracks
        )


def most_cost(spare: int, deviations: float = 4.0) -> float:
    """The sum of squares that chance rarely exceeds, by the cube-root approximation; four deviations: 3 in 100 000.

    Example:
        >>> round(most_cost(2)), round(most_cost(20))
        (22, 56)

    References:
        E. B. Wilson, M. M. Hilferty, The distribution of chi-square, Proc. Natl. Acad. Sci. 17 (1931), 684–688
        (from memory).
    """
    if spare <= 0:
        return 1.0
    part = 2.0 / (9.0 * spare)
    return float(spare * (1.0 - part + deviations * math.sqrt(part)) ** 3)


def candidates(readings: Readings, core: tuple[int, ...], sieved: bool = True) -> list[Candidate]:
    """Every arrangement on the terminals of a core, best first, as far as they are worth comparing.

    Args:
        readings: All readings.
        core: The terminals.
        sieved: Whether arrangements are left out that cannot be, by what changes with the lever; False to have a
            runner-up all the same.
    """
    among = list(core)
    ohm = _finite(readings.ohm[:, among][:, :, among])
    tolerance = readings.tolerance_ohm[:, among][:, :, among]
    i, j = np.triu_indices(len(core), 1)
    found: dict[tuple[tuple[int, ...], ...], Candidate] = {}
    used = int(np.isfinite(ohm[:, i, j]).sum())
    for tracks in arrangements(ohm, tolerance, sieved):
        for start in itertools.islice(starts(tracks, ohm), None if sieved else 1):
            coarse = fit(tracks, start, ohm[:, i, j], tolerance[:, i, j], COARSE_ROUNDS)
            order = np.argsort(coarse.cost, kind="stable")[: MOST_FINE if sieved else 2]
            tracks_kept = Tracks(tracks.terminals, tracks.wired[order])
            rounds = ROUNDS if sieved else COARSE_ROUNDS
            fits = fit(tracks_kept, coarse.values.of(order), ohm[:, i, j], tolerance[:, i, j], rounds)
            for index in _worth_comparing(fits) if sieved else range(len(order)):
                candidate = _candidate(core, tracks_kept, fits, index, used)
                key = tuple(sorted((*track.ends, track.wiper) for track in candidate.tracks))
                if (_sweeps(candidate) or not sieved) and (key not in found or candidate.cost < found[key].cost):
                    found[key] = candidate
    return sorted(found.values(), key=lambda each: each.cost)


def _finite(ohm: Array) -> Array:
    """An open reading holds no figure: it is dealt with where terminals are grouped."""
    return np.where(np.isfinite(ohm), ohm, np.nan)


def near(readings: Readings, core: tuple[int, ...]) -> bool:
    """Whether any arrangement comes near enough to the readings, fitted coarsely, to be worth a closer look."""
    among = list(core)
    ohm = _finite(readings.ohm[:, among][:, :, among])
    tolerance = readings.tolerance_ohm[:, among][:, :, among]
    i, j = np.triu_indices(len(core), 1)
    for tracks in arrangements(ohm, tolerance):
        if len(tracks.wired) > MOST_FINE and len(core) < 7:
            continue  # what moves, and what does not, leaves a real module of so few terminals no more
        coarse = fit(tracks, next(starts(tracks, ohm)), ohm[:, i, j], tolerance[:, i, j], COARSE_ROUNDS)
        if float(coarse.cost.min()) < _COARSE * ohm.size:
            return True
    return False


def _worth_comparing(fits: Fits) -> list[int]:
    order = np.argsort(fits.cost, kind="stable")[:12]
    return [int(index) for index in order if fits.cost[index] <= fits.cost[order[0]] + _COARSE]


def _sweeps(candidate: Candidate) -> bool:
    return all(
        abs(track.sweep) >= LEAST_SWEEP or not (track.share_spread < LEAST_SWEEP).all() for track in candidate.tracks
    )


def _candidate(core: tuple[int, ...], tracks: Tracks, fits: Fits, index: int, used: int) -> Candidate:
    values = Values(fits.values.track_ohm[index], fits.values.wiper_ohm[index], fits.values.share[index])
    spread = Values.unflat(fits.spread[index : index + 1], tracks.count)
    found = []
    for number, (first, second, wiper) in enumerate(tracks.wired[index].tolist()):
        found.append(
            Track(
                (core[first], core[second]), core[wiper],
                float(values.track_ohm[number]), float(spread.track_ohm[0, number]),
                float(values.wiper_ohm[number]), float(spread.wiper_ohm[0, number]),
                values.share[number], spread.share[0, number],
            )
        )  # fmt: skip
    expected = np.zeros((values.share.shape[1], len(core), len(core)))
    i, j = np.triu_indices(len(core), 1)
    expected[:, i, j] = expected[:, j, i] = fits.expected_ohm[index]
    spare = used - int(fits.held[index])
    return Candidate(core, tuple(found), float(fits.cost[index]), spare, expected)
