"""What was really wired against what should be, compared by what is joined and not wire by wire.

Two lists that join the same terminals are the same, whichever way a splice is told. What differs is told in as few
sentences as say it: two wires that have changed places are one exchange, a wire that goes to a wrong place is one
finding, and of nets that are joined and must not be, the worst pair comes first.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from typing import Literal

from conversion.bench.wired.danger import JOINED, danger_of_joining, is_vital
from conversion.bench.wired.nets import Joined, Net, Pair, Piece, pieces_of, planned_nets
from conversion.description import Terminal
from conversion.wiring import End, SplicePoint, Wire

Kind = Literal["joined", "crossed", "missing", "extra", "again"]


@dataclass(frozen=True, slots=True, eq=False)
class Difference:
    """One thing that is wired otherwise than planned.

    Attributes:
        kind: ``joined``: two nets that the plan keeps apart are one. ``crossed``: wires have changed places.
            ``missing``: ends that should be joined are not. ``extra``: a place that no planned wire reaches has one.
            ``again``: an entry joins what is joined without it.
        danger: Of ``joined``, a word of :data:`JOINED`; otherwise ``vital`` or empty.
        pieces: What it is about. Of ``crossed``, each stands where the next one belongs, the last where the first
            belongs; of ``missing``, the parted piece and the rest of its net.
        strangers: Places that no planned wire reaches.
        entries: Of the list, from 0; those that say it.
    """

    kind: Kind
    danger: str
    pieces: tuple[Piece, ...]
    strangers: tuple[Terminal, ...] = ()
    entries: tuple[int, ...] = ()
    parted: tuple[tuple[Piece, Piece], ...] = ()
    """Of ``joined``, pieces that are parted from the rest of their net besides, with that rest."""

    @property
    def wires(self) -> tuple[Wire, ...]:
        """The planned wires that are not as planned."""
        if self.kind in ("crossed", "missing"):
            moved = self.pieces if self.kind == "crossed" else self.pieces[:1]
            found = [wire for piece in moved for wire in piece.cut]
        else:
            found = [w for piece in self.pieces for w in piece.net.wires if {w.start, w.end} & set(piece.ends)]
        return tuple(dict.fromkeys(found))


def compare_wired(wires: Sequence[Wire], pairs: Sequence[Pair]) -> tuple[Difference, ...]:
    """Everything that a list of pairs joins otherwise than the plan, worst first.

    Args:
        wires: The plan's.
        pairs: What was really wired: two ends each.

    Returns:
        Nothing where the list joins the same terminals as the plan. Order and direction of the pairs change
        nothing but the entries that are named.
    """
    nets = planned_nets(wires)
    return tuple(sorted(_Comparison(nets, pairs).differences(), key=_rank))


def _rank(difference: Difference) -> tuple[int, int, list[int]]:
    kinds = ["crossed", "missing", "extra", "again"]
    if difference.kind == "joined":
        late = difference.danger == JOINED[-1]
        first = (20 if late else 0), JOINED.index(difference.danger)
    else:
        first = (10 if difference.danger else 15) + kinds.index(difference.kind), 0
    return *first, [piece.net.number for piece in difference.pieces]


class _Comparison:
    """The work of one comparison."""

    def __init__(self, nets: Sequence[Net], pairs: Sequence[Pair]) -> None:
        self.pairs = pairs
        self.at: dict[End, list[int]] = defaultdict(list)
        for entry, pair in enumerate(pairs):
            for end in pair:
                self.at[end].append(entry)
        self.home = {end: net for net in nets for end in net.ends}
        self.pieces, self.strangers = pieces_of(nets, pairs)
        self.holder = _holders(self.pieces)
        self.main = _mains(self.pieces, self.holder)
        self.told: set[int] = set()

    def differences(self) -> Iterator[Difference]:
        exchanged: set[Piece] = set()
        for ring in self._rings():
            exchanged.update(ring)
            entries = [entry for piece in ring for entry in self._leaving(piece)]
            yield self._difference("crossed", _vital(ring), ring, entries=entries)
        rest: dict[int, list[Piece]] = defaultdict(list)
        for piece in self.pieces:
            if piece not in exchanged:
                rest[piece.whole].append(piece)
        alone = []
        for met in rest.values():
            yield from self._joined(met)
            if len(met) == 1 and self._is_parted(met[0]):
                alone.append(met[0])
        yield from self._missing_and_extra(alone, rest)
        yield from self._again()

    def _difference(
        self,
        kind: Kind,
        danger: str,
        pieces: Iterable[Piece],
        strangers: Iterable[Terminal] = (),
        entries: Iterable[int] = (),
        parted: Iterable[tuple[Piece, Piece]] = (),
    ) -> Difference:
        named = tuple(sorted(set(entries)))
        self.told.update(named)
        return Difference(kind, danger, tuple(pieces), tuple(strangers), named, tuple(parted))

    def _is_parted(self, piece: Piece) -> bool:
        return self.main[piece.net] is not piece

    def _leaving(self, piece: Piece) -> list[int]:
        """Entries that join a piece to something else."""
        inside = set(piece.ends)
        return [e for end in piece.ends for e in self.at[end] if not inside.issuperset(self.pairs[e])]

    def _between(self, one: Piece, other: Piece) -> list[int]:
        """Entries that join two pieces; where something lies between them, those that lead away from either."""
        others = set(other.ends)
        direct = [e for end in one.ends for e in self.at[end] if others.intersection(self.pairs[e])]
        return direct or [*self._leaving(one), *self._leaving(other)]

    def _rings(self) -> list[tuple[Piece, ...]]:
        """Pieces that have changed places: two that stand in each other's net, then longer rings."""
        open_ways = [p for p in self.pieces if self._is_parted(p) and self.holder.get(p.whole) not in (None, p.net)]
        rings: list[tuple[Piece, ...]] = []
        for longest in (2, len(open_ways)):
            for start in tuple(open_ways):
                ring = self._ring_from(start, open_ways, longest) if start in open_ways else None
                if ring:
                    rings.append(ring)
                    open_ways = [piece for piece in open_ways if piece not in ring]
        return rings

    def _ring_from(self, start: Piece, open_ways: list[Piece], longest: int) -> tuple[Piece, ...] | None:
        """The shortest ring of pieces, each in the net of the next."""
        leaving: dict[Net, list[Piece]] = defaultdict(list)
        for piece in open_ways:
            leaving[piece.net].append(piece)
        came_by: dict[Net, tuple[Piece, ...]] = {}
        front: list[tuple[Piece, ...]] = [(start,)]
        for _ in range(longest):
            following: list[tuple[Piece, ...]] = []
            for way in front:
                net = self.holder[way[-1].whole]
                if net is start.net:
                    return way
                if net not in came_by:
                    came_by[net] = way
                    following += [(*way, piece) for piece in leaving[net]]
            front = following
        return None

    def _joined(self, met: list[Piece]) -> Iterator[Difference]:
        """Nets that have become one, told by as few pairs as say it, the worst of all pairs first."""
        said = Joined()
        told: set[Piece] = set()
        for one, other in _worst_first(met):
            if not said.join(one, other):
                continue
            fresh = [piece for piece in (one, other) if piece not in told]
            told.update(fresh)
            yield self._difference(
                "joined",
                danger_of_joining(one.net, other.net),
                (one, other),
                entries=self._between(one, other),
                parted=[(piece, self.main[piece.net]) for piece in fresh if self._is_parted(piece)],
            )

    def _missing_and_extra(self, alone: list[Piece], rest: dict[int, list[Piece]]) -> Iterator[Difference]:
        """A parted piece whose net or which itself goes to a strange place instead is one thing, not two."""
        places = dict(self.strangers)
        parted_of: dict[Net, list[Piece]] = defaultdict(list)
        for piece in alone:
            parted_of[piece.net].append(piece)
        for piece in alone:
            main = self.main[piece.net]
            instead = places.pop(piece.whole, [])
            if not instead and len(parted_of[piece.net]) == 1 and len(rest[main.whole]) == 1:
                instead = places.pop(main.whole, [])
            entries = self._touching(instead)
            yield self._difference("missing", _vital((piece,)), (piece, main), instead, entries)
        for whole, strangers in places.items():
            pieces = rest.get(whole, [])
            yield self._difference("extra", _vital(pieces), pieces[:1], strangers, self._touching(strangers))

    def _touching(self, ends: Iterable[End]) -> list[int]:
        return [entry for end in ends for entry in self.at[end]]

    def _again(self) -> Iterator[Difference]:
        """Entries that close a ring, unless they are told of already; planned wires are taken for the first way."""
        planned = {frozenset((wire.start, wire.end)) for net in dict.fromkeys(self.home.values()) for wire in net.wires}

        def order(entry: int) -> tuple[bool, bool, list[str]]:
            one, other = self.pairs[entry]
            same = self.home.get(one) is self.home.get(other)
            return not same, frozenset((one, other)) not in planned, sorted(_key(end) for end in (one, other))

        joined = Joined()
        piece_of = {end: piece for piece in self.pieces for end in piece.ends}
        for entry in sorted(range(len(self.pairs)), key=order):
            one, other = self.pairs[entry]
            if not joined.join(one, other) and entry not in self.told:
                pieces = dict.fromkeys(piece_of[end] for end in (one, other) if end in piece_of)
                yield self._difference("again", "", pieces, entries=[entry])


def _worst_first(pieces: Sequence[Piece]) -> Iterator[tuple[Piece, Piece]]:
    """Pairs of pieces, the worst first: of each two sorts of conductor enough pairs to reach every piece of both."""
    sorts: dict[frozenset[str], list[Piece]] = defaultdict(list)
    for piece in pieces:
        sorts[piece.net.groups].append(piece)
    alike = list(combinations_with_replacement(sorts.values(), 2))
    for one, other in sorted(alike, key=lambda pair: JOINED.index(danger_of_joining(pair[0][0].net, pair[1][0].net))):
        yield from ((one[0], piece) for piece in other if piece is not one[0])
        if one is not other:
            yield from ((piece, other[0]) for piece in one)


def _key(end: End) -> str:
    return f"splice {end.name}" if isinstance(end, SplicePoint) else f"{end.device} {end.housing} {end.cavity}"


def _holders(pieces: Sequence[Piece]) -> dict[int, Net]:
    """Which net each joined set of ends stands for: the net of which it holds most, then the one whose hub it holds."""
    held: dict[int, Net] = {}
    taken: set[Net] = set()
    for piece in sorted(pieces, key=_weight):
        if piece.terminals and piece.whole not in held and piece.net not in taken:
            held[piece.whole] = piece.net
            taken.add(piece.net)
    return held


def _mains(pieces: Sequence[Piece], holder: dict[int, Net]) -> dict[Net, Piece]:
    """The piece that stands for each net, from which the others are parted."""
    mains: dict[Net, Piece] = {}
    for piece in sorted(pieces, key=lambda piece: (holder.get(piece.whole) is not piece.net, *_weight(piece))):
        mains.setdefault(piece.net, piece)
    return mains


def _weight(piece: Piece) -> tuple[int, bool, int, int]:
    return -len(piece.terminals), piece.net.hub not in piece.ends, piece.net.number, piece.whole


def _vital(pieces: Iterable[Piece]) -> str:
    return "vital" if any(is_vital(piece.net) for piece in pieces) else ""
