"""The recess in the bulkhead: how deep, where, of what sheet, and what it takes from the other side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from conversion.fit.apart import certainly_apart_mm
from conversion.fit.bend import Sheet
from conversion.fit.bodies import AnyBody, Body, box, joined
from conversion.fit.bulkhead import Bulkhead
from conversion.fit.clearance import Clearance, clearance_of_fixed, least_clearance
from conversion.fit.flat_pattern import BoxSize, Corner, FlatPattern, flat_pattern
from conversion.fit.kinds import Kind
from conversion.fit.opening import opening
from conversion.fit.poses import Poses
from conversion.linkage.turning import Array

# No recess is looked for beyond. [mm]
DEEPEST_MM = 500.0
DEPTH_WITHIN_MM = 0.005


@dataclass(frozen=True)
class RecessWish:
    """What a recess is to be made of, and how generous.

    Attributes:
        clearance_mm: Wanted between anything that moves and bulkhead, walls, bottom and flange. [mm]
        sheet: Of the box.
        flange_mm: From the outside of a wall to the flange's edge. [mm]
        margin_mm: More opening on every side than the clearance needs. [mm]
        play_mm: Between the box and the hole in the bulkhead, on every side. [mm]
        depth_step_mm: The depth is rounded up to a multiple of it. [mm]
        corner: How the walls meet.
        tab_mm: Of a folded corner. [mm]
        hole_mm: Diameter of the mounting holes. [mm]
        pitch_mm: Largest distance of neighbouring holes. [mm]
    """

    clearance_mm: float
    sheet: Sheet
    flange_mm: float = 20.0
    margin_mm: float = 3.0
    play_mm: float = 1.0
    depth_step_mm: float = 1.0
    corner: Corner = Corner.WELDED
    tab_mm: float = 12.0
    hole_mm: float = 5.5
    pitch_mm: float = 60.0

    def __post_init__(self) -> None:
        if not self.clearance_mm > 0.0 or not self.depth_step_mm > 0.0:
            raise ValueError("a recess needs a clearance and a step of depth above zero")
        if self.margin_mm < 0.0 or self.play_mm < 0.0:
            raise ValueError("the margin and the play of a recess must not be negative")
        if self.sheet.inside_radius_mm > self.clearance_mm:
            raise ValueError(
                f"bends of {self.sheet.inside_radius_mm:g} mm inside are wider than the wanted clearance of"
                f" {self.clearance_mm:g} mm; a part that clears wall and bottom would touch the bend between"
            )


@dataclass(frozen=True)
class Recess:
    """A box let into the bulkhead.

    Attributes:
        least_depth_mm: From the bulkhead's face to the inside of the bottom, at least, for the wanted
            clearance. [mm]
        centre_mm: Middle of the opening on the bulkhead's face, (3,). [mm]
        axes: Across, up and toward the pedal, as rows, (3, 3).
        box: The box as made.
        hole_mm: Width and height of the hole in the bulkhead, about the centre. [mm]
        inside: Bottom, walls and flange as an obstacle to what moves.
        outside: The box as a solid, as an obstacle to what lies behind the bulkhead.
        taken: Clearance of the box to each thing on the other side.
        protrudes_mm: How far it stands out of the bulkhead on the other side. [mm]
        over_edge_mm: How far the flange runs past the end of the flat part of the bulkhead; zero if it does
            not. [mm]
        moving: What moves in it.
        poses: Over which it does.
    """

    least_depth_mm: float
    centre_mm: Array
    axes: Array
    box: BoxSize
    hole_mm: tuple[float, float]
    inside: Body
    outside: Body
    taken: tuple[Clearance, ...]
    protrudes_mm: float
    over_edge_mm: float
    moving: tuple[AnyBody, ...] = field(repr=False)
    poses: Poses = field(repr=False)

    @cached_property
    def flat(self) -> FlatPattern:
        """The box's flat pattern."""
        return flat_pattern(self.box)

    @cached_property
    def clearance(self) -> Clearance:
        """Least clearance of all that moves to ``inside``."""
        return least_clearance(self.moving, [self.inside], self.poses)


def least_depth_mm(moving: Sequence[AnyBody], poses: Poses, bulkhead: Bulkhead, clearance_mm: float) -> float:
    """How far the bulkhead would have to go back for a clearance over the whole travel.

    For a plane without end that is the lack of clearance itself. A part with ends is moved back by what is still
    lacking, again and again: no distance grows faster than the part goes back, so that never goes too far.

    Returns:
        Zero if the clearance is there already. [mm]

    Raises:
        ValueError: 500 mm are not enough, or there is no moving body.
    """

    def distance(body: AnyBody, depth: float) -> float:
        return least_clearance([body], [bulkhead.behind(depth)], poses).distance_mm

    if not moving:
        raise ValueError("there is no moving body that a recess could be for")
    # What is clear of the part where it stands stays so wherever it goes back to.
    near = [i for i, body in enumerate(moving) if certainly_apart_mm(body, bulkhead.body, poses) < clearance_mm]
    lacking = {i: clearance_mm - distance(moving[i], 0.0) for i in near}
    lacking = {i: lack for i, lack in lacking.items() if lack > 0.0}
    if not lacking:
        return 0.0
    depth = 0.0
    while lacking:
        depth += max(lacking.values())
        if depth > DEEPEST_MM:
            raise ValueError(
                f"'{bulkhead.name}' would need a recess of more than {DEEPEST_MM:g} mm; the mechanism runs through it"
            )
        if bulkhead.half_size_mm is None:
            return depth
        lacking = {i: lack for i in lacking if (lack := clearance_mm - distance(moving[i], depth)) > DEPTH_WITHIN_MM}
    return depth + DEPTH_WITHIN_MM


def recess_for(
    moving: Sequence[AnyBody],
    poses: Poses,
    bulkhead: Bulkhead,
    wish: RecessWish,
    behind: Sequence[AnyBody] = (),
) -> Recess | None:
    """The least recess that gives the wanted clearance, ready to be cut.

    Args:
        moving: What moves, or is fixed but in the way, such as the module's body.
        poses: All positions, over-travel included.
        bulkhead: The flat part that is in the way.
        wish: Clearance, sheet and fastening.
        behind: What lies on the other side.

    Returns:
        None if the clearance is there without a recess.

    Raises:
        ValueError: the mechanism runs through, or the box cannot be folded.
    """
    depth = least_depth_mm(moving, poses, bulkhead, wish.clearance_mm)
    if depth <= 0.0:
        return None
    sheet = wish.sheet
    low, high = opening(moving, poses, bulkhead, wish.clearance_mm + sheet.thickness_mm)
    grown = wish.clearance_mm + wish.margin_mm
    # A fold needs two bends and some wall.
    foldable = 2 * sheet.inside_radius_mm + (3 if wish.corner is Corner.FOLDED else 1) * sheet.thickness_mm
    made = wish.depth_step_mm * np.ceil(max(depth, foldable) / wish.depth_step_mm - 1e-9)
    width, height = (float(size) for size in high - low + 2 * grown)
    size = BoxSize(
        width,
        height,
        float(made),
        wish.flange_mm,
        sheet,
        wish.corner,
        wish.tab_mm,
        wish.hole_mm,
        wish.pitch_mm,
    )
    across, up, out = bulkhead.axes
    middle = (low + high) / 2
    centre = bulkhead.point_mm + middle[0] * across + middle[1] * up
    inside = _inside(bulkhead, centre, size)
    over_width, over_height = size.outside_mm
    outside = box(
        "recess",
        Kind.BULKHEAD,
        centre - (made + sheet.thickness_mm) / 2 * out,
        bulkhead.axes,
        [over_width / 2, over_height / 2, (made + sheet.thickness_mm) / 2],
    )
    reach = np.array([over_width, over_height]) / 2 + wish.flange_mm
    over_edge = 0.0
    if bulkhead.half_size_mm is not None:
        over_edge = max(0.0, float(np.max(np.abs(middle) + reach - np.array(bulkhead.half_size_mm))))
    return Recess(
        least_depth_mm=depth,
        centre_mm=centre,
        axes=bulkhead.axes,
        box=size,
        hole_mm=(over_width + 2 * wish.play_mm, over_height + 2 * wish.play_mm),
        inside=inside,
        outside=outside,
        taken=clearance_of_fixed([outside], behind) if behind else (),
        protrudes_mm=max(0.0, float(made) + sheet.thickness_mm - bulkhead.thickness_mm),
        over_edge_mm=over_edge,
        moving=tuple(moving),
        poses=poses,
    )


def _inside(bulkhead: Bulkhead, centre: Array, size: BoxSize) -> Body:
    """Bottom, four walls and four strips of flange as plates of the sheet's thickness."""
    half, t = np.array([size.width_mm, size.height_mm]) / 2, size.sheet.thickness_mm
    deep, wide = size.depth_mm, half + t + size.flange_mm

    def plate(low: Sequence[float], high: Sequence[float]) -> Body:
        middle = centre + (np.array(low) + np.array(high)) / 2 @ bulkhead.axes
        return box("plate", Kind.BULKHEAD, middle, bulkhead.axes, (np.array(high) - np.array(low)) / 2)

    plates = [plate([-half[0] - t, -half[1] - t, -deep - t], [half[0] + t, half[1] + t, -deep])]
    for side in (-1, 1):
        for along in (0, 1):
            for start, end, bottom, top in (
                (half[along], half[along] + t, -deep, t),
                (half[along] + t, wide[along], 0.0, t),
            ):
                across = wide[1 - along]
                low, high = np.array([-across, -across, bottom]), np.array([across, across, top])
                low[along], high[along] = min(side * start, side * end), max(side * start, side * end)
                plates.append(plate(low.tolist(), high.tolist()))
    return joined("recess", Kind.BULKHEAD, plates)
