"""What current a wire bears: heat made in the copper against heat given to still air, alone and in a bundle."""

from __future__ import annotations

from functools import cache

import numpy as np

from conversion.loom.conductors import conductor_ohm
from conversion.loom.wire_data import outer_diameter_mm

EMISSIVITY = 0.9
"""Of any plastic insulation. Textbooks of heat transfer; from memory."""

# Wires in a bunch that carry their full current -> share of the free-air current that each may carry.
BUNCHED = {1: 1.0, 2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.50, 12: 0.45, 16: 0.41, 20: 0.38}
"""BS 7671, table 4C1, row 1 (cables bunched in air), the same as IEC 60364-5-52, table B.52.17; rows 5, 7 and 8 from
memory. The table counts circuits; each single wire is counted as one here, which is on the safe side: eight give 0.52,
where FAA AC 43.13-1B, example 2 of paragraph 11-66, gives 0.6 to eight wires at 60 % of their load."""

THINNEST = 0.9
"""Least outer diameter over the greatest, which is the one that is known: the thinner wire cools less, and bears 3 %
less current. Common practice, no source."""

LIGHTLY_LOADED = 0.30
"""A wire that carries at most this share of its grouped current is not counted: BS 7671, note to table 4C1."""

OVERLOAD_K = 25.0
"""Above its class that insulation stands for 240 h: short-term ageing of ISO 6722-1 (from memory)."""
SHORT_CIRCUIT_K = 50.0
"""Above its class that insulation stands for 6 h: thermal overload of ISO 6722-1 (from memory); a short circuit takes
seconds."""

_GRAVITY = 9.81
_STEFAN_BOLTZMANN = 5.670374e-8


def bunched_factor(loaded: int) -> float:
    """Share of its free-air current that each wire of a bundle may carry.

    Args:
        loaded: Wires in the bundle that carry current worth counting, this one included.

    Returns:
        The factor; between the counts of the table the next lower one. Beyond twenty wires it goes on falling as from
        nine to twenty, with the power −0.34 of the count: an extrapolation, no source.

    Example:
        >>> bunched_factor(1), bunched_factor(8), bunched_factor(10), round(bunched_factor(33), 2)
        (1.0, 0.52, 0.45, 0.32)
    """
    if loaded <= 20:
        return next(factor for count, factor in BUNCHED.items() if count >= loaded)
    return BUNCHED[20] * (20.0 / loaded) ** 0.344


def lost_heat_w_per_m(diameter_mm: float, surface_degc: float, ambient_degc: float) -> float:
    r"""Heat that a level wire in still air gives off by convection and radiation.

    .. math:: Nu = \left( 0.60 + \frac{0.387 \, Ra^{1/6}}{[1 + (0.559 / Pr)^{9/16}]^{8/27}} \right)^2, \qquad
        q = \pi k Nu \, \Delta T + \pi D \varepsilon \sigma (T_s^4 - T_a^4)

    Args:
        diameter_mm: Over the insulation; positive. [mm]
        surface_degc: Of the surface. [°C]
        ambient_degc: Of the air and of what the wire sees around it. [°C]

    Returns:
        Heat; zero where the surface is not warmer than the air. [W/m]

    References:
        Churchill and Chu, 1975, free convection from a horizontal cylinder (from memory); U.S. Standard Atmosphere
        1976 for viscosity and conductivity of air (from memory).
    """
    rise = surface_degc - ambient_degc
    if rise <= 0.0:
        return 0.0
    surface, ambient, diameter = surface_degc + 273.15, ambient_degc + 273.15, diameter_mm / 1000.0
    film = 0.5 * (surface + ambient)
    viscosity = 1.458e-6 * film**1.5 / (film + 110.4)
    conductivity = 2.64638e-3 * film**1.5 / (film + 245.4 * 10.0 ** (-12.0 / film))
    kinematic = viscosity / (101325.0 / (287.05 * film))
    prandtl = viscosity * 1006.0 / conductivity
    rayleigh = _GRAVITY / film * rise * diameter**3 / kinematic**2 * prandtl
    nusselt = (0.60 + 0.387 * rayleigh ** (1 / 6) / (1 + (0.559 / prandtl) ** (9 / 16)) ** (8 / 27)) ** 2
    radiated = np.pi * diameter * EMISSIVITY * _STEFAN_BOLTZMANN * (surface**4 - ambient**4)
    return float(np.pi * conductivity * nusselt * rise + radiated)


def balanced_current_a(ohm_per_m: float, diameter_mm: float, conductor_degc: float, ambient_degc: float) -> float:
    r"""Current that holds a wire alone in still air at a temperature.

    .. math:: I = \sqrt{q(T) / R(T)}

    Args:
        ohm_per_m: Of the conductor at its temperature; positive. [Ω/m]
        diameter_mm: Over the insulation. [mm]
        conductor_degc: Of the conductor; thin insulation is counted as equally warm at its surface. [°C]
        ambient_degc: Of the air. [°C]

    Returns:
        The current; zero where the air is as hot as the conductor may be. [A]
    """
    return float(np.sqrt(lost_heat_w_per_m(diameter_mm, conductor_degc, ambient_degc) / ohm_per_m))


@cache
def free_air_a(size_mm2: float, conductor_degc: float, ambient_degc: float) -> float:
    """Current that a copper wire alone in still air bears for ever.

    Args:
        size_mm2: Conductor cross-section. [mm²]
        conductor_degc: What its insulation stands. [°C]
        ambient_degc: Of the air. [°C]

    Returns:
        The current; zero where the air is as hot as the insulation stands. [A]

    Example:
        >>> round(free_air_a(1.0, 105.0, 60.0), 1)
        17.1
    """
    ohm_per_m = conductor_ohm(size_mm2, 1000.0, conductor_degc)
    return balanced_current_a(ohm_per_m, THINNEST * outer_diameter_mm(size_mm2), conductor_degc, ambient_degc)


def overload_a(size_mm2: float, insulation_degc: float, ambient_degc: float, factor: float) -> float:
    """Current that one wire of a bundle bears while a fuse has not yet opened.

    The other wires of the bundle go on with what they carry. Where all are fully loaded a wire's own current makes
    the share ``factor²`` of its rise; what is left comes from the others and stays.

    Args:
        size_mm2: Conductor cross-section. [mm²]
        insulation_degc: Class of the insulation, passed by 25 K while the overload lasts. [°C]
        ambient_degc: Of the air. [°C]
        factor: Of the bundle, as :func:`bunched_factor` gives it.

    Returns:
        The current. [A]
    """
    around = ambient_degc + (1.0 - factor**2) * max(insulation_degc - ambient_degc, 0.0)
    return free_air_a(size_mm2, insulation_degc + OVERLOAD_K, around)


def conductor_degc(current_a: float, borne_a: float, insulation_degc: float, ambient_degc: float) -> float:
    r"""Temperature of a conductor that carries less than it bears.

    .. math:: T = T_a + (T_{max} - T_a) (I / I_{max})^2

    Args:
        current_a: What it carries. [A]
        borne_a: What it bears where it runs, derated for its bundle. [A]
        insulation_degc: Temperature at which it bears that. [°C]
        ambient_degc: Of the air. [°C]

    Returns:
        The temperature; never above what the current alone makes of it. [°C]

    Note:
        Convection grows a little faster than the rise, so that a part load is a little warmer than this: by at most
        1 K between 60 °C and 105 °C. A wire without any limit left is as hot as its insulation stands.
    """
    if borne_a <= 0.0:
        return max(insulation_degc, ambient_degc)
    return ambient_degc + (insulation_degc - ambient_degc) * (current_a / borne_a) ** 2
