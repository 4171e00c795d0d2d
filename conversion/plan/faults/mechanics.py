"""Faults of what moves a sensor: a track that stays, a link that parts, a spring that breaks."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from typing import TYPE_CHECKING

from conversion.description import Missing
from conversion.faults.fault import Fault, Held, Moved
from conversion.linkage.returns import ReturnCase
from conversion.sensing import Sensor

if TYPE_CHECKING:
    from conversion.plan.plan import Plan

_PARTED = {
    "rod": ("rod off, or one of its ball joints parted",),
    "bell-crank": ("first rod off, or a ball joint of it parted", "second rod off, or a ball joint of it parted"),
    "cable": ("cable broken, or its nipple out",),
    "contact": ("roller broken off, or off its face",),
    "direct": (),
}  # fmt: skip


def mechanical_faults(plan: Plan, sensor: Sensor) -> Iterator[Fault]:
    """Every track stuck; of the pedal also the link parted and each spring broken, of the plate one of its springs."""
    holder = plan.description.pedal_module if sensor == "pedal" else plan.description.throttle_body
    assert holder is not None, "its circuit was made"
    reference = holder[0]
    for track in plan.tracks(sensor):
        place = f"inside {reference}"
        name = f"track {track} of {reference} stuck"
        yield Fault(name, "track-stuck", sensor, Held((track,)), place, (place,), needs_history=True)
    if sensor == "pedal":
        yield from _of_the_pedal(plan)
        return
    unpowered = plan.description.throttle_body[1].unpowered if plan.description.throttle_body else None
    if unpowered is not None and unpowered.springs:
        place = f"inside {reference}"
        name = f"a spring of the plate of {reference} broken"
        yield Fault(name, "spring-broken", sensor, Moved(None, None), place, (place,), needs_history=True)


def _of_the_pedal(plan: Plan) -> Iterator[Fault]:
    linkage = plan.description.conversion.linkage
    cases: tuple[ReturnCase, ...] = ()
    with suppress(Missing):  # a return that nobody can judge is told by its own rules; here it stays open
        cases = plan.returns.cases
    alone = next((case for case in cases if case.kind == "link-parted" and case.half == "module"), None)
    returns = None if alone is None else alone.returns
    for words in _PARTED[linkage.kind] if linkage else ():
        # A lever that comes back stands on the module's own rest stop; else it stays where it was.
        yield Fault(words, "link-parted", "pedal", Moved(0.0 if returns else None, returns), "linkage", ("linkage",))
    if cases:
        springs = {case.spring_out: case.returns for case in cases if case.kind == "spring-out" and case.half == "both"}
        for name, back in springs.items():
            words = f"spring {name} broken, or off its anchor"
            yield Fault(words, "spring-broken", "pedal", Moved(None, back), "springs", ("springs",), needs_history=True)
        return
    for name in plan.description.conversion.springs:
        words = f"spring {name} broken, or off its anchor"
        yield Fault(words, "spring-broken", "pedal", Moved(None, None), "springs", ("springs",), needs_history=True)
