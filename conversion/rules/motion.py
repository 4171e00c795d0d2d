"""What the linkage does between its ends: dead centres, transmission angles, the way round, and how even it is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

import numpy as np

from conversion.linkage import BellCrankLinkage, CableLinkage, ContactLinkage, Linkage, RodLinkage
from conversion.linkage.turning import Array
from conversion.plan import Plan, TravelEvent
from conversion.quantities import show
from conversion.rules.linkage_words import described_words
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import not_closing_mm, planned_travel

_TRANSMISSION = "common textbook guidance, 40° to 140° (Norton, Design of Machinery; Shigley; from memory)"
_WORST_RAD = np.radians(40.0)
_NEAR_RAD = np.radians(45.0)
_UNEVEN = 1.5


@rule("travel/dead-centre", severity="HOLD", sources=(COMMON_PRACTICE,))
def dead_centre(plan: Plan) -> Iterator[Found]:
    """Link and lever come into one line within the travel: the lever locks.

    Why: at its dead centre the rod cannot turn the lever. The pedal jams there, or the lever may go on to the wrong
    side and stay open when the pedal comes back.
    Found in:
        conversion: linkage.module.lever_pin = [144 mm, -44 mm, -35 mm]
        conversion: linkage.pedal.full_stop = {at: 100 mm, origin: made}
    Put right:
        conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}
    Not seen: dead centres that only a bent rod or a worn joint would reach.
    """
    for event in plan.travel.events:
        if event.kind == "lock":
            yield Found(
                "linkage",
                plan.description.place("linkage"),
                f"At {show(event.pad_travel_mm, 'length')} of pad travel, of "
                f"{show(float(plan.travel.pad_travel_mm[-1]), 'length')}, {_in_line(plan, event.where, 'lever')} and "
                f"{_locks(event.where)}; no dead centre may lie within the travel.",
                "Move the module or its lever so that the link stays near 90° to the lever, or end the travel well "
                "before.",
            )


@rule("travel/over-centre", severity="HOLD", sources=(COMMON_PRACTICE,))
def over_centre(plan: Plan) -> Iterator[Found]:
    """Link and pedal arm come into one line within the travel: the lever turns back as the pedal goes on.

    Why: past that place pressing on closes the throttle, and letting go opens it first.
    Found in:
        conversion: linkage.pedal.rod_pin = [62 mm, -12 mm, -47 mm]
        conversion: linkage.rod = {length: 85 mm}
        conversion: linkage.pedal.full_stop = {at: 110 mm, origin: made}
    Put right:
        conversion: linkage.pedal.full_stop = {at: 20 mm, origin: made}
    Not seen: how little the lever moves close to such a place; see the ratio over the travel.
    """
    for event in plan.travel.events:
        if event.kind == "reversal":
            yield Found(
                "linkage",
                plan.description.place("linkage"),
                f"At {show(event.pad_travel_mm, 'length')} of pad travel, of "
                f"{show(float(plan.travel.pad_travel_mm[-1]), 'length')}, {_over(event.where)} and the lever "
                "turns back; it should go on toward full to the end.",
                "Move the place where the link leaves the pedal so that it stays near 90° to the pedal arm over the "
                "travel.",
            )


@rule("travel/rod-does-not-close", severity="HOLD", sources=(COMMON_PRACTICE,))
def rod_does_not_close(plan: Plan) -> Iterator[Found]:
    """The link is too short or too long for a part of the travel, or cannot reach at all.

    Why: the linkage cannot be put together there, or it stops the pedal with the foot's full force in the rod.
    Found in:
        conversion: linkage.rod = {length: 80 mm}
        conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}
    Put right:
        conversion: linkage.rod = {length: 140 mm}
    Not seen: whether the adjustable ends of the rod have the thread for its length.
    """
    for event in plan.travel.events:
        if event.kind == "no-solution":
            words = described_words(plan)
            yield Found(
                words.subject,
                plan.description.place(*words.path),
                f"From {show(event.pad_travel_mm, 'length')} to {show(event.until_mm, 'length')} of pad travel "
                f"{_why_none(plan.travel.geometry.linkage, event)}; the linkage should close over the whole travel.",
                f"Check the points against the car; then change {words.link} or move the module.",
            )


def _why_none(linkage: Linkage, event: TravelEvent) -> str:
    if isinstance(linkage, RodLinkage):
        return f"the rod of {show(float(linkage.rod_length_mm), 'length')} is too {event.rod}"
    if isinstance(linkage, BellCrankLinkage):
        lengths = {"first rod": linkage.first_rod_length_mm, "second rod": linkage.second_rod_length_mm}
        return f"the {event.where} of {show(float(lengths[event.where]), 'length')} is too {event.rod}"
    if isinstance(linkage, CableLinkage):
        return "more of the cable would be drawn than the quadrant can turn"
    return "roller and face cannot touch, wherever the lever stands"


def _in_line(plan: Plan, where: str, arm: str) -> str:
    linkage = plan.travel.geometry.linkage
    if isinstance(linkage, CableLinkage):
        return "the cable pulls straight through the quadrant's axis"
    if isinstance(linkage, ContactLinkage):
        return "the contact pushes straight at the lever's axis"
    if where == "first rod":
        return "the first rod and the bell-crank lie in one line"
    return f"{'the second rod' if where else 'rod'} and {arm} lie in one line"


def _locks(where: str) -> str:
    return "the bell-crank locks" if where == "first rod" else "the lever locks"


def _over(where: str) -> str:
    return "the bell-crank goes over centre" if where == "second rod" else "the pedal goes over centre"


@rule("travel/may-not-close", severity="FIX", sources=(COMMON_PRACTICE,))
def may_not_close(plan: Plan) -> Iterator[Found]:
    """With a figure at the end of its tolerance the rod no longer reaches over the whole travel.

    Why: as planned the linkage works; as built it may jam.
    Found in:
        conversion: linkage.rod = {length: 140 mm ± 60 mm}
        conversion: linkage.pedal.full_stop = {at: 60 mm, origin: made}
    Put right:
        conversion: linkage.rod = {length: 140 mm ± 0.5 mm}
    Not seen: two figures that are both off.
    """
    travel = planned_travel(plan)
    at = not_closing_mm(travel)
    if at is not None:
        yield Found(
            "linkage",
            plan.description.place("linkage"),
            f"At {show(at, 'length')} of pad travel the linkage does not close with a figure at the end of its "
            "tolerance; it should close whatever the figures are within theirs.",
            "Measure the points and the rod more closely, or move the module away from the dead centre.",
        )


@rule("travel/transmission-angle", severity="FIX", sources=(_TRANSMISSION,))
def transmission_angle(plan: Plan) -> Iterator[Found]:
    """The angle between the link and the arm that it moves leaves 40° to 140°.

    Why: at a flat angle most of the force pulls at the bearings instead of turning the lever. Friction grows, play
    counts for more, and a dead centre is near.
    Found in:
        conversion: linkage.module.lever_pin = [180 mm, -40 mm, -60 mm]
    Put right:
        conversion: linkage.module.lever_pin = [144 mm, -40 mm, -65 mm]
    Not seen: bending of rod and lever.
    """
    yield from _flat_angles(plan, worse_than=_WORST_RAD, down_to=0.0, asked="40° to 140°")


@rule("travel/transmission-angle-near", severity="NOTE", sources=(_TRANSMISSION,))
def transmission_angle_near(plan: Plan) -> Iterator[Found]:
    """The angle between the link and the arm that it moves comes near the end of 40° to 140°.

    Why: it is still good; a few millimetres in the car may make it bad.
    Found in:
        conversion: linkage.pedal.rod_pin = [38 mm, -12 mm, -68 mm]
        conversion: linkage.pedal.full_stop = {at: 66 mm, origin: made}
    Put right:
        conversion: linkage.pedal.rod_pin = [8 mm, -12 mm, -78 mm]
    Not seen: tolerances; the angle as planned is looked at.
    """
    yield from _flat_angles(plan, worse_than=_NEAR_RAD, down_to=_WORST_RAD, asked="45° to 135°")


def _flat_angles(plan: Plan, *, worse_than: float, down_to: float, asked: str) -> Iterator[Found]:
    travel = plan.travel
    ends: tuple[tuple[Literal["lever", "pedal"], Array], ...] = (
        ("lever", travel.transmission_lever_rad),
        ("pedal", travel.transmission_pedal_rad),
    )
    for half, angle in ends:
        flatness = np.minimum(angle, np.pi - angle)
        if not np.any(np.isfinite(flatness)):
            continue
        at = int(np.nanargmin(flatness))
        if down_to <= flatness[at] < worse_than:
            link = described_words(plan).link.removeprefix("the ")
            yield Found(
                f"linkage, {link} and {half}",
                plan.description.place("linkage", "module" if half == "lever" else "pedal"),
                f"Between {link} and {half} the transmission angle is {show(float(angle[at]), 'angle')} at "
                f"{show(float(travel.pad_travel_mm[at]), 'length')} of pad travel; it should stay within {asked}.",
                f"Turn the {half}'s arm or move its pin so that the link stands near 90° to it in mid-travel.",
            )


@rule("travel/wrong-way", severity="HOLD", sources=(COMMON_PRACTICE,))
def wrong_way(plan: Plan) -> Iterator[Found]:
    """Pressing the pedal turns the lever away from full.

    Why: the lever is pressed against its rest stop; the car does not go, and rod or module break.
    Found in:
        conversion: linkage.module.opens = clockwise
    Put right:
        conversion: linkage.module.opens = anticlockwise
    Not seen: whether the module's papers and the builder mean the same side by the axis arrow.
    """
    ratio = float(plan.starts.ratio[0])
    if np.isfinite(ratio) and ratio < 0.0:
        yield Found(
            "linkage.module",
            plan.description.place("linkage", "module", "opens"),
            f"As the pedal leaves its rest, a degree of it turns the lever by {show(-ratio, 'plain')}° away from full; "
            "it should turn toward full.",
            "Check 'opens' and the axis; if they are right, take the link to the other side of the lever's axis or "
            "turn the module round.",
        )


@rule("travel/uneven", severity="NOTE", sources=(COMMON_PRACTICE,))
def uneven(plan: Plan) -> Iterator[Found]:
    """The lever turns much faster for the same pedal movement in one part of the travel than in another.

    Why: the pedal feels nervous in one half and dull in the other. A quick beginning makes it hard to pull away.
    Found in:
        conversion: linkage.pedal.rod_pin = [50 mm, -12 mm, -55 mm]
        conversion: linkage.pedal.full_stop = {at: 66 mm, origin: made}
    Put right:
        conversion: linkage.pedal.rod_pin = [8 mm, -12 mm, -78 mm]
    Not seen: what the control unit makes of it; many have a map from pedal to throttle.
    """
    travel = planned_travel(plan)
    # While a cable is slack, or its over-travel spring gives way, the lever stands still on purpose or by another rule.
    ratio = np.where(travel.ratio == 0.0, np.nan, np.abs(travel.ratio))
    if not np.any(np.isfinite(ratio)):
        return
    fast, slow = int(np.nanargmax(ratio)), int(np.nanargmin(ratio))
    if any(event.kind == "reversal" for event in travel.events) or ratio[fast] <= _UNEVEN * ratio[slow]:
        return
    yield Found(
        "linkage",
        plan.description.place("linkage"),
        f"A degree of pedal turns the lever by {show(float(ratio[fast]), 'plain')}° at "
        f"{show(float(travel.pad_travel_mm[fast]), 'length')} of pad travel and by "
        f"{show(float(ratio[slow]), 'plain')}° at {show(float(travel.pad_travel_mm[slow]), 'length')}; the one should "
        f"be at most {_UNEVEN} times the other.",
        "Move pin or module until the link stands square to both arms in mid-travel.",
    )
