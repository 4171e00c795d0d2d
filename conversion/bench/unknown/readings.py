"""Resistances between the terminals of an unknown module, lever at rest and at full, and what contradicts in them.

Any network of resistors is a distance: the resistance between two terminals is never larger than by way of a third.
Readings that break this cannot all be right, or there is more than resistors inside.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

LEAK_OHM = 1e6
"""From here on a reading counts as open: two fingers, or damp, read as much. Common practice, no source."""

SURE = 3.0
"""How many times the meter's tolerance (root of the sum of squares) two figures must be apart to count as different."""


@dataclass(frozen=True)
class Contradiction:
    """Readings that no network of resistors gives.

    Attributes:
        position: Index of the lever's position.
        first, second: Terminals whose reading is larger than it can be.
        via: The terminal by way of which it is less.
        reason: The sentence, without the place.
    """

    position: int
    first: int
    second: int
    via: int
    reason: str


@dataclass(frozen=True)
class Readings:
    """What the meter showed, freed from its leads.

    Attributes:
        terminals: Names, as the builder writes them.
        positions: Names of the lever's positions; the first is at rest, the last at full.
        ohm: (positions, terminals, terminals), symmetric; NaN where unread, infinite where open. [Ω]
        tolerance_ohm: As `ohm`: how far a reading may be off; NaN where there is no finite reading. [Ω]
        swapped_ohm: (positions, terminals, terminals), the first terminal at the red lead: as read. [Ω]
        meter: The meter's tolerance: share of the reading, and ohms besides.
    """

    terminals: tuple[str, ...]
    positions: tuple[str, ...]
    ohm: Array
    tolerance_ohm: Array
    swapped_ohm: Array | None = None
    meter: tuple[float, float] = (0.01, 0.5)

    @property
    def read(self) -> npt.NDArray[np.bool_]:
        """(positions, terminals, terminals): where something was read, be it open."""
        return ~np.isnan(self.ohm)

    @property
    def closed(self) -> npt.NDArray[np.bool_]:
        """(positions, terminals, terminals): where a finite resistance was read."""
        return np.isfinite(self.ohm)

    def pairs(self) -> Iterator[tuple[int, int, int]]:
        """Position and both terminals of every pair, read or not."""
        for position in range(len(self.positions)):
            for first, second in itertools.combinations(range(len(self.terminals)), 2):
                yield position, first, second

    def without(self, position: int, first: int, second: int) -> Readings:
        """The same with one reading taken out."""
        ohm, tolerance = self.ohm.copy(), self.tolerance_ohm.copy()
        for i, j in ((first, second), (second, first)):
            ohm[position, i, j] = tolerance[position, i, j] = np.nan
        return replace(self, ohm=ohm, tolerance_ohm=tolerance)

    def of(self, terminals: list[int]) -> tuple[Array, Array]:
        """Resistances and tolerances between some of the terminals, (positions, pairs) in the order of combinations."""
        pairs = list(itertools.combinations(terminals, 2))
        first, second = [pair[0] for pair in pairs], [pair[1] for pair in pairs]
        return self.ohm[:, first, second], self.tolerance_ohm[:, first, second]

    def tolerance_of(self, ohm: Array) -> Array:
        """How far the meter may be off where it would read so much. [Ω]"""
        share, least = self.meter
        return np.hypot(share * ohm, least)

    def both_ways(self) -> bool:
        """Whether any pair was read with the leads swapped as well."""
        return self.swapped_ohm is not None and bool(self._twice().any())

    def _twice(self) -> npt.NDArray[np.bool_]:
        assert self.swapped_ohm is not None
        read = ~np.isnan(self.swapped_ohm)
        return np.triu(read & read.transpose(0, 2, 1), 1)

    def polarised(self) -> Iterator[tuple[int, int, int]]:
        """Pairs that read differently with the leads swapped: a sign of electronics, never of a resistor."""
        if self.swapped_ohm is None:
            return
        for position, first, second in np.argwhere(self._twice()).tolist():
            one, other = self.swapped_ohm[position, first, second], self.swapped_ohm[position, second, first]
            tolerance = self.tolerance_ohm[position, first, second]
            if np.isfinite(one) != np.isfinite(other) or (np.isfinite(one) and abs(one - other) > 2 * SURE * tolerance):
                yield position, first, second


def contradictions(readings: Readings) -> list[Contradiction]:
    """Every reading that is larger than by way of a third terminal, beyond what the meter leaves open.

    Said once a reading, by the shortest other way.
    """
    found = []
    for position, first, second in readings.pairs():
        direct = readings.ohm[position, first, second]
        if np.isnan(direct):
            continue
        legs = readings.ohm[position, first] + readings.ohm[position, :, second]
        legs[[first, second]] = np.nan
        if not np.isfinite(legs).any():
            continue
        via = int(np.nanargmin(np.where(np.isfinite(legs), legs, np.nan)))
        off = readings.tolerance_ohm[position]
        spread = float(np.sqrt(np.nansum([off[first, second] ** 2, off[first, via] ** 2, off[via, second] ** 2])))
        if direct - legs[via] > SURE * spread:
            found.append(Contradiction(position, first, second, via, _larger(readings, direct, float(legs[via]), via)))
    return found


def _larger(readings: Readings, direct: float, around: float, via: int) -> str:
    from conversion.quantities import show

    shown = "open" if np.isinf(direct) else show(direct, "resistance")
    return (
        f"{shown} was read, but by way of terminal {readings.terminals[via]} there are only "
        f"{show(around, 'resistance')}; between two terminals there is never more than by way of a third"
    )
