"""A search as numbers, and what is seen of its candidates at some or all positions of the travel."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from conversion.linkage import Linkage, RodLinkage, find_events
from conversion.study.sampling import Array
from conversion.study.search_grid import Grid, Numbers
from conversion.study.search_motion import Moving, Rods, over_travel, pedal_at_lever, rods_of
from conversion.study.search_moves import BY_KIND, Thread, moved, picked
from conversion.study.search_wants import Looked, Wants

POSITIONS = 41
ALL = tuple(range(POSITIONS))
COARSE = (0, 10, 20, 30, 40)
"""Positions of the first look, among :data:`ALL`, the two ends and the middle with them."""
# A pedal does not turn farther than this. [rad]
FARTHEST_RAD = 1.5


@dataclass(frozen=True)
class Table:
    """A moment over an angle, straight between its points.

    Attributes:
        angle_rad: Rising, (points,). [rad]
        moment_nm: (points,). [N·m]
    """

    angle_rad: Array
    moment_nm: Array

    def at(self, angle_rad: Array) -> Array:
        """The moment at each angle; that of the nearest end outside, nan for nan. [N·m]"""
        found: Array = np.interp(angle_rad, self.angle_rad, self.moment_nm)
        return found


@dataclass(frozen=True)
class Loads:
    """What the foot has to overcome.

    Attributes:
        pedal: Returning moment of springs and weight about the pedal axis over pedal angle.
        lever: Returning moment of springs about the lever's axis over lever angle.
        pedal_friction_nm: About the pedal axis. [N·m]
        lever_friction_nm: About the lever's axis. [N·m]
    """

    pedal: Table
    lever: Table
    pedal_friction_nm: float
    lever_friction_nm: float


@dataclass(frozen=True)
class SearchCase:
    """What may move, what does not, and what is wanted.

    Attributes:
        linkage: As described; one, of a kind that can be searched.
        grid: What may move.
        wants: What is wanted.
        pad_radius_mm: Of the arc on which pad travel is measured. [mm]
        swing_rad: Between the module's own stops: nominal and least. [rad]
        rest_rad: Lever angle at rest to which the link is adjusted unless ``rest_rad`` is an axis; None where it
            is not adjusted. [rad]
        rest_minus_rad: How far that may come out below. [rad]
        thread: Of the rod; None where it can be set to any length.
        full_rad: Lever angle at which the full stop is set unless ``full_rad`` is an axis; None for a stop that is
            placed by pad travel. [rad]
        full_plus_rad: How far that may come out above. [rad]
        full_mm: Pad travel of a stop that is placed by it. [mm]
        full_plus_mm: How far that may come out above. [mm]
        loads: None where the force at the pad is not known.

    Raises:
        ValueError: a kind or an axis that cannot be searched, or no full stop.
    """

    linkage: Linkage
    grid: Grid
    wants: Wants
    pad_radius_mm: float
    swing_rad: tuple[float, float]
    rest_rad: float | None = None
    rest_minus_rad: float = 0.0
    thread: Thread | None = None
    full_rad: float | None = None
    full_plus_rad: float = 0.0
    full_mm: float | None = None
    full_plus_mm: float = 0.0
    loads: Loads | None = None

    def __post_init__(self) -> None:
        allowed = BY_KIND.get(type(self.linkage), ())
        axes = [axis.name for axis in self.grid.axes]
        if not axes or not set(axes) <= set(allowed):
            raise ValueError(f"of {type(self.linkage).__name__} may move {', '.join(allowed) or 'nothing'}, not {axes}")
        if self.full_mm is None and self.full_rad is None and "full_rad" not in axes:
            raise ValueError("give full_rad or full_mm")


@dataclass(frozen=True)
class Candidates:
    """Many candidates as linkages.

    Attributes:
        numbers: In the grid, (samples,).
        linkage: All of them.
        rods: The same as numbers, for rods.
        pedal_full_rad: Pedal angle at the full stop, nan where the lever cannot be brought there, (samples,). [rad]
        rod_mm: Length of the rod that is set, nan where there is none, (samples,). [mm]
    """

    numbers: Numbers
    linkage: Linkage
    rods: Rods | None
    pedal_full_rad: Array
    rod_mm: Array


def made(case: SearchCase, numbers: Numbers) -> Candidates:
    """The linkages of some numbers of the grid, rounded to what can be made."""
    return _made(case, numbers, case.grid.settings(numbers), case.thread)


def as_described(case: SearchCase) -> Candidates:
    """The linkage as it is described, as the only candidate; it has no number in the grid."""
    return _made(case, np.array([-1]), {}, None)


def _made(case: SearchCase, numbers: Numbers, settings: Mapping[str, Array], thread: Thread | None) -> Candidates:
    samples = len(numbers)
    aim = settings.get("rest_rad", case.rest_rad)
    linkage = moved(case.linkage, settings, thread, None if aim is None else np.asarray(aim))
    rods = rods_of(linkage, samples) if isinstance(linkage, RodLinkage) else None
    if case.full_mm is not None and "full_rad" not in settings:
        pedal_full = np.full(samples, case.full_mm / case.pad_radius_mm)
    else:
        at = np.broadcast_to(np.asarray(settings.get("full_rad", case.full_rad), dtype=np.float64), samples)
        pedal_full = pedal_at_lever(linkage, rods, at)
    rod = np.full(samples, np.nan)
    if linkage.ADJUSTED.endswith("length_mm"):
        rod = np.broadcast_to(getattr(linkage, linkage.ADJUSTED), samples)
    in_reach = (pedal_full > 0.0) & (pedal_full < FARTHEST_RAD)
    return Candidates(numbers, linkage, rods, np.where(in_reach, pedal_full, np.nan), rod)


def moving(candidates: Candidates, positions: tuple[int, ...]) -> Moving:
    """The motion of candidates at some of the positions."""
    shares = np.array(positions) / (POSITIONS - 1)
    # One that has no full stop is followed a little way, so that no array has to leave it out; it fails anyway.
    full = np.where(np.isfinite(candidates.pedal_full_rad), candidates.pedal_full_rad, 0.1)
    return over_travel(candidates.linkage, candidates.rods, full[:, None] * shares)


def look(case: SearchCase, candidates: Candidates, positions: tuple[int, ...]) -> tuple[Looked, NDArray[np.bool_]]:
    """What is seen of candidates at some positions, and of which it is proven that nothing happens between them.

    **No reversal between positions.** Let the rod not lock between two positions, the ratio be positive at both and
    the lever angle be higher at the second. Then the lever goes on all the way. Else it would rise to a highest
    place, fall to a lowest one and rise again, and some lever angle would be passed three times. But at a fixed
    lever angle the closure reads R + P cos θ + Q sin θ = 0, which has at most two pedal angles in a turn. So for
    rods ``unlocked`` and ``goes_on`` together are a proof; the others need :func:`has_event`.
    """
    seen = moving(candidates, positions)
    shares = np.array(positions) / (POSITIONS - 1)
    lever, ratio = seen.lever_rad, seen.ratio
    with np.errstate(invalid="ignore", divide="ignore"):
        sweep = lever[:, -1] - lever[:, 0]
        goes_on = np.isfinite(candidates.pedal_full_rad) & (np.diff(lever, axis=1) > 0.0).all(axis=1)
        goes_on &= (ratio > 0.0).all(axis=1)
        wanted = np.interp(shares, case.wants.pad_shares, case.wants.lever_shares)
        off = np.max(np.abs((lever - lever[:, :1]) / sweep[:, None] - wanted), axis=1)
        full_plus = case.full_plus_rad + ratio[:, -1] * (case.full_plus_mm / case.pad_radius_mm)
        margin = np.minimum(lever[:, 0] - case.rest_minus_rad, case.swing_rad[1] - lever[:, -1] - full_plus)
        # Of a cable only the pedal's end has such an angle.
        square = np.nan_to_num(np.fmin(seen.square_lever, seen.square_pedal), nan=1.0)
        transmission = np.arcsin(np.minimum(np.min(square, axis=1), 1.0))
    force = _force_n(case, seen)
    thread = case.thread or Thread(0.0, 1.0)
    fits = np.isnan(candidates.rod_mm) | (
        (candidates.rod_mm >= thread.least_mm - 1e-9) & (candidates.rod_mm <= thread.most_mm + 1e-9)
    )
    looked = Looked(
        goes_on=goes_on,
        lever_at_rest_rad=lever[:, 0],
        below_full_rad=case.swing_rad[0] - lever[:, -1],
        sweep=sweep / case.swing_rad[0],
        pad_travel_mm=candidates.pedal_full_rad * case.pad_radius_mm,
        rod_mm=candidates.rod_mm,
        rod_fits=fits,
        off_feel=off,
        margin_rad=margin,
        transmission_rad=np.where(np.isfinite(lever).all(axis=1), transmission, np.nan),
        force_least_n=force.min(axis=1),
        force_most_n=force.max(axis=1),
    )
    return looked, seen.unlocked & goes_on


def _force_n(case: SearchCase, seen: Moving) -> Array:
    """Force at the pad while pressing and the lever goes on, as in the return study, (samples, positions). [N]"""
    loads = case.loads
    if loads is None:
        return np.full(seen.lever_rad.shape, np.nan)
    lever = loads.lever.at(seen.lever_rad) + loads.lever_friction_nm
    if case.linkage.one_way:
        lever = np.maximum(lever, 0.0)
    moment = loads.pedal.at(seen.pedal_rad) + loads.pedal_friction_nm + seen.link_moment_nm + seen.ratio * lever
    return moment * (1000.0 / case.pad_radius_mm)


def has_event(case: SearchCase, candidates: Candidates, index: int) -> bool:
    """Whether one of the candidates locks, turns back or loses its hold anywhere in its travel."""
    end = float(candidates.pedal_full_rad[index])
    return not end > 0.0 or bool(find_events(picked(candidates.linkage, index), end))


def settings_of(case: SearchCase, number: int) -> Mapping[str, float]:
    """What each axis is set to, of one candidate."""
    return {name: float(values[0]) for name, values in case.grid.settings(np.array([number])).items()}
