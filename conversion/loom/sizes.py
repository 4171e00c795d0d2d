"""The size of every wire: the largest of what load, fuse, zone and voltage drop ask, each with its numbers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from conversion.loom.conductors import ALPHA_PER_K, conductor_ohm
from conversion.loom.drop import Copper, Loop, raised_for_drop
from conversion.loom.heat import conductor_degc
from conversion.loom.limits import Limit, Passage, borne_a, fuse_limit, least_limit, load_limit
from conversion.loom.standard_sizes import awg_not_thinner
from conversion.quantities import show

DecidedBy = Literal["load", "drop", "fuse", "least", "habit", "said"]

_PLAINEST = ("least", "fuse", "load", "drop", "habit")


@dataclass(frozen=True, slots=True)
class SizingCase:
    """One wire that is to be sized.

    Attributes:
        tag: Of the wire.
        said_mm2: Size that the description gives; None where it gives none. [mm²]
        habit_mm2: What a wire of its kind usually has, where its load is not known. [mm²]
        current_a: Greatest current; None where it is not known. [A]
        passages: What it passes; empty where its way is not known.
        length_m: Of its copper; None where it is not known. [m]
        fuse: What protects it, in words; None where no fuse does.
        fuse_a: Rating of that fuse, or the share of it that may pass this wire. [A]
        contacts: Terminal -> thinnest wire that its contact takes. [mm²]
    """

    tag: str
    said_mm2: float | None
    habit_mm2: float
    current_a: float | None
    passages: tuple[Passage, ...]
    length_m: float | None = None
    fuse: str | None = None
    fuse_a: float | None = None
    contacts: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class SizeChoice:
    """The size of one wire and why it has it.

    Attributes:
        tag: Of the wire.
        size_mm2: What it has. [mm²]
        awg: The even gauge that is not thinner.
        needed_mm2: The most that a limit asks; above ``size_mm2`` where the description says too little. [mm²]
        current_a: Greatest current; None where it is not known. [A]
        decided_by: Which limit decided, or that the description did.
        limits: All that was looked at.
        drop_v: Over this wire alone at its greatest current; None where current or length is not known. [V]
        conductor_degc: Of the copper at its greatest current; None where that is not known. [°C]
        words: Which limit decided and the numbers, as a sentence.
    """

    tag: str
    size_mm2: float
    awg: int
    needed_mm2: float
    current_a: float | None
    decided_by: DecidedBy
    limits: tuple[Limit, ...]
    drop_v: float | None
    conductor_degc: float | None
    words: str

    @property
    def enough(self) -> bool:
        """Whether the size is as large as every limit asks."""
        return self.size_mm2 >= self.needed_mm2 * (1 - 1e-9) and all(limit.enough for limit in self.limits)


def choose_sizes(cases: Sequence[SizingCase], loops: Sequence[Loop], insulation_degc: float) -> dict[str, SizeChoice]:
    """The size of every wire.

    A size that the description says is kept, and what it should be stands beside it.

    Args:
        cases: The wires.
        loops: The ways of the loads, for the drop.
        insulation_degc: What the insulation stands for its whole life. [°C]

    Returns:
        By tag, in the order of the cases.
    """
    limits = {case.tag: _own_limits(case, insulation_degc) for case in cases}
    own = {tag: max(limit.size_mm2 for limit in each) for tag, each in limits.items()}
    said = {case.tag: case.said_mm2 for case in cases if case.said_mm2 is not None}
    copper = copper_of(cases, insulation_degc)
    raised = raised_for_drop(loops, {tag: max(size, said.get(tag, 0.0)) for tag, size in own.items()}, copper)
    # What would be chosen for a wire if its size were not described.
    free = raised_for_drop(loops, own, copper) if said else {}
    instead = {tag: max(own[tag], free[tag].size_mm2 if tag in free else 0.0) for tag in said}
    for tag, each in raised.items():
        words = (
            f"On its whole way {each.load} would lose {show(each.before_v, 'voltage')}, where "
            f"{show(each.allowed_v, 'voltage')} is allowed; {show(each.size_mm2, 'area')} here mends that cheapest."
        )
        limits[tag] = (*limits[tag], Limit("drop", each.size_mm2, words))
    return {case.tag: _choice(case, limits[case.tag], instead.get(case.tag), copper, insulation_degc) for case in cases}


def copper_of(cases: Sequence[SizingCase], insulation_degc: float) -> Copper:
    """Resistance of every wire at the temperature that its load gives it; a wire of unknown load is fully hot."""
    by_tag = {case.tag: case for case in cases}
    known: dict[tuple[str, float], float] = {}

    def ohm_per_m(tag: str, size_mm2: float) -> float:
        key = tag, size_mm2
        if key not in known:
            degc = _hottest_degc(by_tag[tag], size_mm2, insulation_degc)
            hot = insulation_degc if degc is None else degc
            known[key] = _cold_ohm_per_m(size_mm2) * (1.0 + ALPHA_PER_K * (hot - 20.0))
        return known[key]

    return Copper(ohm_per_m, {case.tag: case.length_m for case in cases if case.length_m is not None})


def _own_limits(case: SizingCase, insulation_degc: float) -> tuple[Limit, ...]:
    """All but the drop."""
    found: list[Limit] = []
    if case.passages:
        if case.current_a is not None:
            found.append(load_limit(case.current_a, case.passages, insulation_degc))
        if case.fuse is not None and case.fuse_a is not None:
            found.append(fuse_limit(case.fuse, case.fuse_a, case.passages, insulation_degc))
    if case.passages or case.contacts:
        found.append(least_limit(case.passages, case.contacts))
    if case.current_a is None or not case.passages:
        lacking = "its way through the loom is" if case.current_a is not None else "what it carries is"
        words = f"{show(case.habit_mm2, 'area')} by habit (common practice, no source), since {lacking} not known."
        found.append(Limit("habit", case.habit_mm2, words))
    return tuple(found)


def _choice(
    case: SizingCase, limits: tuple[Limit, ...], instead_mm2: float | None, copper: Copper, insulation_degc: float
) -> SizeChoice:
    deciding = max(limits, key=_weight)
    # What is only habit asks nothing of a size that the builder has chosen.
    needed = max((limit.size_mm2 for limit in limits if limit.name != "habit"), default=0.0)
    size = deciding.size_mm2 if case.said_mm2 is None else case.said_mm2
    ohm = copper.ohm(case.tag, size)
    words = deciding.words
    if instead_mm2 is not None and needed > size * (1 + 1e-9):
        words = f"{show(size, 'area')} as described; {show(needed, 'area')} is needed. {deciding.words}"
    elif instead_mm2 is not None:
        same = abs(instead_mm2 - size) < 1e-9
        words = (
            f"{show(size, 'area')} as described; {'the same' if same else show(instead_mm2, 'area')} would be chosen."
        )
    return SizeChoice(
        tag=case.tag,
        size_mm2=size,
        awg=awg_not_thinner(size),
        needed_mm2=needed,
        current_a=case.current_a,
        decided_by=deciding.name if case.said_mm2 is None else "said",
        limits=limits,
        drop_v=None if ohm is None or case.current_a is None else case.current_a * ohm,
        conductor_degc=None if case.current_a is None else _hottest_degc(case, size, insulation_degc),
        words=words,
    )


def _weight(limit: Limit) -> tuple[bool, float, int]:
    """What decides: what cannot be met, else the thickest; of equals the one that would ask for it in any car."""
    return not limit.enough, limit.size_mm2, -_PLAINEST.index(limit.name)


def _hottest_degc(case: SizingCase, size_mm2: float, insulation_degc: float) -> float | None:
    if case.current_a is None or not case.passages:
        return None
    return max(
        conductor_degc(
            case.current_a, borne_a(size_mm2, passage, insulation_degc), insulation_degc, passage.ambient_degc
        )
        for passage in case.passages
    )


@cache
def _cold_ohm_per_m(size_mm2: float) -> float:
    return conductor_ohm(size_mm2, 1000.0)
