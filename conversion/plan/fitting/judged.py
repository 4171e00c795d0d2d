"""What the fit comes to: clearances, the gap under the pad, the brake pedal beside it, each with what is wanted."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.fit import Clearance
from conversion.plan.fitting.obstacles import Standing

TOUCHING_MM = 0.05
"""What stands still may be fastened to each other; less than this deep in one another counts as touching."""
PAD_GAP_MM = 15.0
"""Left between the pad and what lies under it at the full stop. Common practice, no source."""
SIDE_GAP_MM = (40.0, 90.0)
"""Between the accelerator's pad and the brake's, where the description asks for nothing else: less and a boot presses
both, more and the foot has to look for the brake. Common practice, no source."""


@dataclass(frozen=True)
class FitClearance:
    """How close a body comes to an obstacle, and how that is judged.

    Attributes:
        clearance: The geometry: names, distance, pad position, closest points, and what is wanted and why.
        obstacle: The described obstacle.
        in_recess: True if the distance is that to the planned recess instead of the bulkhead.
        still: True if neither of the two moves.
    """

    clearance: Clearance
    obstacle: Standing
    in_recess: bool
    still: bool

    @property
    def least_mm(self) -> float:
        """Distance less what the obstacle's points are uncertain by. [mm]"""
        return self.clearance.distance_mm - self.obstacle.uncertain_mm

    @property
    def to_spare_mm(self) -> float:
        """Beyond what is wanted, the obstacle standing as near as its points allow; negative where it lacks. [mm]"""
        return self.least_mm - self.clearance.wanted.clearance_mm

    @property
    def touches(self) -> bool:
        """Whether the two touch, as described."""
        return self.clearance.distance_mm <= (-TOUCHING_MM if self.still else 0.0)

    @property
    def enough(self) -> bool:
        """Whether the wanted clearance is there even if the obstacle stands as near as its points allow."""
        if self.still and self.clearance.wanted.clearance_mm == 0.0:
            return not self.touches
        return self.least_mm >= self.clearance.wanted.clearance_mm


@dataclass(frozen=True)
class PadGap:
    """Between the pad and what is under it, with the pedal at its full stop.

    Attributes:
        obstacle: The nearest of floor, mat and carpet.
        gap_mm: Distance there. [mm]
    """

    obstacle: Standing
    gap_mm: float

    @property
    def least_mm(self) -> float:
        """The same less what the obstacle's points are uncertain by. [mm]"""
        return self.gap_mm - self.obstacle.uncertain_mm

    @property
    def enough(self) -> bool:
        """Whether a second mat or a stone finds room."""
        return self.least_mm >= PAD_GAP_MM


@dataclass(frozen=True)
class BrakeBeside:
    """How the brake pedal stands beside the accelerator, both at rest.

    Attributes:
        obstacle: The brake pedal.
        side_gap_mm: Sideways between the two pads. [mm]
        step_mm: How far the brake's face stands nearer to the driver; None if its pad is not described. [mm]
        wanted_mm: Least and greatest side gap that is wanted. [mm]
    """

    obstacle: Standing
    side_gap_mm: float
    step_mm: float | None
    wanted_mm: tuple[float, float]

    @property
    def gap_enough(self) -> bool:
        """Whether the side gap is neither too small nor too large."""
        return self.wanted_mm[0] <= self.side_gap_mm <= self.wanted_mm[1]
