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
from conversion.linkage.turning import Array, across, cross, dot, length, wrapped

STEPS, SMALL_STEP_RAD = 60, 1e-7
# The arm's growth is taken over this. [rad]
GUESS_OVER_RAD = 0.3
# Positions that are computed together: few enough for what lies between to stay in the cache of one core.
BLOCK = 12288


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
        second = cross(axis, first)
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
        with np.errstate(divide="ignore", invalid="ignore"):
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

        Newton's method, kept inside the bracket from the rest stop to the dead centre, in which its length only
        falls; a step that would leave it halves it instead. Below zero straight on from the rest stop; nan beyond
        the dead centre.
        """
        start, top = self.lay(np.zeros_like(self.outer_mm)), self.dead_centre_rad
        with np.errstate(invalid="ignore"):
            works = self.clear & (start.arm_mm > 0.0)
        figures = (
            self.outer_mm,
            self.radius_mm,
            self.off_mm,
            self.off_rad,
            self.nipple_rad,
            np.where(works, start.run_mm, np.nan),
            np.where(works, start.arm_mm, 1.0),
            np.where(works, self.most_mm, -np.inf),
            top,
            # How much the arm grows with the lever angle, for a first guess.
            np.where(works, (self.lay(GUESS_OVER_RAD * np.ones_like(top)).arm_mm - start.arm_mm) / GUESS_OVER_RAD, 0.0),
        )
        many = np.broadcast_shapes(drawn_mm.shape[:-1], *(figure.shape[:-1] for figure in figures))
        rows = [np.broadcast_to(figure, (*many, 1)).reshape(-1, 1) for figure in figures]
        drawn = np.broadcast_to(drawn_mm, (*many, drawn_mm.shape[-1])).reshape(-1, drawn_mm.shape[-1])
        lever = np.empty(drawn.shape)
        step = max(1, BLOCK // max(1, drawn.shape[-1]))
        for first in range(0, len(drawn), step):
            at = slice(first, first + step)
            lever[at] = _lever_of(drawn[at], *(row[at] for row in rows))
        return lever.reshape(*many, drawn_mm.shape[-1])


def _lever_of(
    drawn: Array,
    outer: Array,
    radius: Array,
    off: Array,
    off_rad: Array,
    nipple_rad: Array,
    run: Array,
    arm: Array,
    most: Array,
    top: Array,
    growth: Array,
) -> Array:
    """Some rows of :meth:`Quadrant.lever_at`: drawn inner (rows, positions), figures of each row (rows, 1)."""
    possible = drawn <= most
    slack = drawn / arm
    wanted = np.where(possible, np.maximum(drawn, 0.0), 0.0)
    low, high = np.zeros(drawn.shape), np.broadcast_to(top, drawn.shape)
    root = np.sqrt(np.maximum(arm * arm + 2.0 * growth * wanted, 0.0))
    lever = np.minimum(2.0 * wanted / (arm + root), 0.999 * high)
    for _ in range(STEPS):
        over, slope = _run_and_arm(lever, outer, radius, off, off_rad, nipple_rad)
        np.subtract(run - wanted, over, out=over)
        past = over > 0.0
        high, low = np.where(past, lever, high), np.where(past, low, lever)
        with np.errstate(divide="ignore", invalid="ignore"):
            change = over / slope
        stepped = lever - change
        halved = possible & ~((stepped >= low) & (stepped <= high))
        any_halved = bool(np.any(halved))
        if any_halved:
            stepped = np.where(halved, (low + high) / 2, stepped)
        lever = stepped
        # Each step squares what is left, so that after a small one nothing is.
        if not any_halved and np.max(np.abs(change), where=possible, initial=0.0) < SMALL_STEP_RAD:
            break
    return np.where(possible, np.where(drawn > 0.0, lever, slack), np.nan)


def _run_and_arm(
    lever: Array, outer: Array, radius: Array, off: Array, off_rad: Array, nipple_rad: Array
) -> tuple[Array, Array]:
    """Length and arm of :class:`Lay` alone, in as few operations as they take."""
    apart_x = outer - off * np.cos(off_rad + lever)
    apart_y = -off * np.sin(off_rad + lever)
    apart = apart_x * apart_x + apart_y * apart_y
    with np.errstate(invalid="ignore"):
        line = np.sqrt(apart - radius * radius)
    wrap = np.arctan2(apart_y, apart_x) - np.arctan2(line, radius) - nipple_rad - lever
    wrap -= 2 * np.pi * np.floor((wrap + np.pi / 2) / (2 * np.pi))
    leaves_y = radius * (apart_y * radius - apart_x * line) / apart - apart_y
    if np.any(wrap < 0.0):
        bare = wrap < 0.0
        nipple = nipple_rad + lever
        nipple_x, nipple_y = outer - apart_x + radius * np.cos(nipple), radius * np.sin(nipple) - apart_y
        line = np.where(bare, np.hypot(outer - nipple_x, nipple_y), line)
        leaves_y = np.where(bare, nipple_y, leaves_y)
        wrap = np.maximum(wrap, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        return line + radius * wrap, -leaves_y * outer / line


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
