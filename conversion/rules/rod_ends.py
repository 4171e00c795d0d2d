"""What a rod's ball joints, its thread, the lever and the rod itself must bear."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np

from conversion.description import Missing
from conversion.plan import Plan
from conversion.plan.link.rod_loads import WHERE, described_rod, described_rods, end_keys
from conversion.plan.link.rod_threads import THREAD_DIAMETERS
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_NEAR_RAD = np.radians(2.0)
_LEANING_SHARE = 0.05


@rule("travel/rod-end-binds", severity="HOLD", sources=(COMMON_PRACTICE,))
def rod_end_binds(plan: Plan) -> Iterator[Found | Missing]:
    """A ball joint of the rod leans farther than it can.

    Why: beyond its limit the ball's housing meets the bolt. The rod then bends, the bolt works loose, or the pedal
    hangs where they have met.
    Found in:
        conversion: linkage.rod.lever_end = {bolt: [0.6, 1, 0], limit: 13°}
    Put right:
        conversion: linkage.rod.lever_end = {bolt: [0.05, 1, 0], limit: 13°}
    Not seen: washers and spacers that leave the ball less room than its maker's figure.
    """
    yield from _leaning(plan, lambda lean, limit: lean > limit, "its limit is {}")


@rule("travel/rod-end-near-limit", severity="FIX", sources=(COMMON_PRACTICE,))
def rod_end_near_limit(plan: Plan) -> Iterator[Found | Missing]:
    """A ball joint of the rod leans to within 2° of its limit.

    Why: the points are measured to a millimetre or two, and a bolt is seldom square; what is free on paper may bind
    in the car. The 2° are common practice.
    Found in:
        conversion: linkage.rod.lever_end = {bolt: [0.05, 1, 0], limit: 10°}
    Put right:
        conversion: linkage.rod.lever_end = {bolt: [0.05, 1, 0], limit: 13°}
    Not seen: washers and spacers that leave the ball less room than its maker's figure.
    """
    yield from _leaning(
        plan, lambda lean, limit: limit - _NEAR_RAD < lean <= limit, "it should stay 2° within its limit of {}"
    )


def _leaning(plan: Plan, wrong: Callable[[float, float], bool], asked: str) -> Iterator[Found | Missing]:
    """Each ball joint whose greatest lean is wrong beside its limit."""
    for end in plan.rod_ends:
        place = ("linkage", end.rod, end.key)
        try:
            limit = plan.description.need(
                end.limit, "it cannot be said whether the ball joint binds", *place, "limit"
            ).low
        except Missing as missing:
            yield missing
            continue
        at = int(np.nanargmax(end.lean_rad))
        lean = float(end.lean_rad[at])
        if wrong(lean, limit):
            yield Found(
                f"linkage.{end.rod}.{end.key}",
                plan.description.place(*place),
                f"At {show(float(plan.travel.pad_travel_mm[at]), 'length')} of pad travel the rod leans "
                f"{show(lean, 'angle')} from square to the bolt at the {end.where}; "
                f"{asked.format(show(limit, 'angle'))}.",
                "Turn the bolt so that it stands square to the rod in mid-travel, or use a joint that may lean "
                "farther.",
            )


@rule("travel/rod-ends-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def rod_ends_not_described(plan: Plan) -> Iterator[Found]:
    """It is not described how the bolts of the rod's ball joints stand, so nothing says whether these bind.

    Why: a ball joint leans only so far, and from the points alone nobody can tell how far it has to.
    Found in:
        conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°, lever_end: {bolt: left, limit: 13°}}
    Put right:
        conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°, lever_end: {bolt: left, limit: 13°},
          pedal_end: {bolt: left, limit: 13°}}
    Not seen: whether a joint that is described was measured on its own bolt.
    """
    for rod, form in described_rods(plan.description).items():
        lacking = [key for key in end_keys(plan.description, rod) if getattr(form, key) is None]
        if lacking:
            yield Found(
                f"linkage.{rod}",
                plan.description.place("linkage", rod),
                f"The bolt of the ball joint at the {' and at the '.join(WHERE[key] for key in lacking)} is not "
                "described; whether it binds over the travel is not judged.",
                f"Describe {' and '.join(lacking)} with the 'bolt' and its 'limit', or turn the rod by hand at every "
                "place of the travel: it must stay loose.",
            )


@rule("travel/thread-engagement", severity="FIX", sources=(COMMON_PRACTICE,))
def thread_engagement(plan: Plan) -> Iterator[Found]:
    """At an end of its adjustment the rod's thread is screwed in by less than one and a half diameters.

    Why: fewer turns strip, and a rod end that falls off lets the lever go. One and a half diameters are common
    practice. The whole adjustment may be taken at one end of the rod.
    Found in:
        conversion: linkage.rod.thread = {diameter: 6 mm, engaged: 12 mm, adjust: 12 mm}
    Put right:
        conversion: linkage.rod.thread = {diameter: 6 mm, engaged: 16 mm, adjust: 12 mm}
    Not seen: the material; soft threads want more.
    """
    why = "it cannot be said how much thread stays in"
    for name, rod in described_rods(plan.description).items():
        if rod.thread is None:
            continue
        path = ("linkage", name, "thread")
        diameter = plan.description.need(rod.thread.diameter, why, *path, "diameter")
        engaged = plan.description.need(rod.thread.engaged, why, *path, "engaged")
        reach = rod.thread.adjust.high / 2.0 if rod.thread.adjust is not None else 0.0
        left, asked = engaged.low - reach, THREAD_DIAMETERS * diameter.nominal
        if left < asked:
            longest = f" with the rod {show(reach, 'length')} longer" if reach else ""
            yield Found(
                f"linkage.{name}.thread",
                plan.description.place(*path),
                f"{show(max(left, 0.0), 'length')} of thread stay in{longest}; there should be "
                f"{show(asked, 'length')}, one and a half times its diameter of {show(diameter.nominal, 'length')}.",
                "Cut the rod longer, or adjust it less far; drill a sight hole, or paint a line where the thread must "
                "end.",
            )


@rule("travel/rod-out-of-reach", severity="FIX", sources=(COMMON_PRACTICE,))
def rod_out_of_reach(plan: Plan) -> Iterator[Found]:
    """The length that the setting asks for lies beyond what the rod's thread can be adjusted to.

    Why: the lever cannot be set as planned, or is set with too little thread left in.
    Found in:
        conversion: linkage.rod = {length: 136 mm ± 6 mm, set_at_rest: 1.0° ± 0.5°,
          thread: {diameter: 6 mm, engaged: 16 mm, adjust: 6 mm}}
    Put right:
        conversion: linkage.rod = {length: 140 mm ± 6 mm, set_at_rest: 1.0° ± 0.5°,
          thread: {diameter: 6 mm, engaged: 16 mm, adjust: 10 mm}}
    Not seen: a rod that is cut anew when it does not reach.
    """
    found = _reach(plan)
    if found is None:
        return
    middle, reach, (needed, _, _) = found
    if abs(needed - middle) > reach:
        yield Found(
            "linkage.rod",
            plan.description.place("linkage", "rod"),
            f"For the lever to stand at its setting the rod has to be {show(needed, 'length')} long; it can be "
            f"adjusted from {show(middle - reach, 'length')} to {show(middle + reach, 'length')}.",
            f"Make a rod of {show(needed, 'length')} in the middle of its adjustment.",
        )


@rule("travel/rod-reach-in-tolerance", severity="NOTE", sources=(COMMON_PRACTICE,))
def rod_reach_in_tolerance(plan: Plan) -> Iterator[Found]:
    """In the worst case of the measured points the rod's thread cannot take up what they are off.

    Why: the screw that sets the lever at rest also makes good every error of the points; it needs the reach for it.
    Found in:
        conversion: linkage.rod.thread = {diameter: 6 mm, engaged: 16 mm, adjust: 2 mm}
    Put right:
        conversion: linkage.rod.thread = {diameter: 6 mm, engaged: 16 mm, adjust: 12 mm}
    Not seen: how likely the worst case is.
    """
    found = _reach(plan)
    if found is None:
        return
    middle, reach, (needed, least, greatest) = found
    beyond = max(middle - reach - least, greatest - middle - reach)
    if beyond > 0.0 and abs(needed - middle) <= reach:
        yield Found(
            "linkage.rod",
            plan.description.place("linkage", "rod"),
            f"With the points at the ends of their tolerances the rod may have to be {show(least, 'length')} to "
            f"{show(greatest, 'length')} long; it can be adjusted from {show(middle - reach, 'length')} to "
            f"{show(middle + reach, 'length')}.",
            f"Give the thread {show(beyond, 'length')} more reach either way, or cut the rod last, once the car is "
            "measured.",
        )


def _reach(plan: Plan) -> tuple[float, float, tuple[float, float, float]] | None:
    """The middle of its adjustment, how far it goes either way, and what the setting needs. [mm]"""
    rod = described_rod(plan.description)
    if rod is None or rod.length is None or rod.thread is None or rod.thread.adjust is None:
        return None
    needed = plan.needed_length_mm
    return None if needed is None else (rod.length.nominal, rod.thread.adjust.nominal / 2.0, needed)


@rule("travel/side-load", severity="FIX", sources=(COMMON_PRACTICE,))
def side_load(plan: Plan) -> Iterator[Found]:
    """The link pushes the module's lever sideways harder than it may.

    Why: a lever is made to be pushed along its path. Pushed along its axis it tilts in its bearing, the sensor reads
    something else, and a plastic lever cracks.
    Found in:
        conversion: linkage.rod.side_load_limit = 0.2 N
        conversion: linkage.module.lever_pin = [144 mm, -62 mm, -65 mm]
    Put right:
        conversion: linkage.rod.side_load_limit = 10 N
    Not seen: a hand or a foot that pushes the rod aside; the load with the pedal pressed slowly is looked at.
    """
    rod = described_rod(plan.description)
    if rod is None or "side_load_limit" not in rod.model_fields_set:
        return
    path = ("linkage", "rod", "side_load_limit")
    limit = plan.description.need(rod.side_load_limit, "the side load cannot be held against it", *path)
    load = plan.side_load_n
    if load is None or not np.any(np.isfinite(load)):
        return
    at = int(np.nanargmax(load))
    if load[at] > limit.low:
        yield Found(
            "linkage.rod",
            plan.description.place(*path),
            f"At {show(float(plan.travel.pad_travel_mm[at]), 'length')} of pad travel the rod pushes the lever along "
            f"its axis with {show(float(load[at]), 'force')}; its limit is {show(limit.low, 'force')}.",
            "Bring the two pins nearer to one plane square to the lever's axis, or tilt the module toward the rod.",
        )


@rule("travel/side-load-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def side_load_not_described(plan: Plan) -> Iterator[Found]:
    """The link pushes the lever sideways, and it is not described how much of that it may take.

    Why: many levers are plastic and made to be pushed along their path only.
    Found in:
        conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°}
    Put right:
        conversion: linkage.rod = {set_at_rest: 1.0° ± 0.5°, side_load_limit: 10 N}
    Not seen: a link that leans by less than 3°, whose side load is small.
    """
    rod = described_rod(plan.description)
    if rod is None or "side_load_limit" in rod.model_fields_set:
        return
    share = plan.travel.solution.quantities()["sideways_share_lever"]
    load = plan.side_load_n
    if load is None or not np.any(np.isfinite(load)) or float(np.nanmax(share)) < _LEANING_SHARE:
        return
    yield Found(
        "linkage.rod",
        plan.description.place("linkage", "rod"),
        f"Up to {show(float(np.nanmax(load)), 'force')} of the rod's force push the lever along its axis; no "
        "'side_load_limit' says what it may take.",
        "Ask the module's papers, or bring the pins into one plane square to the lever's axis, and describe the limit.",
    )
