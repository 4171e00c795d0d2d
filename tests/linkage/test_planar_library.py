"""Planar four-bars against a general library for planar linkages, which steps a crank and intersects circles."""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import solve
from tests.linkage.cases import four_bar

planar = pytest.importorskip("pylinkage", reason="pylinkage, a library for planar linkages, is for the tests alone")

STEPS = 60


@pytest.mark.parametrize("side", [1.0, -1.0])
@pytest.mark.parametrize(
    ("crank", "rod", "lever", "ground", "start_deg"),
    [(40, 120, 80, 100, 40), (40, 120, 80, 100, 200), (60, 190, 50, 200, 80), (20, 70, 90, 60, 30)],
)
def test_lever_angles_agree(
    crank: float, rod: float, lever: float, ground: float, start_deg: float, side: float
) -> None:
    start, step = np.radians(start_deg), np.radians(0.5)
    linkage = four_bar(crank, rod, lever, ground, start, side * np.radians(100))
    travel = step * np.arange(STEPS + 1)
    motion = solve(linkage, travel)
    assert motion.exists.all()

    pedal_pivot, module_pivot = planar.Ground(0.0, 0.0), planar.Ground(ground, 0.0)
    driver = planar.Crank(pedal_pivot, crank, angular_velocity=step, initial_angle=start)
    near = motion.lever_pin_mm[0]
    # A place a few millimetres off, so that the library finds the pin itself and only the side is given.
    joint = planar.RRRDyad(driver.output, module_pivot, rod, lever, x=near[0] + 2.0, y=near[1] - 1.0)
    whole = planar.Linkage([pedal_pivot, module_pivot, driver, joint], order=[pedal_pivot, module_pivot, driver, joint])
    places = np.array([positions[3] for positions in whole.step(iterations=STEPS)])
    np.testing.assert_allclose(places, motion.lever_pin_mm[1:, :2], atol=1e-8)
