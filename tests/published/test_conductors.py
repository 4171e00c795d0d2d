"""Resistance of conductors.

Source     IEC 60228, table 3, class 5, plain copper, and its annex with temperature factors; FAA AC 43.13-1B change 1,
           table 11-9, tin-plated conductors at 20 °C.
Read from  IEC 60228: pages of cable makers that quote it, 16 and 25 mm² from memory. FAA: a stored copy of the page.
Tolerance  Table 3 is the computation's own table: exact, read again here from the source. The temperature factors are
           printed with three figures and rest on 0.004 per kelvin, where IEC 60028 has 0.00393: 0.5 %. The FAA's
           conductors are of another class, tinned, and the gauge is the area of a solid wire, of which theirs have a
           little more or less: a sixth to either side.
"""

from __future__ import annotations

import pytest

from conversion.loom.conductors import conductor_ohm
from conversion.quantities import awg_area_mm2

IEC_60228_OHM_PER_KM = {0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21,
                        25: 0.780}  # fmt: skip
KT = {40.0: 0.926, 60.0: 0.862, 80.0: 0.806, 100.0: 0.758}
FAA_OHM_PER_1000_FT = {24: 28.40, 22: 16.20, 20: 9.88, 18: 6.23, 16: 4.81, 14: 3.06, 12: 2.02, 10: 1.26}
FOOT_MM = 304.8


@pytest.mark.parametrize("area_mm2", IEC_60228_OHM_PER_KM)
def test_class_5_at_20_degrees(area_mm2: float) -> None:
    assert conductor_ohm(area_mm2, 1e6) == pytest.approx(IEC_60228_OHM_PER_KM[area_mm2], rel=1e-9)


@pytest.mark.parametrize("degc", KT)
def test_warm_conductors(degc: float) -> None:
    assert conductor_ohm(1.0, 1e6, 20.0) / conductor_ohm(1.0, 1e6, degc) == pytest.approx(KT[degc], rel=0.005)


@pytest.mark.parametrize("gauge", FAA_OHM_PER_1000_FT)
def test_american_gauges(gauge: int) -> None:
    theirs = FAA_OHM_PER_1000_FT[gauge]
    ours = conductor_ohm(awg_area_mm2(gauge), 1000 * FOOT_MM)
    assert ours == pytest.approx(theirs, rel=1 / 6)
