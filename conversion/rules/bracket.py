"""Whether what is made for the fit can be cut and drilled as it is described."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.registry import COMMON_PRACTICE, Found, rule


@rule("fit/cannot-be-cut", severity="FIX", sources=(COMMON_PRACTICE,))
def cannot_be_cut(plan: Plan) -> Iterator[Found]:
    """A member of the bracket, or the lever, cannot be made as it is described.

    Why: a cut that lies along its own bar, or a hole that runs into the next, is seen at the saw otherwise, and the
    piece is then made by eye.
    Found in:
        conversion: fit.members.arm.end.face = [-0.67, 0, 0.74]
        conversion: fit.bodies.lever = {thickness: 95 mm, hole: 6 mm, bore: 90 mm}
    Put right:
        conversion: fit.members.arm.end.face = up
        conversion: fit.bodies.lever = {thickness: 14 mm, hole: 6 mm, bore: 8 mm}
    Not seen: whether it is strong enough.
    """
    fit = plan.fit
    if fit is None:
        return
    for lacking in fit.not_cut:
        yield Found(
            lacking.path,
            lacking.place,
            f"{lacking.path} {lacking.state}.",
            "Look at the points of its ends and at the way that each face looks.",
        )
    web = fit.lever_web_mm
    if web is not None and web <= 0.0:
        yield Found(
            "fit.bodies.lever",
            plan.description.place("fit", "bodies", "lever"),
            f"The lever's hole and bore overlap by {show(-web, 'length')}; metal should be left between them.",
            "Measure both again, and the distance from the lever's axis to the pin.",
        )
