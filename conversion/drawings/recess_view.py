"""The recess as it is made: from the pedal's side, cut through, and its flat pattern, with every dimension."""

from __future__ import annotations

import numpy as np
import shapely

from conversion.drawings.dimension import level, upright
from conversion.drawings.drawing import Drawing
from conversion.drawings.hatching import Hatch, draw_area
from conversion.drawings.labels import wrapped
from conversion.drawings.svg import FINE, MIDDLE, THIN, Canvas, Pen, Point
from conversion.fit import BoxSize, Corner, FlatPattern, Recess, bend_allowance_mm
from conversion.linkage.turning import Array
from conversion.plan import Plan
from conversion.plan.fitting.recess import RecessPlan
from conversion.quantities import show

WIDTH_MM = 180.0
_BEND = Pen(0.2, (3.0, 1.2))
_HIDDEN = Pen(0.2, (1.2, 0.8))
_CENTRE = Pen(0.1, (3.0, 0.6, 0.5, 0.6))
_CUT = Hatch((45.0,), 0.6)
_CAR = Hatch((135.0,), 1.0)
_TEXT, _LINE = 2.5, 3.4
_SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 10.0)


def recess_views(plan: Plan) -> tuple[Drawing, ...]:
    """A drawing for each recess; none where no recess is needed or described.

    Raises:
        Missing: A figure of it is not known.
    """
    fit = plan.fit
    if fit is None:
        return ()
    many = len(fit.recesses) > 1
    return tuple(_drawing(each, f"-{number}" if many else "") for number, each in enumerate(fit.recesses, 1))


def _drawing(plan: RecessPlan, more: str) -> Drawing:
    recess, canvas = plan.recess, Canvas()
    box = recess.box
    one_to = _scale(box)
    canvas.text((1.0, 3.4), "From the pedal's side", 2.8, bold=True)
    middle = (26.0 + _outer(box)[0] / one_to / 2, 14.0 + _outer(box)[1] / one_to / 2)
    _front(canvas, recess, middle, 1.0 / one_to)
    left = middle[0] + _outer(box)[0] / one_to / 2 + 34.0
    canvas.text((left - 14.0, 3.4), "Cut upright through the middle", 2.8, bold=True)
    _cut(canvas, plan, (left, middle[1]), 1.0 / one_to)
    top = middle[1] + _outer(box)[1] / one_to / 2 + 20.0
    canvas.line((0.0, top - 5.0), (WIDTH_MM, top - 5.0), FINE)
    canvas.text((1.0, top - 0.6), "Flat pattern, from the pedal's side", 2.8, bold=True)
    flat_to = next(
        scale
        for scale in (*_SCALES, 20.0, 50.0)
        if recess.flat.size_mm[0] / scale <= 82.0 and recess.flat.size_mm[1] / scale <= 105.0
    )
    flat_middle = (26.0 + recess.flat.size_mm[0] / flat_to / 2, top + 12.0 + recess.flat.size_mm[1] / flat_to / 2)
    _flat(canvas, recess, flat_middle, 1.0 / flat_to)
    below = _notes(canvas, plan, flat_middle[0] + recess.flat.size_mm[0] / flat_to / 2 + 16.0, top + 8.0, flat_to)
    height = max(below, flat_middle[1] + recess.flat.size_mm[1] / flat_to / 2 + 8.0)
    title = f"Recess in {plan.lack.flat.name}"
    caption = (
        f"Box at 1:{one_to:g}, flat pattern at 1:{flat_to:g}; the template has the flat pattern at true scale. "
        "Dimensions of the box are inside; the flange lies on the bulkhead's face on the pedal's side."
    )
    svg = canvas.document(WIDTH_MM, height, title, caption)
    return Drawing(f"recess{more}", title, caption, svg, WIDTH_MM, height)


def _outer(box: BoxSize) -> tuple[float, float]:
    """Width and height over the flange. [mm]"""
    more = 2 * (box.sheet.thickness_mm + box.flange_mm)
    return box.width_mm + more, box.height_mm + more


def _scale(box: BoxSize) -> float:
    width, height = _outer(box)
    return next(
        scale
        for scale in (*_SCALES, 20.0, 50.0)
        if (width + box.depth_mm) / scale <= WIDTH_MM - 92.0 and height / scale <= 90.0
    )


def _shown(length_mm: float) -> str:
    return show(length_mm, "length")


def _about(middle: Point, half: tuple[float, float]) -> tuple[Point, Point]:
    """Upper left and lower right corner."""
    return (middle[0] - half[0], middle[1] - half[1]), (middle[0] + half[0], middle[1] + half[1])


def _front(canvas: Canvas, recess: Recess, middle: Point, per_mm: float) -> None:
    box = recess.box
    outer = tuple(size * per_mm / 2 for size in _outer(box))
    inner = (box.width_mm * per_mm / 2, box.height_mm * per_mm / 2)
    hole = tuple(size * per_mm / 2 for size in recess.hole_mm)
    (ol, ot), (orr, ob) = _about(middle, (outer[0], outer[1]))
    (il, it), (ir, ib) = _about(middle, inner)
    (hl, ht), _ = _about(middle, (hole[0], hole[1]))
    canvas.rect((ol, ot), 2 * outer[0], 2 * outer[1], MIDDLE)
    canvas.rect((hl, ht), 2 * hole[0], 2 * hole[1], _HIDDEN)
    canvas.rect((il, it), 2 * inner[0], 2 * inner[1], MIDDLE)
    for axis, reach in (((1.0, 0.0), outer[0] + 2.0), ((0.0, 1.0), outer[1] + 2.0)):
        start = (middle[0] - axis[0] * reach, middle[1] - axis[1] * reach)
        end = (middle[0] + axis[0] * reach, middle[1] + axis[1] * reach)
        canvas.line(start, end, _CENTRE)
    for each in recess.flat.holes_fitted:
        _hole(
            canvas,
            (middle[0] + each.centre_mm[0] * per_mm, middle[1] - each.centre_mm[1] * per_mm),
            box.hole_mm * per_mm,
        )
    level(canvas, (il, it), (ir, it), ot - 3.0, _shown(box.width_mm))
    level(canvas, (ol, ob), (orr, ob), ob + 10.0, _shown(_outer(box)[0]))
    upright(canvas, (ol, it), (ol, ib), ol - 5.0, _shown(box.height_mm))
    upright(canvas, (ol, ot), (ol, ob), ol - 11.5, _shown(_outer(box)[1]))
    _pitches(canvas, recess, middle, per_mm, (orr, ob))


def _each_once(places: Array) -> Array:
    return np.array(sorted(set(np.round(places, 6).tolist())))


def _pitches(canvas: Canvas, recess: Recess, middle: Point, per_mm: float, corner: Point) -> None:
    """From hole to hole along one row and one column."""
    at = np.array([hole.centre_mm for hole in recess.flat.holes_fitted])
    row = _each_once(at[np.isclose(at[:, 1], at[:, 1].min()), 0])
    column = _each_once(at[np.isclose(at[:, 0], at[:, 0].max()), 1])
    foot = middle[1] - float(at[:, 1].min()) * per_mm
    side = middle[0] + float(at[:, 0].max()) * per_mm
    xs, ys = middle[0] + row * per_mm, middle[1] - column[::-1] * per_mm
    level(
        canvas,
        (float(xs[0]), foot),
        (float(xs[1]), foot),
        corner[1] + 4.0,
        _times(len(row) - 1, float(row[1] - row[0])),
    )
    upright(
        canvas, (side, float(ys[0])), (side, float(ys[1])), corner[0] + 5.0,
        _times(len(column) - 1, float(column[1] - column[0])),
    )  # fmt: skip


def _times(count: int, length_mm: float) -> str:
    return _shown(length_mm) if count == 1 else f"{count} × {_shown(length_mm)}"


def _hole(canvas: Canvas, at: Point, diameter: float) -> None:
    canvas.circle(at, diameter / 2, THIN)
    for x, y in ((1.0, 0.0), (0.0, 1.0)):
        reach = diameter / 2 + 1.0
        canvas.line((at[0] - x * reach, at[1] - y * reach), (at[0] + x * reach, at[1] + y * reach), FINE)


def _cut(canvas: Canvas, plan: RecessPlan, face: Point, per_mm: float) -> None:
    """Front of the car to the left: the bulkhead's face at a place of the page, the box to its left."""
    recess = plan.recess
    box, thick = recess.box, recess.box.sheet.thickness_mm * per_mm
    half, hole = box.height_mm * per_mm / 2, recess.hole_mm[1] * per_mm / 2
    deep, flange = box.depth_mm * per_mm, box.flange_mm * per_mm
    wall = max(1.0, (plan.lack.obstacle.thickness_mm or 1.0) * per_mm)
    x, y = face
    for sign in (-1.0, 1.0):
        start, end = sorted((y + sign * hole, y + sign * (half + flange + 8.0)))
        draw_area(canvas, shapely.box(x - wall, start, x, end), THIN, _CAR)
    edge = half + thick + flange
    # On the bulkhead's face, through the hole, along the bottom, and the same back.
    sheet = [
        (x + thick, y - edge), (x, y - edge), (x, y - half - thick), (x - deep - thick, y - half - thick),
        (x - deep - thick, y + half + thick), (x, y + half + thick), (x, y + edge), (x + thick, y + edge),
        (x + thick, y + half), (x - deep, y + half), (x - deep, y - half), (x + thick, y - half),
    ]  # fmt: skip
    draw_area(canvas, shapely.Polygon(sheet), MIDDLE, _CUT)
    level(canvas, (x - deep, y - half), (x, y - edge), y - edge - 3.0, _shown(box.depth_mm))
    upright(canvas, (x + thick, y - half), (x + thick, y + half), x + thick + 7.0, _shown(box.height_mm))
    upright(canvas, (x + thick, y + half + thick), (x + thick, y + edge), x + thick + 7.0, _shown(box.flange_mm))
    if recess.protrudes_mm > 0.0:
        level(
            canvas, (x - deep - thick, y + half + thick), (x - wall, y + edge + 4.0), y + edge + 9.0,
            f"stands out {_shown(recess.protrudes_mm)}",
        )  # fmt: skip
    canvas.text((x - deep - thick - 3.0, y + 0.9), "front", _TEXT, "end")
    canvas.arrow_head((x - deep - thick - 14.0, y), (x - deep - thick, y), 2.4)


def _flat(canvas: Canvas, recess: Recess, middle: Point, per_mm: float) -> None:
    flat: FlatPattern = recess.flat

    def at(point: Array) -> Point:
        return middle[0] + float(point[0]) * per_mm, middle[1] - float(point[1]) * per_mm

    canvas.polygon([at(point) for point in flat.outline_mm[:-1]], MIDDLE)
    for each in (*flat.holes, *flat.reliefs):
        _hole(canvas, at(each.centre_mm), each.diameter_mm * per_mm)
    for bend in flat.bend_lines:
        canvas.line(at(bend.start_mm), at(bend.end_mm), _BEND)
    half = np.array(flat.size_mm) / 2
    (left, top), (right, foot) = _about(middle, (half[0] * per_mm, half[1] * per_mm))
    level(canvas, (left, middle[1]), (right, middle[1]), foot + 4.5, _shown(flat.size_mm[0]))
    upright(canvas, (middle[0], top), (middle[0], foot), left - 11.5, _shown(flat.size_mm[1]))
    # From bend to bend across the bottom, then across the flange.
    for bends, y in ((flat.bend_lines[:4], top - 2.4), (flat.bend_lines[4:8], top - 6.6)):
        xs = sorted({round(float(bend.start_mm[0]), 6) for bend in bends if bend.start_mm[0] == bend.end_mm[0]})
        start, end = (at(np.array([x, half[1]])) for x in (xs[0], xs[-1]))
        level(canvas, start, end, y, _shown(xs[-1] - xs[0]))
    for bends, x in ((flat.bend_lines[:4], right + 5.0), (flat.bend_lines[4:8], right + 9.8)):
        ys = sorted({round(float(bend.start_mm[1]), 6) for bend in bends if bend.start_mm[1] == bend.end_mm[1]})
        start, end = (at(np.array([half[0], y])) for y in (ys[-1], ys[0]))
        upright(canvas, start, end, x, _shown(ys[-1] - ys[0]))


def _notes(canvas: Canvas, plan: RecessPlan, left: float, top: float, flat_to: float) -> float:
    """What else is needed to make it; returns where they end. [mm]"""
    recess = plan.recess
    box, sheet = recess.box, recess.box.sheet
    allowance = bend_allowance_mm(sheet)
    forward, across, up = (float(each) for each in recess.centre_mm)
    notes = [
        f"Middle of the opening at x\u00a0{_shown(forward)}, y\u00a0{_shown(across)}, z\u00a0{_shown(up)}",
        f"Hole in the bulkhead {_shown(recess.hole_mm[0])} wide, {_shown(recess.hole_mm[1])} high",
        f"Sheet {_shown(sheet.thickness_mm)}, bends {_shown(sheet.inside_radius_mm)} inside",
        f"Each bend takes {allowance:.2f} mm of the flat (K factor {sheet.k_factor:g}); fold on the dashed line, the "
        "middle of the bend",
        f"{len(recess.flat.holes)} holes of {_shown(box.hole_mm)}; reliefs of "
        f"{_shown(recess.flat.reliefs[0].diameter_mm)} at the corners of the bottom, drilled before folding",
        f"Corners {box.corner.value}"
        + (f", tabs {_shown(box.tab_mm)} outside on top and bottom wall" if box.corner is Corner.FOLDED else ""),
        f"Least depth {_shown(recess.least_depth_mm)}; then {_shown(recess.clearance.distance_mm)} of clearance to the "
        f"{recess.clearance.body} at pad {_shown(recess.clearance.pad_travel_mm)}",
    ]
    y = top + 4.0
    for note in notes:
        for number, line in enumerate(wrapped(note.replace(" mm", "\u00a0mm"), _TEXT, WIDTH_MM - left - 4.0, 6)):
            if number == 0:
                canvas.text((left, y), "–", _TEXT)
            canvas.text((left + 3.0, y), line, _TEXT)
            y += _LINE
        y += 1.0
    return y + 1.0
