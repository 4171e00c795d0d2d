"""Which names of one description mean the same things in another: what was renamed, and what is new or gone."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass
from operator import eq
from typing import TypeVar

from conversion.description import Description, Terminal
from conversion.description.loom_forms import Loom
from conversion.wiring import End

Thing = TypeVar("Thing")


@dataclass(frozen=True, slots=True)
class Names:
    """Names of the old description with those of the new one; what is in one of them alone is not in it.

    Attributes:
        devices: Reference of each device that is in both.
        stations: Name of each station.
        splices: Name of each splice.
        runs: Name of each run between the same two stations.
    """

    devices: Mapping[str, str]
    stations: Mapping[str, str]
    splices: Mapping[str, str]
    runs: Mapping[str, str]

    def of_old(self, end: End) -> Hashable:
        """What an end of the old description is, as :meth:`of_new` says it of the new one."""
        if isinstance(end, Terminal):
            return "terminal", self.devices.get(end.device, ("gone", end.device)), end.housing, end.cavity
        return "splice", self.splices.get(end.name, ("gone", end.name))

    @staticmethod
    def of_new(end: End) -> Hashable:
        """What an end of the new description is."""
        return ("terminal", end.device, end.housing, end.cavity) if isinstance(end, Terminal) else ("splice", end.name)


def match_names(old: Description, new: Description) -> Names:
    """Devices, stations, runs and splices that are the same thing in both descriptions, whatever they are called.

    A thing of the same name is the same, except that a splice must also join some of the same roles, a device must be
    of the same kind of part, and a run between the same stations. Of the rest, those that are alike and single on both
    sides are taken for renamed: a station by its place in words, a run by its two stations, a splice by the roles that
    it joins, a device by its kind and its place in words.
    """
    one, other = (each.conversion.loom or Loom(stations={}) for each in (old, new))
    stations = _matched(
        one.stations, other.stations, lambda _before, _after: True, lambda station: station.place.casefold()
    )
    return Names(
        devices=_matched(_devices(old), _devices(new), lambda before, after: before[0] is after[0], _itself),
        stations=stations,
        splices=_matched(
            one.splices, other.splices, lambda before, after: bool({*before.joins} & {*after.joins}),
            lambda splice: (frozenset(splice.joins), frozenset(splice.devices or ())),
        ),
        runs=_matched(_runs(one, stations), _runs(other), eq, _itself),
    )  # fmt: skip


def _runs(loom: Loom, stations: Mapping[str, str] | None = None) -> dict[str, frozenset[str]]:
    """The two stations of each run, by the names that they have in the new description."""

    def now(station: str) -> str:
        return station if stations is None else stations.get(station, f"gone {station}")

    return {name: frozenset(now(station) for station in run.between) for name, run in loom.runs.items()}


def _itself(thing: Hashable) -> Hashable:
    return thing


def _devices(description: Description) -> dict[str, tuple[type, str]]:
    """Kind and place of each device, by reference."""
    devices = description.conversion.devices
    return {
        reference: (type(part), devices[reference].place.casefold()) for reference, part in description.parts.items()
    }


def _matched(
    old: Mapping[str, Thing],
    new: Mapping[str, Thing],
    may_be: Callable[[Thing, Thing], bool],
    alike: Callable[[Thing], Hashable],
) -> dict[str, str]:
    """By name, then those that are alike where each side has one of them."""
    matched = {name: name for name in old if name in new and may_be(old[name], new[name])}
    groups: dict[Hashable, tuple[list[str], list[str]]] = defaultdict(lambda: ([], []))
    for side, things in enumerate((old, new)):
        for name, thing in things.items():
            if name not in matched:
                groups[alike(thing)][side].append(name)
    return matched | {one[0]: other[0] for one, other in groups.values() if len(one) == len(other) == 1}


def reworded(text: str, new_names: Mapping[str, str]) -> str:
    """A sentence with old names replaced by new ones, all at once.

    Example:
        >>> reworded("W1 and W2.4, not W12", {"W1": "W2", "W2": "W1"})
        'W2 and W1.4, not W12'
    """
    if not new_names:
        return text
    names = "|".join(re.escape(name) for name in sorted(new_names, key=len, reverse=True))
    return re.sub(rf"(?<![\w-])(?:{names})(?![\w-])", lambda match: new_names[match.group()], text)
