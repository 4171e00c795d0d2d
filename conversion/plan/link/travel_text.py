"""The travel as text: a table of every fourth position and the last, then the link, the return and the tape."""

from __future__ import annotations

from collections.abc import Iterator
from math import nan, radians
from typing import Any

from conversion.description import Missing
from conversion.plan.link.facts import Fact, link_facts
from conversion.plan.link.return_facts import case_facts
from conversion.plan.plan import Plan
from conversion.plan.tape.facts import place_text, reading_facts
from conversion.quantities import number, show, unit_of

EVERY = 4


def travel_lines(positions: list[dict[str, Any]]) -> Iterator[str]:
    """Lines of a table made from the entries of :func:`conversion.plan.link.positions.travel_positions`."""
    if not positions:
        return
    tracks = list(positions[0]["tracks"])
    heads = ["pad", "pedal", "lever", "ratio", "transmission", *(f"track {name}" for name in tracks), "per cent"]
    units = [unit_of("length"), "°", "°", "", "°", *("V (least..greatest)" for _ in tracks), "%"]
    rows = [_cells(entry, tracks) for entry in positions[::EVERY]]
    if (len(positions) - 1) % EVERY:
        rows.append(_cells(positions[-1], tracks))
    widths = [max(len(row[column]) for row in (heads, units, *rows)) for column in range(len(heads))]
    for row in (heads, units, *rows):
        yield "  ".join(cell.rjust(width) for cell, width in zip(row, widths, strict=True))


def fact_lines(plan: Plan) -> Iterator[str]:
    """Lines on the link, on the return, and on how the readings of a tape fit; what cannot be computed is left out."""
    for title, facts in (("Link", link_facts), ("Return", case_facts), ("Points from a tape", _tape)):
        try:
            found = list(facts(plan))
        except Missing:
            continue  # told where the travel, or a rule, asks for the figure
        if not found:
            continue
        width = max(len(label) for label, _ in found)
        yield from ("", title, *(f"  {label.ljust(width)}  {text}" for label, text in found))


def _tape(plan: Plan) -> Iterator[Fact]:
    for result in plan.tape:
        yield result.name, place_text(result)
        for fact in reading_facts(result):
            verdict = "" if fact.agrees else "; does not fit"
            again = ", take it again" if fact.again else ""
            off, allowed = show(fact.off, fact.dimension), show(fact.allowed, fact.dimension)
            yield f"  {fact.text}", f"off by {off}, allowed {allowed}{verdict}{again}"


def _cells(entry: dict[str, Any], tracks: list[str]) -> list[str]:
    def angle(name: str) -> str:
        return number(radians(_or_nan(entry[name])), "angle")

    volts = []
    for name in tracks:
        track = entry["tracks"][name]
        nominal, least, greatest = (
            number(_or_nan(track[key]), "voltage") for key in ("volts", "volts_min", "volts_max")
        )
        volts.append(f"{nominal} ({least}..{greatest})")
    return [
        number(_or_nan(entry["pad_travel_mm"]), "length"),
        angle("pedal_deg"),
        angle("lever_deg"),
        number(_or_nan(entry["ratio"]), "plain"),
        angle("transmission_deg"),
        *volts,
        number(_or_nan(entry["percent"]) / 100.0, "ratio"),
    ]


def _or_nan(value: float | None) -> float:
    return nan if value is None else value
