"""Every figure of a description with its evidence: what the plan rests on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from conversion.description import Description, Place
from conversion.description.complaints import dotted
from conversion.quantities import Evidence, Quantity

Step = str | int


@dataclass(frozen=True, slots=True)
class StatedFigure:
    """One figure and where it came from.

    Attributes:
        device: Reference of the device whose part file states it; empty for the conversion file.
        path: Steps to it in that file.
        figure: The figure itself.
        evidence: Its own evidence, or the default of its file.
        place: Where it stands.
    """

    device: str
    path: tuple[Step, ...]
    figure: Quantity
    evidence: Evidence
    place: Place

    @property
    def name(self) -> str:
        """As documents write it."""
        return f"{self.device}: {dotted(self.path)}" if self.device else dotted(self.path)


def stated_figures(description: Description) -> tuple[StatedFigure, ...]:
    """All figures of the conversion file, then those of each part file, once a file, in the order written."""
    found = [
        StatedFigure("", path, figure, figure.evidence or description.conversion.evidence, description.place(*path))
        for path, figure in _walk(description.conversion, ())
    ]
    for reference, part, source in description.part_files():
        found += [
            StatedFigure(reference, path, figure, figure.evidence or part.evidence, source.place(*path))
            for path, figure in _walk(part, ())
        ]
    return tuple(found)


def _walk(value: object, path: tuple[Step, ...]) -> Iterator[tuple[tuple[Step, ...], Quantity]]:
    if isinstance(value, Quantity):
        yield path, value
    elif isinstance(value, BaseModel):
        for name in (field for field in type(value).model_fields if field in value.model_fields_set):
            info = type(value).model_fields[name]
            yield from _walk(getattr(value, name), (*path, info.alias or name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _walk(item, (*path, key))
    elif isinstance(value, list | tuple):
        for index, item in enumerate(value):
            yield from _walk(item, (*path, index))
