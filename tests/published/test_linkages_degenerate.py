"""Published cases that a linkage becomes when an arm is made very long, and belts over pulleys for the quadrant.

Slider-crank  R. L. Norton, Design of Machinery, example 4-2: crank 40, rod 120, offset −20, crank at 60°: slider at
              126.84, rod at 152.91°; crossed −86.84. Inputs were seen in print; the results were computed apart from
              this program and agree with memory of the book. A rod on a lever of 1 km is that slider but for some
              hundredths of a millimetre.
Tangent cam   Straight flank at r₁ from the cam's axis, roller r₂ on a straight path through it: lift
              (r₁ + r₂)(1 − cos θ)/cos θ. Read in a stored question bank of mechanical engineering; any textbook on
              the theory of machines. A roller on a lever of 1 km runs straight but for some thousandths.
Open belt     Pulleys of 1.6 m and 0.5 m, 12 m apart: belt of 27.32 m. Read in a stored exercise with its answer.
              Shrinking both pulleys by the smaller radius turns the belt into a cable from a point to a quadrant.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import CableLinkage, ContactLinkage, RodLinkage, solve
from conversion.linkage.quadrant import Quadrant

VERY_LONG = 1e6


@pytest.mark.parametrize(("measured_mm", "slider_mm", "rod_deg"), [(130.0, 126.84, 152.91), (-90.0, -86.84, 27.09)])
def test_slider_crank(measured_mm: float, slider_mm: float, rod_deg: float) -> None:
    crank = 40 * np.array([np.cos(np.radians(60.0)), np.sin(np.radians(60.0)), 0.0])
    slider = RodLinkage(
        [0, 0, 0], [0, 0, 1], crank, [measured_mm, VERY_LONG - 20, 0], [0, 0, 1], [measured_mm, -20, 0], 1, 1, 120.0
    )
    motion = solve(slider, [0.0])
    assert motion.lever_pin_mm[0, 0] == pytest.approx(slider_mm, abs=0.006)
    rod = motion.pedal_pin_mm[0] - motion.lever_pin_mm[0]
    assert np.degrees(np.arctan2(rod[1], rod[0])) == pytest.approx(rod_deg, abs=0.006)


@pytest.mark.parametrize("turned_deg", [0.0, 5.0, 15.0, 25.0])
def test_tangent_cam(turned_deg: float) -> None:
    r1, r2 = 25.0, 10.0
    cam = ContactLinkage(
        pedal_pivot=[0, 0, 0],
        pedal_axis=[0, 0, 1],
        pedal_sense=1,
        module_pivot=[VERY_LONG, r1 + r2, 0],
        module_axis=[0, 0, -1],
        lever_sense=1,
        roller_centre=[0, r1 + r2, 0],
        face_point=[0, r1, 0],
        face_normal=[0, 1, 0],
        roller_radius_mm=r2,
        roller_on="lever",
    )
    angle = np.radians(turned_deg)
    lift = VERY_LONG * solve(cam, [angle]).lever_angle_rad[0]
    assert lift == pytest.approx((r1 + r2) * (1 - np.cos(angle)) / np.cos(angle), abs=0.001)


def test_open_belt() -> None:
    large, small, apart = 0.8, 0.25, 12.0
    cable = CableLinkage(
        [-20, 0, 0], [0, 0, 1], [-20, 1, 0], [-21, 1, 0], [apart, 0, 0], [0, 0, 0], [0, 0, 1], [0, -1, 0], [0, 0, 0],
        1, 1, large - small,
    )  # fmt: skip
    lay = Quadrant.of(cable).lay(np.zeros(1))
    straight = lay.run_mm[0] - (large - small) * lay.wrap_rad[0]
    leaves = abs(lay.leaves_rad[0])
    belt = 2 * straight + large * (2 * np.pi - 2 * leaves) + small * 2 * leaves
    assert belt == pytest.approx(27.32, abs=0.005)
