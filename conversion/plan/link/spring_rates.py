"""The rate of a described spring: as stated, or as its coil gives it."""

from __future__ import annotations

from conversion.description import Description
from conversion.description.spring_forms import Coil, CoilSpring
from conversion.linkage import SPRING_STEEL_N_PER_MM2, STAINLESS_N_PER_MM2, coil_spring_rate_n_per_mm
from conversion.quantities import EVIDENCES, Quantity, show

_MODULUS = {"spring": SPRING_STEEL_N_PER_MM2, "stainless": STAINLESS_N_PER_MM2}
_COUNTED_TO = 0.5
"""A count of coils is good to half a coil; common practice, no source."""


def spring_rate(description: Description, form: CoilSpring, name: str, why: str) -> Quantity:
    """The rate of a coil spring with its limits. [N/mm]

    Raises:
        Missing: The rate, or a figure of the coil, is not known.
    """
    if form.coil is None:
        return description.need(form.rate, why, "springs", name, "rate")
    coil = form.coil
    wire = description.need(coil.wire, why, "springs", name, "coil", "wire")
    outside = description.need(coil.outside, why, "springs", name, "coil", "outside")
    nominal = _rate(coil, wire.nominal, outside.nominal, 0.0)
    low = _rate(coil, wire.low, outside.high, _COUNTED_TO)
    high = _rate(coil, wire.high, outside.low, -_COUNTED_TO)
    said = [figure.evidence for figure in (wire, outside) if figure.evidence is not None]
    evidence = max(said, key=EVIDENCES.index) if said else None
    return Quantity(nominal, low, high, "stiffness", evidence, f"{show(nominal, 'stiffness')} from its coil")


def _rate(coil: Coil, wire_mm: float, outside_mm: float, more_coils: float) -> float:
    return coil_spring_rate_n_per_mm(wire_mm, outside_mm - wire_mm, coil.coils + more_coils, _MODULUS[coil.steel])
