"""Heat-shrink tube over what is bolted, over splices and over labels of plain paper: which size, and how long."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from conversion.loom.packing import pack_circles
from conversion.loom.wire_data import outer_diameter_mm
from conversion.wiring import Wire

Kind = Literal["clear", "lined"]

# Bore as sold -> bore once shrunk onto nothing. [mm]
TUBES_MM: dict[Kind, dict[float, float]] = {
    "clear": {size: size / 2 for size in (1.6, 2.4, 3.2, 4.8, 6.4, 9.5, 12.7, 19.1, 25.4)},
    "lined": {size: size / 3 for size in (3.0, 6.0, 9.0, 12.0, 18.0, 24.0, 39.0)},
}
"""Sizes that are sold: inch sizes that shrink to a half, and lined with adhesive, metric, to a third. From memory."""

ROOM = 1.2
"""A tube is pushed over something this much thinner than it. Common practice, no source."""
BARREL = 1.3
"""A crimped barrel measures so much more than its wires over their insulation. Common practice, no source."""
SPLICE_MM = 50.0
RING_MM = 25.0
"""Lengths over a splice and over the barrel of a ring, with 10 mm on the insulation. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Tube:
    """A piece of heat-shrink tube.

    Attributes:
        kind: ``lined`` with adhesive, which keeps water out, or ``clear``.
        bore_mm: As sold. [mm]
        length_mm: As cut. [mm]
        closes: Whether it grips the thinnest of what it is shrunk onto.
    """

    kind: Kind
    bore_mm: float
    length_mm: float
    closes: bool


def tube_for(kind: Kind, thickest_mm: float, thinnest_mm: float, length_mm: float) -> Tube | None:
    """The smallest tube that can be pushed over the thickest part; None where there is none so large.

    Example:
        >>> tube_for("lined", 4.8, 2.1, 50.0)
        Tube(kind='lined', bore_mm=6.0, length_mm=50.0, closes=True)
    """
    for bore, shrunk in TUBES_MM[kind].items():
        if bore >= ROOM * thickest_mm:
            return Tube(kind, bore, length_mm, shrunk <= thinnest_mm)
    return None


def splice_tube(sides: Iterable[Iterable[Wire]]) -> Tube | None:
    """Over a splice: it goes over the barrel of all wires and grips the thinner side."""
    over = [over_wires_mm(wires) for wires in (tuple(side) for side in sides) if wires]
    return tube_for("lined", BARREL * max(over), min(over), SPLICE_MM) if over else None


def ring_tube(wires: Iterable[Wire]) -> Tube | None:
    """Over the barrel of a ring terminal and the wire's insulation."""
    over = over_wires_mm(wires)
    return tube_for("lined", BARREL * over, over, RING_MM)


def over_wires_mm(wires: Iterable[Wire]) -> float:
    """Diameter of the circle round wires that lie close. [mm]"""
    return pack_circles(outer_diameter_mm(wire.size_mm2) for wire in wires).diameter_mm
