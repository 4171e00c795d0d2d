"""What is in the way of the moving pedal: its outline in the picture, and the clearance to it at each position."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from conversion.description import Missing
from conversion.fit import AnyBody, Body, Kind, gap_at_mm
from conversion.fit.bodies import FIXED, HalfSpace, Placed
from conversion.linkage.turning import Array
from conversion.pack.motion_stops import in_picture
from conversion.pack.moving import Moving, still
from conversion.plan import POSITIONS
from conversion.plan.fitting.fit import Fit
from conversion.plan.fitting.recess import RecessPlan

_ROUND = np.stack([np.cos(np.linspace(0.0, 2.0 * np.pi, 17)), np.sin(np.linspace(0.0, 2.0 * np.pi, 17))], axis=-1)
_ENDLESS_MM = 1e4


@dataclass(frozen=True)
class Nearness:
    """The clearance to one obstacle over the travel.

    Attributes:
        name: Of the obstacle.
        least_mm: To the part that is nearest to it, (positions,); nan where the linkage does not close. [mm]
        part: That part at each position.
        wanted_mm: What is wanted between the two. [mm]
        short: True where any part is nearer to it than is wanted for that part, as planned.
    """

    name: str
    least_mm: Array
    part: tuple[str, ...]
    wanted_mm: tuple[float, ...]
    short: tuple[bool, ...]


def nearnesses(fit: Fit) -> list[Nearness]:
    """The clearance to each obstacle of the moving parts that come near it, the nearest obstacle first."""
    insides = [plan.recess.inside for plan in planned_recesses(fit)]
    count = min(POSITIONS, len(fit.poses))
    pairs: dict[str, list[tuple[str, float, Array]]] = {}
    for each in fit.clearances:
        body = fit.body(each.clearance.body)
        solids = insides if each.in_recess else each.obstacle.bodies
        solid = next((solid for solid in solids if solid.name == each.clearance.obstacle), None)
        if body is None or solid is None or each.still:
            continue
        gaps = np.full(POSITIONS, np.nan)
        gaps[:count] = gap_at_mm(body, solid, fit.poses, np.arange(count))
        pairs.setdefault(each.obstacle.name, []).append((body.name, each.clearance.wanted.clearance_mm, gaps))
    found = [_nearness(name, told) for name, told in pairs.items()]
    return sorted(found, key=lambda each: float(np.nanmin(each.least_mm)))


def _nearness(name: str, told: Sequence[tuple[str, float, Array]]) -> Nearness:
    gaps = np.stack([each for _, _, each in told])
    wanted = np.array([each for _, each, _ in told])
    nearest = np.argmin(np.where(np.isnan(gaps), np.inf, gaps), axis=0)
    return Nearness(
        name,
        gaps[nearest, np.arange(POSITIONS)],
        tuple(told[index][0] for index in nearest),
        tuple(float(wanted[index]) for index in nearest),
        tuple(np.any(gaps < wanted[:, None], axis=0).tolist()),
    )


def in_the_way(fit: Fit) -> Iterator[Moving]:
    """Outlines of the obstacles, of the shoe and of the module's body, to be drawn behind the linkage."""
    for standing in fit.obstacles:
        for body in standing.at_rest:
            yield from _outlines(body, fit, "obstacle", standing.name)
    for recess in planned_recesses(fit):
        yield from _outlines(recess.recess.inside, fit, "recess", "recess")
    for body in fit.bodies:
        if body.kind in (Kind.SHOE, Kind.MODULE):
            yield from _outlines(body, fit, "housing", body.name)


def planned_recesses(fit: Fit) -> tuple[RecessPlan, ...]:
    """The recesses of a fit; none where one cannot be worked out, as then the bulkhead stands as it is."""
    try:
        return fit.recesses
    except Missing:
        return ()


def _outlines(body: AnyBody, fit: Fit, look: str, name: str) -> Iterator[Moving]:
    if not isinstance(body, Body):
        return
    for piece in body.placed(fit.poses):
        if isinstance(piece, Placed):
            corners = in_picture(piece.corners_mm[:POSITIONS])
            moves = len(corners) == POSITIONS and body.moves_with != FIXED
            outlines = [_outline(points, piece.piece.radius_mm) for points in (corners if moves else corners[:1])]
            most = max(len(each) for each in outlines)
            # Seen from the side the number of corners may change on the way; a point told twice does no harm.
            rows = [np.concatenate([each, np.repeat(each[-1:], most - len(each), axis=0)]) for each in outlines]
            yield Moving("line", look, np.stack(rows) if moves else still(rows[0]), title=name)
        else:
            yield from _plane(piece, look, name)


def _plane(space: HalfSpace, look: str, name: str) -> Iterator[Moving]:
    """The trace of a plane without end in the side plane; one that leans sideways has none."""
    normal = in_picture(space.normal)
    size = float(np.linalg.norm(normal))
    if size < 0.99:
        return
    point, along = normal / size**2 * space.offset_mm, np.array([-normal[1], normal[0]]) / size
    inward = -normal / size * _ENDLESS_MM
    ends = np.stack([point - along * _ENDLESS_MM, point + along * _ENDLESS_MM])
    yield Moving("line", look, still(np.concatenate([ends, ends[::-1] + inward, ends[:1]])), title=name)


def _outline(points: Array, radius: float) -> Array:
    """The closed convex outline of some points of the picture, each grown by a radius."""
    if radius > 0.0:
        points = (points[:, None, :] + radius * _ROUND).reshape(-1, 2)
    ordered = points[np.lexsort((points[:, 1], points[:, 0]))]
    halves = [_half(ordered), _half(ordered[::-1])]
    return np.concatenate([halves[0][:-1], halves[1]])


def _half(ordered: Array) -> Array:
    kept: list[Array] = []
    for point in ordered:
        while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0.0:
            kept.pop()
        kept.append(point)
    return np.stack(kept)


def _turn(one: Array, two: Array, three: Array) -> float:
    first, second = two - one, three - one
    return float(first[0] * second[1] - first[1] * second[0])
