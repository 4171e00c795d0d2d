"""A sensor over its whole movement: volts of each track, per cent as the control unit computes, agreement."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from conversion.description.parts import Agreement, SensorInput
from conversion.sensing.gather import GatheredTrack
from conversion.sensing.track_model import Array


@dataclass(frozen=True)
class TrackSweep:
    """One track over the movement; every array is (positions,).

    Attributes:
        volts: Nominal volts at the control unit. [V]
        volts_min: Least volts over all corners of tolerance. [V]
        volts_max: Greatest volts over all corners of tolerance. [V]
        percent: Per cent as the control unit computes from this track alone, never clipped; nan without a scale.
        percent_min: Least per cent; a learned scale is learned anew in every electrical corner.
        percent_max: Greatest per cent.
        source_ohm: Resistance behind the volts. [Ω]
        scale_v: Volts that count as 0 % and as 100 %. [V]
    """

    volts: Array
    volts_min: Array
    volts_max: Array
    percent: Array
    percent_min: Array
    percent_max: Array
    source_ohm: Array
    scale_v: tuple[float, float] | None

    def percent_of(self, volts: Array) -> Array:
        """Per cent that the control unit makes of any volts of this track."""
        return percent_of(volts, self.scale_v)


@dataclass(frozen=True)
class Difference:
    """How far two tracks are apart over the movement; every array is (positions,).

    Attributes:
        tracks: The two tracks.
        of: ``percent`` or ``volts``; what the control unit compares.
        nominal: Difference as planned, signed for volts (a − factor·b), unsigned for per cent.
        least: Least magnitude over the tolerances.
        most: Greatest magnitude over the tolerances.
    """

    tracks: tuple[str, str]
    of: str
    nominal: Array
    least: Array
    most: Array


@dataclass(frozen=True)
class SensorSweep:
    """A position sensor over the whole movement of what moves it.

    Attributes:
        position: Lever angle [rad] or opening as a share; (positions,).
        tracks: Sweep of each track.
        percent: What the control unit acts on; (positions,).
        differences: Of every pair of tracks, as the control unit compares them; empty where it does not.
    """

    position: Array
    tracks: dict[str, TrackSweep]
    percent: Array
    differences: tuple[Difference, ...]


def percent_of(volts: Array, scale_v: tuple[float, float] | None) -> Array:
    """Per cent of the way from the volts at rest to the volts at full, never clipped; nan without a scale.

    Example:
        >>> percent_of(np.array([0.5, 2.5, 5.0]), (0.5, 4.5)).tolist()
        [0.0, 50.0, 112.5]
    """
    if scale_v is None or scale_v[0] == scale_v[1]:
        return np.full(np.shape(volts), np.nan)
    return 100.0 * (np.asarray(volts) - scale_v[0]) / (scale_v[1] - scale_v[0])


def sweep_sensor(
    tracks: dict[str, GatheredTrack], accepts: SensorInput | None, position: Array, low: Array, high: Array
) -> SensorSweep:
    """Volts, per cent and agreement of every track over the movement.

    Args:
        tracks: The gathered tracks.
        accepts: What the control unit accepts; None where it reads no such sensor.
        position: Nominal position of lever or plate, first at rest, last at full; (positions,).
        low: Least position over the tolerances of what moves it; (positions,).
        high: Greatest position over the tolerances of what moves it; (positions,).

    Returns:
        The sweep.
    """
    sweeps = {
        name: _sweep_track(gathered, accepts.scale if accepts else None, position, low, high)
        for name, gathered in tracks.items()
    }
    taken = taken_percent({name: sweep.percent for name, sweep in sweeps.items()}, accepts)
    differences: tuple[Difference, ...] = ()
    if accepts and accepts.agreement:
        read = [name for name in sweeps if name in accepts.tracks]
        differences = tuple(
            _difference(sweeps[one], sweeps[other], (one, other), accepts.agreement)
            for one, other in combinations(read, 2)
        )
    return SensorSweep(position, sweeps, taken, differences)


def taken_percent(percents: dict[str, Array], accepts: SensorInput | None) -> Array:
    """The per cent that the control unit acts on, of those that it computes from each track; (positions,)."""
    read = [values for name, values in percents.items() if accepts and name in accepts.tracks]
    if not read or accepts is None:
        some = next(iter(percents.values()))
        return np.full(np.shape(some), np.nan)
    if accepts.takes == "a":
        return percents["a"] if "a" in percents else np.full(np.shape(read[0]), np.nan)
    combine = {"smaller": np.min, "larger": np.max, "mean": np.mean}[accepts.takes]
    return np.asarray(combine(np.array(read), axis=0))


def _sweep_track(gathered: GatheredTrack, scale: str | None, position: Array, low: Array, high: Array) -> TrackSweep:
    model, accepts = gathered.model, gathered.accepts
    volts = model.volts(position)
    corners = model.corner_volts(position)
    everywhere = np.concatenate([corners, model.corner_volts(low), model.corner_volts(high), volts[None, :]])
    scale_v: tuple[float, float] | None = None
    percent_corners = np.full_like(volts, np.nan)[None, :]
    if scale == "learned":
        scale_v = (float(volts[0]), float(volts[-1]))
        span = corners[:, -1:] - corners[:, :1]
        with np.errstate(divide="ignore", invalid="ignore"):
            percent_corners = 100.0 * (corners - corners[:, :1]) / span
    elif scale == "fixed" and accepts and accepts.rest and accepts.full:
        scale_v = (accepts.rest.nominal, accepts.full.nominal)
        percent_corners = percent_of(everywhere, scale_v)
    return TrackSweep(
        volts=volts,
        volts_min=everywhere.min(axis=0),
        volts_max=everywhere.max(axis=0),
        percent=percent_of(volts, scale_v),
        percent_min=percent_corners.min(axis=0),
        percent_max=percent_corners.max(axis=0),
        source_ohm=model.source_at_input_ohm(position),
        scale_v=scale_v,
    )


def _difference(one: TrackSweep, other: TrackSweep, names: tuple[str, str], agreement: Agreement) -> Difference:
    if agreement.of == "percent":
        nominal = np.abs(one.percent - other.percent)
        lower, upper = one.percent_min - other.percent_max, one.percent_max - other.percent_min
    else:
        factor = agreement.factor
        nominal = one.volts - factor * other.volts
        lower, upper = one.volts_min - factor * other.volts_max, one.volts_max - factor * other.volts_min
    least = np.where((lower <= 0.0) & (upper >= 0.0), 0.0, np.minimum(np.abs(lower), np.abs(upper)))
    return Difference(names, agreement.of, nominal, least, np.maximum(np.abs(lower), np.abs(upper)))
