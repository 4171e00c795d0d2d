"""The figures that the plan rests on: those that are only assumed, and those that are not known at all."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from conversion.description import Place
from conversion.description.complaints import dotted
from conversion.plan import Plan
from conversion.plan.measuring import fits, how_to_measure
from conversion.quantities import EVIDENCES
from conversion.rules.registry import COMMON_PRACTICE, Found, rule

Step = str | int

_TRAVEL = "which stop ends the travel, and how much of the sweep is used, rest on it"
_RETURN = "whether the pedal and the lever return rests on it"
_VOLTS = "the volts that the control unit reads rest on it"
_CHECKS = "which faults the control unit notices rests on it"

# Pattern of the path -> what rests on it.
_SAFETY: tuple[tuple[str, str], ...] = (
    ("linkage.pedal.pivot*", _TRAVEL),
    ("linkage.pedal.pad*", _TRAVEL),
    ("linkage.pedal.*_pin*", _TRAVEL),
    ("linkage.pedal.full_stop.*at", _TRAVEL),
    ("linkage.module.*", _TRAVEL),
    ("linkage.rod.length", _TRAVEL),
    ("linkage.rod.set_at_rest", _TRAVEL),
    ("linkage.cable.*", _TRAVEL),
    ("linkage.quadrant.*", _TRAVEL),
    ("linkage.contact.*", _TRAVEL),
    ("linkage.crank.*", _TRAVEL),
    ("marks.*", "every point that is measured from it rests on it"),
    ("lever.swing", _TRAVEL),
    ("lever.full_at", _TRAVEL),
    ("springs.*", _RETURN),
    ("tracks.*.output*", _VOLTS),
    ("tracks.*.resistance", _VOLTS),
    ("tracks.*.source_resistance", _VOLTS),
    ("tracks.*.series", _VOLTS),
    ("tracks.*.pull*", _VOLTS),
    ("supplies.*.voltage", _VOLTS),
    ("accepts.*", _CHECKS),
    ("unpowered.opening", "how the engine runs when the motor has no power rests on it"),
)
_LESSER: tuple[tuple[str, str], ...] = (
    ("linkage.pedal.friction", f"{_RETURN}; only a figure that is too high errs on the safe side"),
    ("lever.friction", f"{_RETURN}; only a figure that is too high errs on the safe side"),
    ("linkage.pedal.mass", "the weight that helps or hinders the return rests on it"),
    ("linkage.rod.*", "whether the rod, its joints and the lever bear what they must rests on it"),
    ("linkage.pedal.centre_of_mass*", "the weight that helps or hinders the return rests on it"),
    ("linkage.pedal.*.load", "whether the stop carries a foot rests on it"),
    ("tracks.*.supply_current", "whether the sensor supply is strong enough rests on it"),
    ("supplies.*.limit", "whether the sensor supply is strong enough rests on it"),
    ("supplies.*.source_resistance", "what a fault at the supply does rests on it"),
    ("loom.contact_resistance", "what the loom takes from the sensors' volts rests on it"),
    ("loom.temperature", "what the loom takes from the sensors' volts rests on it"),
    ("loom.stations.*.hole", "whether the bundle passes the hole rests on it"),
    ("loom.runs.*.corners*", "whether the bundle may be bent like that rests on it"),
    ("loom.runs.*.beside*", "which wires may take that run rests on it"),
    ("loom.*", "how the loom is cut and laid rests on it"),
    ("devices.*", "the cut lengths of its wires rest on it"),
    ("housings.*.contact.*", "how the wire's end is made rests on it"),
    ("draws.*", "the sizes of the wires and of the fuse before them rest on it"),
    ("motor.*", "the size of the motor's wires rests on it"),
    ("vehicle.*", "limits that depend on the car rest on it"),
    ("fit.members.*", "how the bracket is cut rests on it"),
    ("fit.infills.*", "how the bracket is cut rests on it"),
    ("fit.recess.*", "how the recess is cut rests on it"),
    ("fit.*", "whether everything that moves clears what is around it rests on it"),
)
# Assumed, the springs inside the module have a rule of their own.
_SAFETY_UNKNOWN = (*_SAFETY, ("lever.springs.*", _RETURN))
# Unknown, these have rules of their own; what they feed is a matter of comfort, not of safety.
_TOLD_ELSEWHERE = ("loom.runs.*.length", "linkage.pedal.*.load")


@dataclass(frozen=True, slots=True)
class _Figure:
    """A figure, or a point of three: whose file, steps to it, what is written, and where."""

    device: str
    path: tuple[Step, ...]
    text: str
    place: Place

    @property
    def name(self) -> str:
        return f"{self.device}: {dotted(self.path)}" if self.device else dotted(self.path)

    def rests(self, table: tuple[tuple[str, str], ...]) -> str | None:
        """What rests on it by a table; None where the table does not have it."""
        path = dotted(self.path)
        return next((what for pattern, what in table if fits(path, pattern)), None)


@rule("completeness/safety-figure-assumed", severity="FIX", sources=(COMMON_PRACTICE,))
def safety_figure_assumed(plan: Plan) -> Iterator[Found]:
    """A figure on which safety rests directly is only assumed.

    Why: everything computed from it is as good as the guess. A plan that comes out well with a guessed spring
    or a guessed output says nothing about the car.
    Found in:
        conversion: springs.main.rate = 0.55 N/mm, assumed
        conversion: linkage.rod = {length: "142 mm ± 1 mm, assumed"}
        B1: tracks.a.resistance = 1.6 kohm ± 10 %, assumed
    Put right:
        conversion: springs.main.rate = 0.55 N/mm, measured
        conversion: linkage.rod.length = 142 mm ± 1 mm, measured
        B1: tracks.a.resistance = 1.6 kohm ± 10 %, documented
    Not seen: a figure that is called measured and was not.
    """
    yield from _assumed(plan, _SAFETY)


@rule("completeness/figure-assumed", severity="NOTE", sources=(COMMON_PRACTICE,))
def figure_assumed(plan: Plan) -> Iterator[Found]:
    """A figure that matters less, such as friction or a mass, is only assumed.

    Why: it is worth a measurement, but the plan does not stand or fall with it. For friction the returns take
    the upper end of its tolerance, so an assumed friction must be generous: it errs on the safe side only when
    it is too high.
    Found in:
        conversion: linkage.pedal.friction = 0.08 N·m, assumed
    Put right:
        conversion: linkage.pedal.friction = 0.08 N·m, measured
        B1: lever.friction = 0.02 N·m, measured
    Not seen: whether an assumed friction is generous; cold grease and dirt can multiply it.
    """
    yield from _assumed(plan, _LESSER)


def _assumed(plan: Plan, table: tuple[tuple[str, str], ...]) -> Iterator[Found]:
    told: set[tuple[str, tuple[Step, ...]]] = set()
    for stated in plan.figures:
        if stated.evidence != "assumed":
            continue
        figure = _Figure(stated.device, _whole(stated.path), _bare(stated.figure.text), stated.place)
        rests = figure.rests(table)
        # Patterns of the lesser table may be wider than those of the first, whose figures are told of there.
        if table is _LESSER and figure.rests(_SAFETY) is not None:
            continue
        if rests is None or (figure.device, figure.path) in told:
            continue
        told.add((figure.device, figure.path))
        yield Found(
            figure.name,
            figure.place,
            f"{figure.name}{_as_written(figure, stated.path)} is only assumed, and {rests}.",
            f"{how_to_measure(stated.path)} Then write 'measured' or 'documented' behind it.",
        )


@rule("completeness/safety-figure-unknown", severity="FIX", sources=(COMMON_PRACTICE,))
def safety_figure_unknown(plan: Plan) -> Iterator[Found]:
    """A figure on which safety rests directly is not known.

    Why: what rests on it is not computed, and each rule that needs it says that it cannot be decided.
    Found in:
        B1: tracks.b.output.full = unknown
    Put right:
        B1: tracks.b.output.full = 41.0 % ± 0.5 %
    Not seen: a figure that may be left out and is; the rules that need it say so.
    """
    for figure in _unknown_figures(plan):
        rests = figure.rests(_SAFETY_UNKNOWN)
        if rests is not None:
            yield _not_known(figure, rests)


@rule("completeness/figure-unknown", severity="NOTE", sources=(COMMON_PRACTICE,))
def figure_unknown(plan: Plan) -> Iterator[Found]:
    """A figure is not known.

    Why: what rests on it is not computed. Each rule that needs it says with its own severity that it cannot be
    decided.
    Found in:
        M1: motor.current = unknown
    Put right:
        M1: motor.current = 7 A
    Not seen: a figure that may be left out and is; the rules that need it say so.
    """
    for figure in _unknown_figures(plan):
        told = any(fits(dotted(figure.path), pattern) for pattern in _TOLD_ELSEWHERE)
        if figure.rests(_SAFETY_UNKNOWN) is None and not told:
            yield _not_known(figure, figure.rests(_LESSER) or "what follows from it is not computed")


def _not_known(figure: _Figure, rests: str) -> Found:
    return Found(
        figure.name,
        figure.place,
        f"{figure.name} is unknown, and {rests}.",
        f"{how_to_measure((*figure.path, 0) if figure.text else figure.path)} Then write it in place of 'unknown'.",
    )


def _unknown_figures(plan: Plan) -> Iterator[_Figure]:
    """Everything that is written as ``unknown``, of each file once, in the order written."""
    description = plan.description
    for path, point in _walk(plan.written.conversion, ()):
        yield _Figure("", path, point, description.place(*path))
    for device, part, source in description.part_files():
        for path, point in _walk(part, ()):
            yield _Figure(device, path, point, source.place(*path))


def _walk(value: object, path: tuple[Step, ...]) -> Iterator[tuple[tuple[Step, ...], str]]:
    """Paths at which nothing is known; a point that lacks any of its three lengths counts once, marked ``point``."""
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            if name in value.model_fields_set:
                yield from _walk(getattr(value, name), (*path, type(value).model_fields[name].alias or name))
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from _walk(item, (*path, key))
    elif isinstance(value, list):
        if None in value:
            yield path, "point"
            return
        for index, item in enumerate(value):
            yield from _walk(item, (*path, index))
    elif value is None:
        yield path, ""


def _whole(path: tuple[Step, ...]) -> tuple[Step, ...]:
    """The point that a coordinate belongs to; any other path as it is."""
    return path[:-1] if isinstance(path[-1], int) else path


def _bare(text: str) -> str:
    body, comma, word = text.rpartition(",")
    return body.strip() if comma and word.strip().lower() in EVIDENCES else text


def _as_written(figure: _Figure, path: tuple[Step, ...]) -> str:
    return f" ({figure.text})" if figure.path == path else ""
