"""Whether two tracks can be told apart: their outputs over the lever's swing, tolerances included."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.sensing.track_model import Array, TrackModel

_POSITIONS = 41
_ALIKE_SHARE = 0.01
"""Of the supply: outputs that are nearer than this everywhere count as the same whatever their tolerance."""


@dataclass(frozen=True)
class Likeness:
    """Two tracks over the module's own swing.

    Attributes:
        same: True where the bands of both tracks overlap everywhere, or the tracks nowhere differ by more than a
            hundredth of the supply.
        most_apart_v: Greatest difference of the nominal volts. [V]
        least_apart_v: Least difference. [V]
        parallel: True where both slopes have one sign and differ by less than a tenth.
    """

    same: bool
    most_apart_v: float
    least_apart_v: float
    parallel: bool


def compare_tracks(one: TrackModel, other: TrackModel) -> Likeness:
    """Compare the volts of two tracks from the module's rest stop to the end of the longer table."""
    start, end = (max(model.position[place] for model in (one, other)) for place in (0, -1))
    position = np.linspace(start, end, _POSITIONS)
    first, second = one.volts(position), other.volts(position)
    apart = np.abs(first - second)
    supply_v = max(one.supply_v.nominal, other.supply_v.nominal)
    overlap = _overlap(one.corner_volts(position), other.corner_volts(position))
    slopes = first[-1] - first[0], second[-1] - second[0]
    return Likeness(
        same=bool(np.all(overlap)) or float(apart.max()) <= _ALIKE_SHARE * supply_v,
        most_apart_v=float(apart.max()),
        least_apart_v=float(apart.min()),
        parallel=bool(slopes[0] * slopes[1] > 0.0 and abs(slopes[0] - slopes[1]) < 0.1 * max(map(abs, slopes))),
    )


def _overlap(first: Array, second: Array) -> Array:
    return np.asarray((first.min(axis=0) <= second.max(axis=0)) & (second.min(axis=0) <= first.max(axis=0)))
