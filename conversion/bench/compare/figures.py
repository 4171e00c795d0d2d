"""Figures that moved: those that the builder wrote, and those that follow from them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from conversion.bench.compare.names import Names
from conversion.bench.compare.told import computed_figures
from conversion.description import Description
from conversion.description.complaints import dotted
from conversion.description.walk import figures_of
from conversion.plan import Plan
from conversion.quantities import Quantity

_TOLD_ELSEWHERE = (("search",), ("loom", "wires"))
"""Wishes, and what the wires themselves tell."""


Path = tuple[str | int, ...]


@dataclass(frozen=True, slots=True)
class MovedFigure:
    """A figure that is another one now.

    Attributes:
        name: As documents write it.
        old: As it was, with its unit; None where it was not there, or not known.
        new: As it is, likewise.
    """

    name: str
    old: str | None
    new: str | None


def written_figures(old: Description, new: Description, names: Names) -> tuple[MovedFigure, ...]:
    """Figures of the descriptions that differ by their value or its limits; of devices, those that are in both.

    A figure of a part that several devices use is one figure, with all their names.
    """
    before = {dotted(_now(path, names)): figure for path, figure in _conversion_figures(old)}
    after = {dotted(path): figure for path, figure in _conversion_figures(new)}
    found = [MovedFigure(*each) for each in _apart(before, after)]
    users: dict[tuple[str, str | None, str | None], list[str]] = {}
    for reference, now in names.devices.items():
        for moved in _apart(_part_figures(old, reference), _part_figures(new, now)):
            users.setdefault(moved, []).append(now)
    found += [MovedFigure(f"{', '.join(devices)}: {name}", *texts) for (name, *texts), devices in users.items()]
    return tuple(found)


def moved_figures(old: Plan, new: Plan, names: Names) -> tuple[MovedFigure, ...]:
    """Computed figures that a document would print otherwise."""
    before = {name: told.shown for name, told in computed_figures(old, names.runs, names.stations).items()}
    after = {name: told.shown for name, told in computed_figures(new, {}, {}).items()}
    return tuple(
        MovedFigure(name, before.get(name), after.get(name))
        for name in dict.fromkeys((*after, *before))
        if before.get(name) != after.get(name)
    )


def _conversion_figures(description: Description) -> Iterator[tuple[Path, Quantity]]:
    for path, figure in figures_of(description.conversion):
        if not any(path[: len(start)] == start for start in _TOLD_ELSEWHERE):
            yield path, figure


def _part_figures(description: Description, device: str) -> dict[str, Quantity]:
    return {dotted(path): figure for path, figure in figures_of(description.parts[device])}


def _now(path: Path, names: Names) -> Path:
    """The way to a figure by the names that things have in the new description."""
    for start, called in (
        (("loom", "stations"), names.stations),
        (("loom", "runs"), names.runs),
        (("loom", "splices"), names.splices),
        (("devices",), names.devices),
    ):
        at = len(start)
        if path[:at] == start:
            name = str(path[at])
            return (*start, called.get(name, name), *path[at + 1 :])
    return path


def _apart(old: Mapping[str, Quantity], new: Mapping[str, Quantity]) -> Iterator[tuple[str, str | None, str | None]]:
    for name in dict.fromkeys((*new, *old)):
        was, now = old.get(name), new.get(name)
        if was is None or now is None or (was.nominal, *was.limits) != (now.nominal, *now.limits):
            yield name, was.text if was else None, now.text if now else None
