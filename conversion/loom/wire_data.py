"""How thick and how heavy a wire is."""

from __future__ import annotations

import math
from functools import cache

import numpy as np

# Nominal cross-section [mm²] -> greatest outer diameter [mm], thin-wall road-vehicle wire (ISO 6722-1). All from
# memory; those from 10 mm² up are the least certain.
_OUTER_MM = {
    0.22: 1.2, 0.35: 1.4, 0.5: 1.6, 0.75: 1.9, 1.0: 2.1, 1.5: 2.4, 2.5: 3.0, 4.0: 3.7, 6.0: 4.3, 10.0: 6.0, 16.0: 7.2,
    25.0: 8.7,
}  # fmt: skip
_SIZES_MM2 = np.array(list(_OUTER_MM))
_DIAMETERS_MM = np.array(list(_OUTER_MM.values()))

_COPPER_G_PER_CM3 = 8.89
_INSULATION_G_PER_CM3 = 1.4
# Strands run in a helix, and fill so much of the circle round them. Common practice, no source.
_LAY = 1.02
_STRAND_FILL = 0.75


@cache
def outer_diameter_mm(size_mm2: float) -> float:
    """The most that a wire measures over its insulation.

    Args:
        size_mm2: Conductor cross-section; positive. [mm²]

    Returns:
        Outer diameter; between the sizes of the table in proportion, beyond them with the root of the size. [mm]

    Example:
        >>> outer_diameter_mm(0.5), round(outer_diameter_mm(0.518), 3), round(outer_diameter_mm(100.0), 1)
        (1.6, 1.622, 17.4)

    References:
        ISO 6722-1, thin-wall wire (from memory).
    """
    least, most = _SIZES_MM2[0], _SIZES_MM2[-1]
    inside = min(max(size_mm2, least), most)
    return float(np.interp(inside, _SIZES_MM2, _DIAMETERS_MM)) * math.sqrt(size_mm2 / inside)


def mass_g_per_m(size_mm2: float) -> float:
    r"""Mass of a wire per metre, from its copper and the rest of its circle.

    .. math:: m = 1.02 \, A \, \rho_{Cu} + \left(\tfrac{\pi}{4} D^2 - A / 0.75\right) \rho_{ins}

    Args:
        size_mm2: Conductor cross-section A; positive. [mm²]

    Returns:
        Mass per length. [g/m]

    Note:
        With the greatest outer diameter, so a little more than most wires weigh.

    Example:
        >>> [round(mass_g_per_m(size), 1) for size in (0.5, 1.5, 4.0)]
        [6.4, 17.1, 43.9]

    References:
        Density of copper 8.89 g/cm³ (IEC 60028), of soft insulation 1.4 g/cm³ (common practice, no source).
    """
    insulation_mm2 = max(math.pi / 4.0 * outer_diameter_mm(size_mm2) ** 2 - size_mm2 / _STRAND_FILL, 0.0)
    return _LAY * size_mm2 * _COPPER_G_PER_CM3 + insulation_mm2 * _INSULATION_G_PER_CM3
