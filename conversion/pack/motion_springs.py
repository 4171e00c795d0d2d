"""Springs of the moving side view, drawn as zigzags between their ends."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description.places import Point
from conversion.description.spring_forms import CompressionSpring, ExtensionSpring
from conversion.linkage import turned
from conversion.linkage.turning import Array
from conversion.pack.motion_stops import in_picture
from conversion.pack.moving import Moving
from conversion.plan import Plan
from conversion.quantities import Quantity

_TURNS = 7


def springs_of(plan: Plan) -> Iterator[Moving]:
    """Extension and compression springs whose ends are known, from the fixed end to the moving one."""
    travel = plan.travel
    linkage = travel.geometry.linkage
    for form in plan.description.conversion.springs.values():
        if not isinstance(form, ExtensionSpring | CompressionSpring):
            continue
        fixed, moving = _known(form.fixed_end), _known(form.moving_end)
        if fixed is None or moving is None:
            continue
        if form.acts_on == "pedal":
            moved = turned(moving, linkage.pedal_pivot, linkage.pressing_axis, travel.pedal_rad)
        else:
            moved = turned(moving, linkage.module_pivot, linkage.opening_axis, travel.lever_rad)
        yield Moving(
            "line", "spring", _zigzag(in_picture(fixed), in_picture(moved), travel.geometry.pad_radius_mm / 100.0)
        )


def _known(point: Point) -> Array | None:
    """A point in the vehicle; None where one of its figures is not known."""
    figures = [figure.nominal for figure in point if isinstance(figure, Quantity)]
    return np.array(figures) if len(figures) == 3 else None


def _zigzag(fixed: Array, moved: Array, aside: float) -> Array:
    along = moved - fixed
    with np.errstate(divide="ignore", invalid="ignore"):
        unit = along / np.linalg.norm(along, axis=-1, keepdims=True)
    square = np.stack([-unit[:, 1], unit[:, 0]], axis=-1)
    steps = np.linspace(0.12, 0.88, 2 * _TURNS + 1)
    sides = np.array([0.0, *([1.6, -1.6] * _TURNS)[: 2 * _TURNS - 1], 0.0]) * aside
    middle = fixed + steps[None, :, None] * along[:, None, :] + sides[None, :, None] * square[:, None, :]
    return np.concatenate([np.broadcast_to(fixed, moved.shape)[:, None, :], middle, moved[:, None, :]], axis=1)
