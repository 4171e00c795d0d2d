"""Faults of the study: a shape for a figure that is not there, or that has no tolerance."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description.complaints import Complaint, dotted, quoted
from conversion.description.cross.wording import at, unknown
from conversion.description.described import Description, Step
from conversion.description.study_forms import groups
from conversion.description.walk import figures_of

# What readings of a tape stand under; the study varies the point that they place.
_READINGS = ("from", "angles")


def shapes(description: Description) -> Iterator[Complaint]:
    """Complaints about names that the study does not know."""
    form = description.conversion.study
    if form is None or not form.shapes:
        return
    stated = dict(_stated(description))
    toleranced = {group for name, has_tolerance in stated.items() if has_tolerance for group in groups(name)}
    exact = {group for name in stated for group in groups(name)}
    for name in form.shapes:
        path = ("study", "shapes", name)
        if name in toleranced:
            continue
        if name in exact:
            text = f"{quoted(name)} has no tolerance, so there is nothing to vary; write one such as '182 mm ± 1 mm'."
            yield at(description, path, text)
        else:
            yield unknown(description, path, name, sorted(toleranced), "figure that the study varies called")


def _stated(description: Description) -> Iterator[tuple[str, bool]]:
    """Names of figures with whether each has a tolerance; a tape always has one, so what it places has one too."""
    for path, figure in figures_of(description.conversion.linkage, ("linkage",)):
        point = _point_of(path)
        if point != path:
            yield from ((dotted((*point, axis)), True) for axis in range(3))
        elif figure.dimension in ("length", "angle"):
            yield dotted(path), figure.has_tolerance
    module, unit = description.pedal_module, description.control_unit
    if module is not None:
        reference, part = module
        for path, figure in figures_of(part):
            if path[0] == "tracks" or path in (("lever", "swing"), ("lever", "full_at")):
                yield f"{reference}: {dotted(path)}", figure.has_tolerance
    if unit is not None:
        reference, controller = unit
        for path, figure in figures_of(controller):
            if (path[0] == "supplies" and path[-1] == "voltage") or path[-2:] == ("pull", "resistance"):
                yield f"{reference}: {dotted(path)}", figure.has_tolerance


def _point_of(path: tuple[Step, ...]) -> tuple[Step, ...]:
    """The point, where the path leads to a reading of a tape."""
    for index, step in enumerate(path):
        if step in _READINGS:
            return path[:index]
    return path
