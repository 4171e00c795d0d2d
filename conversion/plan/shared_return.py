"""What a bad joint in a return conductor that two tracks share does to both, and whether the checks would notice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from conversion.description import Description
from conversion.description.parts import SensorInput
from conversion.sensing.checks import noticed
from conversion.sensing.gather import GatheredTrack
from conversion.sensing.poor_contact import volts_with_return_resistance
from conversion.sensing.sweep import SensorSweep
from conversion.sensing.track_model import Array


@dataclass(frozen=True)
class SharedReturn:
    """The pedal's tracks with a resistance in their shared return; arrays are (positions,).

    Attributes:
        ohm: The resistance. [Ω]
        rise_percent: By how much each track reads higher than the sound one.
        apart_percent: How far the two are from each other then.
        noticed: Where a described check notices it.
    """

    ohm: float
    rise_percent: dict[str, Array]
    apart_percent: Array
    noticed: np.ndarray


def pedal_with_shared_return(
    description: Description,
    tracks: dict[str, GatheredTrack],
    sweep: SensorSweep,
    accepts: SensorInput,
    pair: Sequence[str],
    ohm: float,
) -> SharedReturn:
    """Put a resistance into the return that two tracks of the pedal share.

    Raises:
        Missing: The current of a track that is no potentiometer is not known.
    """
    module = description.pedal_module
    assert module is not None, "its tracks were gathered"
    reference, part = module
    drawn = {}
    for name, form in part.tracks.items():
        if name in pair and form.principle != "potentiometer":
            why = "what a bad joint in the shared ground does cannot be computed"
            path = ("tracks", name, "supply_current")
            drawn[str(name)] = description.part_need(form.supply_current, why, reference, *path).nominal
        elif name in pair:
            why = "what a bad joint in the shared ground does cannot be computed"
            description.part_need(form.resistance, why, reference, "tracks", name, "resistance")
    models = {name: tracks[name].model for name in pair}
    read = volts_with_return_resistance(models, drawn, sweep.position, ohm)
    everything = {name: track.volts for name, track in sweep.tracks.items()} | read
    percents = {name: sweep.tracks[name].percent_of(value) for name, value in read.items()}
    return SharedReturn(
        ohm,
        {name: value - sweep.tracks[name].percent for name, value in percents.items()},
        np.abs(percents[pair[0]] - percents[pair[1]]),
        noticed(everything, sweep, accepts),
    )
