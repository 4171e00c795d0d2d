"""Resistance of a stranded copper conductor by its size, length and temperature, and of a contact at its end."""

from __future__ import annotations

import numpy as np

from conversion.description.loom_forms import Loom

ALPHA_PER_K = 0.00393
"""Of annealed copper at 20 °C, IEC 60028:1925 (figure from memory)."""

CONTACT_OHM = 0.01
"""A sound crimp with its plug, and a wire's end in a splice. Common practice, no source."""

# Nominal cross-section [mm²] -> greatest resistance at 20 °C [Ω/km], plain copper; 16 and 25 mm² from memory.
IEC_60228_CLASS_5_OHM_PER_KM = {
    0.5: 39.0, 0.75: 26.0, 1.0: 19.5, 1.5: 13.3, 2.5: 7.98, 4.0: 4.95, 6.0: 3.30, 10.0: 1.91, 16.0: 1.21, 25.0: 0.780,
}  # fmt: skip


def contact_ohm(loom: Loom | None) -> float:
    """Resistance of each new contact, and of each wire's end in a splice: as described, else of a sound one. [Ω]"""
    said = loom.contact_resistance if loom is not None else None
    return CONTACT_OHM if said is None else said.nominal


def conductor_ohm(area_mm2: float, length_mm: float, temperature_degc: float = 20.0) -> float:
    r"""The most that a plain stranded copper conductor may have at its temperature.

    .. math:: R = r_{20}(A) \, L \, [1 + \alpha_{20} (T - 20)]

    Args:
        area_mm2: Nominal cross-section; positive. [mm²]
        length_mm: One way; not negative. [mm]
        temperature_degc: Of the conductor, not of the air. [°C]

    Returns:
        Resistance of the single conductor. [Ω]

    Note:
        Between the sizes of the table, and beyond them, resistance times cross-section is taken between (as) that of
        the nearest sizes: 19.1 to 19.95 Ω·mm²/km, where solid copper has 17.24.

    Example:
        >>> round(conductor_ohm(0.5, 1000.0), 4), round(conductor_ohm(0.5, 1000.0, 60.0), 4)
        (0.039, 0.0451)

    References:
        IEC 60228, table 3, class 5, plain copper; IEC 60028:1925 for the temperature.
    """
    sizes = list(IEC_60228_CLASS_5_OHM_PER_KM)
    products = [size * ohm for size, ohm in IEC_60228_CLASS_5_OHM_PER_KM.items()]
    ohm_mm2_per_km = float(np.interp(np.log(area_mm2), np.log(sizes), products))
    return ohm_mm2_per_km / area_mm2 * length_mm / 1e6 * (1.0 + ALPHA_PER_K * (temperature_degc - 20.0))
