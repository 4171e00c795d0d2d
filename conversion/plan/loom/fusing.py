"""Every fuse: what its loads ask, what its wires survive, and whether a short circuit opens it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from conversion.description import Description
from conversion.description.parts import Fuse
from conversion.loom.fuses import RATINGS_A, SURELY_OPENS, least_rating_a, next_rating_a
from conversion.loom.limits import greatest_rating_a
from conversion.loom.sizes import SizeChoice, SizingCase
from conversion.plan.loom.feeding import Feeding
from conversion.plan.loom.fuse_ways import FuseWays
from conversion.plan.loom.loads import Load, Loads
from conversion.quantities import show
from conversion.wiring import Wiring

SOURCE_OHM = 0.02
"""Of a battery that is half empty and cold. Common practice, no source."""
BODY_OHM = 0.02
"""Of the body and its straps between a short circuit and the battery. Common practice, no source."""
SUPPLY_V = 11.0
"""Of a battery that is nearly empty; taken where no supply is described. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class FuseNeed:
    """What the loads behind a fuse ask of it.

    Attributes:
        device: Reference of the fuse.
        rated_a: As described; None where that is not known. [A]
        steady_a: Of the known loads that stay on. [A]
        load_a: Of all loads at once; None where one is not known. [A]
        inrush_a: Greatest current when one load is switched on last; None where no load has an inrush. [A]
        lasts_s: How long that lasts. [s]
        ambient_degc: Where the fuse sits; None where its zone is not known. [°C]
        least_a: Least rating of any size; None where a load is not known. [A]
        unknown: Loads that are not known.
    """

    device: str
    rated_a: float | None
    steady_a: float
    load_a: float | None
    inrush_a: float | None
    lasts_s: float | None
    ambient_degc: float
    least_a: float | None
    unknown: tuple[str, ...]

    @property
    def chosen_a(self) -> float | None:
        """The rating as described, else the least one that there is; None where neither can be said. [A]"""
        if self.rated_a is not None:
            return self.rated_a
        return next_rating_a(self.least_a) if self.least_a is not None else None


@dataclass(frozen=True, slots=True)
class FuseChoice:
    """A fuse and why it has its rating.

    Attributes:
        device: Reference of the fuse.
        need: What its loads ask.
        chosen_a: Its rating; None where it can not be said. [A]
        smallest_a: The least rating that there is for its loads; None where that cannot be said. [A]
        most_a: The greatest rating that there is that all its wires survive; None where none or no size is known. [A]
        weakest: Tag of the wire that says so.
        protects: Tags of the wires that hang on it.
        short_a: Least current of a short circuit at the far end of a wire; None where no length is known. [A]
        short_at: The device at whose terminal that is.
        decided_by: ``said`` or ``load``.
        words: The rating with its numbers, as sentences.
    """

    device: str
    need: FuseNeed
    chosen_a: float | None
    smallest_a: float | None
    most_a: float | None
    weakest: str | None
    protects: tuple[str, ...]
    short_a: float | None
    short_at: str | None
    decided_by: Literal["said", "load"]
    words: str

    @property
    def opens(self) -> bool:
        """Whether a short circuit at the far end opens it within seconds; also where that cannot be said."""
        return self.short_a is None or self.chosen_a is None or self.short_a >= SURELY_OPENS * self.chosen_a


def fuse_needs(
    description: Description, wiring: Wiring, feeding: Feeding, loads: Loads, ambient_degc: Mapping[str, float]
) -> dict[str, FuseNeed]:
    """What is asked of each fuse, by reference.

    Args:
        description: The fuses.
        wiring: The wires.
        feeding: The feeds.
        loads: The currents.
        ambient_degc: Of the air at each fuse. [°C]
    """
    found: dict[str, FuseNeed] = {}
    for device, part in description.parts.items():
        if not isinstance(part, Fuse):
            continue
        behind = {wire.tag for end in feeding.terminals(device, "feed.out") for wire in wiring.at(end)}
        met = [load for load in loads.loads if behind.intersection(load.way.every)]
        rated = part.rating.nominal if part.rating is not None else None
        found[device] = _need(device, rated, met, ambient_degc[device])
    return found


def _need(device: str, rated_a: float | None, met: list[Load], ambient_degc: float) -> FuseNeed:
    unknown = tuple(load.name for load in met if load.current_a is None)
    known = [(load, load.current_a) for load in met if load.current_a is not None]
    steady = sum(current for load, current in known if not load.intermittent)
    greatest = sum(current for _, current in known)
    rushes = [
        (greatest - current + load.inrush_a, load.lasts_s) for load, current in known if load.inrush_a is not None
    ]
    least = [least_rating_a(steady, ambient_degc, greatest - steady)]
    least += [least_rating_a(0.0, ambient_degc, inrush_a=amps, lasts_s=lasts) for amps, lasts in rushes]
    worst = max(rushes, key=lambda rush: least_rating_a(0.0, 25.0, inrush_a=rush[0], lasts_s=rush[1]), default=None)
    return FuseNeed(
        device, rated_a, steady, None if unknown else greatest, worst[0] if worst else None,
        worst[1] if worst else None, ambient_degc, None if unknown else max(least), unknown,
    )  # fmt: skip


def choose_fuses(
    description: Description, feeding: Feeding, ways: FuseWays, needs: Mapping[str, FuseNeed],
    cases: Mapping[str, SizingCase], choices: Mapping[str, SizeChoice], hot_ohm: Mapping[str, float],
    insulation_degc: float,
) -> dict[str, FuseChoice]:  # fmt: skip
    """Every fuse with what its wires, as they are sized, survive; by reference.

    Args:
        description: Supply and devices.
        feeding: The feeds.
        ways: Which wires hang on which fuse.
        needs: What the loads ask.
        cases: The wires with what they pass.
        choices: Their sizes.
        hot_ohm: Their resistance when as hot as the insulation stands; wires of unknown length are left out. [Ω]
        insulation_degc: What the insulation stands. [°C]
    """
    supply = description.conversion.vehicle.supply
    volts = supply.low if supply else SUPPLY_V
    found: dict[str, FuseChoice] = {}
    for device, need in needs.items():
        bearing = {
            tag: greatest_rating_a(choices[tag].size_mm2, cases[tag].passages, insulation_degc)
            for tag in ways.feeds[device]
            if cases[tag].passages
        }
        weakest = min(bearing, key=lambda tag: bearing[tag], default=None)
        most = None if weakest is None else max((r for r in RATINGS_A if r <= bearing[weakest]), default=None)
        short, at = _shortest_circuit(feeding, ways, device, hot_ohm, volts)
        smallest = next_rating_a(need.least_a) if need.least_a is not None else None
        found[device] = FuseChoice(
            device=device, need=need, chosen_a=need.chosen_a, smallest_a=smallest, most_a=most, weakest=weakest,
            protects=ways.feeds[device], short_a=short, short_at=at,
            decided_by="load" if need.rated_a is None else "said", words=_words(need, smallest, most, weakest),
        )  # fmt: skip
    return found


def _shortest_circuit(
    feeding: Feeding, ways: FuseWays, fuse: str, hot_ohm: Mapping[str, float], volts: float
) -> tuple[float | None, str | None]:
    """The least that a short circuit to the body drives through a fuse, and where."""
    met: list[tuple[float, str]] = []
    for device, role in ways.ends[fuse]:
        tags = feeding.up(device, role).parallel[0]
        if tags and all(tag in hot_ohm for tag in tags):
            met.append((volts / (SOURCE_OHM + BODY_OHM + sum(hot_ohm[tag] for tag in tags)), device))
    return min(met, default=(None, None))


def _words(need: FuseNeed, smallest: float | None, most: float | None, weakest: str | None) -> str:
    parts = []
    if need.least_a is None:
        parts.append(f"What it has to carry is not known: {need.unknown[0]} is not described.")
    else:
        rush = ""
        if need.inrush_a is not None:
            lasts = f" for {show(need.lasts_s, 'time')}" if need.lasts_s is not None else ""
            rush = f", up to {show(need.inrush_a, 'current')}{lasts}"
        parts.append(
            f"{show(need.load_a or 0.0, 'current')} of load{rush}, in air of {show(need.ambient_degc, 'temperature')}, "
            f"ask for at least {show(need.least_a, 'current')}"
            + (f"; the next rating is {show(smallest, 'current')}." if smallest is not None else ".")
        )
    if most is not None and weakest is not None:
        parts.append(f"Its wires survive a fuse of up to {show(most, 'current')} ({weakest} the least).")
    return " ".join(parts)
