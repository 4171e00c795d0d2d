"""What lies between pedal and lever, kind by kind, as strokes and balls for the side view. Places in mm, (3,) each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import singledispatch
from typing import Literal

import numpy as np

from conversion.linkage import (
    BellCrankMotion,
    CableLinkage,
    CableMotion,
    ContactMotion,
    DirectMotion,
    Motion,
    RodSolution,
    turned,
)  # fmt: skip
from conversion.linkage.turning import Array, across, dot
from conversion.quantities import show

Style = Literal["rod", "arm", "inner", "outer", "groove", "face", "roller"]


@dataclass(frozen=True)
class Stroke:
    """A line of the link.

    Attributes:
        style: ``rod`` and ``arm`` (of a bell-crank) are bars; ``inner`` and ``outer`` of a cable; the ``groove`` of
            its quadrant; a ``face``; the rim of a ``roller``.
        points: Along it, (points, 3). [mm]
    """

    style: Style
    points: Array


@dataclass(frozen=True)
class LinkPose:
    """The link in one position.

    Attributes:
        lug_end: Where the pedal's lug ends; None where it has none.
        lever_end: Where the lever's arm ends; None where there is no lever of its own, or it is not known.
        strokes: What lies between.
        balls: Places drawn as a ball.
    """

    lug_end: Array | None
    lever_end: Array | None
    strokes: tuple[Stroke, ...]
    balls: tuple[Array, ...]


@dataclass(frozen=True)
class LinkWords:
    """Words for the margin, each about a place."""

    callouts: tuple[tuple[Array, str], ...]
    sideways: str
    """What runs sideways in the view from above; empty where nothing does."""


@singledispatch
def link_pose(motion: Motion, index: int) -> LinkPose:
    """The link of a motion in one position."""
    raise TypeError(f"no drawing of {type(motion).__name__}")


@singledispatch
def link_words(motion: Motion, swing_rad: float) -> LinkWords:
    """Words about the link as it stands in its first position."""
    raise TypeError(f"no words for {type(motion).__name__}")


def lever_end_at(motion: Motion, lever_rad: list[float]) -> tuple[Array, ...]:
    """Where the lever's arm ends at lever angles; nothing for a module's own pedal."""
    linkage = motion.linkage
    if isinstance(motion, DirectMotion):
        return ()
    if isinstance(motion, ContactMotion):
        contact = motion.linkage
        end = contact.face_point if contact.roller_on == "pedal" else contact.roller_centre
    elif isinstance(linkage, CableLinkage):
        end = _nipple(linkage)
    else:
        end = linkage.lever_pin_at_rest_stop  # type: ignore[attr-defined]
    return tuple(turned(end, linkage.module_pivot, linkage.opening_axis, lever_rad))


def crank_pivot(motion: Motion) -> Array | None:
    """Where a bell-crank turns, beside its first pin; None for other kinds."""
    if not isinstance(motion, BellCrankMotion):
        return None
    linkage = motion.linkage
    arm = linkage.crank_pin_in_at_rest - linkage.crank_pivot
    return np.asarray(linkage.crank_pivot + arm - across(linkage.crank_axis, arm))


def _at(points: Array, index: int) -> Array | None:
    point = points[index]
    return point if bool(np.all(np.isfinite(point))) else None


@link_pose.register
def _(motion: RodSolution, index: int) -> LinkPose:
    pedal, lever = motion.pedal_pin_mm[index], _at(motion.lever_pin_mm, index)
    if lever is None:
        return LinkPose(pedal, None, (), (pedal,))
    return LinkPose(pedal, lever, (Stroke("rod", np.stack([pedal, lever])),), (pedal, lever))


@link_words.register
def _(motion: RodSolution, swing_rad: float) -> LinkWords:
    linkage = motion.linkage
    pedal, lever = motion.pedal_pin_mm[0], _at(motion.lever_pin_mm, 0)
    gap = "" if lever is not None else "; it cannot close at rest"
    end = linkage.lever_pin_at_rest_stop if lever is None else lever
    return LinkWords(
        (
            (pedal, f"rod pin {_mm(linkage.pedal_radius_mm)} from the pedal's axis"),
            ((pedal + end) / 2.0, f"rod {_mm(linkage.rod_length_mm)} ball to\u00a0ball" + gap),
            _lever_words(linkage.module_pivot, linkage.module_axis, end, linkage.lever_radius_mm, "axis to ball"),
            (end, f"lever's pin, {_swing(swing_rad)}"),
        ),
        "rod runs",
    )


@link_pose.register
def _(motion: BellCrankMotion, index: int) -> LinkPose:
    pedal, lever = motion.pedal_pin_mm[index], _at(motion.lever_pin_mm, index)
    pin_in, pin_out = _at(motion.first.lever_pin_mm, index), _at(motion.second.pedal_pin_mm, index)
    pivot = crank_pivot(motion)
    strokes, balls = [], [pedal]
    if pin_in is not None and pin_out is not None and pivot is not None:
        strokes = [Stroke("arm", np.stack([pin_in, pivot])), Stroke("arm", np.stack([pivot, pin_out]))]
        strokes.append(Stroke("rod", np.stack([pedal, pin_in])))
        balls += [pin_in, pin_out]
        if lever is not None:
            strokes.append(Stroke("rod", np.stack([pin_out, lever])))
            balls.append(lever)
    return LinkPose(pedal, lever, tuple(strokes), tuple(balls))


@link_words.register
def _(motion: BellCrankMotion, swing_rad: float) -> LinkWords:
    linkage, second = motion.linkage, motion.linkage.second
    pedal, pin_in = motion.pedal_pin_mm[0], motion.first.lever_pin_mm[0]
    pin_out, lever = motion.second.pedal_pin_mm[0], motion.lever_pin_mm[0]
    pivot = crank_pivot(motion)
    said = [
        (pedal, f"rod pin {_mm(linkage.first.pedal_radius_mm)} from the pedal's axis"),
        ((pedal + pin_in) / 2.0, f"first rod {_mm(linkage.first_rod_length_mm)} ball to\u00a0ball"),
        (pivot, "pivot of the bell-crank"),
        (pin_in, f"first pin {_mm(linkage.first.lever_radius_mm)} from the crank's axis"),
        (pin_out, f"second pin {_mm(second.pedal_radius_mm)} from the crank's axis"),
        ((pin_out + lever) / 2.0, f"second rod {_mm(linkage.second_rod_length_mm)} ball to\u00a0ball"),
        _lever_words(linkage.module_pivot, linkage.module_axis, lever, second.lever_radius_mm, "axis to ball"),
        (lever, f"lever's pin, {_swing(swing_rad)}"),
    ]
    known = tuple((at, words) for at, words in said if at is not None and np.all(np.isfinite(at)))
    return LinkWords(known, "rods run")


@link_pose.register
def _(motion: CableMotion, index: int) -> LinkPose:
    pedal = motion.pedal_pin_mm[index]
    if not motion.exists[index]:
        return LinkPose(pedal, None, (), (pedal,))
    before, after = (line[index] for line in motion.link_lines_mm())
    linkage = motion.linkage
    nipple = after[-1]
    groove = _groove(motion, index)
    outer = _outer(linkage, before[0], after[1])
    strokes = (Stroke("outer", outer), Stroke("groove", groove), Stroke("inner", before), Stroke("inner", after))
    return LinkPose(pedal, nipple, strokes, (pedal, nipple))


@link_words.register
def _(motion: CableMotion, swing_rad: float) -> LinkWords:
    linkage = motion.linkage
    pedal, ends = motion.pedal_pin_mm[0], (linkage.pedal_outer_end, linkage.module_outer_end)
    radius = float(np.linalg.norm(across(linkage.pedal_axis, linkage.pedal_pin_at_rest - linkage.pedal_pivot)))
    said = [
        (pedal, f"cable pin {_mm(radius)} from the pedal's axis"),
        (ends[0], "end of the outer at the pedal"),
        (ends[1], "end of the outer at the module"),
    ]
    if motion.exists[0]:
        after = motion.link_lines_mm()[1][0]
        wrap = float(motion.lay.wrap_rad[0])
        kind = "round" if float(linkage.eccentricity_mm) < 1e-6 else "eccentric"
        said += [
            (_groove(motion, 0)[0], f"{kind} quadrant, groove {_mm(linkage.groove_radius_mm)} in radius"),
            (after[-1], f"nipple; {show(max(wrap, 0.0), 'angle')} wrapped at rest"),
        ]
    return LinkWords(tuple(said), "cable runs")


@link_pose.register
def _(motion: ContactMotion, index: int) -> LinkPose:
    face, rim = (line[index] for line in motion.link_lines_mm())
    roller, middle = motion.roller_mm[index], motion.on_face(motion.linkage.face_point)[index]
    on_pedal = motion.linkage.roller_on == "pedal"
    lug, lever = (roller, middle) if on_pedal else (middle, roller)
    strokes = [Stroke("face", face), Stroke("roller", rim)]
    if not motion.exists[index]:
        lever = None
    # Where they cannot touch, what is on the lever has no place.
    placed = tuple(stroke for stroke in strokes if np.all(np.isfinite(stroke.points)))
    return LinkPose(lug, lever if lever is not None and np.all(np.isfinite(lever)) else None, placed, ())


@link_words.register
def _(motion: ContactMotion, swing_rad: float) -> LinkWords:
    linkage = motion.linkage
    slid = motion.quantities()["slid_mm"]
    roller, middle = motion.roller_mm[0], motion.on_face(linkage.face_point)[0]
    lever = middle if linkage.roller_on == "pedal" else roller
    kind = "flat" if linkage.is_flat else "arched"
    reach = float(np.nanmax(slid) - np.nanmin(slid)) if np.any(np.isfinite(slid)) else float("nan")
    other = "lever" if linkage.roller_on == "pedal" else "pedal"
    arm = float(np.linalg.norm(across(linkage.module_axis, lever - linkage.module_pivot)))
    return LinkWords(
        (
            (roller, f"roller on the {linkage.roller_on}, {_mm(linkage.roller_radius_mm)} in radius"),
            (middle, f"{kind} face on the {other}; slides {_mm(reach)}"),
            _lever_words(linkage.module_pivot, linkage.module_axis, lever, np.array(arm), f"long; {_swing(swing_rad)}"),
        ),
        "",
    )


@link_pose.register
def _(motion: DirectMotion, index: int) -> LinkPose:
    return LinkPose(None, None, (), ())


@link_words.register
def _(motion: DirectMotion, swing_rad: float) -> LinkWords:
    return LinkWords(((motion.linkage.module_pivot, f"the module's own axis, {_swing(swing_rad)}"),), "")


def _nipple(linkage: CableLinkage) -> Array:
    """On the groove's circle, in the groove's plane; the described one gives the direction."""
    out = across(linkage.module_axis, linkage.nipple_at_rest_stop - linkage.groove_centre_at_rest_stop)
    return np.asarray(linkage.groove_centre_at_rest_stop + out / np.linalg.norm(out) * linkage.groove_radius_mm)


def _groove(motion: CableMotion, index: int) -> Array:
    linkage = motion.linkage
    lever = [float(motion.lever_angle_rad[index])]
    (centre,) = turned(linkage.groove_centre_at_rest_stop, linkage.module_pivot, linkage.opening_axis, lever)
    (nipple,) = turned(_nipple(linkage), linkage.module_pivot, linkage.opening_axis, lever)
    first = nipple - centre
    second = np.cross(linkage.module_axis, first)
    turns = np.linspace(0.0, 2.0 * np.pi, 49)[:, None] + np.pi * 0.75
    return np.asarray(centre + np.cos(turns) * first + np.sin(turns) * second)


def _outer(linkage: CableLinkage, pedal_pin: Array, leaves: Array) -> Array:
    """A smooth way between the outer's ends that leaves each in line with the inner; drawn for the eye."""
    start, end = linkage.pedal_outer_end, linkage.module_outer_end
    reach = 0.4 * float(np.linalg.norm(end - start))

    def ahead(inner: Array, at: Array) -> Array:
        way = at - inner
        size = float(np.linalg.norm(way))
        return np.asarray(way / size * reach) if size > 0.0 else np.zeros(3)

    one, two = start + ahead(pedal_pin, start), end + ahead(leaves, end)
    t = np.linspace(0.0, 1.0, 25)[:, None]
    return np.asarray((1 - t) ** 3 * start + 3 * (1 - t) ** 2 * t * one + 3 * (1 - t) * t**2 * two + t**3 * end)


def _lever_words(pivot: Array, axis: Array, end: Array, radius: Array, rest: str) -> tuple[Array, str]:
    foot = pivot + dot(end - pivot, axis) * axis
    return (foot + end) / 2.0, f"lever {_mm(radius)} {rest}"


def _swing(swing_rad: float) -> str:
    return f"swing {show(swing_rad, 'angle')} between the module's own stops"


def _mm(length_mm: Array | float) -> str:
    """A length that no line break parts from its unit."""
    return show(float(length_mm), "length").replace(" ", "\u00a0")
