"""The bracket's members as they are sawn: lengths and mitres, and which width an infill across a corner was told by."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from conversion.description import Missing
from conversion.drawings.dimension import aligned, level, upright
from conversion.drawings.drawing import Drawing
from conversion.drawings.labels import shortened, wrapped
from conversion.drawings.svg import FINE, MIDDLE, THICK, Canvas, Pen, Point
from conversion.fit import CornerInfill, Measured, MemberCut, corner_infill
from conversion.plan import Plan
from conversion.quantities import show

WIDTH_MM = 180.0
_LEFT, _ROOM = 22.0, 92.0
_NOTES = 128.0
_TEXT, _LINE = 2.5, 3.4
_SCALES = (1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 7.5, 10.0, 15.0, 20.0, 30.0, 50.0)
_CENTRE = Pen(0.1, (3.0, 0.6, 0.5, 0.6))
SQUARE_RAD = math.radians(0.05)


@dataclass(frozen=True)
class _Row:
    """One piece: how high it is drawn, and what draws it below a place of the page."""

    height_mm: float
    draw: Callable[[Canvas, float], None]


def bracket_view(plan: Plan) -> tuple[Drawing, ...]:
    """One drawing of all pieces; none where none is described or none can be cut.

    Raises:
        Missing: The travel rests on a figure that is not known.
    """
    fit = plan.fit
    if fit is None:
        return ()
    members = {name: cut for name, cut in fit.members.items() if not isinstance(cut, Missing)}
    infills = {name: cut for name, cut in fit.infills.items() if not isinstance(cut, Missing)}
    if not members and not infills:
        return ()
    reach = [cut.longest_mm for cut in members.values()] + [_infill_reach(cut) for cut in infills.values()]
    one_to = next((scale for scale in _SCALES if max(reach) / scale <= _ROOM), max(reach) / _ROOM)
    rows = [_member(name, cut, 1.0 / one_to) for name, cut in members.items()]
    rows += [_infill(name, cut, 1.0 / one_to) for name, cut in infills.items()]
    canvas, top = Canvas(), 1.0
    for count, row in enumerate(rows):
        if count:
            canvas.line((0.0, top), (WIDTH_MM, top), FINE)
        row.draw(canvas, top + 5.0)
        top += row.height_mm + 6.0
    title = "Members of the bracket"
    caption = (
        f"Scale 1:{one_to:g}. Lengths are of the finished piece, before weld gaps and the saw's own width; a mitre is "
        "the angle by which the cut leaves square."
    )
    return (Drawing("bracket", title, caption, canvas.document(WIDTH_MM, top, title, caption), WIDTH_MM, top),)


def mitre_words(cut: MemberCut) -> list[tuple[str, str]]:
    """What leaves square at each end: which way the member lies, and the angles."""
    found = []
    for axis, across in ((0, "its width"), (1, "its height")):
        start, end = (float(cut.mitres_rad[each, axis]) for each in (0, 1))
        if max(abs(start), abs(end)) < SQUARE_RAD:
            continue
        text = f"{show(abs(start), 'angle')} at the start, {show(abs(end), 'angle')} at the end"
        if min(abs(start), abs(end)) >= SQUARE_RAD:
            text += ", the same way" if start * end > 0.0 else ", toward each other"
        found.append((across, text))
    return found or [("both", "square at both ends")]


def _member(name: str, cut: MemberCut, per_mm: float) -> _Row:
    """Seen square to its width, its height, or both, whichever the mitres are in."""
    lean = np.max(np.abs(cut.mitres_rad), axis=0)
    axes = [axis for axis in (0, 1) if lean[axis] >= SQUARE_RAD] or [0]
    sizes = (cut.section.width_mm, cut.section.height_mm)
    notes = [
        f"{cut.section.name}, {show(cut.middle_mm, 'length')} along the middle",
        f"longest edge {show(cut.longest_mm, 'length')}, shortest edge {show(cut.shortest_mm, 'length')}",
        *(f"across {across}: {text}" if across != "both" else text for across, text in mitre_words(cut)),
        f"held at one end, at most {_stiff(cut, 0)} across its width and {_stiff(cut, 1)} across its height",
    ]
    heights = [sizes[axis] * per_mm + 22.0 for axis in axes]

    def draw(canvas: Canvas, top: float) -> None:
        _heading(canvas, name, notes, top)
        y = top + 3.0
        for axis, height in zip(axes, heights, strict=True):
            _edge_view(canvas, cut, axis, sizes[axis], y, per_mm)
            y += height

    return _Row(max(sum(heights) + 2.0, _notes_height(notes)), draw)


def _stiff(cut: MemberCut, axis: int) -> str:
    return show(cut.stiffness_n_per_mm[axis], "stiffness")


def _edge_view(canvas: Canvas, cut: MemberCut, axis: int, size: float, top: float, per_mm: float) -> None:
    """The member lying level, its start to the left."""
    slopes = np.tan(cut.mitres_rad[:, axis])
    half = size / 2
    # Upper edge at +half, lower at -half; the start lies at half times the slope along the member.
    starts = {sign: sign * half * slopes[0] for sign in (1, -1)}
    ends = {sign: cut.middle_mm + sign * half * slopes[1] for sign in (1, -1)}
    origin = _LEFT - min(starts.values()) * per_mm
    middle = top + 8.0 + half * per_mm

    def at(along: float, sign: float) -> Point:
        return origin + along * per_mm, middle - sign * half * per_mm

    corners = [at(starts[1], 1), at(ends[1], 1), at(ends[-1], -1), at(starts[-1], -1)]
    canvas.polygon(corners, MIDDLE)
    canvas.line(at(-4.0 / per_mm, 0), at(cut.middle_mm + 4.0 / per_mm, 0), _CENTRE)
    level(canvas, corners[0], corners[1], top + 4.0, show(ends[1] - starts[1], "length"))
    level(canvas, corners[3], corners[2], middle + half * per_mm + 6.5, show(ends[-1] - starts[-1], "length"))
    right = max(corners[1][0], corners[2][0])
    upright(canvas, corners[1], corners[2], right + 6.0, show(size, "length"))
    canvas.text((_LEFT - 3.0, middle + 0.9), "start", _TEXT, "end")


_TOLD = {Measured.ALONG_LEG: "along the leg, on the slant", Measured.ACROSS_MEMBER: "square across the member"}
_OTHER = {Measured.ALONG_LEG: Measured.ACROSS_MEMBER, Measured.ACROSS_MEMBER: Measured.ALONG_LEG}


def _infill_reach(cut: CornerInfill) -> float:
    return _legs(cut)[1] + 12.0


def _legs(cut: CornerInfill) -> tuple[float, float]:
    """Along a leg from the corner to the member's near and far edge. [mm]"""
    near = cut.inside_mm / (2 * math.sin(cut.mitre_rad))
    return near, near + cut.foot_mm


def _infill(name: str, cut: CornerInfill, per_mm: float) -> _Row:
    corner = 2 * cut.mitre_rad
    along = cut.measured is Measured.ALONG_LEG
    told = _TOLD[cut.measured]
    near, far = _legs(cut)
    other = corner_infill(near, cut.foot_mm if along else cut.width_mm, _OTHER[cut.measured], corner)
    notes = [
        f"across a corner of {show(corner, 'angle')}, both ends mitred by {show(cut.mitre_rad, 'angle')}, mirrored",
        f"outside edge {show(cut.outside_mm, 'length')}, inside edge {show(cut.inside_mm, 'length')}",
        f"the width was told {told}: {show(cut.foot_mm if along else cut.width_mm, 'length')}",
        f"so the bar is {show(cut.width_mm, 'length')} wide square across, and takes {show(cut.foot_mm, 'length')} of "
        "each leg",
        f"told the other way, {_TOLD[_OTHER[cut.measured]]}, the same figure would make the outside edge "
        f"{show(other.outside_mm, 'length')}",
    ]
    reach = far + 10.0
    high = reach * max(math.sin(corner), 0.0)
    beyond = reach * max(-math.cos(corner), 0.0)

    def draw(canvas: Canvas, top: float) -> None:
        _heading(canvas, name, notes, top)
        foot: Point = (_LEFT + 6.0 + beyond * per_mm, top + 10.0 + high * per_mm)

        def at(length: float, angle: float) -> Point:
            return foot[0] + length * math.cos(angle) * per_mm, foot[1] - length * math.sin(angle) * per_mm

        canvas.line(foot, at(reach, 0.0), THICK)
        canvas.line(foot, at(reach, corner), THICK)
        canvas.polygon([at(near, 0.0), at(far, 0.0), at(far, corner), at(near, corner)], MIDDLE)
        level(canvas, foot, at(near, 0.0), foot[1] + 9.0, show(near, "length"))
        if along:
            level(canvas, at(near, 0.0), at(far, 0.0), foot[1] + 9.0, show(cut.foot_mm, "length"))
        else:
            middle = [((a[0] + b[0]) / 2, (a[1] + b[1]) / 2) for a, b in (
                (at(near, 0.0), at(near, corner)), (at(far, 0.0), at(far, corner)))]  # fmt: skip
            aligned(canvas, middle[0], middle[1], 0.0, show(cut.width_mm, "length"))
        aligned(canvas, at(far, 0.0), at(far, corner), 5.0, show(cut.outside_mm, "length"))
        aligned(canvas, at(near, corner), at(near, 0.0), 5.0, show(cut.inside_mm, "length"))

    return _Row(max(high * per_mm + 26.0, _notes_height(notes)), draw)


def _lines(note: str) -> list[str]:
    return wrapped(note.replace(" mm", "\u00a0mm"), _TEXT, WIDTH_MM - _NOTES - 4.0, 6)


def _notes_height(notes: list[str]) -> float:
    return 8.0 + sum(_LINE * len(_lines(note)) + 0.8 for note in notes)


def _heading(canvas: Canvas, name: str, notes: list[str], top: float) -> None:
    canvas.text((1.0, top), shortened(name, 2.8, _NOTES - 6.0, bold=True), 2.8, bold=True)
    y = top + 4.5
    for note in notes:
        canvas.text((_NOTES, y), "–", _TEXT)
        for line in _lines(note):
            canvas.text((_NOTES + 3.0, y), line, _TEXT)
            y += _LINE
        y += 0.8
