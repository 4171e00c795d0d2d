"""Faults of the fit that show only when all of it is seen: what is absent and described all the same."""

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
