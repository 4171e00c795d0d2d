"""Where a rod linkage locks, turns back or cannot close, with the pedal angle of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from conversion.linkage.geometry import RodLinkage
from conversion.linkage.motion import RodSolution
from conversion.linkage.rod import solve
from conversion.linkage.turning import Array, length

# Steps of the first look over the travel. Discriminant and numerator are smooth and turn at most a few times
# in a whole circle; every dip between steps is followed down as well.
STEPS = 720
ZOOM = 33
# An event this close to an end of the travel counts as inside it. [rad]
AT_END_RAD = 1e-9
# A dip of the transmission angle's sine below this, without a crossing, still is a dead centre.
TOUCHING = 1e-6
# Two events of a kind closer than this are one: rounding splits a dead centre that is only touched. [rad]
ONE_EVENT_RAD = 1e-6


@dataclass(frozen=True)
class Event:
    """Something that a linkage must not do inside the travel.

    Attributes:
        kind: ``lock``, the lever at its dead centre, where the rod can no longer turn it; ``reversal``, the
            pedal over centre, where the lever turns back although the pedal goes on; ``no-solution``, a
            stretch where the rod does not reach or does not fit.
        pedal_angle_rad: Where it happens, or where the stretch begins. [rad]
        until_rad: Where the stretch ends; the same as pedal_angle_rad for the other kinds. [rad]
        lever_angle_rad: Of the lever there; nan for ``no-solution``. [rad]
        rod: ``short`` or ``long`` for ``no-solution``: what the rod is; otherwise empty.
    """

    kind: Literal["lock", "reversal", "no-solution"]
    pedal_angle_rad: float
    until_rad: float
    lever_angle_rad: float
    rod: Literal["", "short", "long"] = ""


def find_events(linkage: RodLinkage, pedal_angle_end_rad: float) -> list[Event]:
    """Every lock, reversal and stretch without solution from the pedal's rest stop to an angle.

    A lock is a root of the closure's discriminant, a reversal a root of the numerator of the ratio; the
    latter does not show in the discriminant. Both are found between samples, to 1e-9 rad. A stretch without
    solution begins and ends at locks, unless it begins or ends with the travel. A linkage cannot be driven
    through a lock: what comes after the first one is found, but is not reached by turning the pedal.

    Args:
        linkage: One linkage, no leading axes.
        pedal_angle_end_rad: End of the travel, positive. [rad]

    Returns:
        In order of pedal angle. An event exactly at an end of the travel counts.

    Raises:
        ValueError: many linkages at once, or an end that is not positive.

    Example:
        A rod that is shorter than the way from pin to pin, at any angle:

        >>> apart = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1, pedal_pin_at_rest=[0, 40, 0],
        ...     module_pivot=[300, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[300, 60, 0], rod_length_mm=150)
        >>> [(event.kind, event.rod, event.until_rad) for event in find_events(apart, 0.5)]
        [('no-solution', 'short', 0.5)]
    """
    if linkage.pedal_pivot.ndim != 1:
        raise ValueError("find_events takes one linkage, not many along a leading axis")
    if not pedal_angle_end_rad > 0.0:
        raise ValueError("pedal_angle_end_rad must be positive")
    end = float(pedal_angle_end_rad)
    looked_at = np.linspace(-AT_END_RAD, end + AT_END_RAD, STEPS + 1)

    def reach(angle_rad: Array) -> Array:
        return solve(linkage, angle_rad).reach

    def reversal(angle_rad: Array) -> Array:
        return solve(linkage, angle_rad).reversal_measure

    edges = _roots(reach, looked_at)
    locks = edges + _dips(reach, looked_at, TOUCHING**2)
    pieces = np.unique(np.concatenate([looked_at, edges]))
    events = [Event("lock", angle, angle, _lever(linkage, angle)) for angle in _inside(locks, end)]
    events += [
        Event("reversal", angle, angle, _lever(linkage, angle))
        for angle in _inside(_roots(reversal, pieces), end)
        if not any(abs(angle - lock) < ONE_EVENT_RAD for lock in locks)
    ]
    events += _stretches(linkage, edges, end)
    return sorted(events, key=lambda event: (event.pedal_angle_rad, event.kind))


def _stretches(linkage: RodLinkage, edges: list[float], end: float) -> list[Event]:
    bounds = [0.0, *_inside(edges, end), end]
    found: list[Event] = []
    for start, stop in pairwise(bounds):
        if stop - start <= AT_END_RAD:
            continue
        middle = solve(linkage, [(start + stop) / 2])
        if not middle.exists[0]:
            found.append(Event("no-solution", start, stop, float("nan"), _rod_is(middle)))
    return found


def _rod_is(solution: RodSolution) -> Literal["short", "long"]:
    """What a rod that cannot close is: wherever the lever stands, the pins are farther apart, or nearer."""
    linkage = solution.linkage
    apart = length(solution.pedal_pin_mm[0] - linkage.lever_pin_at_rest_stop)
    return "short" if apart > linkage.rod_length_mm else "long"


def _lever(linkage: RodLinkage, pedal_rad: float) -> float:
    """Lever angle at an event; at the edge of a stretch without solution, from the side that has one."""
    near = solve(linkage, [pedal_rad, pedal_rad - 1e-12, pedal_rad + 1e-12]).lever_angle_rad
    closed = near[np.isfinite(near)]
    return float(closed[0]) if closed.size else float("nan")


def _inside(angles_rad: list[float], end: float) -> list[float]:
    """The angles within the travel, those just past an end put on it, each once."""
    kept: list[float] = []
    for angle in sorted(angles_rad):
        if -AT_END_RAD <= angle <= end + AT_END_RAD:
            clipped = min(max(angle, 0.0), end)
            if not kept or clipped - kept[-1] > ONE_EVENT_RAD:
                kept.append(clipped)
    return kept


def _roots(function: Callable[[Array], Array], samples: Array) -> list[float]:
    """Places where a function changes sign, also twice between neighbouring samples; nan is no sign."""
    samples = np.unique(np.concatenate([samples, [place for place, _ in _lowest(function, samples)]]))
    sign = np.sign(function(samples))
    found = [float(place) for place in samples[sign == 0.0]]
    for i in np.flatnonzero(sign[:-1] * sign[1:] < 0.0):
        low, high, low_sign = samples[i], samples[i + 1], sign[i]
        while high - low > 1e-13:
            inner = np.linspace(low, high, ZOOM)
            past = int(np.argmax(np.sign(function(inner)) != low_sign))
            if past == 0 or inner[past] - inner[past - 1] >= high - low:
                break
            low, high = inner[past - 1], inner[past]
        found.append(float((low + high) / 2))
    return found


def _dips(function: Callable[[Array], Array], samples: Array, depth: float) -> list[float]:
    """Places where a function comes down to within ``depth`` of zero without changing sign, ends included."""
    lowest = [(place, value) for place, value in _lowest(function, samples) if abs(value) <= depth]
    ends = [(float(place), float(function(np.array([place]))[0])) for place in (samples[0], samples[-1])]
    return [place for place, value in lowest + ends if abs(value) <= depth]


def _lowest(function: Callable[[Array], Array], samples: Array) -> list[tuple[float, float]]:
    """Every local minimum of a function's distance from zero, followed down between samples: place, value."""
    value = function(samples)
    size = np.abs(value)
    inner = (size[1:-1] <= size[:-2]) & (size[1:-1] <= size[2:])
    same_side = (np.sign(value[:-2]) == np.sign(value[1:-1])) & (np.sign(value[2:]) == np.sign(value[1:-1]))
    found = []
    for i in np.flatnonzero(inner & same_side) + 1:
        low, high, sign = samples[i - 1], samples[i + 1], np.sign(value[i])
        place, least = samples[i], value[i]
        while high - low > 1e-12:
            grid = np.linspace(low, high, ZOOM)
            along = np.nan_to_num(sign * function(grid), nan=np.inf)
            best = int(np.argmin(along))
            place, least = grid[best], sign * along[best]
            if along[best] <= 0.0 or grid[1] - grid[0] < 1e-13:
                break
            low, high = grid[max(best - 1, 0)], grid[min(best + 1, ZOOM - 1)]
        found.append((float(place), float(least)))
    return found
