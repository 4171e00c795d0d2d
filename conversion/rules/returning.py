"""Whether the pedal and the lever come back, judged by function: with one spring out, and with the link parted."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

from conversion.description import Place
from conversion.linkage.returns import ReturnCase
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_FMVSS = "49 CFR 571.124, "
_FSAE_SPRINGS = "Formula SAE Rules 2026 v1.0, T.4.2.1"
_MARGIN_SHARE = 1.0
"""Of friction: dirt and cold grease may double it. Common practice, no source."""

_STRONGER = "Use a stronger spring, or move its ends so that it pulls farther from the axis; or find out what rubs."


@rule("return/does-not-return", severity="HOLD", sources=(_FMVSS + "S5.1",))
def does_not_return(plan: Plan) -> Iterator[Found]:
    """With everything in place, the pedal does not come back against its friction.

    Why: released, the pedal stays where it is, and so does the throttle.
    Found in:
        conversion: linkage.pedal.friction = 12 N·m
    Put right:
        conversion: linkage.pedal.friction = 0.08 N·m
    Not seen: how long the return takes; cold, dirt, and a floor mat that holds the pedal.
    """
    for case in plan.returns.cases:
        if case.kind == "all-in" and not case.returns:
            yield Found(
                "linkage.pedal",
                plan.description.place("linkage", "pedal"),
                f"With all springs in, the pedal does not return: {_short(plan, case)}.",
                _STRONGER,
            )


@rule("return/one-spring-out", severity="HOLD", sources=(_FMVSS + "S5.1 and S5.2", _FSAE_SPRINGS))
def one_spring_out(plan: Plan) -> Iterator[Found]:
    """With one of the springs gone, the pedal no longer comes back.

    Why: springs break and unhook. Whichever it is, the others have to do its work alone.
    Found in:
        conversion: springs.second removed
        B1: lever.springs = {count: 1, rest_moment: 0.02 N·m, full_moment: 0.03 N·m, inside: module}
    Put right:
        conversion: springs.second = {acts_on: pedal, type: torsion, rest_moment: 0.70 N·m, rate: 0.02 N·m/°}
    Not seen: two springs that share one anchor, hook or pin, and go together.
    """
    cases = plan.returns.cases
    if any(case.kind == "all-in" and not case.returns for case in cases):
        return  # told of as such
    for case in cases:
        if case.kind == "spring-out" and not case.returns:
            subject, place = _spring(plan, case.spring_out)
            yield Found(
                subject,
                place,
                f"Without the spring '{case.spring_out}' the pedal does not return: {_short(plan, case)}.",
                f"Add a spring, or strengthen the others, until the pedal returns without '{case.spring_out}'.",
            )


@rule("return/link-parted-pedal", severity="HOLD", sources=(_FMVSS + "S5.2",))
def link_parted_pedal(plan: Plan) -> Iterator[Found]:
    """With the link parted, the pedal on its own does not come back.

    Why: a pedal that stays down hides from the driver that the link has gone, and may lie under the brake pedal.
    Found in:
        conversion: springs removed
    Put right:
        conversion: springs.main = {acts_on: pedal, type: torsion, rest_moment: 0.90 N·m, rate: 0.02 N·m/°}
    Not seen: a rod that falls between the pedals when it has come off.
    """
    yield from _parted(plan, "pedal", "linkage.pedal", "a spring that acts on the pedal itself")


@rule("return/link-parted-module", severity="HOLD", sources=(_FMVSS + "S5.2",))
def link_parted_module(plan: Plan) -> Iterator[Found]:
    """With the link parted, the module's lever on its own does not come back.

    Why: this is the half that the control unit reads. A lever that stays open holds the throttle open with the
    foot off the pedal.
    Found in:
        B1: lever.springs.count = 0
    Put right:
        B1: lever.springs.count = 2
    Not seen: a rod that stays hooked to the lever and holds it open by its weight.
    """
    yield from _parted(plan, "module", "linkage.module", "a spring that acts on the lever")


def _parted(plan: Plan, half: Literal["pedal", "module"], subject: str, what: str) -> Iterator[Found]:
    for case in plan.returns.cases:
        if case.kind == "link-parted" and case.half == half and not case.returns:
            name = "pedal" if half == "pedal" else "lever"
            yield Found(
                subject,
                plan.description.place(*subject.split(".")),
                f"With the link parted the {name} alone does not return: {_short(plan, case)}.",
                f"Add {what}, strong enough to overcome its friction everywhere.",
            )


@rule("return/thin-margin", severity="NOTE", sources=(COMMON_PRACTICE,))
def thin_margin(plan: Plan) -> Iterator[Found]:
    """Something comes back, but only just: the springs exceed friction by less than friction itself.

    Why: dirt and cold grease may double the friction. The limit, once the friction, is common practice.
    Found in:
        B1: lever.friction = 0.2 N·m
    Put right:
        B1: lever.friction = 0.02 N·m
    Not seen: friction of the rod's ends, which is not in the sum.
    """
    for case in plan.returns.cases:
        at = int((case.moment_nm - case.friction_nm).argmin())
        friction_nm = float(case.friction_nm[at])
        if case.returns and case.margin_nm < _MARGIN_SHARE * friction_nm:
            how = {
                "all-in": "With all springs in, the pedal",
                "spring-out": f"Without the spring '{case.spring_out}' the pedal",
                "link-parted": f"With the link parted the {'lever' if case.half == 'module' else 'pedal'} alone",
            }[case.kind]
            where = ("linkage", plan.description.place("linkage"))
            subject = _spring(plan, case.spring_out) if case.spring_out else where
            yield Found(
                *subject,
                f"{how} returns with {show(case.margin_nm, 'moment')} to spare at {_position(plan, case)}, where "
                f"friction is {show(friction_nm, 'moment')}; the margin should be as large as that.",
                _STRONGER,
            )


def _spring(plan: Plan, name: str) -> tuple[str, Place]:
    """A spring's subject and place, by the name that the return study gives it."""
    if name in plan.description.conversion.springs:
        return f"springs.{name}", plan.description.place("springs", name)
    linkage = plan.description.conversion.linkage
    assert linkage is not None, "a return was studied, so there is a linkage"
    device = linkage.module.device
    return f"{device} lever.springs", plan.description.part_place(device, "lever", "springs")


def _short(plan: Plan, case: ReturnCase) -> str:
    """How far the springs fall short, and where."""
    if math.isnan(case.margin_nm):
        return "the linkage does not close over the whole travel, so nothing shows that it does"
    return (
        f"at {_position(plan, case)} the springs fall short of friction by {show(-case.margin_nm, 'moment')}, and they "
        "should exceed it everywhere"
    )


def _position(plan: Plan, case: ReturnCase) -> str:
    if case.half == "module":
        return f"{show(case.margin_at_rad, 'angle')} of the lever"
    return f"{show(case.margin_at_rad * plan.travel.geometry.pad_radius_mm, 'length')} of pad travel"
