"""Cross-sections that wire is sold in, and the nearest gauge of the other system."""

from __future__ import annotations

from functools import cache

from conversion.quantities import awg_area_mm2

STANDARD_MM2 = (0.35, 0.5, 0.75, 1.0, 1.5, 2.5, 4.0, 6.0, 10.0, 16.0, 25.0)
"""Of ISO 6722-1, up to what a builder crimps by hand (from memory)."""

_GAUGES = tuple(range(40, -1, -2))


def standard_from(size_mm2: float) -> float:
    """The smallest size that there is from a figure on; the largest of all where none is. [mm²]

    Example:
        >>> standard_from(0.5), standard_from(0.6), standard_from(70.0)
        (0.5, 0.75, 25.0)
    """
    return next((size for size in STANDARD_MM2 if size >= size_mm2 * (1.0 - 1e-9)), STANDARD_MM2[-1])


@cache
def awg_not_thinner(size_mm2: float) -> int:
    """The even American Wire Gauge whose solid cross-section is not below a size; 0 where even that is thinner.

    Example:
        >>> [awg_not_thinner(size) for size in (0.5, 0.75, 1.5, 2.5)]
        [20, 18, 14, 12]
    """
    return next((gauge for gauge in _GAUGES if awg_area_mm2(gauge) >= size_mm2 * (1.0 - 1e-9)), 0)
