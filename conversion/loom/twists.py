"""Which wires are twisted together, and how much longer that makes them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from conversion.description.loom_forms import Loom
from conversion.description.roles import SENSORS, TRACKS
from conversion.loom.packing import pack_circles
from conversion.loom.wire_data import outer_diameter_mm
from conversion.wiring import Wire

TWIST_PITCH_MM = 30.0
"""Length of one turn where the description gives none. Common practice, no source."""

_MOTOR = ("throttle.motor.plus", "throttle.motor.minus")


@dataclass(frozen=True, slots=True)
class Twist:
    """Wires that are twisted together along the runs that they share.

    Attributes:
        name: What they serve, such as ``pedal track a``.
        tags: The wires, in building order; two at the least.
        pitch_mm: Length of one turn. [mm]
        over_mm: Diameter of the circle round them. [mm]
        takeup: Length of each wire over the length of the twist; above 1.
    """

    name: str
    tags: tuple[str, ...]
    pitch_mm: float
    over_mm: float
    takeup: float


def take_up(pitch_mm: float, centre_diameter_mm: float) -> float:
    r"""How much longer a twisted wire is than the twist.

    .. math:: \frac{L}{p} = \frac{\sqrt{p^2 + (\pi D)^2}}{p}

    Args:
        pitch_mm: Length p of one turn; positive. [mm]
        centre_diameter_mm: Diameter D of the circle on which the wire's middle turns; that of one wire for a pair of
            equal wires. [mm]

    Returns:
        Length of wire over length of twist.

    Raises:
        ValueError: The pitch is not positive, or the diameter is negative.

    Example:
        >>> round(take_up(33.0, 1.6), 5)
        1.01153

    References:
        Length of a helix.
    """
    if pitch_mm <= 0 or centre_diameter_mm < 0:
        raise ValueError("a twist needs a positive pitch and a diameter that is not negative")
    return math.hypot(pitch_mm, math.pi * centre_diameter_mm) / pitch_mm


def find_twists(loom: Loom | None, wires: Iterable[Wire]) -> tuple[Twist, ...]:
    """The wires that are laid twisted: those of each sensor track, and the two of the motor.

    A track's supply, ground and signal are twisted together, so that what disturbs one disturbs all of them alike;
    tracks that have a conductor in common make one twist. Screens are left out: they lie round a twist, not in it.

    Args:
        loom: Its ``twist_pitch``; None where no loom is described.
        wires: All wires with their sizes.

    Returns:
        In the order of their first wires. Of different thickness, the wire that lies farthest out sets the take-up.
    """
    pitch_mm = loom.twist_pitch.nominal if loom and loom.twist_pitch else TWIST_PITCH_MM
    by_tag = {wire.tag: wire for wire in wires}
    order = {tag: index for index, tag in enumerate(by_tag)}
    groups = [("throttle motor", [tag for tag, wire in by_tag.items() if set(_MOTOR) & set(wire.roles)])]
    for sensor in SENSORS:
        groups += _tracks(sensor, by_tag)
    found = [_twist(name, sorted(tags, key=order.__getitem__), by_tag, pitch_mm) for name, tags in groups if tags[1:]]
    return tuple(sorted(found, key=lambda twist: order[twist.tags[0]]))


def _tracks(sensor: str, by_tag: dict[str, Wire]) -> list[tuple[str, list[str]]]:
    """Name and wires of each track of a sensor, those with a wire in common as one."""
    groups: list[tuple[list[str], set[str]]] = []
    for track in TRACKS:
        roles = {f"{sensor}.{track}.{end}" for end in ("supply", "ground", "signal")}
        names, tags = [track], {tag for tag, wire in by_tag.items() if roles & set(wire.roles)}
        for group in [group for group in groups if group[1] & tags]:
            groups.remove(group)
            names, tags = [*group[0], *names], group[1] | tags
        groups.append((names, tags))
    return [
        (f"{sensor} track{'s' if names[1:] else ''} {' and '.join(sorted(names))}", list(tags))
        for names, tags in groups
        if tags
    ]


def _twist(name: str, tags: Sequence[str], by_tag: dict[str, Wire], pitch_mm: float) -> Twist:
    packing = pack_circles(outer_diameter_mm(by_tag[tag].size_mm2) for tag in tags)
    farthest_mm = 2.0 * float(np.hypot(*packing.centres_mm.T).max())
    return Twist(name, tuple(tags), pitch_mm, packing.diameter_mm, take_up(pitch_mm, farthest_mm))
