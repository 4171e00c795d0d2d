"""Points that were measured with a tape: readings that disagree, and points that they do not hold."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from conversion.description import Place
from conversion.plan import Plan
from conversion.plan.tape.points import TapeResult
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

_LOOSE_MM = 5.0
_ALONG = ("forward", "to the left", "up")
_MORE = "Add a distance from a mark that lies in another direction, best square to the ones there are."


@rule("tape/readings-disagree", severity="FIX", sources=("least squares as in any textbook of surveying",))
def readings_disagree(plan: Plan) -> Iterator[Found]:
    """The readings from which a point was measured do not fit each other within their tolerances.

    Why: one of them is a slip of the tape, or of the pencil, and the point that is computed from all of them lies
    somewhere between right and wrong. Everything about the travel rests on it.
    Found in:
        conversion: linkage.module.pivot.from.B = 210.0 mm
    Put right:
        conversion: linkage.module.pivot.from.B = 202.0 mm
    Not seen: a slip that fits by chance, a mark that is farther off than its own tolerance, and a point with only three
    readings.
    """
    for result in plan.tape:
        if result.located.agrees:
            continue
        worst = int(np.argmax(np.abs(result.located.residuals_in_tolerances)))
        at = result.suspicion.reading
        # Where one stands out it may fit better than those that it drags along; its own misfit is told then.
        worst = worst if at is None else at
        reading = result.located.readings[worst]
        dimension = "angle" if reading.kind == "angle" else "length"
        fits = reading.value - float(result.located.residuals[worst])
        yield Found(
            result.name,
            _place(plan, result, at),
            f"The readings disagree: {reading.text} was read, and the point "
            f"that fits all readings best asks for {show(fits, dimension)}; they should agree within "
            f"{show(reading.tolerance, dimension)}.",
            result.suspicion.text,
        )


@rule("tape/point-not-held", severity="FIX", sources=(COMMON_PRACTICE,))
def point_not_held(plan: Plan) -> Iterator[Found]:
    """The readings leave a point free to move in some direction.

    Why: a point nearly in the plane of its marks, or nearly in line with them, can go in or out by much while every
    reading stays what it is.
    Found in:
        conversion: linkage.module.pivot = {from: {B: 201.5 mm, C: 109.5 mm, E: 193.0 mm}, side: back}
    Put right:
        conversion: linkage.module.pivot = {from: {A: 182.5 mm, B: 202.0 mm, C: 111.0 mm, D: 310.0 mm, E: 194.0 mm}}
    Not seen: marks that are farther off than their own tolerances.
    """
    for result in plan.tape:
        if not result.located.determined:
            yield Found(
                result.name,
                result.place,
                f"The readings do not hold the point: {_spread(result)}. It lies nearly in the plane of its marks, or "
                "in line with them.",
                _MORE,
            )


@rule("tape/point-loose", severity="NOTE", sources=(COMMON_PRACTICE,))
def point_loose(plan: Plan) -> Iterator[Found]:
    """The readings hold a point only to more than 5 mm in some direction.

    Why: readings from marks that lie close together, or all on one side, cross each other at a flat angle; a
    millimetre of tape then is many millimetres of point. The 5 mm are common practice.
    Found in:
        conversion: linkage.module.pivot = {from: {B: 202.0 mm, C: 111.0 mm, E: 194.0 mm}, side: back}
    Put right:
        conversion: linkage.module.pivot = {from: {A: 182.5 mm, B: 202.0 mm, C: 111.0 mm, D: 310.0 mm, E: 194.0 mm}}
    Not seen: marks that are farther off than their own tolerances.
    """
    for result in plan.tape:
        if result.located.determined and float(np.max(result.located.worst_mm)) > _LOOSE_MM:
            yield Found(
                result.name,
                result.place,
                f"The readings hold the point only to {_spread(result)}.",
                _MORE,
            )


def _place(plan: Plan, result: TapeResult, reading: int | None) -> Place:
    """The suspected reading, or the point where none stands out."""
    if reading is None:
        return result.place
    taken = result.readings[reading]
    steps = {"distance": ("from", taken.from_name), "angle": ("angles", taken.from_name)}
    return plan.written.place(*result.path, *steps.get(taken.kind, (taken.from_name,)))


def _spread(result: TapeResult) -> str:
    """How far each coordinate may be off, in words."""
    words = []
    for axis, worst in zip(_ALONG, result.located.worst_mm, strict=True):
        words.append(f"± {show(float(worst), 'length')} {axis}" if np.isfinite(worst) else f"not at all {axis}")
    return ", ".join(words)
