"""True-scale templates: lever, bracket face, recess and the cardboard mock-up of what is swept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import ArrayLike
from shapely.geometry import LineString, Point, Polygon

from conversion.fit.envelope import QUARTER, Envelope
from conversion.fit.flat_pattern import BendLine, FlatPattern
from conversion.fit.polygon import checked
from conversion.fit.shapes import Circle, Line, Purpose, Shape, TemplateSheet, Text, reach_mm, sheet_of
from conversion.linkage.turning import Array
from conversion.quantities import number, show

CENTRE_MARK_MM = 3.0
LETTER_MM = 3.0
NAME_MM = 2.2
MOCK_UP_BORDER_MM = 3.5
WORDS_OFF_MM = 1.5


def _hole(centre: ArrayLike, diameter_mm: float) -> list[Shape]:
    """A hole with the cross of its centre, which is punched before drilling."""
    if not diameter_mm > 0.0:
        raise ValueError(f"a hole of {diameter_mm} mm is none")
    at, arm = np.asarray(centre, dtype=np.float64), diameter_mm / 2 + CENTRE_MARK_MM
    cross = [Line(np.array([at - way, at + way]), Purpose.MARK) for way in (np.array([arm, 0]), np.array([0, arm]))]
    return [Circle(at, diameter_mm / 2), *cross]


def _inside(what: str, outline: Polygon, holes: Sequence[tuple[ArrayLike, float]]) -> None:
    for centre, diameter_mm in holes:
        x, y = np.asarray(centre, dtype=np.float64)
        if not outline.contains(Point(x, y)) or outline.exterior.distance(Point(x, y)) <= diameter_mm / 2:
            raise ValueError(f"a hole of {diameter_mm:g} mm at ({x:g}, {y:g}) mm breaks through the edge of {what}")


def _sized(shapes: Sequence[Shape], outline: ArrayLike, holes: Sequence[tuple[str, int, float]]) -> list[Shape]:
    """Shapes with a line below them that says how large the cut piece is and how many holes of which size it has.

    Args:
        shapes: Of the sheet.
        outline: Of what is cut, (k, 2). [mm]
        holes: Name, such as "hole", how many, and diameter. [mm]
    """
    low, high = np.min(outline, axis=0), np.max(outline, axis=0)
    width, height = (float(size) for size in high - low)
    words = [f"{number(width, 'length')} × {show(height, 'length')} over all"]
    words += [f"{count} {name}{'s' * (count > 1)} of {show(size, 'length')}" for name, count, size in holes if count]
    below = min(float(shape.reach_mm()[0][1]) for shape in shapes) - WORDS_OFF_MM - LETTER_MM
    return [*shapes, Text(np.array([(low[0] + high[0]) / 2, below]), ", ".join(words), NAME_MM)]


def _counted(name: str, diameters_mm: Sequence[float]) -> list[tuple[str, int, float]]:
    return [(name, diameters_mm.count(size), size) for size in sorted(set(diameters_mm))]


def lever_template(
    name: str,
    title: str,
    radii_mm: Sequence[float],
    hole_mm: float,
    bore_mm: float,
    width_mm: float,
    past_pin_mm: float | None = None,
) -> TemplateSheet:
    """A straight lever: bore at the axis, a hole at each radius, round at both ends.

    Args:
        name: Of the file.
        title: For people.
        radii_mm: Of the holes, from the axis. [mm]
        hole_mm: Diameter of each. [mm]
        bore_mm: Diameter at the axis. [mm]
        width_mm: Of the lever. [mm]
        past_pin_mm: From the outermost hole's centre to the lever's end; half the width where not told. [mm]

    Raises:
        ValueError: no hole, holes that run into each other or through the end, or a lever narrower than its holes.
    """
    if not radii_mm:
        raise ValueError("a lever needs at least one hole")
    radii = sorted(radii_mm)
    gaps = [radii[0] - (hole_mm + bore_mm) / 2, *(np.diff(radii) - hole_mm)]
    if min(gaps) <= 0.0:
        raise ValueError(f"the lever's holes at {', '.join(f'{r:g}' for r in radii)} mm run into each other")
    if width_mm <= max(hole_mm, bore_mm):
        raise ValueError(f"a lever of {width_mm:g} mm is no wider than its holes")
    half = width_mm / 2
    past = half if past_pin_mm is None else past_pin_mm
    if past <= hole_mm / 2:
        raise ValueError(f"a hole of {hole_mm:g} mm breaks through the lever's end, {past:g} mm past its centre")
    arc = np.linspace(-np.pi / 2, np.pi / 2, 2 * QUARTER + 1)
    end = half * np.stack([np.cos(arc), np.sin(arc)], axis=-1)
    outline = np.concatenate([end + np.array([radii[-1] + past - half, 0.0]), -end])
    shapes: list[Shape] = [Line(outline, closed=True), *_hole([0.0, 0.0], bore_mm)]
    for radius in radii:
        shapes += _hole([radius, 0.0], hole_mm)
        shapes.append(Text(np.array([radius, half + LETTER_MM]), f"{radius:g} mm", LETTER_MM))
    return sheet_of(name, title, _sized(shapes, outline, [("hole", len(radii), hole_mm), ("bore", 1, bore_mm)]))


def bracket_face(
    name: str, title: str, outline_mm: ArrayLike, holes: Sequence[tuple[ArrayLike, float]]
) -> TemplateSheet:
    """A flat face of a bracket with its holes, each a centre, (2,), and a diameter. [mm]

    Raises:
        ValueError: the outline crosses itself, or a hole is not wholly inside it.
    """
    outline = checked(outline_mm)
    _inside("the bracket", Polygon(outline), holes)
    shapes: list[Shape] = [Line(outline, closed=True)]
    for centre, diameter_mm in holes:
        shapes += _hole(centre, diameter_mm)
    return sheet_of(name, title, _sized(shapes, outline, _counted("hole", [diameter for _, diameter in holes])))


def flat_pattern_sheet(name: str, title: str, flat: FlatPattern) -> TemplateSheet:
    """The flat pattern of a recess: outline, holes, reliefs, bends with the way they go."""
    shapes: list[Shape] = [Line(flat.outline_mm[:-1], closed=True)]
    for hole in flat.holes:
        shapes += _hole(hole.centre_mm, hole.diameter_mm)
    for relief in flat.reliefs:
        shapes += _hole(relief.centre_mm, relief.diameter_mm)
    for bend in flat.bend_lines:
        shapes.append(Line(np.array([bend.start_mm, bend.end_mm]), Purpose.BEND))
        shapes.append(_beside(bend))
    drilled = [
        *_counted("hole", [hole.diameter_mm for hole in flat.holes]),
        *_counted("relief", [hole.diameter_mm for hole in flat.reliefs]),
    ]
    return sheet_of(name, title, _sized(shapes, flat.outline_mm, drilled))


def _beside(bend: BendLine) -> Text:
    """Which way a bend goes, along its line, on the side toward the middle of the box."""
    middle = (bend.start_mm + bend.end_mm) / 2
    upright = bool(bend.start_mm[0] == bend.end_mm[0])
    across = 0 if upright else 1
    off = np.zeros(2)
    words = f"{bend.way} {np.degrees(bend.angle_rad):g}°"
    # Words beside a short bend are small enough to stay within its length.
    letter = min(LETTER_MM, float(np.linalg.norm(bend.end_mm - bend.start_mm)) / len(words))
    # Level letters stand above their foot, upright ones to the left of it.
    letters_point_inward = (middle[across] > 0.0) == upright
    inward = -np.sign(middle[across])
    off[across] = inward * (WORDS_OFF_MM + (0.0 if letters_point_inward else letter))
    return Text(middle + off, words, letter, upright=upright)


def opening_sheet(name: str, title: str, flat: FlatPattern, hole_mm: tuple[float, float]) -> TemplateSheet:
    """What is cut and drilled in the bulkhead for a recess: the hole and the mounting holes about it."""
    half = np.array(hole_mm) / 2
    corners = half * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
    shapes: list[Shape] = [Line(corners, closed=True)]
    for hole in flat.holes_fitted:
        shapes += _hole(hole.centre_mm, hole.diameter_mm)
    drilled = _counted("hole", [hole.diameter_mm for hole in flat.holes_fitted])
    return sheet_of(name, title, _sized(shapes, corners, drilled))


def mock_up_sheet(
    name: str, title: str, envelope: Envelope, points_mm: Sequence[tuple[str, ArrayLike]] = ()
) -> TemplateSheet:
    """The swept outline to be cut from cardboard and held in the car, with named points to line it up by.

    Args:
        name: Of the file.
        title: For people.
        envelope: What is swept; x forward is to the right, z up is up.
        points_mm: Such as the pedal's axis, each (2,) of x and z. [mm]
    """
    shapes: list[Shape] = [Line(loop[:-1], closed=True) for loop in envelope.outlines_mm()]
    for word, point in points_mm:
        at = np.asarray(point, dtype=np.float64)
        arm = CENTRE_MARK_MM * np.eye(2)
        shapes += [Line(np.array([at - way, at + way]), Purpose.MARK) for way in arm]
        shapes.append(_named(word, at, envelope))
    return sheet_of(name, title, [*shapes, _size_in_a_corner(envelope, shapes)], MOCK_UP_BORDER_MM)


def _size_in_a_corner(envelope: Envelope, shapes: Sequence[Shape]) -> Text:
    """The size over all in a corner that the outline leaves free, so that it takes no paper; else below it."""
    *_, below = _sized(shapes, np.concatenate(envelope.outlines_mm()), [])
    assert isinstance(below, Text)
    low, high = reach_mm(shapes)
    half = float(np.ptp(np.array(below.reach_mm())[:, 0])) / 2
    for y in (low[1], high[1] - NAME_MM):
        for x in (low[0] + half, high[0] - half):
            text = replace(below, at_mm=np.array([x, y + 0.3 * NAME_MM if y == low[1] else y]))
            if envelope.whole.distance(shapely.box(*np.ravel(text.reach_mm()))) > WORDS_OFF_MM:
                return text
    return below


def _named(word: str, at: Array, envelope: Envelope) -> Text:
    """A name beside a point where it crosses as little of the outline as can be: level, along the arm, or outside."""
    edge = shapely.union_all([LineString(loop) for loop in envelope.outlines_mm()])
    size = Text(at, word, NAME_MM).reach_mm()
    half = float(size[1][0] - size[0][0]) / 2
    away = CENTRE_MARK_MM + 1.0
    level = [np.array([0.0, -away - NAME_MM]), np.array([0.0, away])]
    upright = [np.array([NAME_MM / 2, side * (away + half)]) for side in (-1, 1)]
    beside = [np.array([side * (half + far), -NAME_MM / 2]) for far in (8.0, 16.0, 32.0) for side in (-1, 1)]
    tried = [
        *(Text(at + off, word, NAME_MM) for off in level),
        *(Text(at + off, word, NAME_MM, upright=True) for off in upright),
        *(Text(at + off, word, NAME_MM) for off in beside),
    ]
    return min(tried, key=lambda text: round(edge.intersection(shapely.box(*np.ravel(text.reach_mm()))).length, 3))


def clipped(line: Line, low_mm: ArrayLike, high_mm: ArrayLike) -> tuple[Array, ...]:
    """The parts of a line inside a rectangle, each (k, 2), for writers that cannot clip. [mm]"""
    points = np.concatenate([line.points_mm, line.points_mm[:1]]) if line.closed else line.points_mm
    # A little more, so that a line along the edge is not lost to rounding.
    window = shapely.box(*np.subtract(low_mm, 1e-6), *np.add(high_mm, 1e-6))
    inside = LineString(points).intersection(window)
    parts = inside.geoms if hasattr(inside, "geoms") else [inside]
    return tuple(np.asarray(part.coords) for part in parts if isinstance(part, LineString) and part.length > 0.0)
