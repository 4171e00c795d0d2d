"""How the return feels and what it rests on: time, force at the pad, friction that is taken, stops that carry a leg."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description.linkage_forms import Stop
from conversion.description.spring_forms import ExtensionSpring
from conversion.plan import Plan
from conversion.plan.link.friction import WHY_DEFAULT
from conversion.plan.link.rod_loads import FULL_FOOT_N
from conversion.plan.measuring import how_to_measure
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import planned_travel

_LEAST_N, _MOST_N = 18.0, 45.0
_PEDAL_FORCE = (
    "MIL-STD-1472, pedals: at least 18 N where the foot does not rest, at most 45 N for the ankle (from memory)"
)
_TIMES = "49 CFR 571.124 S5.3: within 1 s up to 4 536 kg, 2 s above (from memory)"


@rule("return/slow", severity="NOTE", sources=(_TIMES,))
def slow(plan: Plan) -> Iterator[Found]:
    """The estimated time from full to rest is longer than the accelerator standard allows.

    Why: the standard counts from the moment the foot leaves, or the link is severed. The estimate leaves out what
    damps, so the real pedal takes longer: measure it.
    Found in:
        conversion: linkage.pedal.mass = 500 kg
        conversion: springs.main.rate = 0.02 N/mm
        conversion: springs.main.initial_tension = 1 N
        conversion: springs.second.rest_moment = 0.12 N·m
        conversion: springs.second.rate = 0 N·m/°
        conversion: linkage.pedal.centre_of_mass = [0 mm, 0 mm, 0 mm]
    Put right:
        conversion: linkage.pedal.mass = 0.55 kg
    Not seen: damping, cold grease, a throttle plate that follows its pedal late.
    """
    planned_travel(plan)
    time = plan.return_time
    if time.worst_s > time.limit_s:
        out = {"": "with everything in", "link": "with the link parted"}.get(
            time.worst, f"without the spring '{time.worst}'"
        )
        yield Found(
            "linkage.pedal",
            plan.description.place("linkage", "pedal"),
            f"The pedal is likely to take {show(time.worst_s, 'time')} from full to rest {out}; the standard allows "
            f"{show(time.limit_s, 'time')}. For this estimate {time.assumed}.",
            "Use stronger springs or a lighter pedal, and measure the time on the car.",
        )


@rule("return/pad-force", severity="NOTE", sources=(_PEDAL_FORCE,))
def pad_force(plan: Plan) -> Iterator[Found]:
    """The force at the pad lies outside what is comfortable for the ankle.

    Why: a pedal lighter than a resting foot is pressed without meaning to; a heavy one tires the ankle on a long
    road. The figures are those of an ergonomic standard, not of law.
    Found in:
        conversion: springs.second.rest_moment = 12 N·m
    Put right:
        conversion: springs.second.rest_moment = 4 N·m
    Not seen: how the driver sits, and where the heel rests.
    """
    travel, force = planned_travel(plan), plan.returns.pad_force_pressing_n
    if not np.all(np.isfinite(force)):
        return
    light, heavy = int(np.argmin(force)), int(np.argmax(force))
    place = plan.description.place("springs")
    if force[heavy] > _MOST_N:
        at = show(float(travel.pad_travel_mm[heavy]), "length")
        yield Found(
            "springs", place,
            f"Pressing the pad takes {show(float(force[heavy]), 'force')} at {at} of its travel; up to "
            f"{show(_MOST_N, 'force')} are comfortable for the ankle.",
            "Use weaker springs as long as each still returns the pedal alone, or move their ends nearer to the axis.",
        )  # fmt: skip
    elif force[light] < _LEAST_N:
        at = show(float(travel.pad_travel_mm[light]), "length")
        yield Found(
            "springs", place,
            f"Pressing the pad takes only {show(float(force[light]), 'force')} at {at} of its travel; "
            f"{show(_LEAST_N, 'force')} or more keep it from being pressed by the foot's weight.",
            "Use stronger springs, or move their ends farther from the axis.",
        )  # fmt: skip


@rule("return/friction-taken", severity="NOTE", sources=(COMMON_PRACTICE,))
def friction_taken(plan: Plan) -> Iterator[Found]:
    """Friction is not described, and a default was taken for it.

    Why: whether pedal and lever return hangs on friction. The default is that of a dry plain bush; a bushing that is
    bent, rusted or meant to drag has more.
    Found in:
        conversion: linkage.pedal.friction removed
    Put right:
        conversion: linkage.pedal.friction = 0.08 N·m
    Not seen: friction of the rod's ends, of a cable in its outer, or of a roller.
    """
    if plan.description.conversion.linkage is None:
        return
    for friction in plan.frictions:
        if friction.described:
            continue
        if friction.device:
            place = plan.description.part_place(friction.device, *friction.path)
            subject = f"{friction.device}: {'.'.join(friction.path)}"
        else:
            place, subject = plan.description.place(*friction.path), ".".join(friction.path)
        yield Found(
            subject,
            place,
            f"The return is judged with a friction of {show(friction.moment_nm, 'moment')} that was assumed: "
            f"{WHY_DEFAULT}.",
            f"{how_to_measure(friction.path)} Then describe it.",
        )


@rule("return/spring-does-not-reach", severity="FIX", sources=(COMMON_PRACTICE,))
def spring_does_not_reach(plan: Plan) -> Iterator[Found]:
    """A spring has no force over the travel or a part of it: its ends lie nearer, or farther, than its free length.

    Why: an extension spring that hangs slack unhooks; a compression spring that is loose falls out. Where it has no
    force it returns nothing.
    Found in:
        conversion: springs.main.free_length = 150 mm
    Put right:
        conversion: springs.main.free_length = 62 mm
    Not seen: a spring that is bent over an edge, or that slips along its anchor.
    """
    travel = planned_travel(plan)
    for way in plan.spring_ways:
        spring, force = way.spring, way.force_n
        slack = np.flatnonzero(force <= 0.0)
        if not slack.size:
            continue
        extension = spring.kind == "extension"
        which = "shorter" if extension else "longer"
        start, end = (show(float(travel.pad_travel_mm[index]), "length") for index in (slack[0], slack[-1]))
        over = "over the whole travel" if slack.size == force.size else f"from {start} to {end} of pad travel"
        yield Found(
            f"springs.{spring.name}",
            plan.description.place("springs", spring.name, "free_length"),
            f"The {spring.kind} spring '{spring.name}', {show(spring.free_length_mm, 'length')} long without load, has "
            f"no force {over}: its ends are {'nearer to' if extension else 'farther from'} each other than that.",
            f"Use a {which} spring, or move its ends; and measure its free length and both points again.",
        )


@rule("return/spring-goes-too-far", severity="FIX", sources=(COMMON_PRACTICE,))
def spring_goes_too_far(plan: Plan) -> Iterator[Found]:
    """A spring is drawn beyond its longest, or pressed until its coils touch, before the pedal meets its full stop.

    Why: an extension spring that is drawn too far stays long and has lost its pull; a compression spring whose coils
    touch is a stop, and one that was not made for a foot. The full stop at the end of its tolerance counts.
    Found in:
        conversion: springs.main.longest = 85 mm
    Put right:
        conversion: springs.main.longest = 110 mm
    Not seen: a spring that tires: what it bears once it may not bear a hundred thousand times.
    """
    forms = plan.description.conversion.springs
    planned_travel(plan)
    for way in plan.spring_ways:
        form, name = forms[way.spring.name], way.spring.name
        key = "longest" if isinstance(form, ExtensionSpring) else "shortest"
        if key not in form.model_fields_set:
            continue
        limit = plan.description.need(getattr(form, key), "it cannot be said how far it may go", "springs", name, key)
        far = [*way.length_mm, way.at_farthest_mm]
        reached, allowed = (
            (float(np.nanmax(far)), limit.low) if key == "longest" else (float(np.nanmin(far)), limit.high)
        )
        if reached > allowed if key == "longest" else reached < allowed:
            yield Found(
                f"springs.{name}",
                plan.description.place("springs", name, key),
                f"Within the travel, the full stop's tolerance included, '{name}' is "
                f"{'drawn' if key == 'longest' else 'pressed'} to {show(reached, 'length')}; it may go to "
                f"{show(allowed, 'length')}.",
                "Use a spring with a longer way, or move its ends so that it is drawn or pressed less far.",
            )


@rule("return/stop-load-low", severity="NOTE", sources=("MIL-STD-1472, 800 N for a whole leg (from memory)",))
def stop_load_low(plan: Plan) -> Iterator[Found]:
    """The full stop is made for less than a whole leg.

    Why: a frightened driver stands on the pedal. What the stop does not carry, rod, lever and module do.
    Found in:
        conversion: linkage.pedal.full_stop.load = 300 N
    Put right:
        conversion: linkage.pedal.full_stop.load = 900 N
    Not seen: whether the stop, its bracket and the pedal's arm carry what is described.
    """
    linkage = plan.description.conversion.linkage
    stop: Stop | None = linkage.pedal.full_stop if linkage is not None else None
    if stop is not None and stop.load is not None and stop.load.low < FULL_FOOT_N:
        yield Found(
            "linkage.pedal.full_stop",
            plan.description.place("linkage", "pedal", "full_stop", "load"),
            f"The full stop is described to carry {show(stop.load.low, 'force')}; a whole leg pushes with "
            f"{show(FULL_FOOT_N, 'force')}.",
            "Make the stop stronger, prove it through scales, and write what it carries.",
        )
