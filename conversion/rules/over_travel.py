"""The spring in a cable that gives way once the lever has met its stop: whether there is one, and whether it holds."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description import Missing
from conversion.description.linkage_forms import CableLinkageForm
from conversion.linkage import CableLinkage
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import planned_travel, solved_travel


@rule("travel/no-over-travel-spring", severity="NOTE", sources=(COMMON_PRACTICE,))
def no_over_travel_spring(plan: Plan) -> Iterator[Found]:
    """The pedal's stop may come late, and no over-travel spring in the cable gives way then.

    Why: a cable draws the lever against its stop with the foot's whole force. A spring in the cable that gives way
    once the lever has met a stop of its own keeps that force from the module.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {set_at: 23.8° ± 0.5°, origin: existing}}, cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 0.0 mm}, quadrant: {groove_radius: 40 mm,
          nipple: [428 mm, 0 mm, 28.5 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.pedal.full_stop.set_at = 22.5° ± 0.5°
    Not seen: what the module bears at its own stop.
    """
    travel = solved_travel(plan)
    linkage = travel.geometry.linkage
    if not isinstance(linkage, CableLinkage) or np.isfinite(linkage.over_travel_from_rad):
        return
    if travel.worst_margin_rad < 0.0:
        yield Found(
            "linkage.cable",
            plan.description.place("linkage", "cable"),
            f"In the worst case the pedal draws the lever {show(-travel.worst_margin_rad, 'angle')} beyond the "
            "module's own stop, and the cable has no 'over_travel' spring that would give way.",
            "Set the pedal's stop earlier; or add an over-travel spring with a stop of its own for the lever, and "
            "describe it.",
        )


@rule("travel/over-travel-spring-weak", severity="FIX", sources=(COMMON_PRACTICE,))
def over_travel_spring_weak(plan: Plan) -> Iterator[Found | Missing]:
    """The over-travel spring gives way before the lever has met its stop.

    Why: what the spring gives, the lever does not turn. Full throttle comes late or never, and the lever stands
    wherever the two springs balance.
    Found in:
        conversion: linkage = {kind: cable, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm],
          pad: [-30 mm, 0 mm, -285 mm], cable_pin: [0 mm, 0 mm, 60 mm], rest_stop: {origin: existing},
          full_stop: {at: 80 mm, origin: existing}}, cable: {pedal_outer_end: [150 mm, 0 mm, 60 mm],
          module_outer_end: [300 mm, 0 mm, 40 mm], slack: 0.0 mm,
          over_travel: {from_lever: 22.5°, preload: 5 N, rate: 2 N/mm}}, quadrant: {groove_radius: 40 mm,
          nipple: [428 mm, 0 mm, 28.5 mm]}, module: {device: B1, pivot: [400 mm, 0 mm, 0 mm], opens: anticlockwise}}
    Put right:
        conversion: linkage.cable.over_travel.preload = 25 N
    Not seen: what drags in the outer of the cable; give the spring more for it.
    """
    form = plan.description.conversion.linkage
    if not isinstance(form, CableLinkageForm) or form.cable.over_travel is None:
        return
    why = "it cannot be said whether the spring holds until the lever has met its stop"
    path = ("linkage", "cable", "over_travel", "preload")
    preload = plan.description.need(form.cable.over_travel.preload, why, *path)
    travel = planned_travel(plan)
    pull = np.where(travel.solution.quantities()["over_travel_mm"] > 0.0, 0.0, plan.returns.link_force_n)
    at = int(np.nanargmax(pull))
    if pull[at] >= preload.low:
        yield Found(
            "linkage.cable.over_travel",
            plan.description.place(*path),
            f"At {show(float(travel.pad_travel_mm[at]), 'length')} of pad travel the cable pulls with "
            f"{show(float(pull[at]), 'force')} to turn the lever; the over-travel spring gives way from "
            f"{show(preload.low, 'force')} on and should hold until the lever stands at its stop.",
            "Preload the spring more, by half as much again as the lever needs; the module's stop must bear that.",
        )
