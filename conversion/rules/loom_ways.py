"""Whether every wire has a way that it may take, and which way that is."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from conversion.description.complaints import Place, listed
from conversion.loom import Route, station_of
from conversion.loom.allowed import Ban
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import Wire

_DIJKSTRA = "Dijkstra's shortest paths"


@rule("loom/no-way", severity="HOLD", sources=(COMMON_PRACTICE,))
def no_way(plan: Plan) -> Iterator[Found]:
    """A wire has no way that it may take.

    Why: what closes a run is there because the wire, or what it says, would not survive it. A wire without a way is
    in no bundle, has no length, no size and no place on the board.
    Found in:
        conversion: loom.runs.bulkhead-engine.zone = hot
    Put right:
        conversion: loom.zones.hot = {closed_to: []}
    Not seen: heat and cables that no run describes, and ways that are there in the car and not in the description.
    """
    loom = plan.description.conversion.loom
    if loom is None or not loom.runs:
        # Nobody has laid the cord yet: no wire has a length, and that is told by a rule of its own.
        return
    for route, wires in _alike(plan).items():
        if route.why_none is None or not _ends_known(plan, wires[0]):
            continue
        if route.bans:
            place = _ban_place(plan, route.bans[0])
            lifts = listed(route.lift, "and")
            remedy = f"Describe another run that is open to {_them(wires)}, or {lifts}."
        else:
            place = plan.description.place("loom", "runs")
            remedy = "Describe the run that joins the two, with 'length: unknown' until it is measured."
        yield Found(
            f"loom, {tag_words(wires)}",
            place,
            f"{tag_words(wires)} cannot be laid: {route.why_none}.",
            remedy,
        )


@rule("loom/way-doubles-back", severity="FIX", sources=(COMMON_PRACTICE,))
def way_doubles_back(plan: Plan) -> Iterator[Found]:
    """A wire goes along a run and comes back over it, to pass a station that it is described to pass.

    Why: copper that leads nowhere is resistance, weight and one more thing in the bundle. It is meant seldom; a
    station that was named by mistake looks the same.
    Found in:
        conversion: loom.wires.3 = {role: clutch.signal, via: [panel]}
    Put right:
        conversion: loom.wires.3.via = [board]
    Not seen: whether the wire has to be reached there; if so, a splice or a contact there says why.
    """
    for route, wires in _alike(plan).items():
        twice = [run for run in dict.fromkeys(route.runs) if route.runs.count(run) > 1]
        if twice:
            yield Found(
                f"loom, {tag_words(wires)}",
                wires[0].place,
                f"{tag_words(wires)} would go {_way_words(route)}, twice over {_named(twice)}.",
                "Take the station out of 'via', or describe the run by which the wire goes on from there.",
            )


@rule("loom/long-way", severity="NOTE", sources=(_DIJKSTRA, COMMON_PRACTICE))
def long_way(plan: Plan) -> Iterator[Found]:
    """A wire does not take the shortest way, since something closes it.

    Why: whoever lays the loom will see the shorter way, and has to know why the wire is cut for the longer one.
    Found in:
        conversion: loom.runs.board-pedal.beside = [{what: starter, apart: 40 mm}]
        conversion: loom.runs.round-about = {between: [board, pedal], length: 900 mm}
    Put right:
        conversion: loom.runs.board-pedal.beside = [{what: starter, apart: 150 mm}]
    Not seen: ways that are not described.
    """
    for route, wires in _alike(plan).items():
        if route.detour is None:
            continue
        short = route.detour
        bans = short.bans
        plainly = Route(short.stations, short.runs, short.length_mm)
        yield Found(
            f"loom, {tag_words(wires)}",
            _ban_place(plan, bans[0]) if bans and not short.via else wires[0].place,
            f"{tag_words(wires)} {_goes(wires)} {_way_words(route)}, and not {_way_words(plainly)}: {short.why}.",
            "Lay it as the plan says; the lengths are cut for that way.",
        )


def tag_words(wires: Sequence[Wire], most: int = 8) -> str:
    """Wires as a sentence names them, the first few of many."""
    tags = [wire.tag for wire in wires]
    return listed(tags, "and") if len(tags) <= most else f"{', '.join(tags[:most])} and {len(tags) - most} more wires"


def _alike(plan: Plan) -> dict[Route, list[Wire]]:
    """Wires that go the same way for the same reason, by that way."""
    found: dict[Route, list[Wire]] = defaultdict(list)
    for wire in plan.wiring.wires:
        found[plan.routes[wire.tag]].append(wire)
    return found


def _ends_known(plan: Plan, wire: Wire) -> bool:
    return all(station_of(plan.description, end) is not None for end in (wire.start, wire.end))


def _ban_place(plan: Plan, ban: Ban) -> Place:
    """Where a ban stands; of a zone's default, the first run that lies in the zone."""
    loom = plan.description.conversion.loom
    if loom is not None and ban.path[1] == "zones":
        zone = ban.path[2]
        run = next((name for name, run in loom.runs.items() if run.zone == zone), None)
        if zone not in loom.zones and run is not None:
            return plan.description.place("loom", "runs", run, "zone")
    return plan.description.place(*ban.path)


def _way_words(route: Route) -> str:
    length = "of unknown length" if route.length_mm is None else show(route.length_mm, "length")
    # Between the same stations only the runs tell two ways apart.
    return f"{'–'.join(route.stations)} by {_named(route.runs)} ({length})"


def _named(runs: Sequence[str]) -> str:
    return listed([f"'{run}'" for run in runs], "and")


def _goes(wires: Sequence[Wire]) -> str:
    return "goes" if len(wires) == 1 else "go"


def _them(wires: Sequence[Wire]) -> str:
    return "it" if len(wires) == 1 else "them"
