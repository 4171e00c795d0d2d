"""Fuses, bunched cables and short circuits.

Source     ISO 8820-3 (blade fuses, types C and E): ratings and operating times; IEC 60364-5-54, annex A: the constant k
           of copper in a short circuit; BS 7671, table 4C1, row 1: cables bunched in air; ASTM B258: gauges.
Read from  BS 7671: pages that quote it, except for 5, 7 and 8 circuits. All others from memory.
Tolerance  k is printed as a whole number: 0.5 %. The others are the standard's own figures: exact.
"""

from __future__ import annotations

from itertools import pairwise

import pytest

from conversion.loom.fuses import (
    RATINGS_A,
    inrush_multiple,
    least_rating_a,
    let_through_a2s,
    next_rating_a,
    withstood_a2s,
)
from conversion.loom.heat import bunched_factor
from conversion.loom.standard_sizes import STANDARD_MM2, awg_not_thinner
from conversion.quantities import awg_area_mm2

# Multiple of the rating -> shortest and longest time until it opens [s].
OPENS = {1.35: (0.75, 600.0), 2.0: (0.15, 5.0), 3.5: (0.04, 0.5)}
HOLDS_100_H = 1.10
BUNCHED = {1: 1.0, 2: 0.80, 3: 0.70, 4: 0.65, 5: 0.60, 6: 0.57, 7: 0.54, 8: 0.52, 9: 0.50, 12: 0.45, 16: 0.41, 20: 0.38}


@pytest.mark.parametrize("rating", [1, 2, 3, 4, 5, 7.5, 10, 15, 20, 25, 30, 35, 40])
def test_ratings_that_there_are(rating: float) -> None:
    assert next_rating_a(rating) == rating
    assert rating in RATINGS_A


@pytest.mark.parametrize("multiple", OPENS)
def test_an_inrush_is_over_before_the_fuse_may_open(multiple: float) -> None:
    """At each current of the table, what is counted as borne ends before the shortest time in which it may open."""
    shortest, _ = OPENS[multiple]
    assert inrush_multiple(shortest * 1.001) < multiple
    assert inrush_multiple(shortest) <= multiple * (1 + 1e-9)


@pytest.mark.parametrize("lasts_s", [0.01, 0.04, 0.1, 0.15, 0.5, 0.75, 3.0])
def test_no_fuse_is_asked_to_bear_more_than_it_does(lasts_s: float) -> None:
    """What melts it at 350 % in the shortest time, the least I²t of the table, melts it in less time as well."""
    least = min(multiple**2 * shortest for multiple, (shortest, _) in OPENS.items() if multiple > 1.35)
    multiple = inrush_multiple(lasts_s)
    assert multiple <= 1.35 or multiple**2 * lasts_s <= max(least, OPENS[2.0][0] * 4.0) + 1e-9


def test_a_steady_load_stays_below_what_holds_for_100_hours() -> None:
    for load in (0.5, 4.0, 11.0, 23.0):
        rating = next_rating_a(least_rating_a(load, 85.0))
        assert rating is not None
        assert load < rating * HOLDS_100_H * (1.0 - 0.002 * 60.0)


@pytest.mark.parametrize("multiple", [2.0, 3.5])
def test_what_a_fuse_lets_through_covers_its_longest_times(multiple: float) -> None:
    _, longest = OPENS[multiple]
    assert let_through_a2s(10.0, 10.0 * multiple) >= (10.0 * multiple) ** 2 * longest


@pytest.mark.parametrize(("start", "limit", "k"), [(70.0, 160.0, 115.0), (90.0, 250.0, 143.0), (30.0, 160.0, 143.0)])
def test_short_circuit_of_copper(start: float, limit: float, k: float) -> None:
    assert withstood_a2s(1.0, start, limit) ** 0.5 == pytest.approx(k, rel=0.005)
    assert withstood_a2s(2.5, start, limit) == pytest.approx(6.25 * withstood_a2s(1.0, start, limit))


@pytest.mark.parametrize("count", BUNCHED)
def test_bunched_cables(count: int) -> None:
    assert bunched_factor(count) == BUNCHED[count]


def test_a_bundle_never_gains_by_a_wire() -> None:
    factors = [bunched_factor(count) for count in range(1, 200)]
    assert all(later <= earlier for earlier, later in pairwise(factors))


@pytest.mark.parametrize(
    ("gauge", "area_mm2"), [(20, 0.518), (18, 0.823), (14, 2.08), (10, 5.26), (6, 13.3), (2, 33.6)]
)
def test_gauges(gauge: int, area_mm2: float) -> None:
    assert awg_area_mm2(gauge) == pytest.approx(area_mm2, rel=0.002)
    assert awg_not_thinner(area_mm2 * 0.99) == gauge
    assert awg_not_thinner(area_mm2 * 1.01) == gauge - 2


@pytest.mark.parametrize("size_mm2", STANDARD_MM2)
def test_the_gauge_beside_a_size_is_the_next_one_that_is_not_thinner(size_mm2: float) -> None:
    gauge = awg_not_thinner(size_mm2)
    assert awg_area_mm2(gauge) >= size_mm2 > awg_area_mm2(gauge + 2)
