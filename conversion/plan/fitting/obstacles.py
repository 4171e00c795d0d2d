"""What may be in the way, as solid bodies with the clearance that each wants."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from conversion.description import Missing
from conversion.description.fit_forms import FitForm, Obstacle, ObstacleKind
from conversion.fit import AnyBody, Body, Bulkhead, Kind, Turn, Wanted, bent_bulkhead, capsule, half_space, prism, swept
from conversion.fit.bodies import FIXED
from conversion.linkage.turning import Array, pad_radius_mm
from conversion.plan.fitting.figures import NO_FIT, FitFigures

# A swept pedal is taken at angles this close. [rad]
SWEEP_STEP_RAD = float(np.radians(3.0))
# What a builder calls a brake pedal is another pedal to the geometry; all other words are the same.
_KINDS: dict[ObstacleKind, Kind] = {"brake pedal": Kind.OTHER_PEDAL}
AS_DESCRIBED = "as described"


@dataclass(frozen=True)
class Standing:
    """One described obstacle.

    Attributes:
        name: As the builder calls it.
        path: Where it stands in the conversion file.
        kind: The builder's word for what it is.
        bodies: Its solid, or the flat parts of a bulkhead.
        at_rest: The same of another pedal before it is pressed; else as ``bodies``.
        flats: Flat parts of a bulkhead that a recess can go into; empty for anything else.
        wanted: The clearance that the description asks for; None for the default of its kind.
        uncertain_mm: How far it may stand from where it is described. [mm]
        behind_bulkhead: True if only a recess could meet it.
        pad_mm: Centre of another pedal's pad at rest, (3,); None if not described. [mm]
        thickness_mm: Of a bulkhead's sheet; None if not described. [mm]
        turn: Of another pedal over its travel; None if not described.
    """

    name: str
    path: tuple[str, ...]
    kind: ObstacleKind
    bodies: tuple[AnyBody, ...]
    at_rest: tuple[AnyBody, ...]
    flats: tuple[Bulkhead, ...]
    wanted: Wanted | None
    uncertain_mm: float
    behind_bulkhead: bool
    pad_mm: Array | None = None
    thickness_mm: float | None = None
    turn: Turn | None = None


def stand(figures: FitFigures, form: FitForm, pad_mm: Array) -> tuple[Standing | Missing, ...]:
    """Every described obstacle, or the Missing that keeps it from being placed; the heel last."""
    found: list[Standing | Missing] = []
    for name, obstacle in form.obstacles.items():
        try:
            found.append(_standing(figures, name, obstacle, pad_mm))
        except Missing as missing:
            found.append(missing)
    if form.bodies.heel is not None:
        try:
            figures.start()
            heel = figures.block("heel", Kind.SHOE, form.bodies.heel, "bodies", "heel")
            found.append(
                Standing("heel", ("bodies", "heel"), "shoe", (heel,), (heel,), (), None, figures.uncertain_mm, False)
            )
        except Missing as missing:
            found.append(missing)
    return tuple(found)


def _standing(figures: FitFigures, name: str, obstacle: Obstacle, pad_mm: Array) -> Standing:
    path = ("obstacles", name)
    figures.start()
    wanted = None
    if "clearance" in obstacle.model_fields_set:
        asked = figures.figure(obstacle.clearance, *path, "clearance").nominal
        wanted = Wanted(asked, "the description asks for it", AS_DESCRIBED)
    flats = _flats(figures, name, obstacle, pad_mm) if obstacle.kind == "bulkhead" else ()
    pad = figures.point(obstacle.travel.pad, *path, "travel", "pad") if obstacle.travel else None
    at_rest: tuple[AnyBody, ...] = tuple(flat.body for flat in flats) or (_body(figures, name, obstacle),)
    bodies, turn = at_rest, None
    if obstacle.travel is not None:
        turn = _travel(figures, obstacle, name, pad)
        bodies = tuple(swept(body, turn) for body in at_rest if isinstance(body, Body))
    thick = obstacle.thickness.nominal if obstacle.thickness is not None else None
    uncertain, behind = figures.uncertain_mm, obstacle.behind_bulkhead
    return Standing(name, path, obstacle.kind, bodies, at_rest, flats, wanted, uncertain, behind, pad, thick, turn)


def _body(figures: FitFigures, name: str, obstacle: Obstacle) -> Body:
    kind = _KINDS.get(obstacle.kind) or Kind(obstacle.kind)
    moves = FIXED if obstacle.moves == "fixed" else obstacle.moves
    path = ("obstacles", name)
    if obstacle.plane is not None:
        return half_space(
            name, kind, figures.point(obstacle.plane.point, *path, "plane", "point"), obstacle.plane.outward
        )
    if obstacle.bar is not None:
        ends = (figures.point(getattr(obstacle.bar, key), *path, "bar", key) for key in ("start", "end"))
        start, end = ends
        radius = figures.most(obstacle.bar.radius, *path, "bar", "radius")
        if not np.any(start != end):
            place = figures.description.place("fit", *path, "bar")
            raise Missing(f"fit.obstacles.{name}.bar", place, NO_FIT, "has both its ends at the same point")
        return capsule(name, kind, start, end, radius, moves)
    if obstacle.block is not None:
        return figures.block(name, kind, obstacle.block, *path, "block", moves_with=moves)
    outline = obstacle.outline
    assert outline is not None, "an obstacle has one shape"
    corners = figures.corners(outline.corners, *path, "outline", "corners")
    low, high = (figures.figure(getattr(outline, key), *path, "outline", key).nominal for key in ("from_y", "to_y"))
    return prism(name, kind, corners, low, high, moves)


def _flats(figures: FitFigures, name: str, obstacle: Obstacle, pad_mm: Array) -> tuple[Bulkhead, ...]:
    path = ("obstacles", name)
    # A sheet without a described thickness still is in the way; only its recess needs the figure.
    thick = obstacle.thickness.nominal if obstacle.thickness is not None else 1.0
    if obstacle.plane is not None:
        point, out = figures.point(obstacle.plane.point, *path, "plane", "point"), np.array(obstacle.plane.outward)
        if abs(out[1]) > 0.99:
            place = figures.description.place("fit", *path, "plane", "outward")
            raise Missing(
                f"fit.obstacles.{name}.plane.outward", place, NO_FIT, "faces sideways; a bulkhead faces the pedal"
            )
        return (Bulkhead(name, point, out, thick),)
    if obstacle.sheet is None:
        return ()
    sheet = obstacle.sheet
    corners = figures.corners(sheet.corners, *path, "sheet", "corners")
    low, high = (figures.figure(getattr(sheet, key), *path, "sheet", key).nominal for key in ("from_y", "to_y"))
    try:
        return bent_bulkhead(name, corners, low, high, thick, pad_mm[[0, 2]])
    except ValueError as error:
        place = figures.description.place("fit", *path, "sheet")
        raise Missing(f"fit.obstacles.{name}.sheet", place, NO_FIT, f"cannot be placed: {error}") from None


def _travel(figures: FitFigures, obstacle: Obstacle, name: str, pad: Array | None) -> Turn:
    travel, path = obstacle.travel, ("obstacles", name, "travel")
    assert travel is not None and pad is not None
    pivot, axis = figures.point(travel.pivot, *path, "pivot"), np.array(travel.axis)
    radius = float(pad_radius_mm(pivot, axis, pad))
    if not radius > 0.0:
        place = figures.description.place("fit", *path, "pad")
        raise Missing(f"fit.obstacles.{name}.travel.pad", place, NO_FIT, "lies on that pedal's axis")
    angle = figures.most(travel.at_pad, *path, "at_pad") / radius
    steps = max(2, int(np.ceil(angle / SWEEP_STEP_RAD)) + 1)
    sense = 1.0 if travel.presses == "clockwise" else -1.0
    return Turn(pivot, axis * sense, np.linspace(0.0, angle, steps))
