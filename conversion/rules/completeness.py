"""Whether everything is there: the devices, the linkage, and an answer to each need of the control unit."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.plan import NeedAnswer, Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

# Need -> what answers it, as the end of "add ...".
_ANSWERS = {
    "pedal": "a pedal module with the role 'pedal.a.signal', wired to the control unit",
    "throttle": "a throttle body with both motor terminals and 'throttle.a.signal', wired to the control unit",
    "brake-switch": "a brake switch with the role 'brake.make', wired to the control unit",
    "clutch-switch": "a clutch switch with the role 'clutch.signal', wired to the control unit",
    "warning-lamp": "a warning lamp with the role 'lamp.drive', wired to the control unit",
    "main-relay": "a relay with the role 'relay.drive', wired to the control unit",
    "idle-contact": "a pedal module with the role 'pedal.idle.signal', wired to the control unit",
    "kickdown-contact": "a pedal module with the role 'pedal.kickdown.signal', wired to the control unit",
    "ignition-feed": "the device that feeds its 'feed.15', in 'fed_from' of the control unit",
    "permanent-feed": "the device that feeds its 'feed.30', in 'fed_from' of the control unit",
    "engine-stop": "an ignition switch or a stop switch in the feed of the control unit's 'feed.15' or 'feed.87'",
}
_VITAL = ("pedal", "throttle", "brake-switch", "engine-stop")


@rule("completeness/no-control-unit", severity="HOLD", sources=(COMMON_PRACTICE,))
def no_control_unit(plan: Plan) -> Iterator[Found]:
    """No control unit is described.

    Why: everything is judged by what the control unit accepts, supplies and compares. Without it there is
    nothing that the pedal's volts could be held against.
    Found in:
        conversion: devices.K1 removed
    Put right:
        conversion: devices.K1 = {part: parts/control-unit.yaml, place: behind the glove box, station: controller,
          fed_from: {feed.87: K2, feed.30: F1, feed.15: F2}, grounded_at: X1}
    Not seen: whether the part described is the one that is fitted.
    """
    if plan.description.control_unit is None:
        yield _no_device(plan, "control unit", "K1", "kind: control-unit")


@rule("completeness/no-pedal-module", severity="HOLD", sources=(COMMON_PRACTICE,))
def no_pedal_module(plan: Plan) -> Iterator[Found]:
    """No pedal module is described.

    Why: the pedal's position reaches the control unit through it; its tracks, its lever and its springs are
    what most of the checks are about.
    Found in:
        conversion: linkage removed
        conversion: devices.B1 removed
    Put right:
        conversion: devices.B1 = {part: parts/pedal-module.yaml, place: bracket on the bulkhead, station: pedal}
    Not seen: whether the part described is the one that is fitted.
    """
    if plan.description.pedal_module is None:
        yield _no_device(plan, "pedal module", "B1", "kind: pedal-module")


@rule("completeness/no-throttle-body", severity="HOLD", sources=(COMMON_PRACTICE,))
def no_throttle_body(plan: Plan) -> Iterator[Found]:
    """No throttle body is described.

    Why: the plate's two tracks, its motor and where it rests without power decide what a fault does to the
    engine. None of it can be judged.
    Found in:
        conversion: devices.M1 removed
    Put right:
        conversion: devices.M1 = {part: parts/throttle-body.yaml, place: intake manifold, station: engine}
    Not seen: whether the part described is the one that is fitted.
    """
    if plan.description.throttle_body is None:
        yield _no_device(plan, "throttle body", "M1", "kind: throttle-body")


def _no_device(plan: Plan, what: str, reference: str, kind: str) -> Found:
    return Found(
        "devices",
        plan.description.place("devices"),
        f"No {what} is among the devices; one is needed.",
        f"Describe the {what} in a part file ('{kind}') and list it under 'devices', such as {reference}.",
    )


@rule("completeness/no-linkage", severity="HOLD", sources=(COMMON_PRACTICE,))
def no_linkage(plan: Plan) -> Iterator[Found]:
    """No linkage between the pedal and the module is described.

    Why: which stop ends the travel, how much of the sweep is used and what returns the pedal all follow from
    it. Without it none of that can be judged.
    Found in:
        conversion: linkage removed
    Put right:
        conversion: linkage = {kind: rod, pedal: {mount: pendant, pivot: [0 mm, 0 mm, 0 mm], pad: [0 mm, 0 mm, -280 mm],
          rod_pin: [10 mm, 0 mm, -80 mm], rest_stop: {origin: existing}, full_stop: {at: 60 mm, origin: existing}},
          rod: {length: 140 mm}, module: {device: B1, pivot: [150 mm, 0 mm, -20 mm], lever_pin: [148 mm, 0 mm, -66 mm],
          opens: anticlockwise}}
    Not seen: whether the linkage in the car is the one described.
    """
    if plan.description.conversion.linkage is None:
        yield Found(
            "linkage",
            plan.description.place(),
            "No linkage is described; the pedal's travel and its return cannot be judged without it.",
            "Measure the pedal and the module's place, and describe both under 'linkage'.",
        )


@rule(
    "completeness/vital-need-open",
    severity="HOLD",
    sources=("Formula SAE Rules 2026 v1.0, T.4.2.2 and T.4.3", COMMON_PRACTICE),
)
def vital_need_open(plan: Plan) -> Iterator[Found]:
    """The control unit needs a pedal, a throttle, a brake switch or an engine stop, and has none.

    Why: it cannot know what the driver wants, cannot see that the driver brakes, or cannot be shut off.
    Found in:
        conversion: devices.S1 removed
    Put right:
        conversion: devices.S1 = {part: parts/brake-switch.yaml, place: brake pedal box, station: pedal,
          fed_from: {feed.30: F1, feed.15: F2}}
    Not seen: needs that the control unit has and its part file does not list.
    """
    described = {"pedal": plan.description.pedal_module, "throttle": plan.description.throttle_body}
    for answer in _open(plan):
        # A pedal module or throttle body that is not there at all is told of as such.
        if answer.need in _VITAL and described.get(answer.need, answer) is not None:
            yield _open_need(plan, answer)


@rule("completeness/need-open", severity="FIX", sources=(COMMON_PRACTICE,))
def need_open(plan: Plan) -> Iterator[Found]:
    """The control unit needs something around it that no device answers and no reason waives.

    Why: a control unit that misses an input or an output stores a fault, limits the throttle or takes a
    reading for granted; which of them, its papers say, and not this plan.
    Found in:
        conversion: devices.S2 removed
    Put right:
        conversion: waived.clutch-switch = the gearbox is automatic
    Not seen: needs that the control unit has and its part file does not list.
    """
    yield from (_open_need(plan, answer) for answer in _open(plan) if answer.need not in _VITAL)


def _open(plan: Plan) -> Iterator[NeedAnswer]:
    yield from (answer for answer in plan.needs if not answer.answered_by and answer.waived is None)


def _open_need(plan: Plan, answer: NeedAnswer) -> Found:
    unit = plan.description.control_unit
    assert unit is not None, "only a control unit has needs"
    # No reason can stand in for a way to stop the engine.
    waive = "" if answer.need == "engine-stop" else f"; or say under 'waived' why '{answer.need}' is not wanted"
    return Found(
        f"{unit[0]} needs {answer.need}",
        answer.place,
        f"{unit[0]} needs '{answer.need}', and no device answers it.",
        f"Add {_ANSWERS[answer.need]}{waive}.",
    )


@rule("completeness/need-waived", severity="NOTE", sources=(COMMON_PRACTICE,))
def need_waived(plan: Plan) -> Iterator[Found]:
    """A need of the control unit is waived.

    Why: the reason is the builder's own; who inspects the car has to see it.
    Found in:
        conversion: waived.clutch-switch = the gearbox is automatic
    Put right:
        conversion: waived removed
    Not seen: whether the reason holds.
    """
    for answer in plan.needs:
        if answer.waived is None:
            continue
        met = f" It is met all the same, by {', '.join(answer.answered_by)}." if answer.answered_by else ""
        yield Found(
            f"waived.{answer.need}",
            answer.place,
            f"'{answer.need}' is waived: {answer.waived.rstrip('.')}.{met}",
            "Remove the waiver." if met else "Show the reason to whoever signs the conversion off.",
        )
