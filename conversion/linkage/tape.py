"""Points from a tape: where a point lies that was measured from known points, how surely, and what to measure again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees
from typing import Literal

import numpy as np

from conversion.linkage.tape_readings import (
    BadReading,
    CoincidentPoints,
    ImpossibleTriangle,
    Reading,
    SideNeeded,
    TapeError,
    TooFewReadings,
    need_possible,
)
from conversion.linkage.tape_solving import ONE_POINT_MM, all_candidates, weighted
from conversion.linkage.turning import Array, length

__all__ = [
    "BadReading",
    "CoincidentPoints",
    "ImpossibleTriangle",
    "Located",
    "Reading",
    "Side",
    "SideNeeded",
    "Suspicion",
    "TapeError",
    "TooFewReadings",
    "locate",
    "suspect",
]

Side = Literal["forward", "back", "left", "right", "up", "down"]
DIRECTIONS: dict[str, tuple[int, int, int]] = {
    "forward": (1, 0, 0), "back": (-1, 0, 0), "left": (0, 1, 0), "right": (0, -1, 0), "up": (0, 0, 1),
    "down": (0, 0, -1),
}  # fmt: skip
# Slopes across which readings say this little, beside those along which they say most, say nothing.
BLIND = 1e-5
# Others that fit this closely, in tolerances, fit as closely as can be told.
NO_DOUBT = 0.05
# More points than this that fit alike are no mirror images but a line of points.
MIRRORS = 4


@dataclass(frozen=True)
class Located:
    """A point from readings.

    Attributes:
        readings: From which it was found, the tolerance of each widened by what its known point may be off.
        point_mm: Where it lies, (3,). [mm]
        residuals: What was read less what fits the point, one for each reading. [mm] or [rad]
        residuals_in_tolerances: The same as a share of each reading's tolerance; beyond ±1 a reading disagrees.
        worst_mm: How far each coordinate may be off with every reading off by its tolerance the bad way, to first
            order, (3,); infinite where the readings say nothing. [mm]
        standard_mm: Standard deviation of each coordinate, each reading anywhere within its tolerance alike,
            (3,). [mm]
        determined: False where the readings hold the point so loosely in some direction that first order does not
            do: it lies nearly in the plane of the known points, for one, so that in or out cannot be told.
        candidates: Every point that the readings fit, the chosen one first, (candidates, 3). [mm]
    """

    readings: tuple[Reading, ...]
    point_mm: Array
    residuals: Array
    residuals_in_tolerances: Array
    worst_mm: Array
    standard_mm: Array
    determined: bool
    candidates: Array

    @property
    def agrees(self) -> bool:
        """Whether every reading fits within its tolerance."""
        return bool(np.all(np.abs(self.residuals_in_tolerances) <= 1.0))


@dataclass(frozen=True)
class Suspicion:
    """Which single reading to take again.

    Attributes:
        readings: Those without which all the others fit, the one first without which they fit most closely.
        should_be: What each of them should be near; nan where the others do not say. [mm] or [rad]
        clear: Whether the first of them stands out: it is the only one, or without it the others fit at least twice
            as closely as without any other.
        text: In words.
    """

    readings: tuple[int, ...]
    should_be: tuple[float, ...]
    clear: bool
    text: str

    @property
    def reading(self) -> int | None:
        """The one to take again; None where none is wrong, none explains it, or several explain it as well."""
        return self.readings[0] if self.clear else None


def locate(readings: Sequence[Reading], side: Side | None = None) -> Located:
    r"""The point that fits the readings best.

    .. math:: \min_X \sum_i \Big(\frac{m_i - f_i(X)}{t_i}\Big)^2

    with what was read m, its tolerance t, and f the distance, angle or coordinate that belongs to X. Begun where
    three of the readings meet in closed form and along the circle in which two do, so that every candidate is found.
    What a known point may itself be off widens the tolerance of each reading from it, as :meth:`Reading.widened` says:
    a reading from a loosely known point weighs less, may disagree by more, and leaves the point more loose.

    Args:
        readings: Three or more that are independent of each other.
        side: Which of two mirror images is meant: the one that lies farther that way. Needed where the known points
            lie in one plane, or in a line with one coordinate given, and nothing else decides; it is not looked at
            where only one point fits.

    Returns:
        The point, with residuals and spread.

    Raises:
        TapeError: one of its kinds; the message says which readings, and what to do.

    Example:
        The triangle of 3, 4 and 5 in the plane y = 0:

        >>> readings = [
        ...     Reading("distance", "pivot", 300.0, 1.0, known_mm=[0, 0, 0]),
        ...     Reading("distance", "bolt", 400.0, 1.0, known_mm=[500, 0, 0]),
        ...     Reading("coordinate", "y", 0.0, 1.0)]
        >>> x, _, z = locate(readings, side="down").point_mm.round(6).tolist()
        >>> x, z
        (180.0, -240.0)

    References:
        Derived here: spheres that meet in circles, then Gauss and Newton's least squares as in any textbook of
        surveying.
    """
    first = _located([reading.widened() for reading in readings], side)
    if all(reading.from_exact for reading in readings):
        return first
    return _located([reading.widened(first.point_mm) for reading in readings], side)


def _located(readings: Sequence[Reading], side: Side | None) -> Located:
    """The same from exact points."""
    need_possible(readings)
    if len(readings) < 3:
        said = ("there are none", "there is one", "there are two")[len(readings)]
        raise TooFewReadings(
            f"A point in space needs three readings, and {said}; add a distance from another known point, an angle, or "
            "a coordinate that is known.",
            range(len(readings)),
        )
    _need_off_line(readings)
    candidates = _plausible(readings, all_candidates(readings))
    if len(candidates) > MIRRORS:
        raise TooFewReadings(
            "The readings leave the point free to move along a line; add a distance from a point that lies off the "
            "others, an angle, or a coordinate that is known.",
            range(len(readings)),
        )
    return _described(readings, _chosen(readings, candidates, side))


def suspect(located: Located) -> Suspicion:
    """The reading to take again, where they do not agree within their tolerances.

    Each is left out in turn. One without which all the others fit within their tolerances may be wrong; if it is
    the only one, or stands out, it is the one to take again. With only one reading more than a point needs, any of
    them may be left out: the text then says that one more reading would tell.

    Args:
        located: What :func:`locate` gave.

    Returns:
        The suspicion; with no reading in it where all agree, or where no single one explains it.
    """
    readings = located.readings
    if located.agrees:
        return Suspicion((), (), False, "All readings agree within their tolerances.")
    found: list[tuple[float, int, float]] = []
    for i, reading in enumerate(readings):
        others = [*readings[:i], *readings[i + 1 :]]
        points = all_candidates(others)
        worst = np.max(np.abs(weighted(others, points)[0]), axis=-1)
        if not np.any(worst <= 1.0):
            continue
        near = min(np.flatnonzero(worst <= 1.0), key=lambda j: float(length(points[j] - located.point_mm)))
        held = _rank(others, points[near]) == 3
        found.append((float(worst[near]), i, float(reading.read_at(points[near])) if held else float("nan")))
    found.sort()
    indices, values = tuple(i for _, i, _ in found), tuple(value for _, _, value in found)
    clear = len(found) == 1 or (len(found) > 1 and max(found[0][0], NO_DOUBT) * 2.0 <= found[1][0])
    return Suspicion(indices, values, clear, _advice(readings, indices, values, clear))


def _advice(readings: Sequence[Reading], indices: tuple[int, ...], values: tuple[float, ...], clear: bool) -> str:
    if not indices:
        return (
            "The readings disagree, and no single one explains it: two or more are off, a known point is, or the "
            "tolerances are too tight. Take all of them again."
        )
    if clear:
        reading, value = readings[indices[0]], values[0]
        near = f"{degrees(value):.1f}°" if reading.kind == "angle" else f"{value:.1f} mm"
        others = f" If it is right, take {readings[indices[1]].text} again." if len(indices) > 1 else ""
        return f"Take {reading.text} again: the others agree without it, and by them it should be near {near}.{others}"
    named = ", ".join(readings[i].text for i in indices)
    return f"The readings disagree, and any one of these may be wrong: {named}. One more reading would tell which."


def _need_off_line(readings: Sequence[Reading]) -> None:
    if any(reading.kind != "distance" for reading in readings):
        return
    known = np.array([reading.known_mm for reading in readings])
    _, sizes, _ = np.linalg.svd(known - known.mean(axis=0))
    if sizes[1] < BLIND * max(sizes[0], 1.0):
        names = ", ".join(dict.fromkeys(reading.from_name for reading in readings))
        raise TooFewReadings(
            f"{names} lie in one line, so the point may lie anywhere on a circle round it; measure from a point off "
            "that line, or give a coordinate.",
            range(len(readings)),
        )


def _plausible(readings: Sequence[Reading], points: Array) -> Array:
    """The candidates that fit: within tolerance if any does, else those about as good as the best."""
    worst = np.max(np.abs(weighted(readings, points)[0]), axis=-1)
    limit = 1.0 if worst[0] <= 1.0 else worst[0] + 1.0
    return points[(worst <= limit) | (np.arange(len(points)) == 0)]


def _rank(readings: Sequence[Reading], point: Array) -> int:
    """In how many directions the readings say where the point lies."""
    slopes = np.array([reading.slope_at(point) for reading in readings])
    values = np.linalg.svd(slopes / np.maximum(length(slopes), 1e-12)[:, None], compute_uv=False)
    return int(np.sum(values > BLIND * values[0]))


def _chosen(readings: Sequence[Reading], candidates: Array, side: Side | None) -> Array:
    """The candidates with the one that is meant first."""
    if len(candidates) == 1:
        return candidates
    said = "; ".join(f"({x:.1f}, {y:.1f}, {z:.1f}) mm" for x, y, z in candidates)
    if side is None:
        raise SideNeeded(
            f"The readings fit {len(candidates)} points alike, mirror images of each other: {said}. Say on which side "
            "it lies: forward, back, left, right, up or down.",
            range(len(readings)),
            candidates,
        )
    heights = candidates @ np.array(DIRECTIONS[side], dtype=np.float64)
    order = np.argsort(-heights, kind="stable")
    if heights[order[0]] - heights[order[1]] < ONE_POINT_MM:
        raise SideNeeded(
            f"Both points lie as far {side}: {said}. Another side tells them apart.", range(len(readings)), candidates
        )
    return candidates[order]


def _described(readings: Sequence[Reading], candidates: Array) -> Located:
    point = candidates[0]
    gaps, slopes = (each[0] for each in weighted(readings, point[None]))
    tolerances = np.array([reading.tolerance for reading in readings])
    if _rank(readings, point) < 3:
        worst = standard = np.full(3, np.inf)
        determined = False
    else:
        # Each coordinate's share of a reading that is off by its whole tolerance.
        gain = np.linalg.pinv(slopes)
        worst, standard = np.sum(np.abs(gain), axis=1), np.sqrt(np.sum(gain**2, axis=1) / 3.0)
        # Toward a mirror image first order holds as long as the point stays on its own side of the middle.
        images = candidates[1:] - point
        determined = bool(np.all(np.sum(np.abs(images @ gain), axis=1) < np.sum(images**2, axis=1) / 2.0))
    return Located(tuple(readings), point, gaps * tolerances, gaps, worst, standard, determined, candidates)
