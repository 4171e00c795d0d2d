"""Every figure of a description with its evidence: what the plan rests on."""

from __future__ import annotations

from dataclasses import dataclass

from conversion.description import Description, Place
from conversion.description.complaints import dotted
from conversion.description.walk import figures_of
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
    """All figures of the conversion file, then those of each part file, once a file, in the order written.

    What a search may move and is to find, and what may pass unnoticed, are wishes, and count as no figures.
    """
    found = [
        StatedFigure("", path, figure, figure.evidence or description.conversion.evidence, description.place(*path))
        for path, figure in figures_of(description.conversion)
        if path[0] not in ("search", "limits")
    ]
    for reference, part, source in description.part_files():
        found += [
            StatedFigure(reference, path, figure, figure.evidence or part.evidence, source.place(*path))
            for path, figure in figures_of(part)
        ]
    return tuple(found)
