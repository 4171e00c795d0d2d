"""Equal circles packed in a circle, and the trade's rule for the thickness of a bundle.

Source     Published tables of the densest known packings of 1 to 20 equal circles (proven for 1 to 14 and 19); closed
           forms of some of them; a component supplier's worked example of the rule 1.2 times the root of the sum of the
           squared diameters.
Read from  Stored copies of pages that quote the tables and the example.
Tolerance  Never below the optimum, but for the four figures that the tables print; at most 5 % above. The example is
           printed as 4.95 mm, its own rule gives 4.914 mm: the supplier rounded inside; 1 %.
"""

from __future__ import annotations

import math

import pytest

from conversion.loom.packing import pack_circles

OPTIMA = {
    1: 1.0, 2: 2.0, 3: 2.1547, 4: 2.4142, 5: 2.7013, 6: 3.0, 7: 3.0, 8: 3.3048, 9: 3.6131, 10: 3.813, 11: 3.9238,
    12: 4.029, 13: 4.2361, 14: 4.328, 15: 4.5214, 16: 4.615, 17: 4.792, 18: 4.8637, 19: 4.8637, 20: 5.122,
}  # fmt: skip
CLOSED_FORMS = {
    3: 1 + 2 / math.sqrt(3), 4: 1 + math.sqrt(2), 7: 3.0, 8: 1 + 1 / math.sin(math.pi / 7),
    9: 1 + math.sqrt(2 * (2 + math.sqrt(2))), 13: 2 + math.sqrt(5),
}  # fmt: skip


@pytest.mark.parametrize("count", OPTIMA)
def test_equal_wires_against_the_densest_packings(count: int) -> None:
    ratio = pack_circles([1.6] * count).diameter_mm / 1.6
    assert OPTIMA[count] - 5e-5 <= ratio <= 1.05 * OPTIMA[count]


@pytest.mark.parametrize("count", CLOSED_FORMS)
def test_the_closed_forms_are_met(count: int) -> None:
    assert pack_circles([1.0] * count).diameter_mm == pytest.approx(CLOSED_FORMS[count], rel=1e-9)


def test_the_rule_of_thumb_falls_below_what_is_possible() -> None:
    """So it is no lower bound, and no bundle is taken from it where it is too small."""
    too_small = {count for count, optimum in OPTIMA.items() if 1.2 * math.sqrt(count) < optimum - 5e-5}
    assert too_small == {2, 3, 4, 5, 6, 9, 10}


def test_a_suppliers_example_of_mixed_wires() -> None:
    wires = [1.19] * 3 + [1.40] * 5 + [1.65]
    rule_mm = 1.2 * math.sqrt(sum(diameter**2 for diameter in wires))
    assert rule_mm == pytest.approx(4.95, rel=0.01)
    assert pack_circles(wires).diameter_mm == pytest.approx(rule_mm, rel=0.05)
