"""Where a linkage locks, turns back, cannot close or loses its hold, with the pedal angle of each."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from conversion.linkage.kinds import EventKind, Linkage
from conversion.linkage.solving import solve
from conversion.linkage.turning import Array

# Steps of the first look over the travel. What is watched is smooth and turns at most a few times in a whole
# circle; every dip between steps is followed down as well.
STEPS = 720
ZOOM = 33
# A dip that lies this many times higher than it rises to its neighbours does not come down to zero.
NEAR_ZERO = 4.0
# An event this close to an end of the travel counts as inside it. [rad]
AT_END_RAD = 1e-9
# Two events of a kind closer than this are one: rounding splits a dead centre that is only touched. [rad]
ONE_EVENT_RAD = 1e-6


@dataclass(frozen=True)
class Event:
    """Something that a linkage must not do inside the travel.

    Attributes:
        kind: ``lock``, the lever at its dead centre, where the link can no longer turn it; ``reversal``, the
            pedal over centre, where the lever turns back although the pedal goes on; and stretches:
            ``no-solution``, the link does not reach or does not fit; ``slack``, the cable hangs loose;
            ``unwrapped``, the cable has left the quadrant's groove and pulls at its nipple alone;
            ``lift-off``, the roller is clear of its face; ``run-off``, it is beyond an edge of it.
        pedal_angle_rad: Where it happens, or where the stretch begins. [rad]
        until_rad: Where the stretch ends; the same as pedal_angle_rad for the other kinds. [rad]
        lever_angle_rad: Of the lever there, or where the stretch begins; nan for ``no-solution``. [rad]
        rod: ``short`` or ``long`` for ``no-solution``: what the rod is; otherwise empty.
        where: Which part, where a linkage has several: ``first rod``, ``second rod``, ``near edge``,
            ``far edge``; otherwise empty.
    """

    kind: EventKind
    pedal_angle_rad: float
    until_rad: float
    lever_angle_rad: float
    rod: Literal["", "short", "long"] = ""
    where: str = ""


def find_events(linkage: Linkage, pedal_angle_end_rad: float) -> list[Event]:
    """All that a linkage must not do, from the pedal's rest stop to an angle.

    Each is a change of sign of a figure that the kind of linkage watches: for a rod a lock is a root of the
    closure's discriminant, a reversal a root of the numerator of the ratio; the latter does not show in the
    discriminant. They are found between samples, to 1e-9 rad. A stretch without solution begins and ends at
    locks, unless it begins or ends with the travel. A linkage cannot be driven through a lock: what comes
    after the first one is found, but is not reached by turning the pedal.

    Args:
        linkage: One linkage of any kind, no leading axes.
        pedal_angle_end_rad: End of the travel, positive. [rad]

    Returns:
        In order of pedal angle. An event exactly at an end of the travel counts.

    Raises:
        ValueError: many linkages at once, or an end that is not positive.

    Example:
        A rod that is shorter than the way from pin to pin, at any angle:

        >>> from conversion.linkage.geometry import RodLinkage
        >>> apart = RodLinkage(
        ...     pedal_pivot=[0, 0, 0], pedal_axis=[0, 0, 1], pedal_sense=1, pedal_pin_at_rest=[0, 40, 0],
        ...     module_pivot=[300, 0, 0], module_axis=[0, 0, 1], lever_sense=1,
        ...     lever_pin_at_rest_stop=[300, 60, 0], rod_length_mm=150)
        >>> [(event.kind, event.rod, event.until_rad) for event in find_events(apart, 0.5)]
        [('no-solution', 'short', 0.5)]
    """
    if not linkage.is_one:
        raise ValueError("find_events takes one linkage, not many along a leading axis")
    if not pedal_angle_end_rad > 0.0:
        raise ValueError("pedal_angle_end_rad must be positive")
    end = float(pedal_angle_end_rad)
    looked_at = np.linspace(-AT_END_RAD, end + AT_END_RAD, STEPS + 1)
    watches = solve(linkage, looked_at).watched()

    def follow(index: int) -> Callable[[Array], Array]:
        return lambda angle_rad: solve(linkage, angle_rad).watched()[index].value

    edges = {i: _roots(follow(i), looked_at) for i, watch in enumerate(watches) if watch.kind != "reversal"}
    pieces = _each_once(looked_at, *edges.values())
    locks = {
        watch.where: edges[i] + _dips(follow(i), looked_at, watch.touching)
        for i, watch in enumerate(watches)
        if watch.kind == "lock"
    }
    closing = [angle for i, watch in enumerate(watches) if watch.kind == "no-solution" for angle in edges[i]]
    events: list[Event] = []
    for i, watch in enumerate(watches):
        if watch.kind == "lock":
            angles = locks[watch.where]
        elif watch.happens is None:
            near = locks.get(watch.where, [])
            angles = [
                angle
                for angle in _roots(follow(i), pieces)
                if not any(abs(angle - lock) < ONE_EVENT_RAD for lock in near)
            ]
        else:
            events += _stretches(linkage, i, [*edges[i], *closing], end)
            continue
        events += [Event(watch.kind, at, at, _lever(linkage, at), where=watch.where) for at in _inside(angles, end)]
    return sorted(events, key=lambda event: (event.pedal_angle_rad, event.kind, event.where))


def _stretches(linkage: Linkage, index: int, edges: list[float], end: float) -> list[Event]:
    """Pieces between edges on which it happens, neighbouring pieces put together."""
    bounds = [0.0, *_inside(edges, end), end]
    found: list[Event] = []
    for start, stop in pairwise(bounds):
        if stop - start <= AT_END_RAD:
            continue
        middle = solve(linkage, [(start + stop) / 2])
        watch = middle.watched()[index]
        assert watch.happens is not None, "only stretches are asked for"
        if not watch.happens[0]:
            continue
        if found and found[-1].until_rad == start:
            start = found.pop().pedal_angle_rad
        if watch.kind == "no-solution":
            rod, where = middle.why_none()
            found.append(Event(watch.kind, start, stop, float("nan"), rod, where or watch.where))
        else:
            found.append(Event(watch.kind, start, stop, _lever(linkage, start), where=watch.where))
    return found


def _lever(linkage: Linkage, pedal_rad: float) -> float:
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


def _each_once(*places: Array | list[float]) -> Array:
    """All places in order. Sorted here, since numpy's own function loads its masked arrays, which takes long."""
    return np.array(sorted(set(np.concatenate(places).tolist())))


def _roots(function: Callable[[Array], Array], samples: Array) -> list[float]:
    """Places where a function changes sign, also twice between neighbouring samples; nan is no sign."""
    samples = _each_once(samples, [place for place, _ in _lowest(function, samples)])
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
    """Every local minimum of a function's distance from zero, followed down between samples: place, value.

    Only those that may come near zero: between samples a smooth function falls at most about a quarter of the
    way by which it rises to the neighbouring ones.
    """
    value = function(samples)
    size = np.where(np.isfinite(value), np.abs(value), np.inf)
    inner = (size[1:-1] <= size[:-2]) & (size[1:-1] <= size[2:])
    with np.errstate(invalid="ignore"):
        inner &= size[1:-1] <= NEAR_ZERO * (np.maximum(size[:-2], size[2:]) - size[1:-1])
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
