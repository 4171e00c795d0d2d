"""What a builder with a half-built loom does about each wire that differs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from conversion.bench.compare.laid import Laid
from conversion.bench.compare.names import Names
from conversion.bench.compare.wires import Match
from conversion.description import Terminal
from conversion.quantities import show
from conversion.wiring import End

Task = Literal["cut out", "move", "make anew", "add", "shorten", "leave", "lay otherwise", "re-label"]
TASKS: dict[Task, str] = {
    "cut out": "no longer wanted",
    "move": "an end goes elsewhere",
    "make anew": "another size, another colour, or too short: cut it again",
    "add": "not there yet",
    "shorten": "longer than it need be now",
    "leave": "a little short, which the wire laid in for new terminations gives",
    "lay otherwise": "goes another way, or with other wires",
    "re-label": "another tag, other ends or another purpose to name",
}
"""What is done, in working order, and what is the matter."""

SAME_MM = 1.0
"""Lengths that differ by less are cut alike."""


@dataclass(frozen=True, slots=True)
class WireChange:
    """A wire that differs.

    Attributes:
        match: The wire as it was and as it is, and the ends that moved.
        tasks: What is to be done, in working order, each with what differs; empty words where the task says it all.
    """

    match: Match
    tasks: dict[Task, str]

    @property
    def laid(self) -> Laid:
        """The wire as it is to be, or as it was where it is taken out."""
        laid = self.match.new or self.match.old
        assert laid is not None, "a match has a wire of one loom at least"
        return laid


def wire_change(match: Match, names: Names) -> WireChange | None:
    """What is to be done about one wire; None where nothing is.

    Args:
        match: The wire in both looms.
        names: What is called otherwise.
    """
    if match.old is None or match.new is None:
        return WireChange(match, {"add" if match.old is None else "cut out": ""})
    found: dict[Task, list[str]] = defaultdict(list)
    for task, difference in _differences(match, match.old, match.new, names):
        found[task].append(difference)
    if not found:
        return None
    if "make anew" in found:
        # What is cut again is terminated, laid and labelled again with it.
        told: tuple[Task, ...] = ("make anew", "move", "lay otherwise")
        return WireChange(match, {"make anew": _sentence(piece for task in told for piece in found[task])})
    return WireChange(match, {task: _sentence(found[task]) for task in TASKS if task in found})


def _sentence(pieces: Iterable[str]) -> str:
    return "; ".join(piece for piece in pieces if piece)


def _differences(match: Match, old: Laid, new: Laid, names: Names) -> Iterator[tuple[Task, str]]:
    was, now = old.wire, new.wire
    if was.size_mm2 != now.size_mm2:
        yield "make anew", f"{show(now.size_mm2, 'area')} instead of {show(was.size_mm2, 'area')}"
    if was.colour != now.colour:
        yield "make anew", f"{now.colour} instead of {was.colour}"
    for before, after in match.moved:
        yield "move", f"the end at {before.name} goes to {after.name}"
    other_housings = sum(not _same_housing(*ends) for ends in match.moved)
    yield from _lengths(old, new, old.retermination_mm * other_housings)
    if not _same_way(old, new, names):
        yield "lay otherwise", _another_way(old, new)
    if old.twist != new.twist:
        yield "lay otherwise", f"{_twisted(new)} instead of {_twisted(old)}"
    if was.tag != now.tag:
        yield "re-label", ""
    if match.moved or {end.name for end in old.ends} != {end.name for end in new.ends}:
        yield "re-label", f"was {was.start.name} to {was.end.name}"
    if {*was.roles} != {*now.roles}:
        yield "re-label", f"now {now.purpose}"


def _lengths(old: Laid, new: Laid, taken_mm: float) -> Iterator[tuple[Task, str]]:
    """What a new length, and new terminations that take some of the wire, ask for."""
    if old.cut_mm is None or new.cut_mm is None:
        return
    longer_mm = new.cut_mm - old.cut_mm
    left_mm = old.slack_mm - longer_mm - taken_mm
    lengths = f"{show(new.cut_mm, 'cut')} instead of {show(old.cut_mm, 'cut')}"
    if left_mm < -SAME_MM:
        ends = f", and new ends take {show(taken_mm, 'length')}" if taken_mm else ""
        yield "make anew", f"it was cut to {show(old.cut_mm, 'cut')}{ends}"
    elif longer_mm >= SAME_MM:
        yield "leave", f"{lengths}; {show(max(left_mm, 0.0), 'length')} are left for new terminations"
    elif longer_mm <= -SAME_MM:
        yield "shorten", f"cut to {lengths}"


def _same_housing(before: End, after: End) -> bool:
    """Whether the contact can be drawn out of its place and put into another."""
    if not isinstance(before, Terminal) or not isinstance(after, Terminal):
        return False
    return (before.device, before.housing) == (after.device, after.housing)


def _same_way(old: Laid, new: Laid, names: Names) -> bool:
    """Whether a wire lies where it lay: the same runs, or the same stations and more between them on the same way."""
    runs = tuple(names.runs.get(run, "") for run in old.route.runs)
    if new.route.runs in (runs, runs[::-1]):
        return True
    before, after = [names.stations.get(each, "") for each in old.route.stations], [*new.route.stations]
    lengths = old.route.length_mm, new.route.length_mm
    if None in lengths or abs((lengths[0] or 0.0) - (lengths[1] or 0.0)) >= SAME_MM:
        return False
    return any(_within(*pair) for way in (after, after[::-1]) for pair in ((before, way), (way, before)))


def _within(few: Sequence[str], many: Sequence[str]) -> bool:
    """Whether all of the few come among the many, in order."""
    rest = iter(many)
    return bool(few) and all(each in rest for each in few)


def _twisted(laid: Laid) -> str:
    return f"twisted with the {laid.twist}" if laid.twist else "by itself"


def _another_way(old: Laid, new: Laid) -> str:
    before, after = old.route, new.route
    if before.stations == after.stations:
        # Two runs may join the same two stations.
        left, taken = (
            [run for run in one.runs if run not in other.runs] for one, other in ((before, after), (after, before))
        )
        return f"through {_way(taken)} instead of {_way(left)}"
    return f"by {_way(after.stations)} instead of {_way(before.stations)}"


def _way(stations: Sequence[str]) -> str:
    return ", ".join(stations) if stations else "no known way"
