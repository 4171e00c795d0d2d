"""A flanged box folded from one sheet: its flat pattern, and where its holes come to lie.

The flat is drawn as the pedal's side sees it, the bottom of the box in the middle. The walls are folded up,
toward the viewer, and the flange down again, so that it lies on the bulkhead with the box behind.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

import numpy as np

from conversion.fit.bend import RIGHT_ANGLE_RAD, Sheet, bend_allowance_mm
from conversion.linkage.turning import Array

if TYPE_CHECKING:
    from shapely.geometry import Polygon


class Corner(StrEnum):
    """How the walls meet at the four corners."""

    WELDED = "welded"
    FOLDED = "folded"


class Way(StrEnum):
    """Which way a bend goes, the sheet lying with the side toward the pedal up."""

    UP = "up"
    DOWN = "down"


@dataclass(frozen=True)
class BoxSize:
    """What the box is to be.

    Attributes:
        width_mm: Inside, across the car. [mm]
        height_mm: Inside, up the bulkhead. [mm]
        depth_mm: From the bulkhead's face on the pedal's side, on which the flange lies, to the inside of the
            bottom. [mm]
        flange_mm: From the outside of a wall to the flange's edge. [mm]
        sheet: What it is made of.
        corner: How the walls meet.
        tab_mm: Of a folded corner, along the wall that it lies on, from the inside of the other. [mm]
        hole_mm: Diameter of the mounting holes. [mm]
        pitch_mm: Largest distance of neighbouring holes. [mm]
    """

    width_mm: float
    height_mm: float
    depth_mm: float
    flange_mm: float
    sheet: Sheet
    corner: Corner = Corner.WELDED
    tab_mm: float = 12.0
    hole_mm: float = 5.5
    pitch_mm: float = 60.0

    def __post_init__(self) -> None:
        r, t = self.sheet.inside_radius_mm, self.sheet.thickness_mm
        for said, size in (("width", self.width_mm), ("height", self.height_mm)):
            if not size > 2 * r:
                raise ValueError(f"a box with a {said} of {size:g} mm has no room for two bends of {r:g} mm inside")
        if not self.depth_mm > 2 * r:
            raise ValueError(f"a depth of {self.depth_mm:g} mm leaves no wall between two bends of {r:g} mm inside")
        if not self.flange_mm > r:
            raise ValueError(f"a flange of {self.flange_mm:g} mm is shorter than its bend, {r:g} mm inside")
        if not self.hole_mm > 0.0 or self.flange_mm - r < 2 * self.hole_mm:
            raise ValueError(
                f"holes of {self.hole_mm:g} mm want {2 * self.hole_mm + r:g} mm of flange at least, so that each edge"
                f" is a diameter away; this one has {self.flange_mm:g} mm"
            )
        if self.pitch_mm < 2 * (self.hole_line_mm - r + self.hole_mm):
            raise ValueError(f"holes {self.pitch_mm:g} mm apart are too close for a flange of {self.flange_mm:g} mm")
        if self.corner is Corner.FOLDED:
            longest = min(self.depth_mm + bend_allowance_mm(self.sheet) - r - t, self.width_mm / 2)
            if not r < self.tab_mm <= longest:
                most = np.floor(10.0 * longest) / 10.0
                raise ValueError(
                    f"a corner tab of {self.tab_mm:g} mm cannot be folded: between {r:g} and {most:g} mm can"
                )
            if not self.depth_mm > 2 * r + 2 * t:
                raise ValueError(f"a depth of {self.depth_mm:g} mm leaves no room for a corner tab")

    @property
    def hole_line_mm(self) -> float:
        """From the outside of a wall to the line of the holes: the middle of the flange's flat. [mm]"""
        return (self.sheet.inside_radius_mm + self.flange_mm) / 2

    @property
    def outside_mm(self) -> tuple[float, float]:
        """Width and height over the walls, tabs included: what must go through the bulkhead. [mm]"""
        t = self.sheet.thickness_mm
        tabs = 2 * t if self.corner is Corner.FOLDED else 0.0
        return self.width_mm + 2 * t, self.height_mm + 2 * t + tabs


@dataclass(frozen=True)
class BendLine:
    """Middle of a bend, drawn on the flat.

    Attributes:
        start_mm: (2,). [mm]
        end_mm: (2,). [mm]
        angle_rad: By which the sheet is turned. [rad]
        way: Which way.
        allowance_mm: Width of the bend on the flat, half on each side of the line. [mm]
    """

    start_mm: Array
    end_mm: Array
    angle_rad: float
    way: Way
    allowance_mm: float


@dataclass(frozen=True)
class Hole:
    """A round hole: centre, (2,), and diameter. [mm]"""

    centre_mm: Array
    diameter_mm: float


@dataclass(frozen=True)
class FlatPattern:
    """What is cut, drilled and folded; the origin is the middle.

    Attributes:
        outline_mm: Closed, anticlockwise, (k, 2), the last point as the first. [mm]
        bend_lines: All bends.
        holes: Mounting holes in the flange, as they lie on the flat.
        holes_fitted: The same holes in the same order as they lie on the bulkhead, from the middle of the box.
        reliefs: Drilled at the four corners of the bottom before folding, so that two bends do not tear.
        size_mm: Width and height of the blank. [mm]
        area_mm2: Of the outline, before holes and reliefs. [mm²]
    """

    outline_mm: Array
    bend_lines: tuple[BendLine, ...]
    holes: tuple[Hole, ...]
    holes_fitted: tuple[Hole, ...]
    reliefs: tuple[Hole, ...]
    size_mm: tuple[float, float]
    area_mm2: float


def flat_pattern(box: BoxSize) -> FlatPattern:
    r"""Flat pattern of a flanged box.

    From the middle outward: half the bottom less its bend, the bend, the wall less two bends, the bend, the
    flange less its bend; with bends of inside radius r and allowance BA

    .. math:: W/2 - r + BA + (D - 2r) + BA + (F - r)

    The top and bottom flanges carry ears that cover the corners; the side flanges run up to them. With folded
    corners the side walls carry tabs that lie on the outside of top and bottom wall.

    Raises:
        ValueError: by :class:`BoxSize`, for what cannot be folded.
    """
    import shapely  # the box is judged without its pattern, which only drawings ask for
    from shapely.geometry import Polygon

    r, t = box.sheet.inside_radius_mm, box.sheet.thickness_mm
    allowance = bend_allowance_mm(box.sheet)
    half = np.array([box.width_mm, box.height_mm]) / 2
    flat_end = half - r
    wall_end = flat_end + allowance + box.depth_mm - 2 * r
    flange_start = wall_end + allowance
    reach = flange_start + box.flange_mm - r
    ear = half[0] + t + box.flange_mm
    shapes = [
        shapely.box(-reach[0], -half[1], reach[0], half[1]),
        shapely.box(-half[0], -reach[1], half[0], reach[1]),
        *(_both(flange_start[0], reach[0], half[1] + t + r, swap=False)),
        *(_both(flange_start[1], reach[1], ear, swap=True)),
    ]
    bends = [
        *_bends(flat_end + allowance / 2, half[::-1], Way.UP, allowance),
        *_bends(wall_end + allowance / 2, half[::-1], Way.DOWN, allowance),
    ]
    if box.corner is Corner.FOLDED:
        start, end = flat_end[0] + allowance + t, wall_end[0] - t
        fold = half[1] + t - r
        shapes += _both(start, end, fold + allowance + box.tab_mm - r, swap=False)
        bends += [
            _bend(
                (side * start, up * (fold + allowance / 2)),
                (side * end, up * (fold + allowance / 2)),
                Way.UP,
                allowance,
            )
            for side in (-1, 1)
            for up in (-1, 1)
        ]
    outline = shapely.union_all(shapes)
    assert isinstance(outline, Polygon)
    corner = flat_end + allowance / 2
    signs = ((-1, -1), (1, -1), (1, 1), (-1, 1))
    fitted = _fitted_holes(box, half + t + box.hole_line_mm)
    shift = flange_start - r - half - t
    return FlatPattern(
        outline_mm=np.asarray(shapely.geometry.polygon.orient(outline).exterior.simplify(0.0).coords, dtype=np.float64),
        bend_lines=tuple(bends),
        holes=tuple(Hole(_flattened(each, box, shift), box.hole_mm) for each in fitted),
        holes_fitted=tuple(Hole(each, box.hole_mm) for each in fitted),
        reliefs=tuple(Hole(corner * np.array(sign), allowance * float(np.sqrt(2))) for sign in signs),
        size_mm=(2 * float(max(reach[0], ear)), 2 * float(reach[1])),
        area_mm2=float(outline.area),
    )


def _both(start: float, end: float, half_width: float, swap: bool) -> list[Polygon]:
    """A strip from start to end along one axis, on both sides of the middle."""
    import shapely

    strips = [(-end, -half_width, -start, half_width), (start, -half_width, end, half_width)]
    return [shapely.box(y0, x0, y1, x1) if swap else shapely.box(x0, y0, x1, y1) for x0, y0, x1, y1 in strips]


def _bend(start: tuple[float, float], end: tuple[float, float], way: Way, allowance: float) -> BendLine:
    return BendLine(np.array(start), np.array(end), RIGHT_ANGLE_RAD, way, allowance)


def _bends(at: Array, half_length: Array, way: Way, allowance: float) -> list[BendLine]:
    """Bends along all four sides, at distances from the middle and with half lengths, right first."""
    (x, y), (up, along) = at, half_length
    return [
        *(_bend((side * x, -up), (side * x, up), way, allowance) for side in (-1, 1)),
        *(_bend((-along, side * y), (along, side * y), way, allowance) for side in (-1, 1)),
    ]


def _fitted_holes(box: BoxSize, line: Array) -> list[Array]:
    """Holes on a rectangle through the flange, corners included, at most a pitch apart."""
    across, up = (np.linspace(-end, end, max(1, int(np.ceil(2 * end / box.pitch_mm))) + 1) for end in line)
    rows = [np.array([x, side * line[1]]) for side in (-1, 1) for x in across]
    columns = [np.array([side * line[0], y]) for side in (-1, 1) for y in up[1:-1]]
    return [*rows, *columns]


def _flattened(hole: Array, box: BoxSize, shift: Array) -> Array:
    """Where a hole of the fitted flange lies on the flat."""
    on_row = abs(abs(hole[1]) - (box.height_mm / 2 + box.sheet.thickness_mm + box.hole_line_mm)) < 1e-9
    moved = np.array([0.0, np.sign(hole[1]) * shift[1]]) if on_row else np.array([np.sign(hole[0]) * shift[0], 0.0])
    return np.asarray(hole + moved)
