"""Every figure of the description in words, with what it rests on and how to measure it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from conversion.checklist.figure_names import figure_name
from conversion.checklist.saying import window
from conversion.description import Description, Place
from conversion.plan import Plan, StatedFigure
from conversion.plan.measuring import how_to_measure
from conversion.quantities import Quantity, show, unit_of

NOT_KNOWN = "not known"

Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class FigureLine:
    """One figure of the description.

    Attributes:
        name: In words, with the device where a part file states it.
        value: Rounded for print; ``not known`` where the builder does not know it yet.
        tolerance: Empty where it has none, or where the value is a range.
        evidence: ``measured``, ``documented``, ``assumed``, or empty where it is not known.
        place: Where it stands: file, line and column.
        how: How to measure it, where it is assumed or not known; empty otherwise.
        unit: Unit in which a measured value is written.
        contact: Title of the crimp contact that it is a figure of; empty for all others.
    """

    name: str
    value: str
    tolerance: str
    evidence: str
    place: Place
    how: str
    unit: str
    contact: str = ""


def evidence_table(plan: Plan) -> tuple[FigureLine, ...]:
    """Every figure, also those not known yet: the conversion file first, then part by part, line by line."""
    description = plan.description
    lines = [_stated(description, figure) for figure in plan.figures] + list(_all_unknown(description))
    files = [description.source.name, *(source.name for source in description.part_sources.values())]
    return tuple(sorted(lines, key=lambda line: (files.index(line.place.file), line.place, line.name)))


def _stated(description: Description, stated: StatedFigure) -> FigureLine:
    figure = stated.figure
    is_range = ".." in figure.text
    # A tenth of a millimetre is all that a crimp may be off.
    dimension = "crimp" if "crimp_height" in stated.path else figure.dimension
    return FigureLine(
        name=figure_name(stated.device, stated.path),
        value=window(figure) if is_range else show(figure.nominal, dimension),
        tolerance="" if is_range else tolerance_text(figure, dimension),
        evidence=stated.evidence,
        place=stated.place,
        how=how_to_measure(stated.path) if stated.evidence == "assumed" else "",
        unit=unit_of(figure.dimension),
        contact=_contact(description, stated),
    )


def _contact(description: Description, stated: StatedFigure) -> str:
    """Title of the contact that a figure belongs to: of a housing, or of one place in it."""
    if not stated.device or stated.path[0] != "housings" or "contact" not in stated.path:
        return ""
    housing = description.parts[stated.device].housings[str(stated.path[1])]
    holder = housing if stated.path[2] == "contact" else housing.cavities[str(stated.path[3])]
    return holder.contact.title if holder.contact else ""


def tolerance_text(figure: Quantity, dimension: str | None = None) -> str:
    """How far a figure may lie off: ``± 1.0 mm``, or its limits where the two sides differ.

    Args:
        figure: The figure.
        dimension: How it is printed; left out, by its own.

    Example:
        >>> from conversion.quantities import parse
        >>> tolerance_text(parse("182 mm ± 1 mm", "length")), tolerance_text(parse("182 mm", "length"))
        ('± 1.0 mm', '')
    """
    if not figure.has_tolerance:
        return ""
    dimension = dimension or figure.dimension
    above, below = (show(side, dimension) for side in (figure.high - figure.nominal, figure.nominal - figure.low))
    if above == below and above != show(0.0, dimension):
        return f"± {above}"
    return figure.text


def _all_unknown(description: Description) -> Iterator[FigureLine]:
    for path, dimension in _unknown(description.conversion, ()):
        yield _not_known("", path, dimension, description.place(*path))
    for reference, part, source in description.part_files():
        for path, dimension in _unknown(part, ()):
            yield _not_known(reference, path, dimension, source.place(*path))


def _not_known(device: str, path: Path, dimension: str, place: Place) -> FigureLine:
    return FigureLine(figure_name(device, path), NOT_KNOWN, "", "", place, how_to_measure(path), unit_of(dimension))


def _unknown(value: object, path: Path) -> Iterator[tuple[Path, str]]:
    """Path and dimension of every figure that was written as not known."""
    if isinstance(value, BaseModel):
        for name, key, dimension in _fields(type(value)):
            if name in value.model_fields_set:
                yield from _unknown_in(getattr(value, name), (*path, key), dimension)
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _unknown(item, (*path, key))
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            yield from _unknown(item, (*path, index))


@cache
def _fields(model: type[BaseModel]) -> tuple[tuple[str, str, str | None], ...]:
    """Name, key and dimension of each field of a model, which are the same for all that is written."""
    return tuple((name, info.alias or name, _dimension(info)) for name, info in model.model_fields.items())


def _unknown_in(value: object, path: Path, dimension: str | None) -> Iterator[tuple[Path, str]]:
    # A pull resistor may be unknown as a whole.
    if value is None and path[-1] == "pull":
        dimension = "resistance"
    if dimension is None:
        yield from _unknown(value, path)
    elif value is None:
        yield path, dimension
    elif isinstance(value, list | dict):
        each = value.items() if isinstance(value, dict) else enumerate(value)
        yield from (((*path, step), dimension) for step, item in each if item is None)


def _dimension(info: FieldInfo) -> str | None:
    """What a field holds figures of; None for a field that holds something else."""
    queue: list[Any] = [*info.metadata, info.annotation]
    for item in queue:
        if getattr(item, "is_figure", False):
            return str(item.dimensions[0])
        queue += [*getattr(item, "__metadata__", ()), *get_args(item)]
    return None
