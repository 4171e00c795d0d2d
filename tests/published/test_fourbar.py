"""Planar four-bars with known angles, both ways of putting them together.

Source     Row 1: R. L. Norton, Design of Machinery, example 4-1; its velocity ratio, example 6-7. Row 3: the
           same, table P4-1, row a.
Read from  Memory: 57.33°, −98.01°, 20.30°, −60.98°, and 6.998 rad/s for 25 rad/s. All figures below were
computed
           apart from this program, by intersecting circles; the inputs of row 2 were seen in print. Rows 4
           and 5 are plain geometry.
Tolerance  0.0006°: the figures have three decimals. 0.0001 on the ratio, which has four, 0.006° on the
transmission
           angle, which has two.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import RodSolution, solve
from tests.linkage.cases import four_bar

# crank, rod, lever, ground; crank angle; rod and lever angle open; rod and lever angle crossed. [mm, °]
ROWS = {
    1: ((40, 120, 80, 100), 40.0, (20.298, 57.325), (-60.978, -98.005)),
    2: ((40, 120, 80, 100), 30.0, (22.409, 55.268), (-56.437, -89.296)),
    3: ((2, 7, 9, 6), 30.0, (88.837, 117.286), (-115.211, -143.660)),
    4: ((3, 4, 3, 4), 90.0, (0.0, 90.0), (-73.740, -163.740)),
    5: ((3, 2.5, 2.5, 4), 90.0, (-36.870, 143.130), (-36.870, 143.130)),
}


def at_rest(row: int, lever_deg: float) -> tuple[RodSolution, float, float]:
    """Motion at rest from a lever measured near an angle; rod and lever angle from the ground link. [°]"""
    lengths, crank_deg, _, _ = ROWS[row]
    measured = np.radians(lever_deg + 1.0)
    motion = solve(four_bar(*lengths, np.radians(crank_deg), measured), [0.0])
    rod = motion.lever_pin_mm[0] - motion.pedal_pin_mm[0]
    return (
        motion,
        float(np.degrees(np.arctan2(rod[1], rod[0]))),
        float(np.degrees(motion.lever_angle_rad[0] + measured)),
    )


@pytest.mark.parametrize("way", [2, 3], ids=["open", "crossed"])
@pytest.mark.parametrize("row", ROWS)
def test_angles_of_rod_and_lever(row: int, way: int) -> None:
    rod_deg, lever_deg = ROWS[row][way]
    motion, rod, lever = at_rest(row, lever_deg)
    # At a dead centre an angle follows the root of the rounding.
    assert rod == pytest.approx(rod_deg, abs=0.0006)
    assert lever == pytest.approx(lever_deg, abs=0.0006)
    other_deg = ROWS[row][5 - way][1]
    other = np.degrees(motion.other_branch_rad[0]) + lever_deg + 1.0
    assert (other - other_deg + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=0.0006)


def test_velocity_ratio() -> None:
    motion, _, _ = at_rest(1, 57.325)
    assert motion.ratio[0] == pytest.approx(0.2799, abs=0.0001)
    assert 25.0 * motion.ratio[0] == pytest.approx(6.998, abs=0.001)


def test_transmission_angle() -> None:
    motion, _, _ = at_rest(1, 57.325)
    assert np.degrees(motion.transmission_lever_rad[0]) == pytest.approx(37.03, abs=0.006)


@pytest.mark.parametrize(("crank_deg", "transmission_deg"), [(0.0, 26.38), (180.0, 86.42)])
def test_extremes_of_the_transmission_angle(crank_deg: float, transmission_deg: float) -> None:
    motion = solve(four_bar(40, 120, 80, 100, np.radians(40.0), np.radians(57.0)), [np.radians(crank_deg - 40.0)])
    assert np.degrees(motion.transmission_lever_rad[0]) == pytest.approx(transmission_deg, abs=0.006)


def test_dead_centre_of_row_5_is_seen_as_one() -> None:
    motion, _, _ = at_rest(5, 143.130)
    assert motion.exists[0]
    assert motion.lock_measure[0] == pytest.approx(0.0, abs=1e-6)
