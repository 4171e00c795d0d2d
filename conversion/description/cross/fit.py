"""Faults of the fit that show only against the rest: what is absent and described, bodies the linkage has not."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, quoted
from conversion.description.cross.wording import at
from conversion.description.described import Description


def fit(description: Description) -> Iterator[Complaint]:
    form = description.conversion.fit
    if form is None:
        return
    described = {obstacle.kind: quoted(name) for name, obstacle in form.obstacles.items()}
    if form.bodies.shoe is not None:
        described.setdefault("shoe", "bodies.shoe")
    for kind in form.absent:
        if kind in described:
            yield at(
                description, ("fit", "absent", kind), f"the {kind} is said to be absent, and {described[kind]} is one"
            )
    linkage = description.conversion.linkage
    if linkage is None:
        return
    bodies, path = form.bodies, ("fit", "bodies")
    if bodies.crank is not None and linkage.kind != "bell-crank":
        yield at(description, (*path, "crank"), f"this linkage is of the kind '{linkage.kind}' and has no bell-crank")
    if bodies.lever is not None and linkage.kind == "direct":
        yield at(description, (*path, "lever"), "the module's own pedal is kept here, so there is no lever besides it")
    if bodies.link is not None and linkage.kind in ("contact", "direct"):
        yield at(description, (*path, "link"), f"a linkage of the kind '{linkage.kind}' has no link between two ends")
