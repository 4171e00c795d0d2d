"""Points that were measured with a tape: each becomes three coordinates with the tolerance that the readings leave."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from pydantic import BaseModel

from conversion.description import Complaint, Description, DescriptionError, Place
from conversion.description.complaints import dotted, nearest, quoted
from conversion.description.places import TapePoint
from conversion.linkage.tape import Located, Reading, Suspicion, TapeError, locate, suspect
from conversion.quantities import EVIDENCES, Evidence, Quantity

Step = str | int

TAPE_TOLERANCE_MM = 1.0
PROTRACTOR_TOLERANCE_RAD = np.radians(1.0)
"""Taken where a reading states none: a tape is read to about a millimetre, a hand protractor to about a degree.
Common practice, no source."""


@dataclass(frozen=True)
class TapeResult:
    """One point from a tape.

    Attributes:
        path: Where it stands in the conversion file.
        place: The same as file, line and column.
        readings: What was read, in the order written.
        located: Where the point lies, and how the readings fit.
        suspicion: Which reading to take again.
    """

    path: tuple[Step, ...]
    place: Place
    readings: tuple[Reading, ...]
    located: Located
    suspicion: Suspicion

    @property
    def name(self) -> str:
        """As documents write it."""
        return dotted(self.path)


def resolve_points(description: Description) -> tuple[Description, tuple[TapeResult, ...]]:
    """The description with every point from a tape replaced by its coordinates.

    Returns:
        The description, and what each point came from, in the order of the format; marks first.

    Raises:
        DescriptionError: Readings that place no point, or a mark that is not described.
    """
    work = _Resolution(description)
    marks = work.marks()
    conversion: Any = work.rebuilt(description.conversion.model_copy(update={"marks": marks}), ())
    if work.complaints:
        raise DescriptionError(work.complaints)
    return replace(description, conversion=conversion), tuple(work.results)


class _Resolution:
    """The work of one description: marks that are known, results and complaints as they come."""

    def __init__(self, description: Description) -> None:
        self.description = description
        self.known: dict[str, list[Quantity | None]] = {}
        self.results: list[TapeResult] = []
        self.complaints: list[Complaint] = []

    def marks(self) -> dict[str, Any]:
        """Every mark by its coordinates; one that is measured from others comes after them."""
        for name, point in self.description.conversion.marks.items():
            if isinstance(point, TapePoint):
                self.known[name] = self._resolved(point, ("marks", name))
            else:
                self.known[name] = point
        return dict(self.known)

    def rebuilt(self, value: Any, path: tuple[Step, ...]) -> Any:
        """The same value with its points resolved; unchanged parts are shared."""
        if isinstance(value, TapePoint):
            return self._resolved(value, path)
        if isinstance(value, BaseModel):
            changed = {
                name: new
                for name in type(value).model_fields
                if name in value.model_fields_set
                and (new := self.rebuilt(getattr(value, name), (*path, _key(value, name)))) is not getattr(value, name)
            }
            return value.model_copy(update=changed) if changed else value
        if isinstance(value, dict):
            new_items = {key: self.rebuilt(item, (*path, key)) for key, item in value.items()}
            return new_items if any(new_items[key] is not value[key] for key in value) else value
        if isinstance(value, list):
            new_list = [self.rebuilt(item, (*path, index)) for index, item in enumerate(value)]
            return new_list if any(a is not b for a, b in zip(new_list, value, strict=True)) else value
        return value

    def _resolved(self, point: TapePoint, path: tuple[Step, ...]) -> list[Quantity | None]:
        readings = list(self._readings(point, path))
        if any(reading is None for reading in readings) or not readings:
            return [None, None, None]
        read = [reading for reading in readings if reading is not None]
        try:
            located = locate([reading for reading, _, _ in read], point.side)
        except TapeError as error:
            steps = read[error.readings[0]][1] if len(error.readings) == 1 else ()
            self._complain((*path, *steps), str(error))
            return [None, None, None]
        taken = tuple(reading for reading, _, _ in read)
        self.results.append(TapeResult(path, self.description.place(*path), taken, located, suspect(located)))
        evidence = _weakest([figure.evidence for _, _, figure in read])
        return [_coordinate(located, axis, evidence) for axis in range(3)]

    def _readings(
        self, point: TapePoint, path: tuple[Step, ...]
    ) -> Iterator[tuple[Reading, tuple[Step, ...], Quantity] | None]:
        for name, distance in point.distances.items():
            mark = self._mark(name, (*path, "from", name))
            if mark is None or distance is None:
                yield None
                continue
            tolerance = _either_way(distance) or TAPE_TOLERANCE_MM
            reading = Reading("distance", name, distance.nominal, tolerance, mark[0], known_tolerance_mm=mark[1])
            yield reading, ("from", name), distance
        for name, angle in point.angles.items():
            mark = self._mark(name, (*path, "angles", name))
            if mark is None or angle.reads is None:
                yield None
                continue
            tolerance = _either_way(angle.reads) or PROTRACTOR_TOLERANCE_RAD
            towards = np.array(angle.between)
            reading = Reading("angle", name, angle.reads.nominal, tolerance, mark[0], towards, mark[1])
            yield reading, ("angles", name), angle.reads
        for axis in "xyz":
            figure = getattr(point, axis)
            if axis in point.model_fields_set:
                if figure is None:
                    yield None
                    continue
                tolerance = _either_way(figure) or TAPE_TOLERANCE_MM
                yield Reading("coordinate", axis, figure.nominal, tolerance), (axis,), figure

    def _mark(self, name: str, path: tuple[Step, ...]) -> tuple[np.ndarray, np.ndarray] | None:
        """A mark's place, and how far it may be off along each axis."""
        if name not in self.known:
            later = name in self.description.conversion.marks
            near = nearest(name, self.known)
            hint = (
                "it is described further down; put it first" if later else f"did you mean '{near}'?" if near else None
            )
            self._complain(path, f"there is no mark {quoted(name)}; {hint or 'describe it under marks.'}")
            return None
        figures = self.known[name]
        known = [figure for figure in figures if figure is not None]
        if len(known) < 3:
            return None
        return np.array([figure.nominal for figure in known]), np.array([_either_way(figure) for figure in known])

    def _complain(self, path: tuple[Step, ...], message: str) -> None:
        self.complaints.append(Complaint(self.description.place(*path), dotted(path), message))


def _either_way(figure: Quantity) -> float:
    """How far a figure may be off, the farther way."""
    return max(figure.high - figure.nominal, figure.nominal - figure.low)


def _key(model: BaseModel, name: str) -> str:
    return type(model).model_fields[name].alias or name


def _coordinate(located: Located, axis: int, evidence: Evidence | None) -> Quantity:
    value, worst = float(located.point_mm[axis]), float(located.worst_mm[axis])
    spread = worst if np.isfinite(worst) else 0.0
    text = f"{value:.1f} mm ± {spread:.1f} mm from the tape"
    return Quantity(value, value - spread, value + spread, "length", evidence, text)


def _weakest(evidences: list[Evidence | None]) -> Evidence | None:
    said = [evidence for evidence in evidences if evidence is not None]
    return max(said, key=EVIDENCES.index) if said else None
