"""What every drawing is: a picture with its name, its words and its size on paper."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Drawing:
    """One finished picture.

    Attributes:
        name: File stem, such as ``circuit-pedal``; lower case, digits and hyphens.
        title: Heading in documents.
        caption: What it shows, its scale or side, and what it does not show; one or two sentences.
        svg: The whole SVG document, without an XML prolog.
        width_mm: Width at which it is meant to be printed. [mm]
        height_mm: Height at which it is meant to be printed. [mm]
    """

    name: str
    title: str
    caption: str
    svg: str
    width_mm: float
    height_mm: float
