"""Voltage drop on the whole way out and back, and which wires to raise so that it stays within what is allowed."""

from __future__ import annotations

import heapq
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from conversion.loom.standard_sizes import STANDARD_MM2

CONTINUOUS_V = 0.5
INTERMITTENT_V = 1.0
"""Greatest drop in a 14 V system: FAA AC 43.13-1B, table 11-6 (from memory)."""

_ROUNDING = 1.0 + 1e-9


@dataclass(frozen=True, slots=True)
class Copper:
    """What the wires of a loom are made of.

    Attributes:
        ohm_per_m: Resistance by tag and size [mm²], at the temperature that the wire then has. [Ω/m]
        length_m: By tag; wires of unknown length are left out. [m]
    """

    ohm_per_m: Callable[[str, float], float]
    length_m: Mapping[str, float]

    def ohm(self, tag: str, size_mm2: float) -> float | None:
        """Resistance of a wire; None where its length is not known. [Ω]"""
        length_m = self.length_m.get(tag)
        return None if length_m is None else length_m * self.ohm_per_m(tag, size_mm2)


@dataclass(frozen=True, slots=True)
class Loop:
    """The way of one load's current, from the supply to the load and back.

    Attributes:
        load: What the current is for.
        allowed_v: Greatest drop over all wires together. [V]
        currents_a: Wires of the way -> current in each, that of other loads included. [A]
    """

    load: str
    allowed_v: float
    currents_a: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class LoopDrop:
    """What a load loses on its way.

    Attributes:
        load: What the current is for.
        drop_v: Over all wires whose length is known. [V]
        allowed_v: Greatest that is allowed. [V]
        by_wire_v: Tags of the way, in order, with the drop over each; nan where the length is not known. [V]
    """

    load: str
    drop_v: float
    allowed_v: float
    by_wire_v: Mapping[str, float]

    @property
    def enough(self) -> bool:
        """Whether the drop stays within what is allowed."""
        return self.drop_v <= self.allowed_v * _ROUNDING


@dataclass(frozen=True, slots=True)
class Raised:
    """A wire that the drop asks to be thicker than its other limits do.

    Attributes:
        size_mm2: What it needs. [mm²]
        load: The load that asks for it.
        before_v: What that load would lose on its whole way with what the other limits ask. [V]
        allowed_v: What it may lose. [V]
    """

    size_mm2: float
    load: str
    before_v: float
    allowed_v: float


def dropped(loop: Loop, sizes_mm2: Mapping[str, float], copper: Copper) -> LoopDrop:
    """The drop of a load with the sizes that its wires have.

    Example:
        >>> copper = Copper(lambda tag, size: 0.02 / size, {"W1": 3.0, "W2": 2.0})
        >>> round(dropped(Loop("lamp", 0.5, {"W1": 2.0, "W2": 2.0}), {"W1": 1.0, "W2": 0.5}, copper).drop_v, 3)
        0.28
    """
    known = {tag: copper.ohm(tag, sizes_mm2[tag]) for tag in loop.currents_a}
    by_wire = {tag: float("nan") if ohm is None else loop.currents_a[tag] * ohm for tag, ohm in known.items()}
    total = sum(volts for tag, volts in by_wire.items() if known[tag] is not None)
    return LoopDrop(loop.load, total, loop.allowed_v, by_wire)


def raised_for_drop(loops: Sequence[Loop], sizes_mm2: Mapping[str, float], copper: Copper) -> dict[str, Raised]:
    """The wires that have to be thicker than their other limits ask, so that no load loses too much.

    In each way the wire is raised first that gains most for the copper it costs, and with it those that gain the same.
    Gain and copper both grow with the length, so that the order in which wires are raised does not depend on lengths:
    a longer run only goes farther along it. Each way is seen for itself from the same start, and of several that share
    a wire the thickest counts. Therefore no wire ever becomes thinner because a run becomes longer.

    Args:
        loops: The ways of the loads.
        sizes_mm2: What the other limits ask of each wire. [mm²]
        copper: Resistances and lengths.

    Returns:
        By tag, each wire that is raised. Where even the largest sizes lose too much, those.

    Example:
        Two wires of one metre; the thinner one is raised first, since a little copper helps it most:

        >>> copper = Copper(lambda tag, size: 0.02 / size, {"W1": 1.0, "W2": 1.0})
        >>> raised_for_drop([Loop("pump", 0.25, {"W1": 5.0, "W2": 5.0})], {"W1": 0.5, "W2": 1.0}, copper)
        {'W1': Raised(size_mm2=0.75, load='pump', before_v=0.3..., allowed_v=0.25)}
    """
    raised: dict[str, Raised] = {}
    for loop in loops:
        before_v = dropped(loop, sizes_mm2, copper).drop_v
        for tag, size in _raised(loop, before_v, sizes_mm2, copper).items():
            if tag not in raised or size > raised[tag].size_mm2:
                raised[tag] = Raised(size, loop.load, before_v, loop.allowed_v)
    return raised


def _raised(loop: Loop, drop_v: float, sizes_mm2: Mapping[str, float], copper: Copper) -> dict[str, float]:
    queue: list[tuple[float, str, float, float]] = []

    def offer(tag: str, size: float) -> None:
        following = next((each for each in STANDARD_MM2 if each > size * _ROUNDING), None)
        if following is None or tag not in copper.length_m:
            return
        per_m = loop.currents_a[tag] * (copper.ohm_per_m(tag, size) - copper.ohm_per_m(tag, following))
        heapq.heappush(queue, (-per_m / (following - size), tag, following, per_m * copper.length_m[tag]))

    for tag in loop.currents_a:
        offer(tag, sizes_mm2[tag])
    reached: dict[str, float] = {}
    while queue and drop_v > loop.allowed_v * _ROUNDING:
        best = queue[0][0] * (1.0 - 1e-9)
        alike = []
        # What gains equally is raised together, so that a pair stays a pair and no name decides.
        while queue and queue[0][0] <= best:
            alike.append(heapq.heappop(queue))
        for _, tag, size, gain_v in alike:
            reached[tag] = size
            drop_v -= gain_v
            offer(tag, size)
    return reached
