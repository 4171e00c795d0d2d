"""The checks that the description ascribes to the control unit: valid range and agreement.

A model of what is written in the description, never of a control unit's real software.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from conversion.description.parts import SensorInput
from conversion.sensing.sweep import SensorSweep, percent_of, taken_percent
from conversion.sensing.track_model import Array


@dataclass(frozen=True)
class Shorted:
    """What the control unit reads while the two signal outputs are joined without resistance; (positions,).

    Attributes:
        volts: On both inputs. [V]
        noticed: True where a described check notices it.
        percent: What would be acted on where nothing notices.
        pedal_percent: What the sound sensor would give there.
    """

    volts: Array
    noticed: NDArray[np.bool_]
    percent: Array
    pedal_percent: Array


def noticed(volts: dict[str, Array], sweep: SensorSweep, accepts: SensorInput) -> NDArray[np.bool_]:
    """Where the valid range of a track or the agreement of two tracks is violated.

    Args:
        volts: What each input reads; (positions,) each. [V]
        sweep: The sound sensor, for the scale of each track.
        accepts: The described checks.

    Returns:
        (positions,)
    """
    shape = np.shape(next(iter(volts.values())))
    found = np.zeros(shape, dtype=bool)
    for name, read in volts.items():
        window = accepts.tracks[name].valid if name in accepts.tracks else None
        if window is not None:
            found |= (read < window.low) | (read > window.high)
    agreement = accepts.agreement
    if agreement is None or agreement.at_most is None:
        return found
    for one, other in combinations([name for name in volts if name in accepts.tracks], 2):
        if agreement.of == "percent":
            apart = np.abs(
                percent_of(volts[one], sweep.tracks[one].scale_v)
                - percent_of(volts[other], sweep.tracks[other].scale_v)
            )
            found |= apart > 100.0 * agreement.at_most.nominal
        else:
            apart = np.abs(volts[one] - agreement.factor * volts[other])
            found |= apart > agreement.at_most.nominal
            if agreement.at_least is not None:
                found |= apart < agreement.at_least.nominal
    return found


def short_outputs(sweep: SensorSweep, accepts: SensorInput, one: str = "a", other: str = "b") -> Shorted:
    """Join the outputs of two tracks and read what comes of it.

    .. math:: V = (V_a / R_a + V_b / R_b) / (1 / R_a + 1 / R_b)

    Two outputs without any described resistance meet in the middle.
    """
    first, second = sweep.tracks[one], sweep.tracks[other]
    weight = first.source_ohm + second.source_ohm
    # The larger the resistance behind one output, the more the other prevails.
    share = np.divide(second.source_ohm, weight, out=np.full_like(weight, 0.5), where=weight > 0.0)
    volts = share * first.volts + (1.0 - share) * second.volts
    read = {name: track.volts for name, track in sweep.tracks.items()} | {one: volts, other: volts}
    percents = {name: sweep.tracks[name].percent_of(value) for name, value in read.items()}
    return Shorted(volts, noticed(read, sweep, accepts), taken_percent(percents, accepts), sweep.percent)
