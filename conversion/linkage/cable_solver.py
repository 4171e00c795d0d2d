"""The solver of a cable: from what the pedal draws to the lever angle, for many at once."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike

from conversion.linkage.cable import CableLinkage
from conversion.linkage.cable_motion import CableMotion
from conversion.linkage.quadrant import Quadrant
from conversion.linkage.turning import Array, across, cross, dot, length


def solve_cable(linkage: CableLinkage, pedal_angle_rad: ArrayLike) -> CableMotion:
    r"""Lever angle for every pedal angle: what the pedal draws, less the slack, is what the quadrant gives.

    .. math:: |A(\theta) - P| - |A(0) - P| - g = l(0) - l(\varphi)

    A is the inner's end on the pedal, P where it enters the outer, g the slack at rest, and l the inner's length from
    the outer to the nipple; see :mod:`conversion.linkage.quadrant`. On a round quadrant that is φ = drawn / r as
    long as the groove lasts. An outer that gives nothing and an inner that does not stretch are assumed.

    Args:
        linkage: One linkage, or many along leading axes.
        pedal_angle_rad: From the pedal's rest stop; (positions,) or (samples, positions). [rad]

    Returns:
        Angles; while the cable hangs slack the lever stays on its rest stop, and where an over-travel spring
        gives way it stays on its full stop.

    Example:
        An arm of 60 mm draws from a quadrant of 30 mm after 3 mm of slack:

        >>> cable = CableLinkage(
        ...     [0, 0, 0], [0, 0, -1], [0, 60, 0], [-500, 60, 0], [200, 100, 0], [300, 0, 0], [0, 0, 1],
        ...     [300, -30, 0], [300, 0, 0], -1, 1, 30.0, slack_at_rest_mm=3.0)
        >>> motion = solve_cable(cable, [0.0, 0.04, 0.2])
        >>> motion.quantities()["slack_mm"].round(2).tolist()
        [3.0, 0.6, 0.0]
        >>> motion.lever_angle_rad.round(3).tolist()
        [0.0, 0.0, 0.297]
    """
    pedal = np.atleast_1d(np.asarray(pedal_angle_rad, dtype=np.float64))
    quadrant = Quadrant.of(linkage)
    drawn = _drawn(linkage, pedal)
    taut = quadrant.lever_at(drawn)
    left = quadrant.most_mm - drawn
    exists = np.isfinite(taut)
    lever = np.clip(taut, 0.0, linkage.over_travel_from_rad[..., None])
    return CableMotion(linkage, pedal, lever, exists, drawn, taut, left, quadrant)


def pedal_for_drawn(linkage: CableLinkage, drawn_mm: Array) -> Array:
    """Pedal angle at which so much of the inner has been drawn and more is being drawn, (..., positions).

    Args:
        linkage: One linkage, or many along leading axes.
        drawn_mm: Beyond the slack at rest, (..., positions). [mm]

    Returns:
        Between −π and π; nan where the pedal cannot draw so much. [rad]
    """
    fixed, along, aside, before = _draw_figures(linkage)
    with np.errstate(invalid="ignore", divide="ignore"):
        opening = np.arccos(((before + drawn_mm) ** 2 - fixed) / np.hypot(along, aside))
    return np.mod(np.arctan2(aside, along) - opening + np.pi, 2.0 * np.pi) - np.pi


def _drawn(linkage: CableLinkage, pedal: Array) -> Array:
    fixed, along, aside, before = _draw_figures(linkage)
    square = fixed + along * np.cos(pedal) + aside * np.sin(pedal)
    return np.sqrt(np.maximum(square, 0.0)) - before


def _draw_figures(linkage: CableLinkage) -> tuple[Array, Array, Array, Array]:
    """|A(θ) − P|² is linear in 1, cos θ and sin θ: these three; and what of it draws nothing yet, (..., 1) each."""
    axis, arm = linkage.pressing_axis, linkage.pedal_pin_at_rest - linkage.pedal_pivot
    radial = across(axis, arm)
    from_outer = linkage.pedal_pivot + arm - radial - linkage.pedal_outer_end
    fixed = dot(from_outer, from_outer) + dot(radial, radial)
    along, aside = 2 * dot(from_outer, radial), 2 * dot(from_outer, cross(axis, radial))
    at_rest = length(linkage.pedal_pin_at_rest - linkage.pedal_outer_end)
    figures = np.broadcast_arrays(fixed, along, aside, at_rest + linkage.slack_at_rest_mm)
    fixed, along, aside, before = (figure[..., None] for figure in figures)
    return fixed, along, aside, before


def cable_adjusted_at_rest(linkage: CableLinkage, lever_angle_rad: ArrayLike) -> CableLinkage:
    """The cable's adjuster set to bring the lever to an angle, the pedal at rest; below zero it leaves slack."""
    angle = np.asarray(lever_angle_rad, dtype=np.float64)[..., None]
    quadrant = Quadrant.of(linkage)
    start, there = quadrant.lay(np.zeros_like(angle)), quadrant.lay(np.maximum(angle, 0.0))
    held = there.run_mm - start.run_mm
    slack = np.where(angle > 0.0, held, -angle * start.arm_mm)
    return replace(linkage, slack_at_rest_mm=slack[..., 0])
