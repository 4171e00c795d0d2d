"""Fuses: which ratings there are, what a load asks of one, and what it lets through before it opens."""

from __future__ import annotations

import math

RATINGS_A = (1.0, 2.0, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 100.0)
"""Ratings of blade fuses for road vehicles, ISO 8820-3, types C and E together (from memory)."""

STEADY_SHARE = 0.8
"""Of its rating that a fuse carries for ever, the fuse being 125 % of the load; workshop rule, no standard."""
FADES_PER_K = 0.002
"""By so much a fuse carries less for each kelvin above 25 °C. Common practice, no source."""

# Current as a multiple of the rating -> shortest and longest time until it opens, [s]: ISO 8820-3 (from memory).
OPENS_WITHIN_S: dict[float, tuple[float, float]] = {1.35: (0.75, 600.0), 2.0: (0.15, 5.0), 3.5: (0.04, 0.5)}
HELD = 1.35
"""The least multiple of its rating at which a fuse opens within minutes: what its wire has to bear until then."""
SURELY_OPENS = 2.0
"""The least multiple that a short circuit has to drive, so that the fuse opens within seconds."""

# Of copper from its own temperature to a limit, IEC 60949: constant [A·s^0.5/mm²] and reciprocal coefficient [K].
_COPPER_K, _COPPER_BETA_K = 226.0, 234.5


def least_rating_a(
    load_a: float, ambient_degc: float, intermittent_a: float = 0.0, inrush_a: float = 0.0, lasts_s: float | None = None
) -> float:
    r"""The least rating, of any size, that does not open while all is well.

    .. math:: I_n \ge \max\left( \frac{I}{0.8 f}, \frac{I + I_i}{f}, \frac{I_{in}}{m(t)} \right), \qquad
        f = 1 - 0.002 (T_a - 25)

    Args:
        load_a: Current of all loads that stay on. [A]
        ambient_degc: Where the fuse sits. [°C]
        intermittent_a: On top of that for moments. [A]
        inrush_a: Greatest current in the moment of switching on, with all that is on already. [A]
        lasts_s: How long that lasts; None counts as 0.75 s. [s]

    Returns:
        The rating, not yet rounded up to one that there is. [A]

    Example:
        >>> least_rating_a(4.0, 25.0), least_rating_a(4.0, 25.0, inrush_a=12.0, lasts_s=0.14)
        (5.0, 6.0)
    """
    fade = 1.0 - FADES_PER_K * max(ambient_degc - 25.0, 0.0)
    return max(load_a / STEADY_SHARE / fade, (load_a + intermittent_a) / fade, inrush_a / inrush_multiple(lasts_s))


def inrush_multiple(lasts_s: float | None) -> float:
    """What multiple of its rating a fuse surely bears for a time, without opening.

    Below 0.15 s the heat that melts it, I²t, is taken as that of the shortest time at 350 %, which is the least of
    the table; between the table's times the longer one counts.

    Example:
        >>> inrush_multiple(10.0), inrush_multiple(0.5), inrush_multiple(0.15), round(inrush_multiple(0.01), 1)
        (1.0, 1.35, 2.0, 7.0)
    """
    if lasts_s is None:
        lasts_s = OPENS_WITHIN_S[1.35][0]
    if lasts_s > OPENS_WITHIN_S[1.35][0]:
        return 1.0
    if lasts_s > OPENS_WITHIN_S[2.0][0]:
        return 1.35
    melting = 3.5**2 * OPENS_WITHIN_S[3.5][0]
    return max(2.0, math.sqrt(melting / lasts_s)) if lasts_s > 0.0 else math.inf


def next_rating_a(least_a: float) -> float | None:
    """The smallest rating that there is from a figure on; None where it is beyond all of them. [A]

    Example:
        >>> next_rating_a(5.0), next_rating_a(5.1), next_rating_a(120.0)
        (5.0, 7.5, None)
    """
    return next((rating for rating in RATINGS_A if rating >= least_a * (1.0 - 1e-9)), None)


def let_through_a2s(rating_a: float, prospective_a: float) -> float:
    """Most of I²t that a fuse lets through up to a short-circuit current, at any current that surely opens it. [A²s]

    Example:
        >>> let_through_a2s(10.0, 20.0)
        2000.0
    """
    met = [
        (multiple * rating_a) ** 2 * longest
        for multiple, (_, longest) in OPENS_WITHIN_S.items()
        if SURELY_OPENS <= multiple <= prospective_a / rating_a + 1e-9
    ]
    return max(met, default=0.0)


def withstood_a2s(size_mm2: float, start_degc: float, limit_degc: float) -> float:
    r"""I²t that heats a copper conductor from one temperature to another when no heat leaves it.

    .. math:: I^2 t = K^2 A^2 \ln \frac{\theta_f + \beta}{\theta_i + \beta}, \quad K = 226, \beta = 234.5

    Args:
        size_mm2: Cross-section. [mm²]
        start_degc: Before the short circuit. [°C]
        limit_degc: What the insulation stands for seconds. [°C]

    Returns:
        The integral. [A²s]

    Example:
        The constant 115 of a 70 °C wire that may reach 160 °C:

        >>> round(withstood_a2s(1.0, 70.0, 160.0) ** 0.5)
        115

    References:
        IEC 60949 and IEC 60364-5-54, annex A (from memory).
    """
    return _COPPER_K**2 * size_mm2**2 * math.log((limit_degc + _COPPER_BETA_K) / (start_degc + _COPPER_BETA_K))
