"""From a found setting to the words of the description that it changes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees
from typing import Any

import numpy as np

from conversion.description import Description
from conversion.description.places import Point
from conversion.linkage import Linkage
from conversion.plan.link.linkages import listed
from conversion.quantities import Quantity
from conversion.study.search_moves import MODULE_AXES

Path = tuple[str | int, ...]

# Field of the linkage -> where its point stands under ``linkage``.
_POINTS: dict[str, tuple[str, ...]] = {
    "pedal_pin_at_rest": ("pedal", "rod_pin"),
    "module_pivot": ("module", "pivot"),
    "lever_pin_at_rest_stop": ("module", "lever_pin"),
    "crank_pin_in_at_rest": ("crank", "pin_in"),
    "crank_pin_out_at_rest": ("crank", "pin_out"),
    "nipple_at_rest_stop": ("quadrant", "nipple"),
    "groove_centre_at_rest_stop": ("quadrant", "groove_centre"),
    "module_outer_end": ("cable", "module_outer_end"),
    "roller_centre": ("contact", "roller_centre"),
    "face_point": ("contact", "face_point"),
}
# A thousandth of a millimetre is nothing in a workshop; it keeps the angles as they were promised.
_DECIMALS = 3


@dataclass(frozen=True, slots=True)
class Change:
    """One value of the description that a setting changes.

    Attributes:
        path: Steps to it.
        text: What shall stand there, as YAML of one line.
        was: What stands there.
        values: For a point of which only some coordinates change: path of each -> its text.
    """

    path: Path
    text: str
    was: str
    values: tuple[tuple[Path, str], ...]


@dataclass(frozen=True)
class Placed:
    """A setting as figures.

    Attributes:
        linkage: The linkage with it, no leading axes.
        module_by_mm: How far the module goes from where it is described, (3,). [mm]
        lever_at_rest_rad: Where the rod's thread leaves the lever at rest. [rad]
        full_rad: Lever angle at which the full stop is set; None where it stays as it is. [rad]
        sets_rest: Whether the lever angle at rest is set at fitting.
    """

    linkage: Linkage
    module_by_mm: np.ndarray
    lever_at_rest_rad: float
    full_rad: float | None
    sets_rest: bool


def changes_of(written: Description, description: Description, placed: Placed) -> tuple[Change, ...]:
    """What a setting changes in a description, in the order of the file's sections.

    Args:
        written: As the builder wrote it, points from a tape included.
        description: The same with every point as coordinates.
        placed: The setting.

    Returns:
        The changes; a figure keeps its tolerance, and is assumed until it is measured as built.
    """
    return tuple(_changes(written, description, placed))


def _changes(written: Description, description: Description, placed: Placed) -> Iterator[Change]:
    form: Any = description.conversion.linkage
    linkage = placed.linkage
    for field, steps in _POINTS.items():
        if field not in linkage.VECTORS:
            continue
        owner, key = getattr(form, steps[0]), steps[1]
        if field == "pedal_pin_at_rest" and not hasattr(owner, key):
            key = "cable_pin"
        now = getattr(owner, key)
        if now is not None:
            source = getattr(getattr(written.conversion.linkage, steps[0]), key)
            yield from _point(description, ("linkage", steps[0], key), source, now, getattr(linkage, field))
    if "groove_radius_mm" in linkage.NUMBERS:
        radius = float(linkage.groove_radius_mm)  # type: ignore[attr-defined]
        yield from _figure(description, ("linkage", "quadrant", "groove_radius"), form.quadrant.groove_radius, radius)
    where = next(name for name in ("rod", "cable", "contact") if hasattr(form, name))
    link = getattr(form, where)
    if where == "rod":
        length = float(getattr(linkage, linkage.ADJUSTED))
        yield from _figure(description, ("linkage", "rod", "length"), link.length, length)
    if placed.sets_rest and link.set_at_rest is not None:
        yield from _figure(description, ("linkage", where, "set_at_rest"), link.set_at_rest, placed.lever_at_rest_rad)
    if placed.full_rad is not None:
        path = ("linkage", "pedal", "full_stop", "set_at")
        yield from _figure(description, path, form.pedal.full_stop.set_at, placed.full_rad)
    yield from _body(written, description, placed.module_by_mm)


def _body(written: Description, description: Description, by_mm: np.ndarray) -> Iterator[Change]:
    """The module's body goes with its lever."""
    fit, source = description.conversion.fit, written.conversion.fit
    if fit is None or source is None or fit.bodies.module is None or source.bodies.module is None:
        return
    centre = fit.bodies.module.centre
    known = [figure.nominal for figure in listed(centre) if figure is not None]
    if len(known) == 3:
        path = ("fit", "bodies", "module", "centre")
        yield from _point(description, path, source.bodies.module.centre, centre, np.array(known) + by_mm)


def _point(description: Description, path: Path, source: Point, now: Any, new_mm: np.ndarray) -> Iterator[Change]:
    figures = listed(now)
    taped = not isinstance(source, list)
    texts = [
        _text(description, figure, float(value)) if taped or _differs(figure, float(value)) else _kept(figure)
        for figure, value in zip(figures, new_mm, strict=True)
    ]
    moved = [index for index, value in enumerate(new_mm) if _differs(figures[index], float(value))]
    if not moved:
        return
    whole = "[" + ", ".join(texts) + "]"
    was = "[" + ", ".join(figure.text if figure else "unknown" for figure in figures) + "]"
    single = tuple(((*path, index), texts[index]) for index in moved)
    # A point from a tape is no list; it gives way to coordinates as a whole.
    yield Change(path, whole, was, ((path, whole),) if taped else single)


def _figure(description: Description, path: Path, now: Quantity | None, value: float) -> Iterator[Change]:
    if now is not None and _differs(now, value):
        text = _text(description, now, value)
        yield Change(path, text, now.text, ((path, text),))


def _in_unit(dimension: str, value: float) -> float:
    return degrees(value) if dimension == "angle" else value


def _differs(now: Quantity | None, value: float) -> bool:
    return now is not None and abs(_in_unit(now.dimension, value - now.nominal)) > 0.5 * 10.0**-_DECIMALS


def _text(description: Description, now: Quantity | None, value: float) -> str:
    assert now is not None, "only a known figure is changed"
    unit = "°" if now.dimension == "angle" else " mm"
    text = _plain(_in_unit(now.dimension, value)) + unit
    if now.has_tolerance:
        text += f" ± {_plain(_in_unit(now.dimension, (now.high - now.low) / 2))}{unit}"
    evidence = now.evidence or description.conversion.evidence
    return text if evidence == "assumed" else f'"{text}, assumed"'


def _kept(figure: Quantity | None) -> str:
    if figure is None:
        return "unknown"
    return f'"{figure.text}"' if "," in figure.text else figure.text


def _plain(value: float) -> str:
    text = f"{value:.{_DECIMALS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def module_by_mm(settings: dict[str, float], linkage: Linkage) -> np.ndarray:
    """How far settings put the module from where a linkage has it, (3,). [mm]"""
    return np.array(
        [
            settings[name] - linkage.module_pivot[axis] if name in settings else 0.0
            for axis, name in enumerate(MODULE_AXES)
        ]
    )


def patch_text(changes: tuple[Change, ...], head: str) -> str:
    """The changed keys alone, as YAML with what stood there before.

    Args:
        changes: Of one setting.
        head: Sentences for the top, one a line.
    """
    lines = [f"# {line}" for line in head.splitlines()]
    open_at: Path = ()
    for change in sorted(changes, key=lambda change: tuple(map(str, change.path))):
        around = change.path[:-1]
        shared = 0
        while shared < min(len(open_at), len(around)) and open_at[shared] == around[shared]:
            shared += 1
        lines += ["  " * depth + f"{around[depth]}:" for depth in range(shared, len(around))]
        lines.append("  " * len(around) + f"{change.path[-1]}: {change.text}  # was {change.was}")
        open_at = around
    return "\n".join(lines) + "\n"
