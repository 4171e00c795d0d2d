"""A single fault as numbers and words: what it does to the circuit or to what moves it, and where it can happen."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

Kind = Literal[
    "open", "contact", "bridge", "to-chassis", "to-supply", "to-battery", "supply-low", "supply-missing",
    "supply-dragged", "ground-lifted", "track-stuck", "link-parted", "spring-broken",
]  # fmt: skip

KIND_WORDS: dict[Kind, str] = {
    "open": "conductor or contact open",
    "contact": "contact with resistance",
    "bridge": "neighbouring conductors bridged",
    "to-chassis": "conductor on the body",
    "to-supply": "conductor on its own supply",
    "to-battery": "conductor on battery positive",
    "supply-low": "sensor supply low",
    "supply-missing": "sensor supply missing",
    "supply-dragged": "sensor supply dragged down by another load",
    "ground-lifted": "ground lifted by the motor's current",
    "track-stuck": "track stuck",
    "link-parted": "link parted",
    "spring-broken": "spring broken",
}
"""What each kind is called where people read it."""

INSULATING_OHM = 1e6
"""A bridge of more than this is taken for sound insulation. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Joined:
    """Two nodes that should not touch are joined through some resistance.

    Attributes:
        a: One node.
        b: The other.
        ohm: Least and greatest resistance of the bridge; 0 is a dead short. [Ω]
    """

    a: str
    b: str
    ohm: tuple[float, float] = (0.0, INSULATING_OHM)

    @property
    def siemens(self) -> tuple[float, float]:
        """Least and greatest conductance that appears between the nodes; ``inf`` is a dead short. [S]"""
        least, most = self.ohm
        return 1.0 / most, math.inf if least == 0.0 else 1.0 / least


@dataclass(frozen=True, slots=True)
class Weakened:
    """A resistor of the circuit gains resistance in series, up to being open.

    Attributes:
        element: Its name in the network.
        a: One of its nodes.
        b: The other.
        element_ohm: Its own resistance while sound. [Ω]
        added_ohm: Least and greatest resistance that is added; ``(inf, inf)`` where it is open. [Ω]
    """

    element: str
    a: str
    b: str
    element_ohm: float
    added_ohm: tuple[float, float] = (math.inf, math.inf)

    @property
    def siemens(self) -> tuple[float, float]:
        """Least and greatest change of the conductance between the nodes; never above 0. [S]

        Example:
            >>> Weakened("contact", "x", "y", 0.01).siemens
            (-100.0, -100.0)
        """
        low, high = (1.0 / (self.element_ohm + added) - 1.0 / self.element_ohm for added in reversed(self.added_ohm))
        return low, high

    @property
    def is_open(self) -> bool:
        """Whether nothing but an open element is meant."""
        return math.isinf(self.added_ohm[0])


@dataclass(frozen=True, slots=True)
class Resupplied:
    """A sensor supply gives other volts than it should, or nothing at all.

    Attributes:
        source: Name of the source in the network.
        volts: Least and greatest volts that it gives instead; None where it is open, so that nothing holds it. [V]
    """

    source: str
    volts: tuple[float, float] | None


@dataclass(frozen=True, slots=True)
class Held:
    """Tracks that stay at a position where they once were, whatever the others do.

    Attributes:
        tracks: Their names.
    """

    tracks: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Moved:
    """What moves the sensor fails: the circuit is sound, and stands somewhere else than the foot says.

    Attributes:
        position: Where the sensor stands then, in the unit of the sweep; None where it follows the foot, or may stay
            anywhere it has been.
        returns: Whether it comes back once the foot is off; None where that cannot be said.
    """

    position: float | None
    returns: bool | None

    @property
    def follows(self) -> bool:
        """Whether the sensor still stands where the foot says: a spring is out, and the others bring it back."""
        return self.position is None and self.returns is True


Alteration = Joined | Weakened | Resupplied | Held | Moved


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault that can happen in the car as it is described.

    Attributes:
        name: For people, such as ``W4 and W7 bridged in housing A of K1, places 20 and 21``; no two are alike.
        kind: Its kind.
        sensor: ``pedal`` or ``throttle``: whose readings are judged.
        change: What it does.
        place: Group of places for tables, such as ``housing A of K1`` or ``run board-pedal``.
        places: Every place at which it can happen, in words, the one that ``name`` tells first.
        conductors: Tags of the wires and names of the terminals that it concerns.
        needs_history: Whether a reading at one moment cannot show it, however the checks are made.
    """

    name: str
    kind: Kind
    sensor: str
    change: Alteration
    place: str
    places: tuple[str, ...]
    conductors: tuple[str, ...] = ()
    needs_history: bool = False
