"""What an ohmmeter reads between two terminals of an unplugged sensor, its lever or plate at either end."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import Literal

import numpy as np

from conversion.checklist.saying import CannotSay
from conversion.description import Description
from conversion.description.parts import PullForm, SensingPart, Track
from conversion.quantities import Quantity
from conversion.sensing import Sensor

Resistors = list[tuple[str, str, float]]
"""Two nodes and the resistance between them. [Ω]"""

Stop = Literal["rest", "full"]

_WHY = "the reading cannot be said"
# A resistance that no hand meter tells from none; keeps the equations regular. [Ω]
_LEAST_OHM = 1e-3
# Of a wiper that carries no current.
_ANYTHING = Quantity(1.0, 1.0, 1.0, "resistance")
_MIDDLE = Quantity(0.5, 0.5, 0.5, "ratio")


@dataclass(frozen=True, slots=True)
class Reading:
    """What the meter shows: nominal, least and greatest. [Ω]"""

    nominal_ohm: float
    low_ohm: float
    high_ohm: float


def meter_reading(
    description: Description, sensor: Sensor, track: str, ends: tuple[str, str], at: Stop = "rest"
) -> Reading:
    """Reading between two of a potentiometer track's own terminals: ``supply``, ``ground`` and ``signal``.

    Tracks that share terminals are read together, as the meter cannot part them.

    Args:
        description: What the builder wrote.
        sensor: ``pedal`` or ``throttle``.
        track: Name of the track.
        ends: Where the two leads are held.
        at: Which stop holds the lever or the plate.

    Raises:
        Missing: A resistance, or the output there, is not known.
        CannotSay: A terminal is not described, or a track is no potentiometer.

    References:
        Node equations of a resistor network. A reading never falls when a resistor grows (Rayleigh's monotonicity
        law), so its limits lie where all resistors are at their least or all at their greatest.
    """
    holder = description.pedal_module if sensor == "pedal" else description.throttle_body
    if holder is None:
        raise CannotSay("no such sensor is described")
    reference, part = holder
    names = _read_together(part, sensor, track)
    one, other = (_node(part, sensor, track, end) for end in ends)
    parts = [
        _track_parts(description, sensor, reference, part, name, at, wiper=name == track and "signal" in ends)
        for name in names
    ]

    def read(which: str, shares: tuple[float, ...]) -> float:
        resistors = [r for each, share in zip(parts, shares, strict=True) for r in each.at(share, which)]
        return resistance_between(resistors, one, other)

    nominal = read("nominal", tuple(each.share.nominal for each in parts))
    corners = list(product(*(each.share.limits for each in parts)))
    return Reading(
        nominal, min(read("low", shares) for shares in corners), max(read("high", shares) for shares in corners)
    )


def resistance_between(resistors: Resistors, one: str, other: str) -> float:
    """Resistance of a network between two of its nodes; infinite where nothing joins them. [Ω]

    Example:
        >>> resistance_between([("a", "b", 100.0), ("b", "c", 100.0), ("a", "c", 200.0)], "a", "c")
        100.0
    """
    reached = _reached(resistors, one)
    if other not in reached:
        return float("inf")
    if one == other:
        return 0.0
    nodes = [node for node in reached if node != other]
    matrix = np.zeros((len(nodes), len(nodes)))
    for start, end, ohm in resistors:
        siemens = 1.0 / max(ohm, _LEAST_OHM)
        here = [nodes.index(node) for node in (start, end) if node in nodes]
        for index in here:
            matrix[index, index] += siemens
        if len(here) == 2 and here[0] != here[1]:
            matrix[here[0], here[1]] -= siemens
            matrix[here[1], here[0]] -= siemens
    current = np.zeros(len(nodes))
    current[nodes.index(one)] = 1.0
    return round(float(np.linalg.solve(matrix, current)[nodes.index(one)]), 6)


def _reached(resistors: Resistors, start: str) -> list[str]:
    reached = [start]
    for node in reached:
        for one, other, _ in resistors:
            far = other if one == node else one if other == node else None
            if far is not None and far not in reached:
                reached.append(far)
    return reached


@dataclass(frozen=True, slots=True)
class _TrackParts:
    """One track: its nodes, its figures, and where its wiper stands as a share of it."""

    name: str
    supply: str
    ground: str
    signal: str
    track: Quantity
    source: Quantity
    pull: tuple[str, Quantity] | None
    share: Quantity

    def at(self, share: float, which: str) -> Resistors:
        wiper, ohm = f"wiper {self.name}", getattr(self.track, which)
        resistors = [
            (self.ground, wiper, share * ohm),
            (wiper, self.supply, (1.0 - share) * ohm),
            (wiper, self.signal, getattr(self.source, which)),
        ]
        if self.pull is not None:
            to, pull = self.pull
            resistors.append((self.signal, self.ground if to == "ground" else self.supply, getattr(pull, which)))
        return resistors


def _track_parts(
    description: Description, sensor: Sensor, reference: str, part: SensingPart, name: str, at: Stop, *, wiper: bool
) -> _TrackParts:
    """The figures of a track; where its wiper carries no current, those of the wiper are not asked for."""
    track = part.tracks[name]  # type: ignore[index]
    if track.principle != "potentiometer":
        raise CannotSay(f"track {name} is no potentiometer, so an ohmmeter says nothing about it")
    path = ("tracks", name)
    pull = None
    source, share = _ANYTHING, _MIDDLE
    if isinstance(track.pull, PullForm):
        pull = track.pull.to, description.part_need(track.pull.resistance, _WHY, reference, *path, "pull", "resistance")
    if wiper or pull:
        source = description.part_need(track.source_resistance, _WHY, reference, *path, "source_resistance")
        share = _share(description, reference, name, track, at)
    return _TrackParts(
        name=name,
        supply=_node(part, sensor, name, "supply"),
        ground=_node(part, sensor, name, "ground"),
        signal=_node(part, sensor, name, "signal"),
        track=description.part_need(track.resistance, _WHY, reference, *path, "resistance"),
        source=source,
        pull=pull,
        share=share,
    )


def _share(description: Description, reference: str, name: str, track: Track, at: Stop) -> Quantity:
    """The wiper's place as a share of the track, from the ground end."""
    output = track.output
    path: tuple[str | int, ...] = ("tracks", name, "output")
    if output.points:
        index = 0 if at == "rest" else len(output.points) - 1
        level = description.part_need(output.points[index].output, _WHY, reference, *path, "points", index, "output")
    else:
        level = description.part_need(getattr(output, at), _WHY, reference, *path, at)
    if level.dimension == "ratio":
        return level
    supply = description.part_need(output.at_supply, _WHY, reference, *path, "at_supply").nominal
    return Quantity(level.nominal / supply, level.low / supply, level.high / supply, "ratio")


def _node(part: SensingPart, sensor: Sensor, track: str, end: str) -> str:
    places = part.places_of(f"{sensor}.{track}.{end}")
    if not places:
        raise CannotSay(f"no terminal for {sensor}.{track}.{end} is described")
    return ".".join(places[0])


def _read_together(part: SensingPart, sensor: Sensor, track: str) -> list[str]:
    """The track and those that share a terminal with one of them."""
    nodes = {
        str(name): {
            place for end in ("supply", "ground", "signal") for place in part.places_of(f"{sensor}.{name}.{end}")
        }
        for name in part.tracks
    }
    together = [track]
    for name in together:
        together += [other for other in nodes if other not in together and nodes[other] & nodes[name]]
    return sorted(together)
