"""The list of what was wired held against a plan, and each difference in words with the builder's own names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from weakref import WeakKeyDictionary

from conversion.bench.wired.compare import Difference, compare_wired
from conversion.bench.wired.nets import Net, Pair, Piece
from conversion.description import Description, Place, Terminal
from conversion.description.complaints import listed
from conversion.description.roles import meaning_of
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint

_MOST = 4
"""More ends or wires than this are counted, not named."""

AS_PLANNED = "as planned"
"""What is said of a wire that joins what it should and nothing else."""

_COMPARED: WeakKeyDictionary[Plan, tuple[Difference, ...]] = WeakKeyDictionary()


@dataclass(frozen=True, slots=True)
class Said:
    """A difference in words.

    Attributes:
        difference: The difference.
        subject: The ends that it is about.
        place: The first entry that says it, or the list.
        message: What is otherwise than planned.
        remedy: What to do.
    """

    difference: Difference
    subject: str
    place: Place
    message: str
    remedy: str


def wired_differences(plan: Plan) -> tuple[Difference, ...]:
    """What is wired otherwise than planned, worst first; nothing where no list is given."""
    if plan not in _COMPARED:
        _COMPARED[plan] = compare_wired(plan.wiring.wires, _pairs(plan)) if plan.description.as_wired else ()
    return _COMPARED[plan]


def wired_in_words(plan: Plan) -> list[Said]:
    """The same in words, worst first."""
    pairs = _pairs(plan)
    return [_said(plan, difference, pairs) for difference in wired_differences(plan)]


def wired_by_tag(plan: Plan) -> dict[str, str]:
    """For every planned wire how it was wired, in a few words; empty where no list is given."""
    if plan.description.as_wired is None:
        return {}
    status = {wire.tag: AS_PLANNED for wire in plan.wiring.wires}
    # From the least to the worst, so that the worst stays.
    for difference in reversed(wired_differences(plan)):
        tags = [wire.tag for wire in difference.wires]
        for tag in tags:
            if difference.kind == "crossed":
                status[tag] = f"crossed with {_few([other for other in tags if other != tag])}"
            elif difference.kind == "missing":
                status[tag] = "elsewhere" if difference.strangers else "not there"
            elif difference.kind == "joined":
                mine = next(p for p in difference.pieces if tag in {wire.tag for wire in p.net.wires})
                other = next(piece for piece in difference.pieces if piece is not mine)
                status[tag] = f"joined to {_some(other.ends)}"
            elif difference.kind == "extra":
                status[tag] = f"and {_some(difference.strangers)} as well"
    return status


def _pairs(plan: Plan) -> list[Pair]:
    wired = plan.description.as_wired
    if wired is None:
        return []
    return [(_end(plan.description, one), _end(plan.description, other)) for one, other in wired.pairs]


def _end(description: Description, name: str) -> End:
    terminal = description.find_place(name)
    if terminal is not None:
        return terminal
    loom = description.conversion.loom
    assert loom is not None, "ends are checked when the description is read"
    return SplicePoint(name, loom.splices[name].station or "")


def net_words(net: Net) -> str:
    """What a conductor of the plan is for.

    Feeds and returns are called after the device that they branch from, since their roles read alike.
    """
    if net.groups & {"feed", "source"} and net.hub is not None:
        return f"feed from {net.hub.device}"
    if net.groups == {"ground"} and net.hub is not None:
        return f"return to {net.hub.device}"
    return listed((meaning_of(role) for role in net.roles), "and")


def _said(plan: Plan, difference: Difference, pairs: Sequence[Pair]) -> Said:
    wired = plan.description.as_wired
    assert wired is not None, "without a list there are no differences"
    words = {
        "crossed": _crossed, "joined": _joined, "missing": _missing, "extra": _extra, "again": _again,
    }[difference.kind]  # fmt: skip
    subject, message, remedy = words(plan.description, difference, [pairs[entry] for entry in difference.entries])
    return Said(difference, subject, wired.place(*difference.entries[:1]), message, remedy + _mend(difference))


def _mend(difference: Difference) -> str:
    entries = [str(entry + 1) for entry in difference.entries]
    if not entries:
        return " If it is wired all the same, add the pair to the list."
    if len(entries) > _MOST:
        return " If the car is right and the list is wrong, mend the list."
    several = "entries" if len(entries) > 1 else "entry"
    return f" If the car is right and the list is wrong, mend {several} {listed(entries, 'and')}."


def _crossed(description: Description, difference: Difference, pairs: Sequence[Pair]) -> tuple[str, str, str]:
    moved = {end for piece in difference.pieces for end in piece.ends}
    ways = []
    for piece, following in zip(difference.pieces, (*difference.pieces[1:], difference.pieces[0]), strict=True):
        stays = [end for end in following.net.ends if end not in moved]
        ways.append(
            f"{_some(piece.ends)} ({net_words(piece.net)}) {_are(piece)} joined to {_rest(following.net, stays)}"
        )
    more = [f"{len(ways) - _MOST} more in the same way"] if len(ways) > _MOST else []
    tags = _few([wire.tag for wire in difference.wires])
    subject = _few([_some(piece.ends) for piece in difference.pieces])
    return (
        subject,
        f"{tags} have changed places: {'; '.join([*ways[:_MOST], *more])}.",
        f"Change {subject} over and read every wire from end to end.",
    )


def _joined(description: Description, difference: Difference, pairs: Sequence[Pair]) -> tuple[str, str, str]:
    one, other = difference.pieces
    first, second = _met(one, pairs), _met(other, pairs)
    message = (
        f"{first} ({net_words(one.net)}) is joined to {second} ({net_words(other.net)}); the plan keeps them apart."
    )
    for piece, rest in difference.parted:
        belong = "belong" if _are(piece) == "are" else "belongs"
        message += f" {_some(piece.ends)} {belong} to {_rest(rest.net, rest.ends)} and {_are(piece)} not joined to it."
    return (
        f"{first} and {second}",
        message,
        "Part them, join each to its own, and read that the two are open against each other.",
    )


def _missing(description: Description, difference: Difference, pairs: Sequence[Pair]) -> tuple[str, str, str]:
    piece, rest = difference.pieces
    tags = _few([wire.tag for wire in difference.wires])
    message = f"{_some(piece.ends)} ({net_words(piece.net)}) {_are(piece)} not joined to {_rest(rest.net, rest.ends)}"
    message += f": {tags} is not there"
    if difference.strangers:
        instead = listed((f"{one.name} to {other.name}" for one, other in pairs[:_MOST]), "and")
        strange = _strange(description, difference.strangers)
        message += f", and {instead} is there instead; no planned wire goes to {strange}."
        return _some(piece.ends), message, f"Move the end to where {tags} belongs."
    message += "."
    return _some(piece.ends), message, f"Lay {tags} and read it from end to end."


def _extra(description: Description, difference: Difference, pairs: Sequence[Pair]) -> tuple[str, str, str]:
    strange, several = _strange(description, difference.strangers), len(difference.strangers) > 1
    are = "are" if several else "is"
    if difference.pieces:
        piece = difference.pieces[0]
        how = f"{are} joined to {_met(piece, pairs)} ({net_words(piece.net)})"
    else:
        how = "are joined to each other" if several else "has a wire"
    message = f"{strange} {how}; no planned wire goes there."
    return _some(difference.strangers), message, "Take the wire out, or give the place its role in the description."


def _again(description: Description, difference: Difference, pairs: Sequence[Pair]) -> tuple[str, str, str]:
    one, other = pairs[0]
    return (
        f"{one.name} and {other.name}",
        f"{one.name} to {other.name} joins what other entries join already.",
        "Take one way out, or leave it if it is meant: nothing else changes by it.",
    )


def _rest(net: Net, ends: Sequence[End]) -> str:
    """What stays of a net: its hub stands for all, where it is among them."""
    return _some([net.hub] if net.hub in ends and net.hub is not None else ends)


def _are(piece: Piece) -> str:
    return "are" if len(piece.terminals) > 1 else "is"


def _met(piece: Piece, pairs: Sequence[Pair]) -> str:
    """The end of a piece at which it is joined to something else."""
    inside = set(piece.ends)
    met = next((end for pair in pairs for end in pair if end in inside and not inside.issuperset(pair)), None)
    return _some([met] if met is not None else piece.ends)


def _some(ends: Sequence[End]) -> str:
    """Ends by name: terminals, or the splice where there is no terminal."""
    return _few([end.name for end in ends if isinstance(end, Terminal)] or [f"splice {end.name}" for end in ends])


def _few(names: Sequence[str]) -> str:
    """Names as a sentence lists them, the last of many counted."""
    if len(names) <= _MOST:
        return listed(names, "and")
    return f"{', '.join(names[: _MOST - 1])} and {len(names) - _MOST + 1} more"


def _strange(description: Description, places: Sequence[Terminal]) -> str:
    return _few([f"{place.name} ({_state(description, place)})" for place in places])


def _state(description: Description, place: Terminal) -> str:
    form = description.parts[place.device].housings[place.housing].cavities.get(place.cavity)
    if form is None:
        return "not described"
    if form.empty:
        return "described as empty"
    if form.unused is not None:
        return "described as unused"
    return f"{listed((meaning_of(role) for role in form.roles), 'and')}, for which no wire is planned"
