"""Where a splice lies: at the station that costs least copper and where a splice may be."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from conversion.description import Description
from conversion.description.loom_forms import Loom
from conversion.loom.allowed import splice_bans
from conversion.loom.kinds import kind_of
from conversion.loom.routes import best_way, station_of
from conversion.loom.ways import Ways
from conversion.wiring import SplicePoint, Wire

_UM2_PER_MM2 = 1_000_000
_UM3_PER_MM3 = 1e9


class OtherPlace(NamedTuple):
    """What a splice would cost at another station.

    Attributes:
        station: The station.
        copper_mm3: Of all wires that meet; None where that cannot be said. [mm³]
        why_not: Why it may not lie there; None where it merely costs more, or where the builder chose otherwise.
    """

    station: str
    copper_mm3: float | None
    why_not: str | None


@dataclass(frozen=True, slots=True)
class SplicePlace:
    """Where a splice lies, and what it would cost elsewhere.

    Attributes:
        station: As described, else the best one; None where no station will do.
        copper_mm3: Cross-section times length of the wires that meet, along the runs; None where a length on the way
            is not known or a wire has no way. [mm³]
        others: Every other station: those where it may lie by their cost, then those where it may not.
        said: Whether the builder chose the station.
        why_not: Why a splice should not lie at the chosen station; None where it may.
        tags: Wires that were counted.
        not_counted: Wires whose other end has no station.
    """

    station: str | None
    copper_mm3: float | None
    others: tuple[OtherPlace, ...]
    said: bool
    why_not: str | None
    tags: tuple[str, ...]
    not_counted: tuple[str, ...]


def place_splices(description: Description, wires: Iterable[Wire]) -> dict[str, SplicePlace]:
    r"""The station of every splice, and what each station would cost.

    .. math:: V(s) = \sum_i A_i \, d_i(s)

    with the cross-section :math:`A_i` of each wire that meets and the length :math:`d_i` of its shortest allowed way
    from the station to its other end. Only stations are tried: along a run the cost is least at one of its ends.

    Args:
        description: Stations, runs, and what may not be.
        wires: With the sizes that their use asks for.

    Returns:
        By splice, in the order written. Of stations that cost the same, the one nearest to the wire's own source is
        taken, and then as :class:`~conversion.loom.ways.Ways` tells equal ways apart: names do not decide.

    References:
        S. L. Hakimi, Optimum locations of switching centers and the absolute centers and medians of a graph,
        Operations Research 12 (1964), 450-459, for the medians at the vertices (from memory).
    """
    loom = description.conversion.loom
    if loom is None or not loom.splices:
        return {}
    meeting: dict[str, list[Wire]] = defaultdict(list)
    for wire in wires:
        for name in dict.fromkeys(end.name for end in (wire.start, wire.end) if isinstance(end, SplicePoint)):
            meeting[name].append(wire)
    ways, banned = Ways(loom), splice_bans(loom)
    return {
        name: _placed(description, loom, ways, banned, name, splice.station, meeting[name])
        for name, splice in loom.splices.items()
    }


@dataclass(frozen=True, slots=True)
class _Cost:
    """Of one station: copper, unknown lengths first, and what tells equal costs apart; or why there is none."""

    copper_um3: tuple[int, int] = (0, 0)
    weights: tuple[int, ...] = ()
    why_none: str | None = None

    @property
    def key(self) -> tuple[tuple[int, int], tuple[int, ...]]:
        return self.copper_um3, self.weights

    @property
    def copper_mm3(self) -> float | None:
        unknown, volume = self.copper_um3
        return None if unknown or self.why_none else volume / _UM3_PER_MM3


def _placed(
    description: Description,
    loom: Loom,
    ways: Ways,
    banned: Mapping[str, str],
    name: str,
    said: str | None,
    wires: Sequence[Wire],
) -> SplicePlace:
    ends = {wire.tag: _far_station(description, name, wire) for wire in wires}
    counted = [wire for wire in wires if ends[wire.tag] is not None]
    costs = {
        station: _cost(ways, station, [(wire, str(ends[wire.tag])) for wire in counted]) for station in loom.stations
    }
    fit = [station for station, cost in costs.items() if cost.why_none is None and station not in banned]
    ranked = sorted(fit, key=lambda station: costs[station].key)
    # Without any wire that leads somewhere, every station costs nothing and none is better than another.
    best = said or (ranked[0] if ranked and counted else None)
    rest = sorted(
        (each for each in loom.stations if each not in ranked),
        key=lambda each: (costs[each].why_none is not None, costs[each].key),
    )
    others = tuple(
        OtherPlace(each, costs[each].copper_mm3, banned.get(each) or costs[each].why_none)
        for each in (*ranked, *rest)
        if each != best
    )
    return SplicePlace(
        station=best,
        copper_mm3=costs[best].copper_mm3 if best in costs else None,
        others=others,
        said=said is not None,
        why_not=banned.get(best) or costs[best].why_none if best in costs else None,
        tags=tuple(wire.tag for wire in counted),
        not_counted=tuple(wire.tag for wire in wires if ends[wire.tag] is None),
    )


def _far_station(description: Description, name: str, wire: Wire) -> str | None:
    """Station of the end of a wire that is not at the splice."""
    at_splice = isinstance(wire.start, SplicePoint) and wire.start.name == name
    return station_of(description, wire.end if at_splice else wire.start)


def _cost(ways: Ways, station: str, wires: Sequence[tuple[Wire, str]]) -> _Cost:
    unknown, volume = 0, 0
    weights: list[int] = []
    for wire, end in wires:
        way = best_way(ways, station, end, kind_of(wire), wire.via)
        if way is None:
            return _Cost(why_none=f"{wire.tag} has no allowed way from there to {end}")
        area_um2 = round(wire.size_mm2 * _UM2_PER_MM2)
        lacking, length_um = ways.micrometres(way)
        unknown += lacking * area_um2
        volume += length_um * area_um2
        weights.append(way.weight)
    return _Cost((unknown, volume), tuple(weights))
