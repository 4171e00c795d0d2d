"""What the plan had to take for granted because a figure that would sharpen it is not described."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.plan import Plan
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.sensing import Sensor


@rule("range/load-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def load_not_described(plan: Plan) -> Iterator[Found]:
    """A resistance that shifts the volts is not described, and the volts were computed without it.

    Why: the track's own resistance and the control unit's pull resistor divide the signal. The shift is small where
    the pull resistor is large, yet nobody can say how small without the figure.
    Found in:
        B1: tracks.a.source_resistance removed
    Put right:
        B1: tracks.a.source_resistance = 1.0 kohm ± 20 %
    Not seen: the resistance of wires and contacts, which is not counted in any case.
    """
    for sensor in ("pedal", "throttle"):
        yield from _taken(plan, sensor)


def _taken(plan: Plan, sensor: Sensor) -> Iterator[Found]:
    description = plan.description
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    if holder is None or description.control_unit is None:
        return
    gathered = plan.pedal_tracks if sensor == "pedal" else plan.throttle_tracks
    for name, track in gathered.items():
        for sentence in track.taken:
            yield Found(
                f"{holder[0]}: track {name}",
                description.part_place(holder[0], "tracks", name),
                sentence,
                "Measure it with a multimeter, everything unplugged, and describe it.",
            )


@rule("return/weight-not-described", severity="NOTE", sources=(COMMON_PRACTICE,))
def weight_not_described(plan: Plan) -> Iterator[Found]:
    """The pedal's own weight is not described, and the return was judged without it.

    Why: the weight of a floor-hinged pedal presses it down, and that of a pendant one may help or hinder.
    Found in:
        conversion: linkage.pedal.mass removed
    Put right:
        conversion: linkage.pedal.mass = 0.55 kg
    Not seen: the weight of a foot that rests on the pedal.
    """
    linkage = plan.description.conversion.linkage
    if linkage is None or (linkage.pedal.mass is not None and linkage.pedal.centre_of_mass is not None):
        return
    lacking = "mass" if linkage.pedal.mass is None else "centre of mass"
    yield Found(
        "linkage.pedal",
        plan.description.place("linkage", "pedal"),
        f"The pedal's {lacking} is not described; the returning moments are computed as if it weighed nothing.",
        "Weigh the pedal, find where it balances, and describe 'mass' and 'centre_of_mass'.",
    )
