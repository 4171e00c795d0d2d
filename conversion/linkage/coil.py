"""Rate of a coil spring for a builder who has only a caliper."""

from __future__ import annotations

SPRING_STEEL_N_PER_MM2 = 79.3e3
STAINLESS_N_PER_MM2 = 69e3
"""Shear moduli of music wire and of 18-8 stainless wire as tables of spring makers give them (from memory)."""


def coil_spring_rate_n_per_mm(
    wire_mm: float,
    mean_diameter_mm: float,
    active_coils: float,
    shear_modulus_n_per_mm2: float = SPRING_STEEL_N_PER_MM2,
) -> float:
    r"""Rate of a coil spring of round wire, extension or compression.

    .. math:: k = \frac{d^4 G}{8 D^3 N}

    Args:
        wire_mm: d, of the wire. [mm]
        mean_diameter_mm: D, outside diameter less one wire. [mm]
        active_coils: N: of an extension spring all coils of its body; of a compression spring with closed ends
            two fewer than are counted.
        shear_modulus_n_per_mm2: G; spring steel if it is not given. [N/mm²]

    Returns:
        Spring rate; the fourth power makes 1 % of the wire 4 % of the rate, so measure the force as well if you
        can. [N/mm]

    Raises:
        ValueError: a figure that is not positive, or a wire as thick as the coil.

    Example:
        >>> round(coil_spring_rate_n_per_mm(1.5, 12.0, 20), 3)
        1.452

    References:
        Wahl, Mechanical Springs; the same in Shigley's Mechanical Engineering Design, chapter on springs.
    """
    if not min(wire_mm, mean_diameter_mm, active_coils, shear_modulus_n_per_mm2) > 0.0:
        raise ValueError("wire, coil diameter, number of coils and modulus must be positive")
    if wire_mm >= mean_diameter_mm:
        raise ValueError("the wire cannot be as thick as the coil's mean diameter")
    return wire_mm**4 * shear_modulus_n_per_mm2 / (8.0 * mean_diameter_mm**3 * active_coils)
