"""Lever angles against a root finder that knows nothing of the closed form.

The pins are turned by scipy's rotations, and |A − B| − L is scanned over the whole circle of the lever for
changes of sign, each refined by Brent's method. Every root must be one of the two branches and each branch a
root.
"""

from __future__ import annotations

from functools import partial
from itertools import pairwise

import numpy as np
import pytest

from conversion.linkage import RodLinkage, solve
from tests.linkage.cases import picked, random_linkages

optimize = pytest.importorskip("scipy.optimize", reason="scipy is for the tests alone")
Rotation = pytest.importorskip("scipy.spatial.transform").Rotation

LINKAGES = random_linkages(200, seed=20)
PEDAL_RAD = 0.25


def gap_mm(linkage: RodLinkage, pedal_rad: float, lever_rad: float) -> float:
    """How much farther apart the pins are than the rod is long."""
    press = Rotation.from_rotvec(linkage.pedal_axis * float(linkage.pedal_sense) * pedal_rad)
    opened = Rotation.from_rotvec(linkage.module_axis * float(linkage.lever_sense) * lever_rad)
    pedal_pin = linkage.pedal_pivot + press.apply(linkage.pedal_pin_at_rest - linkage.pedal_pivot)
    lever_pin = linkage.module_pivot + opened.apply(linkage.lever_pin_at_rest_stop - linkage.module_pivot)
    return float(np.linalg.norm(pedal_pin - lever_pin) - linkage.rod_length_mm)


def roots(linkage: RodLinkage) -> list[float]:
    grid = np.linspace(-np.pi, np.pi, 61)
    gaps = [gap_mm(linkage, PEDAL_RAD, angle) for angle in grid]
    return [
        optimize.brentq(partial(gap_mm, linkage, PEDAL_RAD), low, high, xtol=1e-12)
        for (low, left), (high, right) in pairwise(zip(grid, gaps, strict=True))
        if left * right < 0
    ]


def test_both_branches_of_200_linkages_are_the_roots() -> None:
    compared = 0
    for sample in range(200):
        linkage = picked(LINKAGES, sample)
        motion = solve(linkage, [PEDAL_RAD])
        found = roots(linkage)
        if not found:
            # Two roots nearer than the grid are a dead centre, nearly; the scan cannot tell them from none.
            assert not motion.exists[0] or motion.reach[0] < 0.02
            continue
        branches = np.array([motion.lever_angle_rad[0], motion.other_branch_rad[0]])
        assert len(found) == 2
        wrapped = np.sort((branches + np.pi) % (2 * np.pi) - np.pi)
        np.testing.assert_allclose(wrapped, np.sort(found), atol=1e-8)
        compared += 1
    assert compared > 120


def test_the_branch_is_the_one_that_is_followed_from_rest() -> None:
    """Small steps of Newton's method from the lever angle at rest stay on the branch that the solver follows."""
    followed = 0
    for sample in range(0, 200, 10):
        linkage = picked(LINKAGES, sample)
        path = solve(linkage, np.linspace(0.0, PEDAL_RAD, 26))
        if not path.exists.all() or path.reach.min() < 0.05:
            continue
        lever = float(path.lever_angle_rad[0])
        for pedal in path.pedal_angle_rad:
            lever = optimize.newton(partial(gap_mm, linkage, pedal), lever, tol=1e-11)
        assert lever == pytest.approx(path.lever_angle_rad[-1], abs=1e-7)
        followed += 1
    assert followed >= 8
