"""Whether the pedal's own stops end the travel, and whether the lever comes to rest and to full with them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Literal

import numpy as np

from conversion.plan import Plan, Travel
from conversion.quantities import show
from conversion.rules.influences import largest_influence
from conversion.rules.linkage_words import described_words
from conversion.rules.registry import COMMON_PRACTICE, Found, rule
from conversion.rules.sensors import planned_travel, reading, solved_sweep, solved_travel, span, volts
from conversion.sensing.window import position_in_window

_POSITIVE_STOP = "Formula SAE Rules 2014, EV2.3.4: a positive stop keeps the sensors from being overstressed"
_ROUNDING_RAD = 1e-9
End = Literal["rest", "full"]


@rule("travel/module-stop-first", severity="HOLD", sources=(_POSITIVE_STOP,))
def module_stop_first(plan: Plan) -> Iterator[Found]:
    """The module's own full stop ends the travel before the pedal's does.

    Why: the stop inside a module is made for a spring, not for a foot. A leg breaks it, or bends rod and bracket,
    and the lever may then stay where it is.
    Found in:
        conversion: linkage.pedal.full_stop.set_at = 25.0° ± 0.5°
    Put right:
        conversion: linkage.pedal.full_stop.set_at = 22.5° ± 0.5°
    Not seen: how far stop, pedal and bracket give under a heavy foot.
    """
    travel = planned_travel(plan)
    if travel.margin_rad >= 0.0:
        return
    slower = described_words(plan).slower
    at = f" at {show(travel.module_stop_mm, 'length')} of pad travel" if math.isfinite(travel.module_stop_mm) else ""
    yield Found(
        "linkage.pedal.full_stop",
        plan.description.place("linkage", "pedal", "full_stop"),
        f"The lever meets the module's own full stop{at}, after {show(travel.geometry.swing_rad[0], 'angle')}; the "
        f"pedal's stop, at {show(float(travel.pad_travel_mm[-1]), 'length')}, would let it turn to "
        f"{show(float(travel.lever_rad[-1]), 'angle')}. The pedal's stop should come first.",
        f"Set the full stop earlier, {slower}.",
    )


@rule("travel/module-stop-in-tolerance", severity="FIX", sources=(_POSITIVE_STOP, COMMON_PRACTICE))
def module_stop_in_tolerance(plan: Plan) -> Iterator[Found]:
    """In the worst case of the tolerances the module's own full stop comes before the pedal's.

    Why: as planned the pedal's stop comes first; as built it may not, and the stop inside the module takes the foot.
    Found in:
        conversion: linkage.pedal.full_stop.set_at = 23.4° ± 0.5°
    Put right:
        conversion: linkage.pedal.full_stop.set_at = 22.5° ± 0.5°
    Not seen: how likely the worst case is, and how far parts give under a heavy foot.
    """
    travel = solved_travel(plan)
    if not (travel.worst_margin_rad < 0.0 <= travel.margin_rad):
        return
    yield Found(
        "linkage.pedal.full_stop",
        plan.description.place("linkage", "pedal", "full_stop"),
        f"With the pedal at its full stop the lever may stand at {show(travel.lever_at_full_rad[2], 'angle')}, and the "
        f"module may swing only {show(travel.geometry.swing_rad[1], 'angle')} (as planned "
        f"{show(travel.lever_at_full_rad[0], 'angle')} of {show(travel.geometry.swing_rad[0], 'angle')}).",
        f"Set the pedal's full stop {show(-travel.worst_margin_rad, 'angle')} of lever earlier"
        + _or_measure(plan, travel, set_by_lever=travel.geometry.full_set_rad is not None),
    )


@rule("travel/rest-beyond-stop", severity="HOLD", sources=(COMMON_PRACTICE,))
def rest_beyond_stop(plan: Plan) -> Iterator[Found]:
    """The lever meets the module's own rest stop before the pedal is back at its rest stop.

    Why: the springs then pull link and lever against a stop that is made for neither, and the pedal hangs on the link
    instead of lying on its stop. Wear at that stop moves what the control unit has learned as rest.
    Found in:
        conversion: linkage.rod = {length: 136.0 mm}
    Put right:
        conversion: linkage.rod = {length: 140.0 mm, set_at_rest: 1.0° ± 0.5°}
    Not seen: play in the ball joints.
    """
    travel = planned_travel(plan)
    rest = travel.lever_at_rest_rad[0]
    if rest >= -_ROUNDING_RAD:
        return
    words = described_words(plan)
    yield Found(
        words.subject,
        plan.description.place(*words.path),
        f"With the pedal at rest the lever would stand {show(-rest, 'angle')} beyond the module's own rest stop"
        f"{_hangs(travel)}. It should stand a little before it.",
        f"{words.adjust} with the pedal at rest until the lever stands 0.5° to 2° off the module's rest stop.",
    )


@rule("travel/rest-stop-in-tolerance", severity="FIX", sources=(COMMON_PRACTICE,))
def rest_stop_in_tolerance(plan: Plan) -> Iterator[Found]:
    """In the worst case of the tolerances the lever meets the module's rest stop before the pedal is back.

    Why: as planned the pedal's rest stop ends the return; as built the module's may, and the pedal hangs on the rod.
    Found in:
        conversion: linkage.rod = {length: 140.0 mm ± 0.5 mm}
    Put right:
        conversion: linkage.rod = {length: 140.0 mm, set_at_rest: 1.0° ± 0.5°}
    Not seen: how likely the worst case is.
    """
    travel = solved_travel(plan)
    nominal, least, _ = travel.lever_at_rest_rad
    if not (least < -_ROUNDING_RAD <= nominal):
        return
    words = described_words(plan)
    yield Found(
        words.subject,
        plan.description.place(*words.path),
        f"With the pedal at rest the lever may stand {show(-least, 'angle')} beyond the module's own rest stop "
        f"(as planned {show(nominal, 'angle')} before it).",
        f"{words.adjust} at fitting and describe it by 'set_at_rest'" + _or_measure(plan, travel, set_by_lever=False),
    )


@rule("travel/rest-not-reached", severity="HOLD", sources=(COMMON_PRACTICE,))
def rest_not_reached(plan: Plan) -> Iterator[Found]:
    """With the pedal at rest the lever does not come back far enough for the control unit to read rest.

    Why: the released pedal then reads as pressed. The engine does not come down to idle, or the control unit takes
    it for a fault.
    Found in:
        conversion: linkage.rod.set_at_rest = 6.0° ± 0.3°
    Put right:
        conversion: linkage.rod.set_at_rest = 1.0° ± 0.5°
    Not seen: a mat or a trim panel that holds the pedal.
    """
    yield from _end_missed(plan, "rest")


@rule("travel/full-not-reached", severity="FIX", sources=(COMMON_PRACTICE,))
def full_not_reached(plan: Plan) -> Iterator[Found]:
    """With the pedal at its full stop the lever is not turned far enough for the control unit to read full.

    Why: the engine never gets its full throttle, and a small part of the sensor has to serve the whole pedal, so
    that every error of it counts for more.
    Found in:
        conversion: linkage.pedal.full_stop.set_at = 15.0° ± 0.5°
    Put right:
        conversion: linkage.pedal.full_stop.set_at = 22.5° ± 0.5°
    Not seen: a mat, carpet or shoe that ends the travel earlier.
    """
    yield from _end_missed(plan, "full")


def _end_missed(plan: Plan, end: End) -> Iterator[Found]:
    """The track that needs the lever turned farthest, of those that the module could bring into their windows."""
    read = reading(plan, "pedal")
    travel = planned_travel(plan)
    if read is None or travel.lever_rad[-1] <= travel.lever_rad[0]:
        return
    at = 0 if end == "rest" else -1
    sweep = solved_sweep(plan, read)
    lever = float(sweep.position[at])
    goal = 0.0 if end == "rest" else travel.geometry.full_at_rad[0]
    short: list[tuple[float, str]] = []
    for track in read.tracks:
        window = read.window(track, end)
        needed = position_in_window(plan.pedal_tracks[track].model, window, lever, goal)
        if needed is not None and not window.contains(float(sweep.tracks[track].volts[at])):
            short.append((needed, track))
    if not short:
        return
    needed, track = min(short) if end == "rest" else max(short)
    words = described_words(plan)
    if end == "rest":
        pedal, way, path = "rest", "below", words.path
        remedy = f"{words.adjust} until the lever comes back that far."
    else:
        pedal, way, path = "its full stop", "from", ("linkage", "pedal", "full_stop")
        remedy = f"Set the full stop later, {words.steeper}."
    yield Found(
        ".".join(path),
        plan.description.place(*path),
        f"With the pedal at {pedal} the lever stands at {show(lever, 'angle')} and track {track} reads "
        f"{volts(sweep.tracks[track].volts[at])}; {read.unit} expects {span(read.window(track, end))}, which the track "
        f"gives {way} {show(needed, 'angle')}.",
        remedy,
    )


def _hangs(travel: Travel) -> str:
    """How far the pedal is held off its rest stop, where the lever goes steadily toward full."""
    if np.any(np.diff(travel.lever_rad) <= 0.0) or travel.lever_rad[-1] <= 0.0:
        return ""
    off_mm = float(np.interp(0.0, travel.lever_rad, travel.pad_travel_mm))
    return f", so the pad stays {show(off_mm, 'length')} off its rest"


def _or_measure(plan: Plan, travel: Travel, *, set_by_lever: bool) -> str:
    """The end of a remedy: which figure to measure better, where the geometry decides."""
    worst = largest_influence(travel)
    if set_by_lever or worst is None:
        return "."
    return f", or measure {worst.name} better: it alone makes {show(worst.lever_rad, 'angle')}."
