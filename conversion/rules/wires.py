"""What is to be known about the wires themselves: left out, without a length, or easy to mistake for each other."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterator

from conversion.description.complaints import listed
from conversion.loom import station_of
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import End, SplicePoint, Wire


@rule("completeness/wire-left-out", severity="NOTE", sources=(COMMON_PRACTICE,))
def wire_left_out(plan: Plan) -> Iterator[Found]:
    """A wire that follows from the roles is left out.

    Why: the reason is the builder's own; who checks the loom has to see it.
    Found in:
        conversion: loom.wires.3 = {role: brake.break, left_out: the second contact is wired later}
    Put right:
        conversion: loom.wires.3 removed
    Not seen: whether the reason holds.
    """
    loom = plan.description.conversion.loom
    for index, change in enumerate(loom.wires if loom else []):
        if change.left_out is not None:
            of = f" of {change.device}" if change.device else ""
            yield Found(
                f"{change.role}{of}",
                plan.description.place("loom", "wires", index),
                f"The wire of '{change.role}'{of} is left out: {change.left_out.rstrip('.')}.",
                "Show the reason to whoever signs the conversion off.",
            )


@rule("completeness/wire-length-unknown", severity="NOTE", sources=(COMMON_PRACTICE,))
def wire_length_unknown(plan: Plan) -> Iterator[Found]:
    """The length of a wire is not known.

    Why: it cannot stand in the cut list, and nobody can say what drops over it.
    Found in:
        conversion: loom.runs.board-pedal.length = unknown
    Put right:
        conversion: loom.runs.board-pedal.length = 540 mm
    Not seen: a run that was measured wrong, or that will lie otherwise than the cord did.
    """
    loom = plan.description.conversion.loom
    unmeasured = {name for name, run in (loom.runs if loom else {}).items() if run.length is None}
    # A wire without a way between two stations, or of a splice without a place, is told by rules of its own, once there
    # are runs at all.
    laid = plan.wiring.wires if loom and loom.runs else ()
    barred = {wire.tag for wire in laid if all(_has_station(plan, end) for end in (wire.start, wire.end))}
    by_cause: dict[str, list[str]] = defaultdict(list)
    for tag, route in plan.routes.items():
        if route.why_none is not None and tag not in barred:
            by_cause[route.why_none].append(tag)
        for run in route.runs:
            if run in unmeasured:
                by_cause[f"the length of the run '{run}' is not known"].append(tag)
    for cause, tags in by_cause.items():
        subject = next((f"loom.runs.{run}" for run in unmeasured if f"'{run}'" in cause), "loom")
        yield Found(
            subject,
            plan.description.place(*subject.split(".", 2)),
            f"The length of {_counted(tags)} is not known: {cause}.",
            "Lay a cord where the loom will lie and measure it; each device has a 'station', each run a 'length'.",
        )


@rule(
    "completeness/colours-alike",
    severity="NOTE",
    sources=("IEC 60757:2021, letter codes (edition from memory)", COMMON_PRACTICE),
)
def colours_alike(plan: Plan) -> Iterator[Found]:
    """Two wires that are not one conductor enter a housing in the same colour.

    Why: at the housing only the colour tells them apart; swapped, they are a fault that looks right.
    Found in:
        conversion: loom.wires.3 = {role: pedal.b.signal, colour: GN, reason: left over}
    Put right:
        conversion: loom.wires.3.colour = GNWH
    Not seen: colours that fade, and wires that are labelled at both ends.
    """
    same = _conductors(plan.wiring.wires)
    for device in plan.description.parts:
        by_look: dict[tuple[str, str], dict[str, str]] = defaultdict(dict)
        for terminal, form in plan.description.terminals(device):
            # A fuse or a switch does not mind which way round it is wired.
            either_way = set(form.roles) <= {"feed.in", "feed.out"}
            for wire in plan.wiring.at(terminal):
                conductor = "through" if either_way else same[wire.tag]
                by_look[terminal.housing, wire.colour].setdefault(conductor, f"{wire.tag} in {terminal.name}")
        for (housing, colour), met in by_look.items():
            if len(met) < 2:
                continue
            yield Found(
                f"{device} housing {housing}",
                plan.description.place("devices", device),
                f"{listed(met.values(), 'and')} are both {colour} and are different conductors."
                if len(met) == 2
                else f"{listed(met.values(), 'and')} are all {colour} and are different conductors.",
                f"Give one of them another 'colour' under 'loom.wires', or label both at {device}.",
            )


def _has_station(plan: Plan, end: End) -> bool:
    return isinstance(end, SplicePoint) or station_of(plan.description, end) is not None


def _conductors(wires: tuple[Wire, ...]) -> dict[str, str]:
    """By tag: which wires are electrically one, since they meet at a terminal or at a splice."""
    leader: dict[Hashable, Hashable] = {}

    def first(item: Hashable) -> Hashable:
        while leader.setdefault(item, item) != item:
            item = leader[item]
        return item

    for wire in wires:
        leader[first(wire.start)] = first(wire.end)
    named: dict[Hashable, str] = {}
    return {wire.tag: named.setdefault(first(wire.start), wire.tag) for wire in wires}


def _counted(tags: list[str], most: int = 8) -> str:
    if len(tags) <= most:
        return listed(tags, "and")
    return f"{', '.join(tags[:most])} and {len(tags) - most} more wires"
