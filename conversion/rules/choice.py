"""Which of two tracks the control unit believes while both still pass its checks."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.parts import NoPull
from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.sensing import sensor_input

_FS = "Formula Student rules T11.9.2 (edition not stated in the copy): an open circuit must be survived"


@rule("redundancy/larger-track-obeyed", severity="NOTE", sources=(COMMON_PRACTICE,))
def larger_track_obeyed(plan: Plan) -> Iterator[Found]:
    """The control unit acts on the larger of the two pedal tracks.

    Why: until the agreement check has noticed a fault, the larger track is the one that asks for more than the
    driver does. The smaller of two never asks for more than the pedal while one track is sound.
    Found in:
        K1: accepts.pedal.takes = larger
    Put right:
        K1: accepts.pedal.takes = smaller
    Not seen: how large the disagreement may grow before it is noticed; that is the agreement check's limit.
    """
    unit, accepts = plan.description.control_unit, sensor_input(plan.description, "pedal")
    if unit is None or accepts is None or accepts.takes != "larger":
        return
    yield Found(
        unit[0],
        plan.description.part_place(unit[0], "accepts", "pedal", "takes"),
        f"{unit[0]} acts on the larger of the pedal's tracks; a track that reads high is obeyed until it is noticed.",
        "Where the control unit lets you choose, let it act on the smaller; otherwise keep the agreement limit narrow.",
    )


@rule("throttle/smaller-track-believed", severity="NOTE", sources=(COMMON_PRACTICE,))
def smaller_track_believed(plan: Plan) -> Iterator[Found]:
    """The control unit believes the smaller of the two throttle tracks.

    Why: at the throttle it is the other way round than at the pedal. A track that reads low makes the control unit
    open the plate further, to where the low track says what was asked for.
    Found in:
        K1: accepts.throttle.takes = smaller
    Put right:
        K1: accepts.throttle.takes = larger
    Not seen: what the control unit does with the other track besides comparing it.
    """
    unit, accepts = plan.description.control_unit, sensor_input(plan.description, "throttle")
    if unit is None or accepts is None or accepts.takes != "smaller":
        return
    yield Found(
        unit[0],
        plan.description.part_place(unit[0], "accepts", "throttle", "takes"),
        f"{unit[0]} believes the smaller of the throttle's tracks; one that reads low opens the plate further than "
        "was asked for, until it is noticed.",
        "Where the control unit lets you choose, let it believe the larger; otherwise keep the agreement limit narrow.",
    )


@rule("throttle/no-pull", severity="FIX", sources=(_FS, COMMON_PRACTICE))
def throttle_no_pull(plan: Plan) -> Iterator[Found]:
    """An input for a throttle track has no pull resistor, or none is described.

    Why: a broken signal wire leaves the input floating. It may read anything for a while, also a plate that is less
    open than it is.
    Found in:
        K1: accepts.throttle.tracks.a.pull = none
    Put right:
        K1: accepts.throttle.tracks.a.pull = {to: ground, resistance: 220 kohm ± 5 %}
    Not seen: a resistor at the throttle body's end; it does not help when the wire between breaks.
    """
    unit, accepts = plan.description.control_unit, sensor_input(plan.description, "throttle")
    if unit is None or accepts is None:
        return
    for name, track in accepts.tracks.items():
        if track.pull is not None and not isinstance(track.pull, NoPull):
            continue
        has = "has no pull resistor" if isinstance(track.pull, NoPull) else "has no pull resistor that is described"
        yield Found(
            unit[0],
            plan.description.part_place(unit[0], "accepts", "throttle", "tracks", name),
            f"The input of {unit[0]} for throttle track {name} {has}; with its wire broken it floats.",
            f"Find it in the papers of {unit[0]}, or add a resistor from that input to its ground, and describe it.",
        )
