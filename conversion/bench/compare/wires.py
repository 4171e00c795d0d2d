"""Which wire of one loom is which wire of another: by what it joins and what it is for, never by its tag."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from conversion.bench.compare.laid import Laid
from conversion.bench.compare.names import Names
from conversion.description import Terminal
from conversion.wiring import End

_STARS = ("feed", "source", "ground")
"""Groups whose wires all meet at one hub: that two of them have it in common does not make them one wire."""


@dataclass(frozen=True, slots=True)
class Match:
    """A wire of the old loom, of the new one, or one that is in both.

    Attributes:
        old: As it was; None where it is new.
        new: As it is; None where it is gone.
        moved: Each end that is no longer where it was, as it was and as it is.
    """

    old: Laid | None
    new: Laid | None
    moved: tuple[tuple[End, End], ...] = ()


@dataclass(frozen=True, slots=True)
class _Pair:
    """A wire of each loom that may be one, and how well they fit."""

    old: int
    new: int
    fit: tuple[float, ...]
    moved: tuple[tuple[End, End], ...]


def match_wires(old: Sequence[Laid], new: Sequence[Laid], names: Names) -> tuple[Match, ...]:
    """Every wire of both looms once, those of the new one in its order, then those that are gone.

    The same wire is, in this order: one between the same two ends for the same roles; one of the same size and colour
    between the same two ends; one for the same role that has one end where it was; one for the same role between the
    same two devices; one between the same two ends. Of feeds and grounds, of which many meet at one terminal, an end
    must not go to another device at another station.
    """
    matcher = _Matcher(old, new, names)
    for key, fits in (
        (_whole, None),
        (_alike, None),
        (_one_end, matcher.one_end_moved),
        (_devices, matcher.both_ends_moved),
        (_ends, None),
    ):
        matcher.match(key, fits)
    return tuple(matcher.matches())


class _Matcher:
    """The work of one comparison; each step matches what the steps before it left."""

    def __init__(self, old: Sequence[Laid], new: Sequence[Laid], names: Names) -> None:
        self.old, self.new, self.names = old, new, names
        self.old_ends = [tuple(names.of_old(end) for end in laid.ends) for laid in old]
        self.new_ends = [tuple(names.of_new(end) for end in laid.ends) for laid in new]
        self.taken: dict[int, tuple[int, tuple[tuple[End, End], ...]]] = {}
        """Old wire and moved ends of each matched new wire, by its number."""
        self.used: set[int] = set()
        self.crowd = Counter(end for ends in (*self.old_ends, *self.new_ends) for end in ends)
        """How many wires meet at each end, those of both looms together."""

    def match(self, keys: _Keys, fits: Callable[[int, int], _Pair | None] | None) -> None:
        """Match wires that have a key in common, the best fitting first."""
        known: dict[Hashable, list[int]] = defaultdict(list)
        for number, laid in enumerate(self.old):
            if number not in self.used:
                for key in keys(laid, self.old_ends[number]):
                    known[key].append(number)
        pairs = {}
        for number, laid in enumerate(self.new):
            if number in self.taken:
                continue
            for key in keys(laid, self.new_ends[number]):
                for before in known.get(key, ()):
                    pair = fits(before, number) if fits else _Pair(before, number, (), ())
                    if pair is not None:
                        pairs[before, number] = pair
        for pair in sorted(pairs.values(), key=lambda pair: (pair.fit, pair.new, pair.old)):
            if pair.new not in self.taken and pair.old not in self.used:
                self.taken[pair.new] = pair.old, pair.moved
                self.used.add(pair.old)

    def one_end_moved(self, old: int, new: int) -> _Pair | None:
        """The pair if the end that is not common may have moved from the one place to the other."""
        was, now = self.old[old], self.new[new]
        # Ends are compared straight and crossed, for which of them comes first says nothing.
        for kept, at in product((0, 1), repeat=2):
            moved = was.ends[1 - kept], now.ends[1 - at]
            if self.old_ends[old][kept] == self.new_ends[new][at] and (
                was.wire.group not in _STARS or self._near(*moved, was, now)
            ):
                far, *rest = self._fit(was, now, [moved])
                # An end at which many meet says less about which of them it is.
                return _Pair(old, new, (far, self.crowd[self.new_ends[new][at]], *rest), (moved,))
        return None

    def both_ends_moved(self, old: int, new: int) -> _Pair | None:
        """The pair with both its ends moved, each within its device."""
        was, now = self.old[old], self.new[new]
        ends = now.ends if self._device(was.ends[0]) == _device(now.ends[0]) else now.ends[::-1]
        moved = tuple(zip(was.ends, ends, strict=True))
        return _Pair(old, new, self._fit(was, now, moved), moved)

    def matches(self) -> Iterator[Match]:
        """What came of it."""
        for number, laid in enumerate(self.new):
            before, moved = self.taken.get(number, (None, ()))
            yield Match(None if before is None else self.old[before], laid, moved)
        for number, laid in enumerate(self.old):
            if number not in self.used:
                yield Match(laid, None)

    def _fit(self, was: Laid, now: Laid, moved: Iterable[tuple[End, End]]) -> tuple[float, ...]:
        """Smaller is better: ends that stay at their device, same roles, size, colour, and nearly the same length."""
        far = sum(self._device(before) != _device(after) for before, after in moved)
        off = abs(now.cut_mm - was.cut_mm) if now.cut_mm is not None and was.cut_mm is not None else 0.0
        size, colour = was.wire.size_mm2 != now.wire.size_mm2, was.wire.colour != now.wire.colour
        return far, set(was.wire.roles) != set(now.wire.roles), size, colour, off

    def _near(self, before: End, after: End, was: Laid, now: Laid) -> bool:
        if isinstance(before, Terminal) != isinstance(after, Terminal) or self._device(before) == _device(after):
            return True
        stations = was.station_at(before), now.station_at(after)
        return None not in stations and self.names.stations.get(stations[0] or "") == stations[1]

    def _device(self, end: End) -> Hashable:
        return self.names.devices.get(end.device) if isinstance(end, Terminal) else "splice"


def _device(end: End) -> Hashable:
    return end.device if isinstance(end, Terminal) else "splice"


_Keys = Callable[[Laid, tuple[Hashable, ...]], Iterable[Hashable]]


def _whole(laid: Laid, ends: tuple[Hashable, ...]) -> Iterator[Hashable]:
    yield frozenset(ends), frozenset(laid.wire.roles)


def _alike(laid: Laid, ends: tuple[Hashable, ...]) -> Iterator[Hashable]:
    yield frozenset(ends), laid.wire.size_mm2, laid.wire.colour


def _ends(_laid: Laid, ends: tuple[Hashable, ...]) -> Iterator[Hashable]:
    yield frozenset(ends)


def _one_end(laid: Laid, ends: tuple[Hashable, ...]) -> Iterator[Hashable]:
    yield from ((end, role) for end in ends for role in laid.wire.roles)


def _devices(laid: Laid, ends: tuple[Hashable, ...]) -> Iterator[Hashable]:
    # The second word of an end is its device, or its splice.
    devices = frozenset(end[1] if isinstance(end, tuple) and end[0] == "terminal" else end for end in ends)
    yield from ((devices, role) for role in laid.wire.roles)
