"""Faults and verdicts in words: how large, noticed by what, in which place, and what would close each."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import combinations

import numpy as np

from conversion.description.complaints import listed
from conversion.faults import KIND_WORDS, Held, Joined, Moved, Weakened
from conversion.faults.verdict import CATEGORIES, Category, Verdict
from conversion.plan.faults.judged import FaultStudy
from conversion.quantities import show

ABOUT = (
    "The verdict is about the checks as they are described, not about the real software of the control unit, which may "
    "check more, less, or at other times."
)
"""Printed with every table of faults."""

MOTOR = (
    "Motor leads swapped, a motor shorted to its supply, and a plate left to its springs, which may rest slightly "
    "open, are told under 'Throttle failure modes' of the build pack: they are no faults of the tracks."
)
"""Where to find what the faults of a throttle's sensors leave out."""

CATEGORY_WORDS: dict[Category, str] = {
    "unnoticed, higher": "not noticed, opens farther than the foot asks",
    "unnoticed, no higher": "not noticed, opens no farther",
    "noticed": "noticed",
}
NO_SIZE = "–"
"""Stands where a fault has no resistance."""
_CHECK_WORDS = {"range": "valid range", "agreement": "agreement", "rest": "check at rest"}
_MOVED_V = 0.01


def size_words(verdict: Verdict, ohm: float) -> str:
    """A resistance of a fault as people say it.

    Example:
        >>> from types import SimpleNamespace as Of
        >>> bridge = Of(fault=Of(change=Joined("x", "y")))
        >>> size_words(bridge, 0.0), size_words(bridge, 178.3)
        ('dead short', '178.3 ohm')
    """
    return ohm_words(verdict.fault.change, ohm)


def ohm_words(change: object, ohm: float) -> str:
    """The same of a fault's change alone."""
    if not isinstance(change, Joined | Weakened) or math.isnan(ohm):
        return NO_SIZE
    if isinstance(change, Joined):
        return "dead short" if ohm < 1e-3 else "any" if math.isinf(ohm) else _shown(ohm)
    return "open" if math.isinf(ohm) or ohm > 1e9 else f"{_shown(ohm)} in series"


def _shown(ohm: float) -> str:
    """Below an ohm in milliohms, where one decimal of an ohm says nothing."""
    return f"{1000.0 * ohm:.0f} mohm" if ohm < 1.0 else show(ohm, "resistance")


def percent_words(points: float) -> str:
    """Points of per cent as a document prints them; a thousandth counts as nothing."""
    return show(round(points, 3) / 100.0, "ratio")


def noticed_words(verdict: Verdict) -> str:
    """Which checks notice the fully grown fault, within what time, and how much of the travel they cover."""
    if not verdict.checks:
        return "nothing"
    own = any(not check.of_other for check in verdict.checks)
    kinds = dict.fromkeys(
        _CHECK_WORDS[check.kind] if own else f"the {check.of_other}'s {_CHECK_WORDS[check.kind]}"
        for check in verdict.checks
        if not (own and check.of_other)
    )
    within = f" within {show(verdict.within_s, 'time')}" if math.isfinite(verdict.within_s) else ", no time described"
    share = verdict.noticed_share
    where = "" if share >= 1.0 else f", over {show(share, 'ratio')} of the travel"
    return f"{listed(list(kinds), 'and')}{within}{where}"


def coverage(verdicts: Iterable[Verdict], by: str) -> list[tuple[str, dict[Category, int]]]:
    """How many faults of each class there are, by ``kind`` or by ``place``, in the order in which they are met."""
    found: dict[str, dict[Category, int]] = {}
    for verdict in verdicts:
        key = KIND_WORDS[verdict.fault.kind] if by == "kind" else verdict.fault.place
        counts = found.setdefault(key, dict.fromkeys(CATEGORIES, 0))
        counts[verdict.category] += 1
    return sorted(found.items(), key=lambda item: (*(-item[1][each] for each in CATEGORIES), item[0]))


def capital(text: str) -> str:
    """A sentence's beginning; empty stays empty."""
    return text[:1].upper() + text[1:]


def where_words(study: FaultStudy, position: int) -> str:
    """The position at which something is: of the pedal, or of the plate."""
    percent = float(study.sweep.percent[position])
    if position == 0:
        return "foot off" if study.sensor == "pedal" else "plate closed"
    return f"{'pedal' if study.sensor == 'pedal' else 'plate'} at {percent:.0f} %"


def read_words(study: FaultStudy, verdict: Verdict) -> str:
    """What both inputs read with the fault fully grown, at rest and at full."""
    if verdict.floats:
        return "an input hangs in the air"
    if isinstance(verdict.fault.change, Held):
        return "the other track as sound"
    parts = []
    for track, volts in zip(study.tracks, verdict.grown_v.T, strict=False):
        parts.append(f"{track} {volts[0]:.2f} to {volts[-1]:.2f} V")
    return ", ".join(parts)


def closing(study: FaultStudy, verdict: Verdict) -> str:
    """What would close a fault that nothing notices and that opens the engine farther; the surest two ways."""
    change, best = verdict.fault.change, "larger" if study.believer.plate else "smaller"
    compared = any(check.kind == "agreement" and not check.of_other for check in study.believer.checks)
    if isinstance(change, Moved):
        return "A second spring that brings pedal and lever back alone."
    if verdict.fault.kind == "ground-lifted":
        return "A motor driver that returns apart from the ground of the sensors."
    ways = [] if compared else ["A control unit that compares the tracks."]
    if isinstance(change, Held):
        return ways[0] if ways else "A lower limit of the agreement; nothing in the loom closes it."
    if verdict.floats:
        ways.append("A pull resistor at each input, strong enough that an input without its track reads nothing valid.")
    moved, roles = _moved(study, verdict), _roles(study, verdict)
    signals = isinstance(change, Joined) and len({role for role in roles if role.endswith("signal")}) > 1
    shared = [which for which in ("supply", "ground") if len({r.split(".")[1] for r in roles if r.endswith(which)}) > 1]
    if shared or (len(moved) > 1 and not signals):
        ways.append(f"A {' and a '.join(shared) or 'supply and a ground'} of its own for each track.")
    if signals and not _agree_at_nothing_only(study):
        ways.append("Tracks of different slope in one direction, which agree only at 0 % when they touch.")
    if isinstance(change, Joined):
        ways.append("Distance: an empty place between the two in the housing, and a sleeve of its own in the run.")
    if study.believer.takes != best and len(moved) == 1:
        ways.append(f"A control unit that takes the {best} of the two.")
    if len(moved) == 1 and compared:
        ways.append("A lower limit of the agreement.")
    return " ".join(ways[:2] or ["A narrower valid range of both inputs."])


def _agree_at_nothing_only(study: FaultStudy) -> bool:
    """Whether any two of the tracks, joined, read the same per cent only where that is none, or less."""
    for (rest, full), (other_rest, other_full) in combinations(study.believer.scale_v[: study.believer.own], 2):
        slope, other = 100.0 / (full - rest), 100.0 / (other_full - other_rest)
        same = slope == other or slope * ((slope * rest - other * other_rest) / (slope - other) - rest) > 1.0
        if same:
            return False
    return True


def _moved(study: FaultStudy, verdict: Verdict) -> list[str]:
    """Tracks whose reading the fully grown fault changes."""
    place = study.operating.network.indices(list(study.read_at))
    sound = np.clip(study.operating.volts[:, place], 0.0, study.ceiling_v)
    off = np.abs(verdict.grown_v - sound).max(axis=0)
    return [name for name, volts in zip(study.tracks, off, strict=False) if volts > _MOVED_V]


def _roles(study: FaultStudy, verdict: Verdict) -> set[str]:
    """Roles of the sensor's conductors that the fault concerns."""
    change = verdict.fault.change
    if isinstance(change, Weakened):
        return {role for role in study.circuit.elements[change.element].roles if role.startswith(f"{study.sensor}.")}
    concerned = set(verdict.fault.conductors)
    found = {
        role
        for element in study.circuit.elements.values()
        if element.kind in ("wire", "contact")
        and concerned & {part for c in element.conductors for part in c.split("+")}
        for role in element.roles
    }
    return {role for role in found if role.startswith(f"{study.sensor}.")}
