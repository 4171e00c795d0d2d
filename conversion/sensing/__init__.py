"""From the lever to volts, and to what the control unit makes of them."""

from conversion.sensing.checks import Shorted, noticed, short_outputs
from conversion.sensing.gather import GatheredTrack, Sensor, gather_tracks, sensor_input
from conversion.sensing.sweep import Difference, SensorSweep, TrackSweep, percent_of, sweep_sensor
from conversion.sensing.track_model import PullTo, Span, TrackModel, loaded_volts

__all__ = [
    "Difference", "GatheredTrack", "PullTo", "Sensor", "SensorSweep", "Shorted", "Span", "TrackModel", "TrackSweep",
    "gather_tracks", "loaded_volts", "noticed", "percent_of", "sensor_input", "short_outputs", "sweep_sensor",
]  # fmt: skip
