"""What a pressed brake does to an opening that no check notices: it takes the demand back, and notices nothing.

It acts on the per cent that is taken of the pedal, and of the throttle on what was asked, so that an engine that opens
too far at little demand goes on. A plate that stays open with nothing asked cannot be closed by taking the demand back.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.faults.believing import Array
from conversion.faults.verdict import HIGHER_BY_PERCENT

Outcome = Literal["cut", "cut in part", "not cut", "undecided", "none described"]
_NOTHING = 1e-6
OUTCOMES: tuple[Outcome, ...] = ("cut", "cut in part", "not cut", "undecided", "none described")


@dataclass(frozen=True)
class Override:
    """A described brake override.

    Attributes:
        above_percent: With the brake pressed, more than this is not acted on; nan where no figure is known.
        within_s: Time after which it is taken back; nan where none is known. [s]
    """

    above_percent: float
    within_s: float


@dataclass(frozen=True)
class Braked:
    """What becomes of one fault with the brake pressed.

    Attributes:
        outcome: ``cut`` where the override acts at every position at which the engine opens too far; ``cut in part``
            at some of them; ``undecided`` where the figure is not known.
        left_percent: Greatest opening of the plate that stays with nothing asked; 0 for a pedal.
    """

    outcome: Outcome
    left_percent: float = 0.0


def braked(override: Override | None, sound_percent: Array, rise_percent: Array, *, plate: bool) -> Braked | None:
    """Whether a brake override would cut what opens too far; None where nothing does.

    Args:
        override: As described; None where none is.
        sound_percent: Of the sound pedal, or of the plate; (positions,).
        rise_percent: Greatest unnoticed rise there; (positions,).
        plate: Whether the positions are those of the plate, which opens farther than is asked.

    Example:
        A pedal that gives 30 points too much everywhere; with the foot off 30 % are taken, which is more than 25 %:

        >>> pedal, rise = np.array([0.0, 50.0]), np.array([30.0, 30.0])
        >>> braked(Override(25.0, 1.0), pedal, rise, plate=False).outcome
        'cut'
        >>> braked(Override(40.0, 1.0), pedal, rise, plate=False).outcome
        'cut in part'
    """
    higher = rise_percent > HIGHER_BY_PERCENT
    if not higher.any():
        return None
    if override is None:
        return Braked("none described")
    if math.isnan(override.above_percent):
        return Braked("undecided")
    # Nothing above 100 % is ever asked.
    asked = sound_percent - rise_percent if plate else np.minimum(sound_percent + rise_percent, 100.0)
    left = float(rise_percent[higher & (asked <= _NOTHING)].max(initial=0.0)) if plate else 0.0
    acts = asked[higher] > override.above_percent + _NOTHING
    if left > HIGHER_BY_PERCENT or not acts.any():
        return Braked("not cut", left)
    return Braked("cut" if acts.all() else "cut in part", left)
