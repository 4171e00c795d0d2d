"""Faults of the fit that show only when all of it is seen: what is absent and described all the same, and slips."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, quoted
from conversion.description.cross.wording import at
from conversion.description.described import Description
from conversion.description.fit_forms import FitForm
from conversion.description.walk import figures_of
from conversion.quantities import show

FARTHEST_MM = 5000.0
"""Nothing that a pedal could meet is larger, or farther from it, than a car is long. Common practice, no source."""
_ONLY_OF = {"outer": "cable", "crank": "bell-crank"}


def fit(description: Description) -> Iterator[Complaint]:
    form = description.conversion.fit
    if form is not None:
        yield from _absent(description, form)
        yield from _of_another_linkage(description, form)
        yield from _out_of_the_car(description, form)


def _absent(description: Description, form: FitForm) -> Iterator[Complaint]:
    described = {obstacle.kind: quoted(name) for name, obstacle in form.obstacles.items()}
    if form.bodies.shoe is not None:
        described.setdefault("shoe", "bodies.shoe")
    for kind in form.absent:
        if kind in described:
            yield at(
                description, ("fit", "absent", kind), f"the {kind} is said to be absent, and {described[kind]} is one"
            )


def _of_another_linkage(description: Description, form: FitForm) -> Iterator[Complaint]:
    linkage = description.conversion.linkage
    for key, kind in _ONLY_OF.items():
        if linkage is not None and linkage.kind != kind and key in form.bodies.model_fields_set:
            yield at(
                description,
                ("fit", "bodies", key),
                f"only a linkage of kind {kind} has that, and this one is of kind {linkage.kind}; leave '{key}' out",
            )


def _out_of_the_car(description: Description, form: FitForm) -> Iterator[Complaint]:
    for path, figure in figures_of(form, ("fit",)):
        if figure.dimension == "length" and max(abs(figure.low), abs(figure.high)) > FARTHEST_MM:
            yield at(
                description,
                path,
                f"{quoted(figure.text)} is more than {show(FARTHEST_MM, 'length')}, and nothing beside a pedal is; "
                "look at the unit and the decimal point",
            )
