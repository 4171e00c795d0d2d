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
    swept = {
        name: _sweep_track(gathered, accepts.scale if accepts else None, position, low, high)
        for name, gathered in tracks.items()
    }
    sweeps = {name: sweep for name, (sweep, _) in swept.items()}
    taken = taken_percent({name: sweep.percent for name, sweep in sweeps.items()}, accepts)
    differences: tuple[Difference, ...] = ()
    if accepts and accepts.agreement:
        read = [name for name in sweeps if name in accepts.tracks]
        differences = tuple(
            _difference(swept[one], swept[other], (one, other), accepts.agreement)
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
    if accepts.takes == "mean":
        return np.asarray(np.mean(read, axis=0))
    return np.asarray(np.min(read, axis=0) if accepts.takes == "smaller" else np.max(read, axis=0))


@dataclass(frozen=True)
class _Bands:
    """A track over all electrical corners, once for each lever position in :func:`sweep_sensor`: (3, positions)."""

    volts_min: Array
    volts_max: Array
    percent_min: Array
    percent_max: Array


def _sweep_track(
    gathered: GatheredTrack, scale: str | None, position: Array, low: Array, high: Array
) -> tuple[TrackSweep, _Bands]:
    model, accepts = gathered.model, gathered.accepts
    volts = model.volts(position)
    corners = np.stack([np.vstack([model.corner_volts(at), model.volts(at)]) for at in (position, low, high)])
    scale_v: tuple[float, float] | None = None
    percents = np.full_like(corners, np.nan)
    if scale == "learned":
        scale_v = (float(volts[0]), float(volts[-1]))
        # Learned anew in every corner, with the lever wherever it stands then.
        as_learned = corners[0]
        with np.errstate(divide="ignore", invalid="ignore"):
            share = (as_learned - as_learned[:, :1]) / (as_learned[:, -1:] - as_learned[:, :1])
        percents = np.broadcast_to(100.0 * share, corners.shape)
    elif scale == "fixed" and accepts and accepts.rest and accepts.full:
        scale_v = (accepts.rest.nominal, accepts.full.nominal)
        percents = percent_of(corners, scale_v)
    bands = _Bands(corners.min(axis=1), corners.max(axis=1), percents.min(axis=1), percents.max(axis=1))
    sweep = TrackSweep(
        volts=volts,
        volts_min=bands.volts_min.min(axis=0),
        volts_max=bands.volts_max.max(axis=0),
        percent=percent_of(volts, scale_v),
        percent_min=bands.percent_min.min(axis=0),
        percent_max=bands.percent_max.max(axis=0),
        source_ohm=model.source_at_input_ohm(position),
        scale_v=scale_v,
    )
    return sweep, bands


def _difference(
    first: tuple[TrackSweep, _Bands], second: tuple[TrackSweep, _Bands], names: tuple[str, str], agreement: Agreement
) -> Difference:
    """One lever moves both tracks, so their bands are compared at one lever position at a time."""
    (one, one_bands), (other, other_bands) = first, second
    if agreement.of == "percent":
        nominal = np.abs(one.percent - other.percent)
        lower = one_bands.percent_min - other_bands.percent_max
        upper = one_bands.percent_max - other_bands.percent_min
    else:
        factor = agreement.factor
        nominal = one.volts - factor * other.volts
        lower = one_bands.volts_min - factor * other_bands.volts_max
        upper = one_bands.volts_max - factor * other_bands.volts_min
    least = np.where((lower <= 0.0) & (upper >= 0.0), 0.0, np.minimum(np.abs(lower), np.abs(upper)))
    most = np.maximum(np.abs(lower), np.abs(upper))
    return Difference(names, agreement.of, nominal, least.min(axis=0), most.max(axis=0))
