"""Whether the bundles go through their holes and round their corners, and are held closely enough."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Missing
from conversion.description.complaints import listed
from conversion.loom.bundles import Bundle
from conversion.loom.protection import FREE_BEND, GROMMET_WALL_MM, HELD_BEND
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_BENDS = "FAA AC 43.13-1B, paragraph 11-96 (figures from memory)"
_SUPPORTS = "FAA AC 43.13-1B, paragraph 11-96"
_HINGES = "FAA AC 43.13-1B, paragraph 11-115"

_MOST_BETWEEN_CLIPS_MM = 24 * 25.4


@rule("loom/hole-too-small", severity="FIX", sources=(COMMON_PRACTICE,))
def hole_too_small(plan: Plan) -> Iterator[Found]:
    """The loom does not go through a hole with tape and a grommet round it.

    Why: what is forced through is nicked on the edge, and a loom without a grommet is cut through by it in time.
    Found in:
        conversion: loom.stations.bulkhead.hole = 16 mm
    Put right:
        conversion: loom.stations.bulkhead.hole = 25 mm
    Not seen: housings, which may have to pass the hole before the loom is finished.
    """
    for name, passage in plan.passages.items():
        if passage.hole_mm is None or passage.hole_mm >= passage.least_hole_mm:
            continue
        yield Found(
            f"loom.stations.{name}",
            plan.description.place("loom", "stations", name, "hole"),
            f"{len(passage.tags)} wires pass station '{name}'; taped they measure "
            f"{show(passage.cover.outside_mm, 'length')}, and with {show(GROMMET_WALL_MM, 'length')} of grommet all "
            f"round they need a hole of {show(passage.least_hole_mm, 'length')}. It has "
            f"{show(passage.hole_mm, 'length')}.",
            "Drill it larger, or lead some of the wires another way.",
        )


@rule("loom/hole-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def hole_not_described(plan: Plan) -> Iterator[Found]:
    """The loom passes a grommet whose hole is not described.

    Why: a hole is drilled once. What it needs is known before.
    Found in:
        conversion: loom.stations.bulkhead.hole removed
    Put right:
        conversion: loom.stations.bulkhead.hole = 25 mm
    Not seen: what else has to pass there.
    """
    for name, passage in plan.passages.items():
        if passage.hole_mm is None:
            yield Found(
                f"loom.stations.{name}",
                plan.description.place("loom", "stations", name),
                f"The hole at station '{name}' has no 'hole'. {len(passage.tags)} wires pass it, and with tape and "
                f"grommet they need {show(passage.least_hole_mm, 'length')}.",
                "Drill it at least so large, deburr and paint its edge, and write its diameter.",
            )


@rule("loom/corner-too-sharp", severity="FIX", sources=(_BENDS,))
def corner_too_sharp(plan: Plan) -> Iterator[Found | Missing]:
    """The loom is bent more sharply than even a loom that is held on both sides of the bend may be.

    Why: the outer wires are stretched and the inner ones buckle; strands break where nobody sees it.
    Found in:
        conversion: loom.runs.board-pedal.corners = [15 mm]
    Put right:
        conversion: loom.runs.board-pedal.corners = [100 mm]
    Not seen: corners that are not described, and wires that leave the bundle at a station.
    """
    for name, bundle in plan.bundles.items():
        yield from _unknown_corners(plan, name)
        for index, radius_mm in _corners(plan, name):
            if radius_mm < bundle.least_bend_mm:
                yield Found(
                    f"loom.runs.{name}",
                    plan.description.place("loom", "runs", name, "corners", index),
                    f"Run '{name}' is {show(bundle.diameter_mm, 'length')} thick and is bent to a radius of "
                    f"{show(radius_mm, 'length')}; held on both sides it may be bent to "
                    f"{show(bundle.least_bend_mm, 'length')} ({HELD_BEND:.0f} times its thickness).",
                    "Lead the run round a wider corner, or lead some of its wires another way.",
                )


@rule("loom/corner-to-hold", severity="NOTE", sources=(_BENDS,))
def corner_to_hold(plan: Plan) -> Iterator[Found]:
    """The loom passes a bend that has to be held on both sides.

    Why: left to itself a bundle takes a wide bend; a narrower one is kept only by what holds it, and works loose
    without.
    Found in:
        conversion: loom.runs.board-pedal.corners = [40 mm]
    Put right:
        conversion: loom.runs.board-pedal.corners = [400 mm]
    Not seen: clips that are there already.
    """
    for name, bundle in plan.bundles.items():
        held = [radius for radius in bundle.held_corners_mm if radius >= bundle.least_bend_mm]
        if held:
            radii = listed([show(radius, "length") for radius in held], "and")
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name, "corners"),
                f"Run '{name}' is {show(bundle.diameter_mm, 'length')} thick and is bent to {radii}; only from "
                f"{show(bundle.free_bend_mm, 'length')} on ({FREE_BEND:.0f} times its thickness) does a bend need no "
                "hold.",
                f"Set a clip on each side of {'the bend' if len(held) == 1 else 'each of these bends'}; they are "
                "counted among the parts.",
            )


@rule("loom/bend-moves", severity="NOTE", sources=(_HINGES, COMMON_PRACTICE))
def bend_moves(plan: Plan) -> Iterator[Found]:
    """A run that moves is bent on its way.

    Why: a wire that is bent to and fro breaks; one that is twisted over a length lasts. Where the loom crosses a hinge
    it belongs along the hinge's axis.
    Found in:
        conversion: loom.runs.board-pedal.zone = moving
    Put right:
        conversion: loom.runs.board-pedal.corners removed
    Not seen: how far it moves, and how often.
    """
    for name, bundle in plan.bundles.items():
        if bundle.zone == "moving" and bundle.corners_mm:
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name, "corners"),
                f"Run '{name}' lies in zone 'moving' and is bent to {_sharpest(bundle)} on its way.",
                "Lead it along the axis of what moves, so that it is twisted and not bent, and leave a loose length; "
                "take wire of fine strands.",
            )


@rule("loom/clips-far-apart", severity="FIX", sources=(_SUPPORTS,))
def clips_far_apart(plan: Plan) -> Iterator[Found]:
    """The clips of a zone are described farther apart than 24 in.

    Why: between two clips the loom sags, swings and rubs.
    Found in:
        conversion: loom.zones.cabin = {clip_every: 800 mm}
    Put right:
        conversion: loom.zones.cabin = {clip_every: 400 mm}
    Not seen: clips that are missing on the car.
    """
    for zone in dict.fromkeys(bundle.zone for bundle in plan.bundles.values()):
        every_mm = next(bundle.clip_every_mm for bundle in plan.bundles.values() if bundle.zone == zone)
        if every_mm > _MOST_BETWEEN_CLIPS_MM:
            yield Found(
                f"loom.zones.{zone}",
                plan.description.place("loom", "zones", zone, "clip_every"),
                f"In zone '{zone}' the loom is held every {show(every_mm, 'length')}; "
                f"{show(_MOST_BETWEEN_CLIPS_MM, 'length')} is the most.",
                "Write a smaller 'clip_every', or leave it out for the zone's default.",
            )


def _corners(plan: Plan, run: str) -> list[tuple[int, float]]:
    """Position in the list and least radius of each corner that is known."""
    loom = plan.description.conversion.loom
    assert loom is not None, "a bundle belongs to a loom"
    return [(index, corner.low) for index, corner in enumerate(loom.runs[run].corners) if corner is not None]


def _unknown_corners(plan: Plan, run: str) -> Iterator[Missing]:
    loom = plan.description.conversion.loom
    assert loom is not None, "a bundle belongs to a loom"
    for index, corner in enumerate(loom.runs[run].corners):
        if corner is None:
            path = ("loom", "runs", run, "corners", index)
            why = "nobody can say whether the loom may be bent so"
            yield Missing(f"loom.runs.{run}.corners.{index + 1}", plan.description.place(*path), why)


def _sharpest(bundle: Bundle) -> str:
    assert bundle.sharpest_corner_mm is not None, "asked only where there are corners"
    return show(bundle.sharpest_corner_mm, "length")
