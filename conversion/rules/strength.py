"""Whether link, bolts, lever and bracket bear a foot: simple figures that are known, not judged as law."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description.linkage_forms import ModulePlace
from conversion.description.rod_forms import RodEnd
from conversion.plan import Plan
from conversion.plan.link.rod_loads import WHERE, bolt_holds_n, described_rods, end_keys
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_FOOT = "MIL-STD-1472, 800 N for a whole leg (from memory)"
_LOST_SHARE = 0.02
"""Of the module's swing that a bracket may take before it is told; common practice, no source."""


@rule("strength/rod-buckles", severity="NOTE", sources=("Euler's strut hinged at both ends", _FOOT))
def rod_buckles(plan: Plan) -> Iterator[Found]:
    """A full foot on the pad buckles a rod if the lever does not give.

    Why: a lever that jams, or a module that ends the travel first, puts the whole foot into the rod. A rod that bows
    out then is bent for good and shorter than it was set.
    Found in:
        conversion: linkage.rod.diameter = 3 mm
    Put right:
        conversion: linkage.rod.diameter = 6 mm
    Not seen: rods that are bent or threaded over their length, and the strength of pins, lever and bracket.
    """
    for jam in plan.jam_loads:
        if jam.buckles:
            yield Found(
                f"linkage.{jam.rod}",
                plan.description.place("linkage", jam.rod, "diameter"),
                f"With {show(jam.pad_force_n, 'force')} at the pad and a lever that does not give, the rod is pushed "
                f"with {show(jam.rod_n, 'force')} at {show(jam.pad_travel_mm, 'length')} of pad travel; a straight rod "
                f"of its diameter buckles at {show(jam.buckling_n, 'force')}.",
                "Use a thicker rod, or a tube; and make sure that the pedal's own stop takes the foot.",
            )


@rule("strength/held-on-one-side", severity="NOTE", sources=(COMMON_PRACTICE, _FOOT))
def held_on_one_side(plan: Plan) -> Iterator[Found]:
    """The bolt of a ball joint is held on one side only.

    Why: such a bolt is in single shear and bends like a cantilever; its thread works loose, and a crack starts where
    it leaves what holds it. With its diameter and overhang described, the load that bends it is held against that of
    a full foot on a lever that does not give.
    Found in:
        conversion: linkage.rod.lever_end.held = one side
    Put right:
        conversion: linkage.rod.lever_end.held = both sides
    Not seen: the hole that the bolt sits in, and a lever that bends before the bolt does.
    """
    jams = {jam.rod: jam for jam in plan.jam_loads}
    for name, key, end in _described_ends(plan):
        if end.held != "one side":
            continue
        words = f"The bolt at the {WHERE[key]} is held on one side of the ball and bends under load"
        bends, jam = bolt_holds_n(end), jams.get(name)
        if np.isfinite(bends):
            words += f", from {show(bends, 'force')} on for good"
        if jam is not None:
            words += (
                f"; with {show(jam.pad_force_n, 'force')} at the pad and a lever that does not give, the rod carries "
                f"{show(jam.rod_n, 'force')}"
            )
        yield Found(
            f"linkage.{name}.{key}",
            plan.description.place("linkage", name, key, "held"),
            f"{words}.",
            "Hold it on both sides in a fork; or keep it short and thick, and see that the pedal's own stop takes the "
            "foot.",
        )


@rule("strength/no-captive-washer", severity="NOTE", sources=(COMMON_PRACTICE,))
def no_captive_washer(plan: Plan) -> Iterator[Found]:
    """A ball joint on a bolt held on one side has no captive washer.

    Why: a ball that pulls out of its worn housing lets the rod fall off. A washer larger than the housing keeps it on
    the bolt, and the pedal still moves the lever.
    Found in:
        conversion: linkage.rod.lever_end.held = one side
        conversion: linkage.rod.lever_end.washer = false
    Put right:
        conversion: linkage.rod.lever_end.washer = true
    Not seen: whether the washer is larger than the housing.
    """
    for name, key, end in _described_ends(plan):
        if end.held == "one side" and not end.washer:
            yield Found(
                f"linkage.{name}.{key}",
                plan.description.place("linkage", name, key),
                f"Nothing keeps the rod on its bolt at the {WHERE[key]} if the ball comes out of its housing.",
                "Put a washer larger than the housing under the bolt's head or nut, and write 'washer: true'.",
            )


@rule("strength/thread-not-locked", severity="NOTE", sources=(COMMON_PRACTICE,))
def thread_not_locked(plan: Plan) -> Iterator[Found]:
    """The thread of a rod is not said to be locked.

    Why: a rod that turns under shaking screws itself longer or shorter. The lever then no longer rests where it was
    set, and at last the rod falls apart.
    Found in:
        conversion: linkage.rod.thread.locked = false
    Put right:
        conversion: linkage.rod.thread.locked = true
    Not seen: whether the nuts were tightened.
    """
    for name, rod in described_rods(plan.description).items():
        if rod.thread is not None and not rod.thread.locked:
            yield Found(
                f"linkage.{name}.thread",
                plan.description.place("linkage", name, "thread"),
                "The rod's thread is not locked at both ends; it should hold its setting.",
                "Put a lock nut at either end, mark nut and rod with paint, and write 'locked: true'.",
            )


@rule("strength/lever-weakened", severity="NOTE", sources=(COMMON_PRACTICE,))
def lever_weakened(plan: Plan) -> Iterator[Found]:
    """The link is fixed to a plastic lever by drilling or by heat.

    Why: a hole or a heated place in plastic starts a crack that shows up months later, under load. A lever that is
    not said to be metal is taken for plastic.
    Found in:
        conversion: linkage.module.lever_fixing = drilled
        conversion: linkage.module.lever_material = plastic
    Put right:
        conversion: linkage.module.lever_material = metal
    Not seen: what a hole takes from a metal lever.
    """
    module = _module(plan)
    if module is None or module.lever_fixing not in ("drilled", "welded") or module.lever_material == "metal":
        return
    made = "plastic" if module.lever_material == "plastic" else "of a material that is not described"
    yield Found(
        "linkage.module",
        plan.description.place("linkage", "module", "lever_fixing"),
        f"The lever is {made}, and the link's fixing is {module.lever_fixing}; a plastic lever is neither drilled nor "
        "heated.",
        "Clamp to the lever as its maker does, or make a metal lever on the same shaft with a proven fixing.",
    )


@rule("strength/bracket-gives", severity="NOTE", sources=(COMMON_PRACTICE,))
def bracket_gives(plan: Plan) -> Iterator[Found]:
    """The module's bracket gives way under the link's force and takes some of the sweep.

    Why: what the bracket gives, the lever does not turn: full throttle comes late or never. More than one part in
    fifty of the module's swing is told.
    Found in:
        conversion: linkage.module.bracket_stiffness = 4 N/mm
    Put right:
        conversion: linkage.module.bracket_stiffness = 200 N/mm
    Not seen: a bracket whose stiffness is not described; the checklist says what a millimetre costs.
    """
    give = plan.bracket_give
    if give is None or not np.isfinite(give.lost_rad):
        return
    swing = plan.travel.geometry.swing_rad[0]
    if give.lost_rad > _LOST_SHARE * swing:
        yield Found(
            "linkage.module",
            plan.description.place("linkage", "module", "bracket_stiffness"),
            f"At full pedal the link's {show(give.force_n, 'force')} move the module by "
            f"{show(give.gives_mm, 'length')}, which takes {show(give.lost_rad, 'angle')} off the lever's angle; it "
            f"should take at most {show(_LOST_SHARE * swing, 'angle')}.",
            "Stiffen the bracket: a fold, a gusset, thicker sheet, or bolts farther apart.",
        )


def _described_ends(plan: Plan) -> Iterator[tuple[str, str, RodEnd]]:
    for name, rod in described_rods(plan.description).items():
        for key in end_keys(plan.description, name):
            end = getattr(rod, key)
            if end is not None:
                yield name, key, end


def _module(plan: Plan) -> ModulePlace | None:
    form = plan.description.conversion.linkage
    module = form.module if form is not None else None
    return module if isinstance(module, ModulePlace) else None
