"""What load, fuse and zone each ask of a wire, with the numbers."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from conversion.loom.fuses import HELD, let_through_a2s, withstood_a2s
from conversion.loom.heat import LIGHTLY_LOADED, SHORT_CIRCUIT_K, bunched_factor, free_air_a, overload_a
from conversion.loom.standard_sizes import STANDARD_MM2, standard_from
from conversion.quantities import show

LimitName = Literal["load", "drop", "fuse", "least", "habit"]


@dataclass(frozen=True, slots=True)
class Passage:
    """What a wire passes on its way: a run, or the place where both its ends lie.

    Attributes:
        name: Of the run or the station, as the builder calls it.
        zone: What surrounds it.
        ambient_degc: Of the air there. [°C]
        least_mm2: Thinnest wire of the zone. [mm²]
        loaded: Wires of the bundle there that carry current worth counting; at least 1.
    """

    name: str
    zone: str
    ambient_degc: float
    least_mm2: float
    loaded: int = 1


@dataclass(frozen=True, slots=True)
class Limit:
    """What one thing asks of a wire.

    Attributes:
        name: ``load``, ``fuse``, ``least``, ``drop`` or ``habit``.
        size_mm2: The thinnest size that will do; the largest that there is where none will. [mm²]
        words: Why, with the numbers, as a sentence.
        enough: False where even the largest size will not do.
    """

    name: LimitName
    size_mm2: float
    words: str
    enough: bool = True


def borne_a(size_mm2: float, passage: Passage, insulation_degc: float) -> float:
    """Current that a wire bears for ever in a passage, its bundle counted. [A]"""
    free = free_air_a(size_mm2, insulation_degc, passage.ambient_degc)
    return free * bunched_factor(passage.loaded)


def loaded_wires(
    passing: Mapping[str, Sequence[float | None]], ambient_degc: Mapping[str, float], least_mm2: Mapping[str, float],
    insulation_degc: float,
) -> dict[str, int]:  # fmt: skip
    """How many wires of each bundle carry current worth counting.

    A wire is left out where it carries at most 30 % of what the zone's thinnest wire would bear in a bundle in which
    every wire with any current counts. Nothing here depends on lengths or on the sizes that are chosen, so that a
    thicker wire in a bundle never makes its neighbours thinner.

    Args:
        passing: Run -> greatest current of each of its wires; None where it is not known, which counts. [A]
        ambient_degc: By run. [°C]
        least_mm2: Thinnest wire by run. [mm²]
        insulation_degc: What the insulation stands. [°C]

    References:
        BS 7671, note to table 4C1.
    """
    counted: dict[str, int] = {}
    for name, currents in passing.items():
        every = sum(1 for current in currents if current is None or current > 0.0)
        size = standard_from(least_mm2[name])
        borne = free_air_a(size, insulation_degc, ambient_degc[name])
        light = LIGHTLY_LOADED * bunched_factor(max(every, 1)) * borne
        counted[name] = sum(1 for current in currents if current is None or (current > light and current > 0.0))
    return counted


def load_limit(current_a: float, passages: Iterable[Passage], insulation_degc: float) -> Limit:
    """The thinnest size that bears a current for ever in the worst passage of its way."""
    worst = _worst(passages, lambda passage: _bearing(current_a, passage, insulation_degc))
    passage, size, enough = worst
    factor = bunched_factor(passage.loaded)
    free = free_air_a(size, insulation_degc, passage.ambient_degc)
    bundle = f" × {factor:.2f} for {passage.loaded} loaded wires in the bundle" if passage.loaded > 1 else ""
    words = (
        f"{show(size, 'area')} bears {free:.1f} A alone in air of {show(passage.ambient_degc, 'temperature')} at "
        f"{show(insulation_degc, 'temperature')}{bundle}, that is {free * factor:.1f} A in {passage.name}; it carries "
        f"{_amperes(current_a)}."
    )
    return Limit("load", size, words, enough)


def fuse_limit(fuse: str, rating_a: float, passages: Iterable[Passage], insulation_degc: float) -> Limit:
    """The thinnest size that survives what a fuse lets through: an overload that just opens it, and a short circuit."""
    held = HELD * rating_a
    passage, size, enough = _worst(passages, lambda passage: _surviving(held, passage, insulation_degc))
    passed, hot = let_through_a2s(rating_a, math.inf), insulation_degc + SHORT_CIRCUIT_K
    surviving = (each for each in STANDARD_MM2 if withstood_a2s(each, insulation_degc, hot) >= passed)
    shorted = next(surviving, None)
    if shorted is None or shorted > size:
        last = STANDARD_MM2[-1] if shorted is None else shorted
        words = (
            f"{fuse} may let {passed:.0f} A²s through in a short circuit; {show(last, 'area')} takes "
            f"{withstood_a2s(last, insulation_degc, hot):.0f} A²s before it is {SHORT_CIRCUIT_K:.0f} K above its class."
        )
        return Limit("fuse", last, words, enough and shorted is not None)
    words = (
        f"{fuse} opens within minutes only from {_amperes(held)} on; {show(size, 'area')} bears "
        f"{_overload(size, passage, insulation_degc):.1f} A until then in {passage.name}."
    )
    return Limit("fuse", size, words, enough)


def greatest_rating_a(size_mm2: float, passages: Iterable[Passage], insulation_degc: float) -> float:
    """The greatest fuse that a wire survives, of any rating. [A]"""
    held = min(_overload(size_mm2, passage, insulation_degc) for passage in passages) / HELD
    unit = let_through_a2s(1.0, math.inf)
    shorted = math.sqrt(withstood_a2s(size_mm2, insulation_degc, insulation_degc + SHORT_CIRCUIT_K) / unit)
    return min(held, shorted)


def least_limit(passages: Iterable[Passage], contacts: Mapping[str, float]) -> Limit:
    """The thinnest size that stands handling and shaking in every zone of a way, and that its contacts grip.

    Args:
        passages: At least one, unless a contact has a least size.
        contacts: Terminal -> thinnest wire that its contact takes. [mm²]
    """
    asked = [
        (each.least_mm2, f"The least that stands handling and shaking in {each.name} ({each.zone}) is")
        for each in passages
    ]
    asked += [(least, f"The contact at {terminal} takes nothing thinner than") for terminal, least in contacts.items()]
    least, words = max(asked, key=lambda each: each[0])
    size = standard_from(least)
    return Limit("least", size, f"{words} {show(size, 'area')}.", least <= STANDARD_MM2[-1])


def _overload(size_mm2: float, passage: Passage, insulation_degc: float) -> float:
    factor = bunched_factor(passage.loaded)
    return overload_a(size_mm2, insulation_degc, passage.ambient_degc, factor)


def _bearing(current_a: float, passage: Passage, insulation_degc: float) -> float | None:
    if passage.ambient_degc >= insulation_degc:
        # Even without any current of its own a wire does not last there, however thick it is.
        return None
    return next(
        (size for size in STANDARD_MM2 if borne_a(size, passage, insulation_degc) >= current_a * (1 - 1e-9)),
        None,
    )


def _surviving(overload: float, passage: Passage, insulation_degc: float) -> float | None:
    return next(
        (size for size in STANDARD_MM2 if _overload(size, passage, insulation_degc) >= overload * (1 - 1e-9)), None
    )


def _worst(
    passages: Iterable[Passage], size_in: Callable[[Passage], float | None]
) -> tuple[Passage, float, bool]:  # fmt: skip
    """The passage that asks for the thickest wire, that size, and whether there is one."""
    asked = [(passage, size_in(passage)) for passage in passages]
    passage, size = max(asked, key=lambda each: (each[1] is None, each[1] or 0.0))
    return passage, STANDARD_MM2[-1] if size is None else size, size is not None


def _amperes(current_a: float) -> str:
    return show(current_a, "current")
