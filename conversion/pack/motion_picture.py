"""The linkage from the car's left as lines and dots that move: true to scale, one unit a millimetre.

Front is to the left. Places in the picture are −x and −z of the vehicle's axes, so that a place can be read back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from conversion.description.spring_forms import CompressionSpring, ExtensionSpring
from conversion.linkage import BellCrankMotion, CableMotion, ContactMotion, DirectMotion, turned
from conversion.linkage.turning import Array, across
from conversion.pack.moving import Moving, still
from conversion.plan import Plan
from conversion.plan.travel import Travel

_PARTS = 120.0
_MARGIN = 6.0
_TURNS = 7


@dataclass(frozen=True)
class Picture:
    """The moving side view.

    Attributes:
        box: Left, top, width and height of what is shown. [mm]
        unit: What lines are as wide as; grows with the picture. [mm]
        shapes: In the order in which they are drawn.
        bar_mm: Length of the scale bar. [mm]
    """

    box: tuple[float, float, float, float]
    unit: float
    shapes: tuple[Moving, ...]
    bar_mm: float


def side_picture(plan: Plan) -> Picture:
    """The picture of a plan.

    Raises:
        Missing: The travel rests on a figure that is not known.
    """
    travel = plan.travel
    form = plan.description.conversion.linkage
    assert form is not None, "the travel was computed from it"
    linkage = travel.geometry.linkage
    pad = turned(travel.geometry.pad_mm, linkage.pedal_pivot, linkage.pressing_axis, travel.pedal_rad)
    foot = _foot(linkage.pedal_pivot, linkage.pedal_axis, travel.geometry.pad_mm)
    arm = (pad - foot) / travel.geometry.pad_radius_mm
    # No description says how long a pad is; it is drawn as a share of its arm.
    half_pad = (0.3 if form.pedal.mount == "floor-hinged" else 0.08) * travel.geometry.pad_radius_mm
    pad_ends = np.stack([pad - half_pad * arm, pad + half_pad * arm], axis=-2)

    body = [*_pedal_shapes(travel, foot, pad, pad_ends), *_link_shapes(travel)]
    springs = list(_springs(plan))
    low, high = _extent([*body, *springs])
    unit = float(np.max(high - low)) / _PARTS
    shapes = [
        *_mount(_side(foot), unit, down=form.pedal.mount == "floor-hinged"),
        Moving("line", "arc", still(_side(pad))),
        *_pedal_stops(_side(foot), _side(pad), unit),
        *_lever_stops(travel, unit),
        *springs,
        *body,
        *_bearings(travel, _side(foot), unit),
        *_pins(travel, unit),
    ]
    low, high = _extent(shapes)
    low, high = low - _MARGIN * unit, high + _MARGIN * unit
    # The scale bar and the words about the front stand below.
    high[1] += 7.0 * unit
    return Picture((*low.tolist(), *(high - low).tolist()), unit, tuple(shapes), _bar(float(high[0] - low[0])))


def _side(points: Array) -> Array:
    """Places in the picture of points in the vehicle, (..., 3) to (..., 2)."""
    return np.stack([-points[..., 0], -points[..., 2]], axis=-1)


def _foot(pivot: Array, axis: Array, point: Array) -> Array:
    arm = point - pivot
    return np.asarray(pivot + arm - across(axis, arm))


def _joined(*points: Array) -> Array:
    """Points, each (3,) or (positions, 3), as one line a position."""
    count = max(len(point) for point in points if point.ndim == 2)
    return _side(np.stack([np.broadcast_to(point, (count, 3)) for point in points], axis=-2))


def _bar_like(look: str, places: Array) -> Iterator[Moving]:
    """A round-ended bar: a wide dark line under a narrower light one."""
    yield Moving("line", f"{look} edge", places, ghost=True)
    yield Moving("line", f"{look} core", places)


def _pedal_shapes(travel: Travel, foot: Array, pad: Array, pad_ends: Array) -> Iterator[Moving]:
    motion, linkage = travel.solution, travel.geometry.linkage
    if not isinstance(motion, DirectMotion):
        pin = motion.pedal_pin_mm
        if isinstance(motion, ContactMotion):
            on_pedal = motion.linkage.roller_on == "pedal"
            pin = motion.roller_mm if on_pedal else motion.on_face(motion.linkage.face_point)
        yield from _bar_like("lug", _joined(_foot(linkage.pedal_pivot, linkage.pedal_axis, pin[0]), pin))
    yield from _bar_like("arm", _joined(foot, pad))
    yield Moving("line", "pad", _side(pad_ends), ghost=True)


def _link_shapes(travel: Travel) -> Iterator[Moving]:
    """Lever and link, whatever kind the linkage is."""
    motion = travel.solution
    lines = [_side(line) for line in motion.link_lines_mm()]
    if isinstance(motion, DirectMotion):
        return
    foot, end = _lever_foot(travel), _lever_end(travel)
    if isinstance(motion, CableMotion):
        yield Moving("line", "quadrant", _side(_quadrant(travel)))
        yield from (Moving("line", "cable", line, ghost=True) for line in lines)
        return
    yield from _bar_like("lever", _joined(foot, end))
    if isinstance(motion, ContactMotion):
        face, rim = lines
        yield Moving("line", "roller", rim, ghost=True)
        yield Moving("line", "face", face, ghost=True)
    elif isinstance(motion, BellCrankMotion):
        first, crank, second = lines
        yield from _bar_like("lever", crank)
        yield from (shape for rod in (first, second) for shape in _bar_like("rod", rod))
    else:
        yield from (shape for rod in lines for shape in _bar_like("rod", rod))


def _lever_foot(travel: Travel) -> Array:
    linkage = travel.geometry.linkage
    ends = _lever_end(travel)
    known = ends[np.all(np.isfinite(ends), axis=-1)]
    return _foot(linkage.module_pivot, linkage.module_axis, known[0]) if len(known) else linkage.module_pivot


def _lever_end(travel: Travel) -> Array:
    """The end of the lever as it is drawn, (positions, 3): its pin, its nipple, its roller or its face."""
    motion = travel.solution
    if isinstance(motion, CableMotion):
        return motion.link_lines_mm()[1][:, -1, :]
    if isinstance(motion, ContactMotion):
        on_lever = motion.linkage.roller_on == "lever"
        return motion.roller_mm if on_lever else motion.on_face(motion.linkage.face_point)
    return motion.lever_pin_mm


def _quadrant(travel: Travel) -> Array:
    """The sector of the quadrant that the inner lies on at rest, turning with the lever; (positions, points, 3)."""
    motion, linkage = travel.solution, travel.geometry.linkage
    known = np.flatnonzero(np.isfinite(motion.lever_angle_rad))
    if not len(known):
        return np.full((len(motion.lever_angle_rad), 1, 3), np.nan)
    start = int(known[0])
    angle = motion.lever_angle_rad - motion.lever_angle_rad[start]
    rim = motion.link_lines_mm()[1][start, 1:, :]
    points = [turned(point, linkage.module_pivot, linkage.opening_axis, angle) for point in rim]
    hub = np.broadcast_to(_foot(linkage.module_pivot, linkage.module_axis, rim[-1]), points[0].shape)
    return np.stack([hub, *points, hub], axis=-2)


def _springs(plan: Plan) -> Iterator[Moving]:
    travel = plan.travel
    linkage = travel.geometry.linkage
    for form in plan.description.conversion.springs.values():
        if not isinstance(form, ExtensionSpring | CompressionSpring):
            continue
        ends = []
        for end in (form.fixed_end, form.moving_end):
            known = [figure.nominal for figure in end if figure is not None]
            ends.append(np.array(known) if len(known) == 3 else None)
        fixed, moving = ends
        if fixed is None or moving is None:
            continue
        if form.acts_on == "pedal":
            moved = turned(moving, linkage.pedal_pivot, linkage.pressing_axis, travel.pedal_rad)
        else:
            moved = turned(moving, linkage.module_pivot, linkage.opening_axis, travel.lever_rad)
        yield Moving("line", "spring", _zigzag(_side(fixed), _side(moved), travel.geometry.pad_radius_mm / 100.0))


def _zigzag(fixed: Array, moved: Array, aside: float) -> Array:
    along = moved - fixed
    with np.errstate(divide="ignore", invalid="ignore"):
        unit = along / np.linalg.norm(along, axis=-1, keepdims=True)
    square = np.stack([-unit[:, 1], unit[:, 0]], axis=-1)
    steps = np.linspace(0.12, 0.88, 2 * _TURNS + 1)
    sides = np.array([0.0, *([1.6, -1.6] * _TURNS)[: 2 * _TURNS - 1], 0.0]) * aside
    middle = fixed + steps[None, :, None] * along[:, None, :] + sides[None, :, None] * square[:, None, :]
    return np.concatenate([np.broadcast_to(fixed, moved.shape)[:, None, :], middle, moved[:, None, :]], axis=1)


def _mount(pivot: Array, unit: float, *, down: bool) -> Iterator[Moving]:
    """What the pedal hangs from or stands on, for the eye: its place is not described."""
    side = 7.0 * unit if down else -7.0 * unit
    across_by = np.array([3.0 * unit, 0.0])
    foot = pivot + np.array([0.0, side])
    yield Moving("line", "mount", still(np.stack([pivot, foot - across_by, foot + across_by, pivot])))
    yield Moving("line", "wall", still(np.stack([foot - 2.0 * across_by, foot + 2.0 * across_by])))


def _pedal_stops(foot: Array, pad: Array, unit: float) -> Iterator[Moving]:
    """How far along the arm they sit is not described."""
    for here, inner in ((pad[0], pad[1]), (pad[-1], pad[-2])):
        yield from _wall(foot, here, here - inner, 0.55, 2.0 * unit, 4.0 * unit)


def _lever_stops(travel: Travel, unit: float) -> Iterator[Moving]:
    """The module's own stops, where the lever meets them."""
    linkage, motion = travel.geometry.linkage, travel.solution
    known = np.flatnonzero(np.isfinite(travel.lever_rad))
    if isinstance(motion, DirectMotion) or not len(known):
        return
    start = int(known[0])
    swing = np.array([0.0, travel.geometry.swing_rad[0]]) - travel.lever_rad[start]
    ends = _side(turned(_lever_end(travel)[start], linkage.module_pivot, linkage.opening_axis, swing))
    foot = _side(_lever_foot(travel))
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


def _bearings(travel: Travel, foot: Array, unit: float) -> Iterator[Moving]:
    yield Moving("dot", "bearing", still(foot[None, :]), 2.0 * unit)
    motion = travel.solution
    if not isinstance(motion, DirectMotion):
        yield Moving("dot", "bearing", still(_side(_lever_foot(travel))[None, :]), 2.0 * unit)
    if isinstance(motion, BellCrankMotion):
        yield Moving("dot", "bearing", still(_side(motion.linkage.crank_pivot)[None, :]), 1.6 * unit)
    if isinstance(motion, CableMotion):
        for end in (motion.linkage.pedal_outer_end, motion.linkage.module_outer_end):
            yield Moving("dot", "outer", still(_side(end)[None, :]), 1.3 * unit)


def _pins(travel: Travel, unit: float) -> Iterator[Moving]:
    motion = travel.solution
    if isinstance(motion, DirectMotion):
        return
    yield Moving("dot", "pin pedal-pin", _side(motion.pedal_pin_mm)[:, None, :], unit)
    yield Moving("dot", "pin lever-pin", _side(motion.lever_pin_mm)[:, None, :], unit)
    if isinstance(motion, CableMotion):
        yield Moving("dot", "pin", _side(_lever_end(travel))[:, None, :], unit)
    if isinstance(motion, BellCrankMotion):
        crank = _side(motion.link_lines_mm()[1])
        yield Moving("dot", "pin", crank[:, :1, :], unit)
        yield Moving("dot", "pin", crank[:, 2:, :], unit)


def _extent(shapes: list[Moving]) -> tuple[Array, Array]:
    points = np.concatenate([shape.places.reshape(-1, 2) for shape in shapes])
    points = points[np.all(np.isfinite(points), axis=-1)]
    return points.min(axis=0), points.max(axis=0)


def _bar(width: float) -> float:
    """A round length of a fifth to a half of the picture's width."""
    power = 10.0 ** np.floor(np.log10(width / 2.0))
    return float(next(factor * power for factor in (5.0, 2.0, 1.0) if factor * power <= width / 2.0))
