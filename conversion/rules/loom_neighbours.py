"""What runs beside the loom: pipes and heat that it must not touch, cables whose distance nobody has measured."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Missing
from conversion.description.run_forms import Beside, Run
from conversion.loom.allowed import DISTURBING, cable_words
from conversion.loom.kinds import kind_of
from conversion.plan import Plan
from conversion.quantities import show
from conversion.rules.loom_ways import tag_words
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.wiring import Wire

_LINE_TOUCHED_MM = 12.7
"""Half an inch: below it, what moves touches sooner or later. FAA AC 43.13-1B, chapter 11, from memory."""
_LINE_NEAR_MM = 152.4
"""6 in, of the manual that the rule names."""
_EXHAUST_MM = 100.0
"""Common practice, no source."""

_FAA = "FAA AC 43.13-1B, chapter 11: half an inch from lines of flammable fluid (from memory)"
_ARMY = "US Army TM 1-1500-204-23-4: within 6 in of a line of flammable fluid, closely and rigidly held, above it"


@rule("loom/line-touched", severity="FIX", sources=(_FAA, COMMON_PRACTICE))
def line_touched(plan: Plan) -> Iterator[Found | Missing]:
    """The loom runs so near to a fuel or brake line that they will touch.

    Why: a wire that rubs on a line wears through its insulation and then through the line: fuel and a spark in one
    place, or no brake.
    Found in:
        conversion: loom.runs.bulkhead-engine.beside = [{what: fuel or brake line, apart: 5 mm}]
    Put right:
        conversion: loom.runs.bulkhead-engine.beside = [{what: fuel or brake line, apart: 40 mm}]
    Not seen: lines that no run is described to lie beside, and clips that both share.
    """
    for name, index, beside in _besides(plan):
        if beside.what != "fuel or brake line":
            continue
        apart = plan.description.need(
            beside.apart, "nobody can say whether they touch", "loom", "runs", name, "beside", index, "apart"
        ).low
        if apart < _LINE_TOUCHED_MM:
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name, "beside", index),
                f"Run '{name}' has a fuel or brake line {show(apart, 'length')} beside it; at least "
                f"{show(_LINE_TOUCHED_MM, 'length')} should be kept.",
                "Move the run, or the line, and hold both with clips of their own.",
            )


@rule("loom/line-near", severity="NOTE", sources=(_ARMY,))
def line_near(plan: Plan) -> Iterator[Found]:
    """The loom runs along a fuel or brake line.

    Why: a leak finds the wire, and a wire that comes loose finds the line. Held closely, and above the line, neither
    reaches the other.
    Found in:
        conversion: loom.runs.bulkhead-engine.beside = [{what: fuel or brake line, apart: 40 mm}]
    Put right:
        conversion: loom.runs.bulkhead-engine.beside = [{what: fuel or brake line, apart: 160 mm}]
    Not seen: which of the two lies above.
    """
    for name, index, beside in _besides(plan):
        if beside.what != "fuel or brake line" or beside.apart is None:
            continue
        if _LINE_TOUCHED_MM <= beside.apart.low < _LINE_NEAR_MM:
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name, "beside", index),
                f"Run '{name}' has a fuel or brake line {show(beside.apart.low, 'length')} beside it; that is "
                f"nearer than {show(_LINE_NEAR_MM, 'length')}.",
                "Lay the run above the line, clip it closely and rigidly, and clip nothing to the line.",
            )


@rule("loom/exhaust-near", severity="FIX", sources=(COMMON_PRACTICE,))
def exhaust_near(plan: Plan) -> Iterator[Found | Missing]:
    """The loom runs beside the exhaust, and its zone is not described as hot.

    Why: the wires' sizes, their insulation and the clips are chosen for the zone. Beside an exhaust it is hotter than
    any other zone, and the sensors' wires are kept out of it.
    Found in:
        conversion: loom.runs.bulkhead-battery.beside = [{what: exhaust, apart: 60 mm}]
    Put right:
        conversion: loom.runs.bulkhead-battery.beside = [{what: exhaust, apart: 250 mm}]
    Not seen: heat shields, and how hot it really gets.
    """
    for name, index, beside in _besides(plan):
        run = _run(plan, name)
        if beside.what != "exhaust" or run.zone == "hot":
            continue
        apart = plan.description.need(
            beside.apart, "nobody can say how hot the wires get", "loom", "runs", name, "beside", index, "apart"
        ).low
        if apart < _EXHAUST_MM:
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name, "zone"),
                f"Run '{name}' in zone '{run.zone}' has the exhaust {show(apart, 'length')} beside it; nearer than "
                f"{show(_EXHAUST_MM, 'length')} counts as hot.",
                f"Move the run away from the exhaust, or write 'zone: hot' for '{name}'.",
            )


@rule("loom/apart-unknown", severity="FIX", sources=(COMMON_PRACTICE,))
def apart_unknown(plan: Plan) -> Iterator[Missing]:
    """Sensors' wires run beside a cable that disturbs them, and nobody has measured how near.

    Why: ignition, starter, charging and motor cables put pulses into what runs along them. A distance keeps them out;
    a run whose distance is not known was taken as far enough.
    Found in:
        conversion: loom.runs.board-pedal.beside = [{what: ignition, apart: 200 mm}]
        conversion: loom.runs.board-pedal.beside.1.apart = unknown
    Put right:
        conversion: loom.runs.board-pedal.beside = [{what: ignition, apart: 200 mm}]
    Not seen: cables that no run is described to lie beside.
    """
    for name, index, beside in _besides(plan):
        wires = [wire for wire in _wires_in(plan, name) if kind_of(wire) == "sensors"]
        if beside.what in DISTURBING and beside.apart is None and wires:
            path = ("loom", "runs", name, "beside", index, "apart")
            why = f"nobody can say whether {tag_words(wires)} keep away from the {cable_words(beside.what)}"
            yield Missing(
                ".".join(("loom", "runs", name, "beside", str(index + 1), "apart")), plan.description.place(*path), why
            )


@rule("loom/motor-with-sensors", severity="NOTE", sources=(COMMON_PRACTICE,))
def motor_with_sensors(plan: Plan) -> Iterator[Found]:
    """The throttle motor's wires lie in one bundle with those of the pedal's sensors.

    Why: the motor's current is chopped. Twisted with each other its two wires disturb little, and a track that is
    twisted with its own return takes in little; apart they would not disturb at all. The wires of the throttle's own
    sensors end in the motor's housing and cannot keep away.
    Found in:
        conversion: loom.runs.controller-board.closed_to = []
    Put right:
        conversion: loom.runs.controller-board.closed_to = [motor]
        conversion: loom.runs.motor-own = {between: [controller, board], length: 700 mm, closed_to: [sensors]}
    Not seen: how near two runs lie to each other, unless 'beside' says it.
    """
    for name in _runs(plan):
        wires = _wires_in(plan, name)
        motor = [wire for wire in wires if kind_of(wire) == "motor"]
        pedal = [wire for wire in wires if any(role.startswith("pedal.") for role in wire.roles)]
        if motor and pedal:
            length = _run(plan, name).length
            along = "" if length is None else f" along {show(length.nominal, 'length')}"
            yield Found(
                f"loom.runs.{name}",
                plan.description.place("loom", "runs", name),
                f"{tag_words(motor)} of the throttle motor lie in run '{name}' with {tag_words(pedal)} of the pedal"
                f"{along}.",
                "Keep every twist up to the housing. Where there is room, describe a run of its own for the motor and "
                "close this one to it: 'closed_to: [motor]'.",
            )


def _runs(plan: Plan) -> dict[str, Run]:
    loom = plan.description.conversion.loom
    return loom.runs if loom else {}


def _run(plan: Plan, name: str) -> Run:
    return _runs(plan)[name]


def _besides(plan: Plan) -> Iterator[tuple[str, int, Beside]]:
    """Every neighbour of every run that a wire takes."""
    taken = {run for route in plan.routes.values() for run in route.runs}
    for name, run in _runs(plan).items():
        if name in taken:
            for index, beside in enumerate(run.beside):
                yield name, index, beside


def _wires_in(plan: Plan, run: str) -> list[Wire]:
    return [wire for wire in plan.wiring.wires if run in plan.routes[wire.tag].runs]
