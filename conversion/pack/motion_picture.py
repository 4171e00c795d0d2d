"""The linkage from the car's left as lines and dots that move: true to scale, one unit a millimetre.

Front is to the left. Places in the picture are −x and −z of the vehicle's axes, so that a place can be read back.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from conversion.description.spring_forms import CompressionSpring, ExtensionSpring
from conversion.drawings.side_scene import half_pad_mm
from conversion.linkage import BellCrankMotion, CableMotion, ContactMotion, DirectMotion, turned
from conversion.linkage.turning import Array, foot_of
from conversion.pack.motion_labels import Label, place_labels
from conversion.pack.motion_springs import springs_of
from conversion.pack.motion_stops import (
    bearings,
    in_picture,
    lever_end,
    lever_foot,
    lever_stops,
    mount,
    pedal_stops,
    pins,
)
from conversion.pack.moving import Moving, still
from conversion.plan import Plan
from conversion.plan.link.travel import Travel

_PARTS = 120.0
_MARGIN = 6.0
_LINES = 38.0
# How far beyond the linkage what is in the way is shown, as a share of the linkage's size.
_NEAR = 0.22


@dataclass(frozen=True)
class Picture:
    """The moving side view.

    Attributes:
        box: Left, top, width and height of what is shown. [mm]
        unit: What lines are as wide as; grows with the picture. [mm]
        shapes: In the order in which they are drawn.
        bar_mm: Length of the scale bar. [mm]
        caption: What is to scale and what is not.
        labels: Names of what is in the way.
        letters: Height of their letters. [mm]
    """

    box: tuple[float, float, float, float]
    unit: float
    shapes: tuple[Moving, ...]
    bar_mm: float
    caption: str
    labels: tuple[Label, ...]
    letters: float


def side_picture(plan: Plan, behind: Sequence[Moving] = ()) -> Picture:
    """The picture of a plan.

    Args:
        plan: What was computed.
        behind: What stands behind the linkage; shown as far as it is near.

    Raises:
        Missing: The travel rests on a figure that is not known.
    """
    travel = plan.travel
    form = plan.description.conversion.linkage
    assert form is not None, "the travel was computed from it"
    linkage = travel.geometry.linkage
    pad = turned(travel.geometry.pad_mm, linkage.pedal_pivot, linkage.pressing_axis, travel.pedal_rad)
    foot = foot_of(linkage.pedal_pivot, linkage.pedal_axis, travel.geometry.pad_mm)
    arm = (pad - foot) / travel.geometry.pad_radius_mm
    half_pad = half_pad_mm(plan)
    pad_ends = np.stack([pad - half_pad * arm, pad + half_pad * arm], axis=-2)

    body = [*_pedal_shapes(travel, foot, pad, pad_ends), *_link_shapes(travel)]
    springs = list(springs_of(plan))
    low, high = _extent([*body, *springs])
    unit = float(np.max(high - low)) / _PARTS
    shapes = [
        *behind,
        *mount(in_picture(foot), unit, down=form.pedal.mount == "floor-hinged"),
        Moving("line", "arc", still(in_picture(pad))),
        *pedal_stops(in_picture(foot), in_picture(pad), unit),
        *lever_stops(travel, unit),
        *springs,
        *body,
        *bearings(travel, in_picture(foot), unit),
        *pins(travel, unit),
    ]
    low, high = _extent(shapes[len(behind) :])
    low, high = low - _MARGIN * unit, high + _MARGIN * unit
    if behind:
        near, far = (_NEAR * float(np.max(high - low)) * sign for sign in (-1.0, 1.0))
        points = np.concatenate([shape.places.reshape(-1, 2) for shape in behind])
        points = np.clip(points, low + near, high + far)
        low, high = np.minimum(low, points.min(axis=0)), np.maximum(high, points.max(axis=0))
    letters = float(np.max(high - low)) / _LINES
    labels = place_labels(behind, _along(body), low, high, letters)
    # The scale bar stands below.
    high[1] += 7.0 * unit
    width, height = (float(value) for value in high - low)
    box = (float(low[0]), float(low[1]), width, height)
    return Picture(box, unit, tuple(shapes), _bar(width), _caption(plan, bool(behind)), tuple(labels), letters)


def _caption(plan: Plan, with_obstacles: bool) -> str:
    said = [
        "From the car's left, front to the left, true to scale. Thin dashed: half way; thin dotted: at full; on "
        "paper the whole linkage is shown at rest. Shapes of arm, pad and mount, and how far along the arm the stops "
        "sit, are drawn for the eye."
    ]
    if isinstance(plan.travel.solution, CableMotion):
        said.append("The dotted line joins the ends of the outer; the way it takes is not drawn.")
    drawn = (ExtensionSpring, CompressionSpring)
    if any(not isinstance(form, drawn) for form in plan.description.conversion.springs.values()):
        said.append("Torsion springs are not drawn.")
    if with_obstacles:
        said.append(
            "Behind it, as far as it is near: what is in the way, shoe and module; what lies beside the linkage seems "
            "to overlap it here, so go by the clearances, which are found in space."
        )
    return " ".join(said)


def _joined(*points: Array) -> Array:
    """Points, each (3,) or (positions, 3), as one line a position."""
    count = max(len(point) for point in points if point.ndim == 2)
    return in_picture(np.stack([np.broadcast_to(point, (count, 3)) for point in points], axis=-2))


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
        yield from _bar_like("lug", _joined(foot_of(linkage.pedal_pivot, linkage.pedal_axis, pin[0]), pin))
    yield from _bar_like("arm", _joined(foot, pad))
    yield Moving("line", "pad", in_picture(pad_ends), ghost=True)


def _link_shapes(travel: Travel) -> Iterator[Moving]:
    """Lever and link, whatever kind the linkage is."""
    motion = travel.solution
    lines = [in_picture(line) for line in motion.link_lines_mm()]
    if isinstance(motion, DirectMotion):
        return
    foot, end = lever_foot(travel), lever_end(travel)
    if isinstance(motion, CableMotion):
        yield Moving("line", "quadrant", in_picture(_quadrant(travel)))
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
    hub = np.broadcast_to(foot_of(linkage.module_pivot, linkage.module_axis, rim[-1]), points[0].shape)
    return np.stack([hub, *points, hub], axis=-2)


def _along(shapes: Sequence[Moving]) -> Array:
    """Points all along some lines, at every fifth position."""
    shares = np.linspace(0.0, 1.0, 12)[:, None]
    found = []
    for shape in shapes:
        points = shape.places[::5]
        between = points[:, :-1, None, :] + shares * (points[:, 1:, None, :] - points[:, :-1, None, :])
        found.append(between.reshape(-1, 2))
    row = np.concatenate(found)
    return row[np.all(np.isfinite(row), axis=-1)]


def _extent(shapes: list[Moving]) -> tuple[Array, Array]:
    points = np.concatenate([shape.places.reshape(-1, 2) for shape in shapes])
    points = points[np.all(np.isfinite(points), axis=-1)]
    return points.min(axis=0), points.max(axis=0)


def _bar(width: float) -> float:
    """A round length of a fifth to a half of the picture's width."""
    power = 10.0 ** np.floor(np.log10(width / 2.0))
    return float(next(factor * power for factor in (5.0, 2.0, 1.0) if factor * power <= width / 2.0))
