"""What each fault comes to: what is read, what is believed, which described check notices and when, and the worst.

The verdict is about the checks as they are described, never about the real software of a control unit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from conversion.faults.believing import Array, Believer, Check, Flags
from conversion.faults.fault import Fault
from conversion.faults.ways import Ways
from conversion.faults.worst import Rows, silent_until, worst_on_lines

Category = Literal["noticed", "unnoticed, no higher", "unnoticed, higher"]
CATEGORIES: tuple[Category, ...] = ("unnoticed, higher", "unnoticed, no higher", "noticed")
"""From the worst to the best."""

HIGHER_BY_PERCENT = 0.5
"""A rise below this is none: two sound tracks differ by as much from one another. Common practice, no source."""


@dataclass(frozen=True)
class Sweep:
    """Where faults are judged; arrays are (positions,), from the released pedal (closed plate) to full.

    Attributes:
        percent: Per cent of the sound sensor.
    """

    percent: Array

    def rows(self, ways: Ways) -> Rows:
        """All ways at all positions, flattened with the position running fastest."""
        count, positions = len(ways), self.percent.size
        at = np.tile(np.arange(positions), count)
        tracks = ways.start.shape[-1]
        return Rows(
            ways.start.reshape(-1, tracks), ways.end.reshape(-1, tracks),
            np.tile(self.percent, count), at == 0, at == positions - 1,
        )  # fmt: skip


@dataclass(frozen=True)
class Verdict:
    """One fault, judged over all its resistances; arrays are (positions,).

    Attributes:
        fault: What happened.
        category: ``unnoticed, higher`` where at some position and resistance nothing notices and the engine opens
            farther than the foot asks; else ``noticed`` where the fully grown fault is noticed at every position;
            else ``unnoticed, no higher``.
        rise_percent: Greatest unnoticed rise; zero where there is none.
        position: Index of the position at which it is.
        pedal_percent: Per cent of the sound sensor there.
        ohm: Resistance there, of the bridge or of the weak element; nan where the fault has none. [Ω]
        rise_at_rest_percent: Greatest unnoticed rise with the foot off.
        ohm_at_rest: Resistance of that. [Ω]
        rise_meanwhile_percent: Greatest rise before any check acts; an intermittent contact gives it again and again.
        checks: The checks that notice the fully grown fault at one position or other.
        within_s: Longest time in which it is noticed where it is; nan where it is not, or no time is described. [s]
        noticed_share: Share of the positions at which the fully grown fault is noticed.
        grown_v: What the inputs read of the fully grown fault; as sound where it floats; (positions, tracks). [V]
        floats: Whether an input may hang in the air, so that the worst that it may read counts.
        worst_percent: Per cent of the engine's opening at each position with the worst unnoticed resistance.
    """

    fault: Fault
    category: Category
    rise_percent: float
    position: int
    pedal_percent: float
    ohm: float
    rise_at_rest_percent: float
    ohm_at_rest: float
    rise_meanwhile_percent: float
    checks: tuple[Check, ...]
    within_s: float
    noticed_share: float
    grown_v: Array
    floats: bool
    worst_percent: Array


def judge(
    believer: Believer, sweep: Sweep, faults: tuple[Fault, ...], ways: Ways, grown_v: Array, floats: Flags
) -> tuple[Verdict, ...]:
    """The verdict on each fault.

    Args:
        believer: The inputs and checks.
        sweep: The positions.
        faults: What the ways belong to.
        ways: At least one for each fault, as the converters read them.
        grown_v: Fully grown; (faults, positions, tracks). [V]
        floats: Where an input hangs in the air then and may read what nothing notices; (faults, positions).

    Returns:
        In the order of the faults.
    """
    rows, shape = sweep.rows(ways), (len(ways), sweep.percent.size)
    worst = worst_on_lines(believer, rows)
    heedless = worst_on_lines(replace(believer, checks=()), rows).rise.reshape(shape)
    rise, ohm = worst.rise.reshape(shape), ways.ohm(worst.share.reshape(shape))
    at_rest = np.arange(sweep.percent.size) == 0
    silent = believer.silent(np.nan_to_num(grown_v), at_rest[None, :]) | floats
    noticing = _noticing(believer, grown_v, silent, at_rest)
    found = []
    for index, fault in enumerate(faults):
        mine = np.flatnonzero(ways.fault == index)
        worst_way = mine[np.argmax(rise[mine], axis=0)]
        high = rise[worst_way, np.arange(at_rest.size)]
        where = int(np.argmax(high))
        top = max(float(high[where]), 0.0)
        checks, within_s = noticing[index]
        found.append(
            Verdict(
                fault=fault,
                category=_category(top, silent[index]),
                rise_percent=top,
                position=where,
                pedal_percent=float(sweep.percent[where]),
                ohm=float(ohm[worst_way[where], where]),
                rise_at_rest_percent=max(float(high[0]), 0.0),
                ohm_at_rest=float(ohm[worst_way[0], 0]),
                rise_meanwhile_percent=max(float(heedless[mine].max()), 0.0),
                checks=checks,
                within_s=within_s,
                noticed_share=1.0 - float(silent[index].mean()),
                grown_v=grown_v[index],
                floats=bool(floats[index].any()),
                worst_percent=sweep.percent + np.maximum(high, 0.0),
            )
        )
    return tuple(found)


def silent_ohm(believer: Believer, sweep: Sweep, ways: Ways, count: int) -> Array:
    """The resistance as far as which each fault may grow with nothing noticing it at any position; (count,). [Ω]

    Of a bridge the greatest of the positions, of a series resistance the least. The ways of a fault that is bent, or
    cut by a converter, go on from one another: a check that has spoken on one has spoken for all that follow.
    """
    share = silent_until(believer, sweep.rows(ways)).reshape(len(ways), -1)
    ohm = ways.ohm(share)
    found = np.full(count, np.nan)
    for index in range(count):
        mine = np.flatnonzero(ways.fault == index)
        series = bool(ways.series[mine[0]])
        first = ways.ohm(np.zeros(share.shape))[mine, 0] if mine.size > 1 else np.zeros(1)
        mine = mine[np.argsort(first if series else -first, kind="stable")]
        spoken = np.argmax(share[mine] < 1.0, axis=0)
        stops = np.where(np.all(share[mine] >= 1.0, axis=0), mine.size - 1, spoken)
        each = ohm[mine[stops], np.arange(share.shape[1])]
        found[index] = each.min() if series else each.max()
    return found


def _category(rise: float, silent: Flags) -> Category:
    if rise > HIGHER_BY_PERCENT:
        return "unnoticed, higher"
    return "unnoticed, no higher" if silent.any() else "noticed"


def _noticing(
    believer: Believer, grown_v: Array, silent: Flags, at_rest: Flags
) -> list[tuple[tuple[Check, ...], float]]:
    """Of each fault the checks that notice at some position; and the longest time in which the quickest does. [s]"""
    checks = believer.quickest_first()
    notices = ~silent & np.array([~believer.passes(check, grown_v, at_rest) for check in checks]).reshape(
        len(checks), *silent.shape
    )
    found = []
    for index in range(len(grown_v)):
        mine = notices[:, index]
        # By position, and there the quickest first: the order in which they are told.
        by_position = np.nonzero(mine.T)[1]
        told = dict.fromkeys(by_position.tolist())
        first = np.argmax(mine, axis=0)[mine.any(axis=0)]
        times = np.array([checks[number].within_s for number in first])
        slowest = np.fmax.reduce(times) if times.size else float("nan")
        found.append((tuple(checks[number] for number in told), float(slowest)))
    return found
