"""Whether wires that are to be twisted together go the same way."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import End, SplicePoint


@rule("loom/twist-parted", severity="FIX", sources=(COMMON_PRACTICE,))
def twist_parted(plan: Plan) -> Iterator[Found]:
    """Wires that belong in one twist go different ways.

    Why: what lies between a wire and its return is a coil that picks up whatever changes near it. Twisted together
    they enclose nothing.
    Found in:
        conversion: loom.runs.panel-pedal = {between: [panel, pedal], length: 430 mm}
        conversion: loom.wires.3 = {role: pedal.a.ground, via: [panel]}
    Put right:
        conversion: loom.wires.3 removed
    Not seen: how far apart the ways lie.
    """
    wires = {wire.tag: wire for wire in plan.wiring.wires}
    for twist in plan.twists:
        between: dict[frozenset[str], dict[tuple[str, ...], list[str]]] = defaultdict(lambda: defaultdict(list))
        for tag in twist.tags:
            route = plan.routes[tag]
            if route.why_none is None:
                ends = frozenset((_where(wires[tag].start), _where(wires[tag].end)))
                between[ends][tuple(sorted(route.runs))].append(tag)
        for ways in between.values():
            if len(ways) < 2:
                continue
            stray = min(ways.values(), key=len)
            rest = [tag for tags in ways.values() if tags is not stray for tag in tags]
            yield Found(
                f"loom, {twist.name}",
                wires[stray[0]].place,
                f"{_tags(stray)} of the {twist.name} {_go(stray)} {_way(plan, stray[0])}, and {_tags(rest)} "
                f"{_go(rest)} {_way(plan, rest[0])}; they should lie in one twist all the way.",
                "Let all of them go the same way: name the same 'via' for each, or none.",
            )


def _where(end: End) -> str:
    return end.name if isinstance(end, SplicePoint) else end.device


def _tags(tags: list[str]) -> str:
    return listed(tags, "and")


def _go(tags: list[str]) -> str:
    return "goes" if len(tags) == 1 else "go"


def _way(plan: Plan, tag: str) -> str:
    route = plan.routes[tag]
    length = "" if route.length_mm is None else f" ({show(route.length_mm, 'length')})"
    return f"by {listed([repr(run) for run in route.runs], 'and')}{length}" if route.runs else "at one station"
