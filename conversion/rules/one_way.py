"""What only a cable or a contact can do: hang slack, leave its groove, lift off, run off an edge, stand too steep."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.linkage.kinds import EventKind
from conversion.plan import Plan, TravelEvent
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import planned_travel

_DEAD_SHARE = 0.10
"""Of the pad's travel: a little slack at rest lets the lever close surely; more is a pedal that does nothing."""
_SWING_RAD = np.radians(10.0)
_OUT_OF_GROOVE_RAD = np.radians(5.0)


@rule("travel/cable-slack", severity="HOLD", sources=(COMMON_PRACTICE,))
def cable_slack(plan: Plan) -> Iterator[Found]:
    """The cable hangs slack within the travel.

    Why: a slack cable jumps out of its groove, and the pedal does nothing there while the lever lies on the module's
    own stop. A little slack at the very beginning of the travel is another matter and only noted.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {at: 70 mm, origin: existing}}, cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 6 mm}, quadrant: {groove_radius: 40 mm,
          nipple: [428 mm, 0 mm, 28.5 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.cable = {pedal_outer_end: [150 mm, 0 mm, 60 mm], module_outer_end: [300 mm, 0 mm, 40 mm],
          slack: 0.5 mm}
    Not seen: slack from stretch and wear, and an inner that is stiff in its outer.
    """
    for event, whole in _stretches(plan, "slack"):
        if not _only_at_rest(event, whole):
            yield Found(
                "linkage.cable",
                plan.description.place("linkage", "cable"),
                f"From {show(event.pad_travel_mm, 'length')} to {show(event.until_mm, 'length')} of pad travel, of "
                f"{show(whole, 'length')}, the cable hangs slack; it should be taut over the travel, but for at most "
                f"{show(_DEAD_SHARE, 'ratio')} of it at the beginning.",
                "Take up the adjuster, or move the outer's end so that the pedal draws the cable from the start.",
            )


@rule("travel/lift-off", severity="HOLD", sources=(COMMON_PRACTICE,))
def lift_off(plan: Plan) -> Iterator[Found]:
    """The roller is clear of its face within the travel.

    Why: the pedal does nothing there, and the roller strikes its face when it comes back to it.
    Found in:
        conversion: linkage = {kind: contact, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], rest_stop: {origin: existing}, full_stop: {at: 80 mm, origin: existing}},
          contact: {roller_on: lever, roller_centre: [36 mm, 0 mm, -100 mm], roller_radius: 8 mm,
          face_point: [20 mm, 0 mm, -100 mm], face_normal: forward}, module: {device: B1,
          pivot: [36 mm, 0 mm, -20 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.contact = {roller_on: lever, roller_centre: [36 mm, 0 mm, -100 mm], roller_radius: 8 mm,
          face_point: [20 mm, 0 mm, -100 mm], face_normal: forward, set_at_rest: 1.0° ± 0.5°}
    Not seen: a roller that bounces.
    """
    for event, whole in _stretches(plan, "lift-off"):
        if not _only_at_rest(event, whole):
            yield Found(
                "linkage.contact",
                plan.description.place("linkage", "contact"),
                f"From {show(event.pad_travel_mm, 'length')} to {show(event.until_mm, 'length')} of pad travel, of "
                f"{show(whole, 'length')}, the roller is clear of its face; they should touch over the travel, but for "
                f"at most {show(_DEAD_SHARE, 'ratio')} of it at the beginning.",
                "Pack the face or the roller until they touch with the pedal at rest, or move the module.",
            )


@rule("travel/dead-travel", severity="NOTE", sources=(COMMON_PRACTICE,))
def dead_travel(plan: Plan) -> Iterator[Found]:
    """At the beginning of the travel the pedal does not yet move the lever.

    Why: a little of it lets the lever reach its own rest stop whatever the pedal does; it still is travel that is
    lost, and it grows with wear.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {at: 70 mm, origin: existing}}, cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 0.5 mm}, quadrant: {groove_radius: 40 mm,
          nipple: [428 mm, 0 mm, 28.5 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.cable = {pedal_outer_end: [150 mm, 0 mm, 60 mm], module_outer_end: [300 mm, 0 mm, 40 mm],
          slack: 0.0 mm}
    Not seen: play in the joints.
    """
    for kind in ("slack", "lift-off"):
        for event, whole in _stretches(plan, kind):
            if _only_at_rest(event, whole):
                yield Found(
                    "linkage",
                    plan.description.place("linkage"),
                    f"The lever does not move before {show(event.until_mm, 'length')} of pad travel, of "
                    f"{show(whole, 'length')}.",
                    "Know it when you read the lever at rest; take up the adjuster if the pedal feels dead.",
                )


@rule("travel/cable-unwrapped", severity="HOLD", sources=(COMMON_PRACTICE,))
def cable_unwrapped(plan: Plan) -> Iterator[Found]:
    """The cable has left the quadrant's groove and pulls at its nipple alone.

    Why: it bends sharply at the nipple, breaks there, and may come out of the groove.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {at: 70 mm, origin: existing}}, cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 0.0 mm}, quadrant: {groove_radius: 40 mm,
          nipple: [390 mm, 0 mm, 38.7 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.quadrant = {groove_radius: 40 mm, nipple: [428 mm, 0 mm, 28.5 mm]}
    Not seen: a groove that ends before the nipple.
    """
    for event, whole in _stretches(plan, "unwrapped"):
        yield Found(
            "linkage.quadrant",
            plan.description.place("linkage", "quadrant"),
            f"From {show(event.pad_travel_mm, 'length')} to {show(event.until_mm, 'length')} of pad travel, of "
            f"{show(whole, 'length')}, the cable is no longer wrapped on the quadrant; some of it should lie in the "
            "groove over the whole travel.",
            "Turn the quadrant on the lever, so that more of its groove is wrapped at rest, or use a longer one.",
        )


@rule("travel/run-off", severity="HOLD", sources=(COMMON_PRACTICE,))
def run_off(plan: Plan) -> Iterator[Found]:
    """The roller runs beyond an edge of its face.

    Why: it drops off and may hang behind the edge, with the throttle open.
    Found in:
        conversion: linkage = {kind: contact, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], rest_stop: {origin: existing}, full_stop: {at: 80 mm, origin: existing}},
          contact: {roller_on: lever, roller_centre: [30 mm, 0 mm, -100 mm], roller_radius: 8 mm,
          face_point: [20 mm, 0 mm, -100 mm], face_normal: forward, face_half_length: 5 mm,
          set_at_rest: 1.0° ± 0.5°}, module: {device: B1, pivot: [30 mm, 0 mm, -20 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.contact.face_half_length = 30 mm
    Not seen: how far a roller may run to the side of its face.
    """
    for event, whole in _stretches(plan, "run-off"):
        slid = plan.travel.solution.quantities()["along_face_mm"]
        yield Found(
            "linkage.contact",
            plan.description.place("linkage", "contact"),
            f"From {show(event.pad_travel_mm, 'length')} to {show(event.until_mm, 'length')} of pad travel, of "
            f"{show(whole, 'length')}, the roller is beyond the {event.where} of its face. It touches from "
            f"{show(float(np.nanmin(slid)), 'length')} to {show(float(np.nanmax(slid)), 'length')} from the middle; "
            "all of that should lie on the face.",
            "Make the face longer that way, or move its middle to where the roller runs.",
        )


@rule("travel/cable-swings", severity="NOTE", sources=(COMMON_PRACTICE,))
def cable_swings(plan: Plan) -> Iterator[Found]:
    """The inner leaves the end of its outer at a large angle.

    Why: as the pedal turns, the straight piece of the inner swings about the outer's end. There it rubs, wears through
    its strands and drags, the more the farther it swings. The limits, 10° at the pedal and 5° out of the groove's
    plane at the module, are common practice.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {at: 70 mm, origin: existing}}, cable: {pedal_outer_end: [20 mm, 0 mm, 75 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 0.0 mm}, quadrant: {groove_radius: 40 mm,
          nipple: [428 mm, 0 mm, 28.5 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.cable.pedal_outer_end = [150 mm, 0 mm, 60 mm]
    Not seen: an end of the outer that can swivel; it may swing farther.
    """
    travel = planned_travel(plan)
    figures = travel.solution.quantities()
    for name, limit, key, words in (
        ("swing_at_outer_rad", _SWING_RAD, "pedal_outer_end", "swings away from where it stands at rest"),
        ("out_of_groove_rad", _OUT_OF_GROOVE_RAD, "module_outer_end", "leaves the plane of the quadrant's groove"),
    ):
        if name not in figures:
            return
        at = int(np.nanargmax(figures[name]))
        if figures[name][at] > limit:
            yield Found(
                f"linkage.cable.{key}",
                plan.description.place("linkage", "cable", key),
                f"At {show(float(travel.pad_travel_mm[at]), 'length')} of pad travel the inner {words} by "
                f"{show(float(figures[name][at]), 'angle')}; it should stay within {show(limit, 'angle')}.",
                "Move the outer's end farther away, in line with the inner's middle position, or let it swivel.",
            )


def _stretches(plan: Plan, kind: EventKind) -> Iterator[tuple[TravelEvent, float]]:
    """Stretches of a kind, each with the whole pad travel. [mm]"""
    for event in plan.travel.events:
        if event.kind == kind:
            yield event, float(plan.travel.pad_travel_mm[-1])


def _only_at_rest(event: TravelEvent, whole_mm: float) -> bool:
    return event.pad_travel_mm <= 0.0 and event.until_mm <= _DEAD_SHARE * whole_mm
