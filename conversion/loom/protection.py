"""What goes round a bundle and what holds it: sleeve, hole and grommet, clips, and how sharply it may bend."""

from __future__ import annotations

import math
from dataclasses import dataclass

from conversion.description.run_forms import Zone

FREE_BEND = 10.0
"""Least radius of a bend over the diameter of the bundle. FAA AC 43.13-1B, paragraph 11-96 (from memory)."""
HELD_BEND = 3.0
"""The same where the bundle is held on both sides of the bend."""
GROMMET_WALL_MM = 2.0
"""Of a grommet round the bundle. Common practice, no source."""

# Distance of the first clip from a station, so that no branch is pulled. Common practice, no source.
_FROM_STATION_MM = 50.0
# Bore of clips that can be had. Common practice, no source.
_CLIPS_MM = (3.0, 5.0, 6.0, 8.0, 10.0, 13.0, 16.0, 19.0, 22.0, 25.0, 28.0, 32.0, 38.0, 44.0, 50.0, 63.0, 75.0)


@dataclass(frozen=True, slots=True)
class _Kind:
    """One kind of covering.

    Attributes:
        words: What to buy.
        sizes_mm: Bore and outside of what can be had, thinnest first; empty where it is wound on.
        wall_mm: What is wound on, or the wall beyond the widest size. [mm]
        solid: Share of the wall that is material.
    """

    words: str
    sizes_mm: tuple[tuple[float, float], ...]
    wall_mm: float
    solid: float


# Bores and outsides of corrugated tubes from memory; the others common practice, no source.
_TUBES_MM = (
    (4.5, 7.3), (6.5, 10.0), (9.8, 13.0), (12.0, 15.8), (16.5, 21.2), (22.6, 28.5), (28.0, 34.5), (36.0, 42.5),
    (47.0, 54.5),
)  # fmt: skip
_BORES_MM = (4.0, 6.0, 8.0, 10.0, 12.0, 14.0, 16.0, 20.0, 25.0, 30.0, 40.0, 50.0)
_TAPE = _Kind("cloth tape, wound half overlapping", (), 0.6, 1.0)
_COVERS: dict[Zone, _Kind] = {
    "cabin": _TAPE,
    "engine bay": _Kind("slit corrugated tube", _TUBES_MM, 3.0, 0.3),
    "wet": _Kind("closed corrugated tube, ends sealed with lined heat-shrink", _TUBES_MM, 3.0, 0.3),
    "hot": _Kind("coated glass-fibre sleeve", tuple((bore, bore + 2.0) for bore in _BORES_MM), 1.0, 0.6),
    "moving": _Kind("braided sleeve", tuple((bore, bore + 1.2) for bore in _BORES_MM), 0.6, 0.5),
}
_COVER_G_PER_CM3 = 1.3


@dataclass(frozen=True, slots=True)
class Cover:
    """What goes round a bundle.

    Attributes:
        words: What to buy, without its size.
        bore_mm: Inside of the tube or sleeve; None of tape, which is wound on. [mm]
        outside_mm: Of the covered bundle. [mm]
        g_per_m: Mass per length. [g/m]
    """

    words: str
    bore_mm: float | None
    outside_mm: float
    g_per_m: float


def cover_for(zone: Zone, diameter_mm: float) -> Cover:
    """The covering of a bundle: the thinnest of the zone's kind that takes it.

    Args:
        zone: What surrounds the run.
        diameter_mm: Of the bare bundle; positive. [mm]

    Returns:
        The covering. A bundle that is wider than every tube of the list is taped.

    Example:
        >>> cover_for("engine bay", 9.1).outside_mm, cover_for("cabin", 9.0).outside_mm
        (13.0, 10.2)
    """
    kind = _COVERS[zone]
    fitting = next((size for size in kind.sizes_mm if size[0] >= diameter_mm), None)
    if fitting is None:
        kind = _TAPE
    bore, outside = fitting or (diameter_mm, diameter_mm + 2.0 * kind.wall_mm)
    section_mm2 = math.pi / 4.0 * (outside**2 - bore**2) * kind.solid
    return Cover(kind.words, None if fitting is None else bore, outside, section_mm2 * _COVER_G_PER_CM3)


def wound_tape(diameter_mm: float) -> Cover:
    """The covering where no tube or sleeve goes. [mm]"""
    return cover_for("cabin", diameter_mm)


def least_hole_mm(outside_mm: float) -> float:
    """The least hole in sheet metal for a covered bundle with the grommet round it. [mm]"""
    return outside_mm + 2.0 * GROMMET_WALL_MM


def clip_bore_mm(outside_mm: float) -> float:
    """The clip for a covered bundle: the next of the list, or a whole millimetre beyond it. [mm]

    Example:
        >>> clip_bore_mm(10.2), clip_bore_mm(80.4)
        (13.0, 81.0)
    """
    return next((bore for bore in _CLIPS_MM if bore >= outside_mm), float(math.ceil(outside_mm)))


def clip_places_mm(length_mm: float, every_mm: float) -> tuple[float, ...]:
    """Where a run is held: near both stations and evenly between.

    Args:
        length_mm: Of the run; positive. [mm]
        every_mm: Greatest distance of two clips; positive. [mm]

    Returns:
        Distances from the run's first station, rising. [mm]

    Example:
        >>> clip_places_mm(1000.0, 300.0)
        (50.0, 350.0, 650.0, 950.0)
        >>> clip_places_mm(90.0, 300.0)
        (45.0,)
    """
    between_mm = length_mm - 2.0 * _FROM_STATION_MM
    if between_mm <= 0:
        return (length_mm / 2.0,)
    gaps = math.ceil(between_mm / every_mm - 1e-9)
    return tuple(_FROM_STATION_MM + between_mm * index / gaps for index in range(gaps + 1))
