"""The linkage as points in space, gathered for the side view: three positions, stops, springs and the pad's arc."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from conversion.description import Description
from conversion.description.places import Point
from conversion.description.spring_forms import CompressionSpring, ExtensionSpring
from conversion.drawings.side_link import LinkPose, crank_pivot, lever_end_at, link_pose
from conversion.linkage.turning import Array, foot_of, turned
from conversion.plan import POSITIONS, Plan
from conversion.plan.link.travel import Travel
from conversion.quantities import show

REST, HALF, FULL = 0, POSITIONS // 2, POSITIONS - 1


@dataclass(frozen=True)
class Pose:
    """The moving points at one position, (3,) each. [mm]

    Attributes:
        pad: Centre of the pad.
        pad_ends: Two ends of the pad's face, along the arm.
        link: What lies between pedal and lever.
    """

    pad: Array
    pad_ends: tuple[Array, Array]
    link: LinkPose


@dataclass(frozen=True)
class SceneSpring:
    """A spring with its ends, (3,) each. [mm]

    Attributes:
        name: As the builder calls it.
        kind: ``extension``, ``compression`` or ``torsion``.
        ends: Fixed end, moving end with the pedal at rest and at full; None for a torsion spring.
        around: Pivot that a torsion spring is wound about.
    """

    name: str
    kind: str
    ends: tuple[Array, Array, Array] | None
    around: Array


@dataclass(frozen=True)
class SceneBolt:
    """The bolt of a ball joint, the pedal at rest.

    Attributes:
        at: Centre of the ball, (3,). [mm]
        along: Unit vector along the bolt, (3,).
        words: How far the rod leans, and how far it may.
    """

    at: Array
    along: Array
    words: str


@dataclass(frozen=True)
class Scene:
    """Everything that the side view shows, in vehicle axes. [mm]

    Attributes:
        travel: What was computed.
        device: Reference of the pedal module.
        mount: How the pedal is hung.
        poses: At rest, half way and at full.
        pad_arc: Places of the pad's centre from rest to full, (positions, 3).
        pad_foot: Point of the pedal's axis beside the pad.
        pin_foot: Point of the pedal's axis beside the end of its lug.
        lever_foot: Point of the lever's axis beside the end of its arm.
        lever_stops: End of the lever's arm on the module's own rest and full stops; empty where it has none.
        crank_pivot: Where a bell-crank turns; None for other kinds.
        springs: Those that the builder describes with places that are known.
        bolts: Those of the rods' ball joints that are described.
    """

    travel: Travel
    device: str
    mount: Literal["pendant", "floor-hinged"]
    poses: tuple[Pose, Pose, Pose]
    pad_arc: Array
    pad_foot: Array
    pin_foot: Array
    lever_foot: Array
    lever_stops: tuple[Array, ...]
    crank_pivot: Array | None
    springs: tuple[SceneSpring, ...]
    bolts: tuple[SceneBolt, ...]


def gather_scene(plan: Plan) -> Scene:
    """The scene of a plan.

    Raises:
        Missing: The travel rests on a figure that is not known.
    """
    travel = plan.travel
    form = plan.description.conversion.linkage
    assert form is not None, "the travel was computed from it"
    linkage = travel.geometry.linkage
    pad_arc = turned(travel.geometry.pad_mm, linkage.pedal_pivot, linkage.pressing_axis, travel.pedal_rad)
    pad_foot = foot_of(linkage.pedal_pivot, linkage.pedal_axis, travel.geometry.pad_mm)
    stops = lever_end_at(travel.solution, [0.0, travel.geometry.swing_rad[0]])
    lever_foot = foot_of(linkage.module_pivot, linkage.module_axis, stops[0]) if stops else linkage.module_pivot
    lug_end = link_pose(travel.solution, REST).lug_end
    half_pad = half_pad_mm(plan)
    return Scene(
        travel=travel,
        device=form.module.device,
        mount=form.pedal.mount,
        poses=(
            _pose(travel, pad_arc, pad_foot, half_pad, REST),
            _pose(travel, pad_arc, pad_foot, half_pad, HALF),
            _pose(travel, pad_arc, pad_foot, half_pad, FULL),
        ),
        pad_arc=pad_arc,
        pad_foot=pad_foot,
        pin_foot=pad_foot if lug_end is None else foot_of(linkage.pedal_pivot, linkage.pedal_axis, lug_end),
        lever_foot=lever_foot,
        lever_stops=stops,
        crank_pivot=crank_pivot(travel.solution),
        springs=_springs(plan.description, travel, pad_foot, lever_foot),
        bolts=tuple(_bolts(plan)),
    )


def _bolts(plan: Plan) -> Iterator[SceneBolt]:
    for end in plan.rod_ends:
        ball = end.ball_mm[REST]
        if np.all(np.isfinite(ball)) and np.any(np.isfinite(end.lean_rad)):
            words = f"bolt at the {end.where}: rod leans up to {show(float(np.nanmax(end.lean_rad)), 'angle')}"
            limit = f" of {show(end.limit.low, 'angle')}" if end.limit is not None else ", no limit described"
            yield SceneBolt(ball, np.array(end.form.bolt), words + limit)


def half_pad_mm(plan: Plan) -> float:
    """Half the length of the drawn pad. No description says how long a pad is; it is a share of its arm. [mm]"""
    form = plan.description.conversion.linkage
    assert form is not None, "asked once the travel was computed from it"
    return (0.3 if form.pedal.mount == "floor-hinged" else 0.08) * plan.travel.geometry.pad_radius_mm


def _pose(travel: Travel, pad_arc: Array, pad_foot: Array, half_pad: float, index: int) -> Pose:
    pad = pad_arc[index]
    along = (pad - pad_foot) / np.linalg.norm(pad - pad_foot)
    return Pose(pad, (pad - half_pad * along, pad + half_pad * along), link_pose(travel.solution, index))


def _springs(description: Description, travel: Travel, pad_foot: Array, lever_foot: Array) -> tuple[SceneSpring, ...]:
    linkage = travel.geometry.linkage
    found = []
    for name, form in description.conversion.springs.items():
        on_pedal = form.acts_on == "pedal"
        around = pad_foot if on_pedal else lever_foot
        ends = None
        if isinstance(form, ExtensionSpring | CompressionSpring):
            fixed, moving = _known(form.fixed_end), _known(form.moving_end)
            pivot = linkage.pedal_pivot if on_pedal else linkage.module_pivot
            axis = linkage.pressing_axis if on_pedal else linkage.opening_axis
            angle = travel.pedal_rad if on_pedal else np.nan_to_num(travel.lever_rad)
            if fixed is None or moving is None:
                continue
            at_rest, at_full = turned(moving, pivot, axis, angle[[REST, FULL]])
            ends = (fixed, at_rest, at_full)
        found.append(SceneSpring(name, form.type, ends, around))
    return tuple(found)


def _known(point: Point) -> Array | None:
    if not isinstance(point, list) or any(figure is None for figure in point):
        return None
    return np.array([figure.nominal for figure in point if figure is not None])
