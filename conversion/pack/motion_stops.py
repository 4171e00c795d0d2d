"""What of the linkage stands still in the moving side view: mount, stops, bearings; and the pins that go along."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.linkage import BellCrankMotion, CableMotion, ContactMotion, DirectMotion, turned
from conversion.linkage.turning import Array, foot_of
from conversion.pack.moving import Moving, still
from conversion.plan.link.travel import Travel


def in_picture(points: Array) -> Array:
    """Places in the picture of points in the vehicle, (..., 3) to (..., 2)."""
    return np.stack([-points[..., 0], -points[..., 2]], axis=-1)


def lever_foot(travel: Travel) -> Array:
    """The point of the lever's axis beside the end of the lever, (3,). [mm]"""
    linkage = travel.geometry.linkage
    ends = lever_end(travel)
    known = ends[np.all(np.isfinite(ends), axis=-1)]
    return foot_of(linkage.module_pivot, linkage.module_axis, known[0]) if len(known) else linkage.module_pivot


def lever_end(travel: Travel) -> Array:
    """The end of the lever as it is drawn, (positions, 3): its pin, its nipple, its roller or its face."""
    motion = travel.solution
    if isinstance(motion, CableMotion):
        return motion.link_lines_mm()[1][:, -1, :]
    if isinstance(motion, ContactMotion):
        on_lever = motion.linkage.roller_on == "lever"
        return motion.roller_mm if on_lever else motion.on_face(motion.linkage.face_point)
    return motion.lever_pin_mm


def mount(pivot: Array, unit: float, *, down: bool) -> Iterator[Moving]:
    """What the pedal hangs from or stands on, for the eye: its place is not described."""
    side = 7.0 * unit if down else -7.0 * unit
    across_by = np.array([3.0 * unit, 0.0])
    foot = pivot + np.array([0.0, side])
    yield Moving("line", "mount", still(np.stack([pivot, foot - across_by, foot + across_by, pivot])))
    yield Moving("line", "wall", still(np.stack([foot - 2.0 * across_by, foot + 2.0 * across_by])))


def pedal_stops(foot: Array, pad: Array, unit: float) -> Iterator[Moving]:
    """How far along the arm they sit is not described."""
    for here, inner in ((pad[0], pad[1]), (pad[-1], pad[-2])):
        yield from _wall(foot, here, here - inner, 0.55, 2.0 * unit, 4.0 * unit)


def lever_stops(travel: Travel, unit: float) -> Iterator[Moving]:
    """The module's own stops, where the lever meets them."""
    linkage, motion = travel.geometry.linkage, travel.solution
    known = np.flatnonzero(np.isfinite(travel.lever_rad))
    if isinstance(motion, DirectMotion) or not len(known):
        return
    start = int(known[0])
    swing = np.array([0.0, travel.geometry.swing_rad[0]]) - travel.lever_rad[start]
    ends = in_picture(turned(lever_end(travel)[start], linkage.module_pivot, linkage.opening_axis, swing))
    foot = in_picture(lever_foot(travel))
    gap = (0.4 if isinstance(motion, CableMotion) else 1.8) * unit
    for here, other in ((ends[0], ends[1]), (ends[1], ends[0])):
        yield from _wall(foot, here, here - other, 0.6, gap, 2.4 * unit)


def _wall(foot: Array, end: Array, away: Array, reach: float, gap: float, half: float) -> Iterator[Moving]:
    """A stop beside an arm, on the side that ``away`` points to."""
    arm = end - foot
    length = float(np.linalg.norm(arm))
    if length <= 0.0:
        return
    arm = arm / length
    square = np.array([-arm[1], arm[0]])
    square = square if square @ away >= 0.0 else -square
    centre = foot + arm * reach * length + square * gap
    yield Moving("line", "wall", still(np.stack([centre - arm * half, centre + arm * half])))


def bearings(travel: Travel, foot: Array, unit: float) -> Iterator[Moving]:
    """What turns about a fixed place, and where a cable's outer is held."""
    yield Moving("dot", "bearing", still(foot[None, :]), 2.0 * unit)
    motion = travel.solution
    if not isinstance(motion, DirectMotion):
        yield Moving("dot", "bearing", still(in_picture(lever_foot(travel))[None, :]), 2.0 * unit)
    if isinstance(motion, BellCrankMotion):
        yield Moving("dot", "bearing", still(in_picture(motion.linkage.crank_pivot)[None, :]), 1.6 * unit)
    if isinstance(motion, CableMotion):
        ends = in_picture(np.stack([motion.linkage.pedal_outer_end, motion.linkage.module_outer_end]))
        yield Moving("line", "outer-way", still(ends))
        for end in ends:
            yield Moving("dot", "outer", still(end[None, :]), 1.3 * unit)


def pins(travel: Travel, unit: float) -> Iterator[Moving]:
    """Where the link leaves the pedal and meets the lever, and what else is joined."""
    motion = travel.solution
    if isinstance(motion, DirectMotion):
        return
    yield Moving("dot", "pin pedal-pin", in_picture(motion.pedal_pin_mm)[:, None, :], unit)
    yield Moving("dot", "pin lever-pin", in_picture(motion.lever_pin_mm)[:, None, :], unit)
    if isinstance(motion, CableMotion):
        yield Moving("dot", "pin", in_picture(lever_end(travel))[:, None, :], unit)
    if isinstance(motion, BellCrankMotion):
        crank = in_picture(motion.link_lines_mm()[1])
        yield Moving("dot", "pin", crank[:, :1, :], unit)
        yield Moving("dot", "pin", crank[:, 2:, :], unit)
