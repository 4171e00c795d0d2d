"""Whether every splice has a place where it may lie, and joins nothing that must stay apart."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from conversion.description.complaints import listed
from conversion.loom import SplicePlace
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.loom_ways import tag_words
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import SplicePoint, Wire

_DEARER_SHARE = 0.10
"""Of the copper that the best place needs, what a chosen one may cost more before it is told. Common practice, no
source."""

_MEDIANS = "S. L. Hakimi, Operations Research 12 (1964): medians of a graph lie at its vertices (from memory)"
_APART = "Formula SAE Rules 2026 v1.0, IC.4.4.2: separate sensors; supply and reference shared on a condition"
_SHARED_ON_CONDITION = ("supply", "ground")


@rule("loom/splice-misplaced", severity="FIX", sources=(COMMON_PRACTICE,))
def splice_misplaced(plan: Plan) -> Iterator[Found]:
    """A splice is described where none should lie: in heat, in the wet, where the loom bends or passes a hole.

    Why: a splice is stiffer than its wires, so that movement breaks them at its ends; heat and water get into it; and
    in a grommet it is thicker than the hole, and nobody can reach it.
    Found in:
        conversion: loom.stations.bulkhead = {place: grommet in the bulkhead, through: grommet}
        conversion: loom.splices.Z1.station = bulkhead
    Put right:
        conversion: loom.splices.Z1.station = board
    Not seen: how the splice is sealed and held.
    """
    for name, place in plan.splice_places.items():
        if place.said and place.why_not is not None:
            yield Found(
                f"splice {name}",
                plan.description.place("loom", "splices", name, "station"),
                f"Splice {name} is described at {place.station}, where it should not lie: {place.why_not}.",
                f"{_elsewhere(place)}.",
            )


@rule("loom/splice-not-placed", severity="HOLD", sources=(COMMON_PRACTICE,))
def splice_not_placed(plan: Plan) -> Iterator[Found]:
    """No station will do for a splice, so that its wires lead nowhere.

    Why: a splice lies where all its wires may go and where it stays cool, dry and still. Without such a place none of
    its wires has a length or a size.
    Found in:
        conversion: loom.splices.Z1 = {joins: [feed.15]}
        conversion: loom.runs.controller-board.closed_to = [feeds]
    Put right:
        conversion: loom.runs.controller-board.closed_to = []
    Not seen: places along a run where a splice could lie with a station of its own.
    """
    for name, place in plan.splice_places.items():
        if place.station is None and place.tags:
            reasons = [f"{other.station} ({other.why_not})" for other in place.others]
            yield Found(
                f"splice {name}",
                plan.description.place("loom", "splices", name),
                f"Splice {name} can lie at none of the stations: {'; '.join(reasons)}.",
                "Describe a station where it is cool, dry and still, on a run that is open to its wires; or give each "
                "device a wire of its own.",
            )


@rule("loom/splice-costs-more", severity="NOTE", sources=(_MEDIANS, COMMON_PRACTICE))
def splice_costs_more(plan: Plan) -> Iterator[Found]:
    """A splice lies where it needs more copper than at another station.

    Why: every wire that meets is longer or thicker than it need be; there may be a good reason, such as room.
    Found in:
        conversion: loom.splices.Z1.station = controller
    Put right:
        conversion: loom.splices.Z1.station = board
    Not seen: room, reach, and splices that lie apart on purpose. A tenth more is let pass.
    """
    for name, place in plan.splice_places.items():
        best = next((other for other in place.others if other.why_not is None and other.copper_mm3 is not None), None)
        if not place.said or best is None or place.copper_mm3 is None or best.copper_mm3 is None:
            continue
        if place.copper_mm3 > best.copper_mm3 * (1.0 + _DEARER_SHARE):
            yield Found(
                f"splice {name}",
                plan.description.place("loom", "splices", name, "station"),
                f"At {place.station} the wires of splice {name} need {show(place.copper_mm3, 'volume')} of copper; at "
                f"{best.station} they need {show(best.copper_mm3, 'volume')}.",
                f"Move it to {best.station}, or leave 'station' out, unless there is no room.",
            )


@rule("loom/splice-joins-tracks", severity="HOLD", sources=(_APART, COMMON_PRACTICE))
def splice_joins_tracks(plan: Plan) -> Iterator[Found]:
    """Wires of two sensor tracks meet at one splice.

    Why: joined outputs read alike whatever the plate does, and pedal and throttle that share a conductor fail
    together. A splice is the one place that should never serve two tracks.
    Found in:
        conversion: loom.splices.Z9 = {station: engine, joins: [throttle.a.signal, throttle.b.signal]}
    Put right:
        conversion: loom.splices.Z9 removed
    Not seen: two splices under one sleeve. Two tracks of the pedal have a rule of their own, and so have a supply or
    a ground that both tracks of a throttle body share.
    """
    loom = plan.description.conversion.loom
    for name, splice in (loom.splices if loom else {}).items():
        tracks: dict[tuple[str, str], list[Wire]] = defaultdict(list)
        lines = set()
        for wire in plan.wiring.at(SplicePoint(name, splice.station or "")):
            for words in (role.split(".") for role in wire.roles):
                if len(words) == 3 and words[0] in ("pedal", "throttle"):
                    tracks[words[0], words[1]].append(wire)
                    lines.add(words[2])
        sensors = {sensor for sensor, _ in tracks}
        told_elsewhere = sensors == {"pedal"} or (
            sensors == {"throttle"} and len(lines) == 1 and lines <= {*_SHARED_ON_CONDITION}
        )
        if len(tracks) < 2 or told_elsewhere:
            continue
        met = [f"{sensor} track {track} ({tag_words(wires)})" for (sensor, track), wires in tracks.items()]
        yield Found(
            f"splice {name}",
            plan.description.place("loom", "splices", name),
            f"Wires of {listed(met, 'and')} meet at splice {name}; each track should have wires of its own.",
            f"Leave one track in {name} at most, and give the other unbroken wires from its own terminal to its own.",
        )


def _elsewhere(place: SplicePlace) -> str:
    best = next((other.station for other in place.others if other.why_not is None), None)
    if best is None:
        return "Describe a station that is cool, dry and still, and put it there"
    return f"Put it at {best}, which costs least copper, or leave 'station' out"
