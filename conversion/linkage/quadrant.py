r"""How the cable lies on a quadrant, looked at along the lever's axis.

The frame has the axis at its origin and the end of the outer, E, on the first coordinate; the lever turns
positively toward full. The groove is a circle of radius r about C, with C at a distance c < r from the axis. The
inner runs straight from E to where it touches the groove, and along the groove to the nipple N; once the groove
is used up it runs straight from E to N. Its length l falls as the lever opens, by its arm h about the axis:

.. math:: \frac{dl}{d\varphi} = -h, \qquad h \ge r - c > 0

while it lies in the groove, and h > 0 until N points at E, the dead centre. So the lever angle for a length is
the one root in a bracket that is known beforehand.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.linkage.cable import CableLinkage
from conversion.linkage.turning import Array, across, dot, length, wrapped

STEPS, DONE_RAD = 60, 1e-13


@dataclass(frozen=True)
class Quadrant:
    """A quadrant in its frame; every array (..., 1), ready to meet positions.

    Attributes:
        outer_mm: Distance of the outer's end from the lever's axis. [mm]
        radius_mm: Of the groove. [mm]
        off_mm: Distance of its centre from the axis. [mm]
        off_rad: Direction of the centre, the lever on its rest stop. [rad]
        nipple_rad: Direction from the centre to the nipple, likewise. [rad]
        first: Unit vector from the axis toward the outer's end, (..., 3).
        second: Unit vector that completes the frame, (..., 3).
    """

    outer_mm: Array
    radius_mm: Array
    off_mm: Array
    off_rad: Array
    nipple_rad: Array
    first: Array
    second: Array

    @classmethod
    def of(cls, linkage: CableLinkage) -> Quadrant:
        """The quadrant of a linkage."""
        axis = linkage.opening_axis
        toward = across(axis, linkage.module_outer_end - linkage.module_pivot)
        distance = length(toward)
        with np.errstate(divide="ignore", invalid="ignore"):
            first = toward / distance[..., None]
        second = np.cross(axis, first)
        off = linkage.groove_centre_at_rest_stop - linkage.module_pivot
        nipple = linkage.nipple_at_rest_stop - linkage.groove_centre_at_rest_stop

        def direction(vector: Array) -> Array:
            return np.arctan2(dot(vector, second), dot(vector, first))[..., None]

        return cls(
            distance[..., None],
            linkage.groove_radius_mm[..., None],
            linkage.eccentricity_mm[..., None],
            direction(off),
            direction(nipple),
            first,
            second,
        )

    @property
    def clear(self) -> np.ndarray:
        """The outer's end lies outside the groove's circle, however the lever stands."""
        return self.outer_mm > self.radius_mm + self.off_mm

    def lay(self, lever_rad: Array) -> Lay:
        """The cable on the quadrant at lever angles, (..., positions)."""
        centre_x = self.off_mm * np.cos(self.off_rad + lever_rad)
        centre_y = self.off_mm * np.sin(self.off_rad + lever_rad)
        apart_x, apart_y = self.outer_mm - centre_x, -centre_y
        apart = apart_x * apart_x + apart_y * apart_y
        with np.errstate(invalid="ignore"):
            straight = np.sqrt(apart - self.radius_mm**2)
        leaves = np.arctan2(apart_y, apart_x) - np.arctan2(straight, self.radius_mm)
        nipple = self.nipple_rad + lever_rad
        # Between −90° and 270°: a groove that has been used up, or one wrapped three quarters round.
        wrap = wrapped(leaves - nipple - np.pi / 2) + np.pi / 2
        in_groove = wrap >= 0.0
        angle = np.where(in_groove, leaves, nipple)
        out_x, out_y = self.radius_mm * np.cos(angle), self.radius_mm * np.sin(angle)
        leaves_x, leaves_y = centre_x + out_x, centre_y + out_y
        line = np.where(in_groove, straight, np.hypot(self.outer_mm - leaves_x, leaves_y))
        # The pull at (x, y) points at (E, 0), so its arm is −y E / line.
        arm = -leaves_y * self.outer_mm / line
        run = line + self.radius_mm * np.maximum(wrap, 0.0)
        return Lay(run, arm, wrap, leaves_x, leaves_y, centre_x, centre_y, angle)

    @property
    def dead_centre_rad(self) -> Array:
        """Lever angle at which the nipple points at the outer's end, (..., 1). [rad]"""
        x = self.off_mm * np.cos(self.off_rad) + self.radius_mm * np.cos(self.nipple_rad)
        y = self.off_mm * np.sin(self.off_rad) + self.radius_mm * np.sin(self.nipple_rad)
        return np.mod(-np.arctan2(y, x), 2 * np.pi)

    @property
    def most_mm(self) -> Array:
        """Inner that can be drawn from the rest stop to the dead centre, (..., 1). [mm]"""
        return self.lay(np.zeros_like(self.outer_mm)).run_mm - self.lay(self.dead_centre_rad).run_mm

    def lever_at(self, drawn_mm: Array) -> Array:
        """Lever angle at which so much of the inner has been drawn since the rest stop, (..., positions).

        Newton's method, kept inside the bracket from the rest stop to the dead centre, in which its length only falls;
        a step that would leave it halves it instead. Below zero straight on from the rest stop; nan beyond the
        dead centre.
        """
        start, top = self.lay(np.zeros_like(self.outer_mm)), self.dead_centre_rad
        shape = np.broadcast_shapes(drawn_mm.shape, self.outer_mm.shape)
        drawn = np.broadcast_to(drawn_mm, shape)
        with np.errstate(invalid="ignore"):
            possible = (drawn <= self.most_mm) & self.clear & (start.arm_mm > 0.0)
        arm_at_rest = np.where(start.arm_mm > 0.0, start.arm_mm, 1.0)
        wanted = np.where(possible & (drawn > 0.0), drawn, 0.0)
        low, high = np.zeros(shape), np.broadcast_to(top, shape).copy()
        lever = np.minimum(wanted / arm_at_rest, 0.999 * high)
        for _ in range(STEPS):
            lay = self.lay(lever)
            over = start.run_mm - lay.run_mm - wanted
            high, low = np.where(over > 0.0, lever, high), np.where(over > 0.0, low, lever)
            with np.errstate(divide="ignore", invalid="ignore"):
                stepped = lever - over / lay.arm_mm
            # At the bracket's own end a step of nothing is right.
            inside = (stepped >= low) & (stepped <= high)
            stepped = np.where(inside, stepped, (low + high) / 2)
            change = np.max(np.abs(stepped - lever), where=possible, initial=0.0)
            lever = stepped
            if change < DONE_RAD:
                break
        slack = drawn / arm_at_rest
        return np.where(possible, np.where(drawn > 0.0, lever, slack), np.nan)


@dataclass(frozen=True)
class Lay:
    """The cable on a quadrant at each lever angle, (..., positions) each, in the quadrant's frame.

    Attributes:
        run_mm: Length of the inner from the outer's end to the nipple. [mm]
        arm_mm: Of its pull about the lever's axis. [mm]
        wrap_rad: Angle over which it lies in the groove; negative once the groove is used up. [rad]
        leaves_x_mm: Where it leaves the groove, or the nipple. [mm]
        leaves_y_mm: The same, second coordinate. [mm]
        centre_x_mm: Centre of the groove. [mm]
        centre_y_mm: The same, second coordinate. [mm]
        leaves_rad: Direction from the groove's centre to where it leaves. [rad]
    """

    run_mm: Array
    arm_mm: Array
    wrap_rad: Array
    leaves_x_mm: Array
    leaves_y_mm: Array
    centre_x_mm: Array
    centre_y_mm: Array
    leaves_rad: Array
