"""Bends of sheet metal and the corner infill at published figures.

Source     1. FAA-H-8083-31, Aviation Maintenance Technician Handbook – Airframe, volume 1, chapter 4, bending a
           U-channel: 0.040 in sheet, bends of 0.16 in, 1 by 2 by 1 in: set-back 0.2 in, flats 0.8, 1.6, 0.8 in.
           2. US Navy aviation training course, bend allowance: (0.0173 R + 0.0078 T) times degrees, inches.
           3. A workshop page on bend allowance: 90°, 0.125 in thick, 0.125 in radius, K 0.44: 0.2827 in.
           4. Corner infill: common practice, no source.
Read from  1 to 3: stored copies of pages that quote them. The developed width of 3.76 in of 1 is from memory.
Tolerance  1: exact; 0.01 in on the developed width, which is printed with two decimals. 2: 1 %, since 0.0173 is
           rounded. 3: 0.0001 in, as printed. 4: 0.05 mm, as printed.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.fit import Measured, Sheet, bend_allowance_mm, bend_deduction_mm, corner_infill

INCH_MM = 25.4


def test_set_back_flats_and_developed_width_of_a_channel() -> None:
    sheet = Sheet(0.040 * INCH_MM, 0.16 * INCH_MM, 0.5)
    allowance = bend_allowance_mm(sheet)
    set_back = (bend_deduction_mm(sheet) + allowance) / 2
    assert set_back / INCH_MM == pytest.approx(0.2)
    assert [1 - set_back / INCH_MM, 2 - 2 * set_back / INCH_MM] == pytest.approx([0.8, 1.6])
    width = 1 + 2 + 1 - 2 * bend_deduction_mm(sheet) / INCH_MM
    assert width == pytest.approx(3.76, abs=0.01)


@pytest.mark.parametrize("angle_deg", [1, 45, 90, 120, 180])
@pytest.mark.parametrize(("radius_in", "thickness_in"), [(0.125, 0.04), (0.16, 0.04), (0.25, 0.063)])
def test_bend_allowance_by_degrees(angle_deg: int, radius_in: float, thickness_in: float) -> None:
    # Its two factors say where the layer lies that keeps its length.
    sheet = Sheet(thickness_in, radius_in, 0.0078 / (np.pi / 180))
    wanted = (0.0173 * radius_in + 0.0078 * thickness_in) * angle_deg
    assert bend_allowance_mm(sheet, np.radians(angle_deg)) == pytest.approx(wanted, rel=0.01)


def test_bend_allowance_of_an_eighth_of_an_inch() -> None:
    assert bend_allowance_mm(Sheet(0.125, 0.125, 0.44)) == pytest.approx(0.2827, abs=1e-4)


def test_corner_infill() -> None:
    along, over = (corner_infill(64, 25, measured) for measured in Measured)
    assert [along.inside_mm, along.outside_mm, over.inside_mm, over.outside_mm] == pytest.approx(
        [90.5, 125.9, 90.5, 140.5], abs=0.05
    )
