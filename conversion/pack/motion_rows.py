"""The figures of the moving pedal as texts, one row each over all positions, rounded where a document rounds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from conversion.pack.motion_fit import Nearness
from conversion.pack.sections.figures import span
from conversion.plan import Plan
from conversion.quantities import show
from conversion.sensing import sensor_input

_TO_BASE = {"angle": math.pi / 180.0, "ratio": 0.01}
_TAKES = {"smaller": "the smaller", "larger": "the larger", "mean": "the mean", "a": "track a"}

_Values = Sequence[float | None]


@dataclass(frozen=True)
class Row:
    """One figure over the travel, as texts.

    Attributes:
        key: Its name for the script.
        name: In words.
        shown: At each position.
        band: Least to greatest at each position; empty where it has none.
        said: Whether it is told to those who hear the page.
    """

    key: str
    name: str
    shown: tuple[str, ...]
    band: tuple[str, ...] = ()
    said: bool = False


def linkage_rows(positions: list[dict[str, Any]]) -> Iterator[Row]:
    """Pad, pedal, lever, ratio, transmission: from the positions as the command gives them."""

    def of(name: str) -> _Values:
        return [entry[name] for entry in positions]

    yield _row("pad", "Pad travel", of("pad_travel_mm"), "length", said=True)
    yield _row("pedal", "Pedal angle", of("pedal_deg"), "angle")
    band = (of("lever_min_deg"), of("lever_max_deg"))
    yield _row("lever", "Lever angle", of("lever_deg"), "angle", band, said=True)
    yield _row("ratio", "Ratio", of("ratio"), "plain")
    for end in ("lever", "pedal"):
        values = of(f"transmission_{end}_deg")
        if any(value is not None for value in values):
            yield _row(f"transmission-{end}", f"Transmission angle at the {end}", values, "angle")


def sensing_rows(plan: Plan, positions: list[dict[str, Any]]) -> Iterator[Row]:
    """Volts and per cent of each track, and what the control unit takes of them."""
    for name in positions[0]["tracks"]:
        volts = [[entry["tracks"][name][which] for entry in positions] for which in ("volts", "volts_min", "volts_max")]
        yield _row(f"volts-{name}", f"Track {name}", volts[0], "voltage", (volts[1], volts[2]), said=True)
    for name, track in plan.pedal.tracks.items():
        if np.any(np.isfinite(track.percent)):
            band = _worst(plan, f"percent.{name}")
            yield _row(f"percent-{name}", f"Per cent from track {name}", track.percent.tolist(), "ratio", band)
    taken = [entry["percent"] for entry in positions]
    if any(value is not None for value in taken):
        name = "Per cent taken" + how_taken(plan, " ({})")
        yield _row("percent", name, taken, "ratio", _worst(plan, "percent"), said=True)


def _worst(plan: Plan, output: str) -> tuple[_Values, _Values] | None:
    least, most = plan.study.worst(output)
    return None if least is None or most is None else (least.tolist(), most.tolist())


def how_taken(plan: Plan, words: str) -> str:
    """Which track the control unit goes by, put into some words; empty where that is not described."""
    accepts = sensor_input(plan.description, "pedal")
    return words.format(_TAKES[accepts.takes]) if accepts is not None else ""


def force_rows(plan: Plan) -> Iterator[Row]:
    """Force at the pad.

    Raises:
        Missing: It rests on a figure that is not known.
    """
    study = plan.returns
    yield _row("pressing", "Pad force, pressing", study.pad_force_pressing_n.tolist(), "force")
    yield _row("releasing", "Pad force, coming back", study.pad_force_releasing_n.tolist(), "force")


def _row(
    key: str,
    name: str,
    values: _Values,
    dimension: str,
    band: tuple[_Values, _Values] | None = None,
    said: bool = False,
) -> Row:
    """Values in degrees, per cent, or their base unit."""
    factor = _TO_BASE.get(dimension, 1.0)

    def based(value: float | None) -> float:
        return math.nan if value is None else value * factor

    def limits(low: float | None, high: float | None) -> str:
        return show(math.nan, dimension) if low is None or high is None else span(based(low), based(high), dimension)

    shown = tuple(show(based(value), dimension) for value in values)
    return Row(key, name, shown, tuple(map(limits, *band)) if band else (), said)


def clearance_row(number: int, near: Nearness) -> Row:
    """The clearance to one obstacle; the part that is nearest in place of the band."""
    told = zip(near.part, near.wanted_mm, near.short, strict=True)
    parts = tuple(f"{part}; {'TOO NEAR, ' if short else ''}{show(mm, 'length')} wanted" for part, mm, short in told)
    shown = tuple(show(float(value), "length") for value in near.least_mm)
    return Row(f"clearance-{number}", near.name, shown, parts)
