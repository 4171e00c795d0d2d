"""Drop, heat and bundles of wires.

Source     FAA AC 43.13-1B change 1, chapter 11: tables 11-3, 11-7, 11-8 and 11-9, paragraph 11-66 with its examples.
Read from  stored copies of the pages. The conditions of table 11-3 (15 wires and more, 57 °C) and the outer diameter of
           the wire of example 2 are from memory.
Tolerance  Drops: 0.5 %, since the tables print three figures. Length at temperature: 0.1 %, since the paper's 234.5 is
           1/α with three figures. Free air: 5 %, a figure read off a curve. Others: stated with each test.
"""

from __future__ import annotations

import pytest

from conversion.loom.conductors import ALPHA_PER_K, conductor_ohm
from conversion.loom.drop import Copper, Loop, dropped, raised_for_drop
from conversion.loom.fuses import RATINGS_A
from conversion.loom.heat import balanced_current_a, bunched_factor, free_air_a
from conversion.loom.limits import Passage, greatest_rating_a

FOOT_M = 0.3048

# Length [ft], resistance [ohm/ft] and drop at 20 A [V].
TABLE_11_7 = [(107, 0.00044, 0.942), (90, 0.00028, 0.504), (100, 0.00306, 6.12)]
TABLE_11_8 = [(39, 0.00126, 0.98), (156, 0.00126, 3.93), (273, 0.00126, 6.88)]

# AWG -> current at 105, 150 and 200 °C [A], ohm per 1000 ft at 20 °C, and the area of its circular mils [mm²].
TABLE_11_9 = {
    24: (2.5, 4, 5, 28.40, 0.241), 22: (3, 5, 6, 16.20, 0.383), 20: (4, 7, 9, 9.88, 0.616),
    18: (6, 9, 12, 6.23, 0.963), 16: (7, 11, 14, 4.81, 1.229), 14: (10, 14, 18, 3.06, 1.941),
    12: (13, 19, 25, 2.02, 2.976), 10: (17, 26, 32, 1.26, 4.740), 8: (38, 57, 71, 0.70, 8.61),
    6: (50, 76, 97, 0.44, 13.59),
}  # fmt: skip

# AWG -> breaker and fuse [A].
TABLE_11_3 = {22: (5, 5), 20: (7.5, 5), 18: (10, 10), 16: (15, 10), 14: (20, 15), 12: (30, 20), 10: (40, 30),
              8: (50, 50), 6: (80, 70)}  # fmt: skip


def _drop_v(length_ft: float, ohm_per_ft: float, current_a: float = 20.0) -> float:
    copper = Copper(lambda tag, size: ohm_per_ft / FOOT_M, {"W1": length_ft * FOOT_M})
    return dropped(Loop("load", 1.0, {"W1": current_a}), {"W1": 1.0}, copper).drop_v


@pytest.mark.parametrize(("length_ft", "ohm_per_ft", "printed_v"), TABLE_11_7 + TABLE_11_8)
def test_drop(length_ft: float, ohm_per_ft: float, printed_v: float) -> None:
    assert _drop_v(length_ft, ohm_per_ft) == pytest.approx(printed_v, rel=0.005)


def test_rows_that_are_misprinted() -> None:
    """88 ft are printed as 3.60 V and 19.5 ft as 0.366 V; the products of the same rows are 3.555 and 0.491."""
    assert _drop_v(88, 0.00202) == pytest.approx(3.555, abs=0.001)
    assert _drop_v(19.5, 0.00126) == pytest.approx(0.491, abs=0.001)


@pytest.mark.parametrize("degc", [40.0, 60.0, 105.0, 150.0, 200.0])
def test_length_limit_at_temperature(degc: float) -> None:
    """L2 = 254.5 L1 / (234.5 + T2): a hot wire may be so much shorter for the same drop."""
    cold, hot = conductor_ohm(1.0, 1000.0), conductor_ohm(1.0, 1000.0, degc)
    assert cold / hot == pytest.approx(254.5 / (234.5 + degc), rel=0.001)
    assert pytest.approx(1.0 / 254.5, rel=0.001) == ALPHA_PER_K


def test_example_1() -> None:
    """50 ft out and back at 20 A and 28 V may lose 1 V: No. 10 is too thin, No. 8 will do."""
    by_gauge = {gauge: _drop_v(50, ohm / 1000.0) for gauge, (*_, ohm, _) in TABLE_11_9.items()}
    assert by_gauge[10] > 1.0 >= by_gauge[8]
    copper = Copper(lambda tag, size: conductor_ohm(size, 1000.0), {"W1": 50 * FOOT_M})
    raised = raised_for_drop([Loop("load", 1.0, {"W1": 20.0})], {"W1": 0.5}, copper)
    area = {gauge: row[-1] for gauge, row in TABLE_11_9.items()}
    assert area[10] < raised["W1"].size_mm2 <= 1.2 * area[8], "the metric size that follows lies where the gauge does"


def test_example_2_free_air() -> None:
    """No. 14 of 200 °C carries 47 A alone in air of 50 °C; eight such wires at 60 % of their load 0.6 of that."""
    ohm_per_m = TABLE_11_9[14][3] / 1000.0 / FOOT_M * (1.0 + ALPHA_PER_K * 180.0)
    assert balanced_current_a(ohm_per_m, 2.3, 200.0, 50.0) == pytest.approx(47.0, rel=0.05)
    assert 0.8 * 0.6 < bunched_factor(8) <= 0.6, "at full load they bear a little less"


@pytest.mark.parametrize("gauge", TABLE_11_9)
@pytest.mark.parametrize(("degc", "column"), [(105.0, 0), (150.0, 1), (200.0, 2)])
def test_currents_in_a_bundle(gauge: int, degc: float, column: int) -> None:
    """At 70 °C and 33 wires (from No. 8 on 9), of which a fifth of the load is used.

    With all of them loaded they bear less than that, by the same share over a range of forty to one in size and of
    four in rise: 0.70 to 0.90. The table is for 60 000 ft, where air cools less; at the ground it would have more.
    """
    row = TABLE_11_9[gauge]
    borne = free_air_a(row[4], degc, 70.0) * bunched_factor(33 if gauge > 8 else 9)
    assert 0.70 * row[column] < borne < 0.90 * row[column]


@pytest.mark.parametrize("gauge", TABLE_11_3)
def test_fuses_for_wires(gauge: int) -> None:
    """The greatest rating that a wire survives, by its heat, is that of the table: never above its breaker, and never
    more than one rating below its fuse."""
    breaker, fuse = TABLE_11_3[gauge]
    passage = Passage("run", "cabin", 57.0, 0.35, 15)
    ours = greatest_rating_a(TABLE_11_9[gauge][4], [passage], 105.0)
    rating = max(each for each in RATINGS_A if each <= ours)
    below = max(each for each in RATINGS_A if each < fuse)
    assert below <= rating <= breaker
