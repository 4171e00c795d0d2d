"""Where on its way a track comes into a window of the control unit."""

from __future__ import annotations

import numpy as np

from conversion.quantities import Quantity
from conversion.sensing.track_model import TrackModel

_STEPS = 401


def position_in_window(model: TrackModel, window: Quantity, start: float, end: float) -> float | None:
    """The first position from a start toward an end at which the volts as planned lie in a window.

    Args:
        model: The track.
        window: In volts.
        start: Lever angle [rad] or opening to begin at.
        end: To look as far as; may lie on either side of the start.

    Returns:
        To a four-hundredth of the way; None where the track does not come into the window on that way.
    """
    way = np.linspace(start, end, _STEPS)
    volts = model.volts(way)
    inside = np.flatnonzero((volts >= window.low) & (volts <= window.high))
    return float(way[inside[0]]) if inside.size else None
