"""A spatial four-bar, two revolute and two spherical joints, against a published multibody simulation of it.

Source     G. Cremasco Coelho, Exact solutions for the spatial four-bar with dynamic friction, Mechanism and Machine
           Theory, 2025, article 106163: its mechanism, and the results of the multibody simulation that the paper
           compares itself with, both as printed in the author's program that accompanies it.
Read from  A stored copy of that program: lengths, directions and every simulated value below.
Tolerance  Half a unit of the last printed figure (three figures), and one unit where the input angle in whole degrees
           was itself rounded.
"""

from __future__ import annotations

import numpy as np
import pytest

from conversion.linkage import RodLinkage, find_events, solve

ARM_A, ROD, ARM_C, GROUND = 201.6318, 350.0, 201.6318, 403.1627
LEAN = np.radians(7.294)
AXIS_A = np.array([0.009243, -0.951003, 0.309043]) / np.linalg.norm([0.009243, -0.951003, 0.309043])
AXIS_C = np.array([1.0, 0.0, 0.0])
PIVOT_C = GROUND * np.array([0.524328, 0.835662, -0.163552])
PIN_A = ARM_A * np.array([-0.379646, 0.400777, 0.833815])
# Input angle in degrees, output angle, its change for each of the input's, force in the rod for each unit of moment.
SIMULATED = {
    0: (1.71, 1.16, 6.77e-3),
    -5: (1.61, 1.02, 7.05e-3),
    -10: (1.53, 0.893, 7.47e-3),
    -15: (1.46, 0.783, 8.04e-3),
    -20: (1.39, 0.683, 8.81e-3),
    -25: (1.34, 0.590, 9.84e-3),
    -30: (1.29, 0.502, 1.13e-2),
    -35: (1.25, 0.417, 1.33e-2),
    -40: (1.22, 0.335, 1.63e-2),
}


def pin_c(angle: float) -> np.ndarray:
    return PIVOT_C + ARM_C * np.array([-np.sin(LEAN), np.cos(LEAN) * np.cos(angle), np.cos(LEAN) * np.sin(angle)])


LINKAGE = RodLinkage(
    pedal_pivot=np.zeros(3),
    pedal_axis=AXIS_A,
    pedal_pin_at_rest=PIN_A,
    module_pivot=PIVOT_C,
    module_axis=AXIS_C,
    # Output angles count from where the printed one would be zero; the pin is measured where it is at the start.
    lever_pin_at_rest_stop=pin_c(1.71),
    lever_sense=-1,
    pedal_sense=-1,
    rod_length_mm=ROD,
)


@pytest.mark.parametrize("input_deg", SIMULATED)
def test_output_angle_ratio_and_rod_force(input_deg: int) -> None:
    motion = solve(LINKAGE, np.radians([-input_deg]))
    output, ratio, force = SIMULATED[input_deg]
    assert 1.71 - motion.lever_angle_rad[0] == pytest.approx(output, abs=0.0055)
    assert motion.ratio[0] == pytest.approx(ratio, abs=0.0055 if ratio > 1.0 else 0.001)
    assert 1.0 / abs(motion.pedal_arm_mm[0]) == pytest.approx(force, rel=0.005)


def test_the_output_turns_back_where_the_simulated_moment_changes_sign() -> None:
    """The simulated moment is 0.0103 at 60° and −0.0062 at 61°: zero at 60.62° by a straight line."""
    reversal = next(event for event in find_events(LINKAGE, np.radians(100.0)) if event.kind == "reversal")
    assert np.degrees(reversal.pedal_angle_rad) == pytest.approx(60.0 + 0.0103 / 0.0165, abs=0.02)
