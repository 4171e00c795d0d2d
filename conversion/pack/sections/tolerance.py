"""Tolerances: what the stated limits do to lever, volts and per cent, how often something is missed, and why."""

from __future__ import annotations

import math
from collections.abc import Iterator

from conversion.checklist.figure_names import figure_name
from conversion.description import Missing
from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Cell, Column, Gap, Group, Heading, Paragraph, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.figures import gap_of, or_gap, span
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import Plan
from conversion.plan.study.case import VariedFigure
from conversion.plan.study.text import (
    chance_words,
    grouped,
    leading,
    method_words,
    single_figures,
    spread_of,
    words_of,
)
from conversion.plan.study.travel import TravelStudy
from conversion.quantities import number, show

_BAR = "█"
_BAR_LENGTH = 20
_RANKED = 5
_DOES = "does it"
_SHAPES = {"uniform": "anywhere alike", "triangular": "likeliest at nominal", "normal": "normal, limits at 3 σ"}
_KEYS = ("p05", "p50", "p95", "worst_least", "worst_greatest")

NOT_COVERED = (
    "A figure without a tolerance counts as exact, and each figure is taken as independent of all others. Two holes "
    "drilled with one jig are not.",
    "Chances are those of the stated limits and shapes. A limit that was guessed gives a guessed chance.",
    "The control unit is taken to do what its description says. Where it learns rest and full, each sample has "
    "learned its own, so a slow drift after learning is not in here.",
    "Wear, temperature, load on bracket and stops, springs and faults of the wiring are not varied.",
)


def tolerance_section(plan: Plan, drawn: Drawings) -> Section:
    """The section, charts included."""
    blocks = (
        *or_gap("The tolerance study", lambda: _results(plan)),
        *pictures(drawn, "tolerance-"),
        *left_out(drawn, "tolerance"),
        *_unless_missing(plan),
    )
    lead = (
        "What comes of it when every figure lies somewhere between its limits: where lever and volts come to lie, how "
        "often a stop or a window is missed, and which figure is worth measuring again."
    )
    return Section("tolerance", "Tolerances", lead, blocks)


def tolerance_data(plan: Plan) -> DataTable | None:
    """Bands at every position; None where the travel cannot be computed."""
    try:
        found = plan.study
    except Missing:
        return None
    outputs = [("lever_rad", "lever", "deg", "angle")]
    outputs += [(f"volts.{track}", track, "volts", "voltage") for track in found.tracks]
    if "percent" in found.study.bands:
        outputs.append(("percent", "percent", "", "percent"))
    keys = ("nominal", *_KEYS)
    head = (
        "pad_travel_mm",
        *("_".join(filter(None, (name, key, unit))) for _, name, unit, _ in outputs for key in keys),
    )
    rows = []
    for index, pad in enumerate(found.study.positions):
        cells = [number(float(pad), "length")]
        for output, _, _, dimension in outputs:
            spread = spread_of(found, output, index)
            cells += [_known(spread[key], dimension) for key in keys]
        rows.append(tuple(cells))
    return DataTable("tolerance", head, tuple(rows))


def _known(value: float, dimension: str) -> str:
    if not math.isfinite(value):
        return ""
    return number(value / 100.0, "ratio") if dimension == "percent" else number(value, dimension)


def _results(plan: Plan) -> tuple[Block, ...]:
    found = plan.study
    if not found.figures:
        return (
            Paragraph(
                "No figure that lever or volts rest on carries a tolerance, so there is nothing to vary. Write how far "
                "each may lie off, such as '182 mm ± 1 mm', and make the pack again."
            ),
            *_lacking(found),
        )
    return (Paragraph(_drawn(found)), _at_stops(found), *_lacking(found))


def _unless_missing(plan: Plan) -> tuple[Block, ...]:
    try:
        found = plan.study
    except Missing:
        return ()
    if not found.figures:
        return ()
    return (
        Heading("How often something is missed"),
        _chances(found),
        Heading("What matters most"),
        _rankings(found),
        Heading("What was varied"),
        _varied(found),
        *_idle(found),
        Heading("How it was done"),
        Points(tuple(_method(found))),
        Heading("What it does not cover"),
        Points(NOT_COVERED),
    )


def _drawn(found: TravelStudy) -> str:
    study = found.study
    return (
        f"{grouped(study.samples)} linkages were drawn, each with all of {len(found.figures)} figures somewhere "
        "between their limits. Nine in ten lie between the 5 % and the 95 % mark; the worst case is every figure at "
        "one of its ends."
    )


def _at_stops(found: TravelStudy) -> Table:
    columns = (
        Column("With the pedal on its stops", 3.6),
        Column("Planned", 1.1, "right"),
        Column("5 %", 1.0, "right"),
        Column("Half", 1.0, "right"),
        Column("95 %", 1.0, "right"),
        Column("Worst case", 2.2, "right"),
    )
    rows = []
    for output, words, dimension in single_figures(found):
        spread = spread_of(found, output)
        few = (show(spread["nominal"], dimension), *(number(spread[key], dimension) for key in _KEYS[:3]))
        worst = span(spread["worst_least"], spread["worst_greatest"], dimension)
        cells = (Cell(words[0].upper() + words[1:]), Cell(few[0], strong=True), *map(Cell, few[1:]), Cell(worst))
        rows.append(cells)
    return Table(columns, (Group("", tuple(rows)),))


def _chances(found: TravelStudy) -> Table:
    columns = (Column("What", 4.0), Column("In how many samples", 4.2), Column("Worst case", 1.8))
    rows = []
    for event, chance in found.study.chances.items():
        words = words_of(event)
        worst = _DOES if found.study.corners.happens[event] else "does not"
        cells = (
            Cell(words[0].upper() + words[1:]),
            Cell(chance_words(chance)),
            Cell(worst),
        )
        rows.append(cells)
    return Table(columns, (Group("", tuple(rows)),))


def _rankings(found: TravelStudy) -> Table:
    columns = (Column("Figure", 4.6), Column("Share", 1.0, "right", "%"), Column("As a bar", 3.4))
    groups = []
    for output, ranking in found.rankings.items():
        words = words_of(output)
        rows = tuple(
            (
                Cell(_name(figure)),
                Cell(number(share, "ratio"), strong=True),
                Cell(_BAR * max(1, round(_BAR_LENGTH * share))),
            )
            for figure, share in leading(found, ranking, _RANKED)
        )
        nothing = ((Cell("No figure alone makes as much as 1 % of it."), Cell(), Cell()),)
        groups.append(Group(words[0].upper() + words[1:], rows or nothing, method_words(ranking)))
    return Table(columns, tuple(groups), "Share of the variance that each figure makes; measure the first ones again.")


def _varied(found: TravelStudy) -> Table:
    columns = (
        Column("Figure, and its name in the description", 4.3),
        Column("Nominal", 1.5, "right"),
        Column("Limits", 2.8, "right"),
        Column("Between them", 1.9),
    )
    rows = tuple(
        (
            Cell(_name(figure), figure.name),
            Cell(show(figure.nominal, figure.dimension)),
            Cell(_limits(figure)),
            Cell(_SHAPES[figure.drawn.shape]),
        )
        for figure in found.figures
    )
    return Table(columns, (Group("", rows),), dense=True)


def _method(found: TravelStudy) -> Iterator[str]:
    study = found.study
    yield (
        f"Seed {study.seed}: the same description gives the same samples. Each figure has a stream of random numbers "
        "of its own, so that changing one leaves those of the others as they were."
    )
    yield (
        "The interval is that of Clopper and Pearson: it holds the true chance of the stated limits at least as often "
        "as it says, also where nothing happened."
    )
    if study.corners.method == "all":
        yield f"The worst case was looked for at all {grouped(study.corners.corners)} corners of the tolerances."
    else:
        yield (
            f"The worst case was looked for at {grouped(study.corners.corners)} corners of the tolerances: for every "
            "output and position those that the effect of each figure alone points to, and random ones besides."
        )
    yield (
        "Shares are squared standardised regression coefficients where a straight line explains at least nine tenths "
        "of the variance (R²), and first-order shares of the variance by bins otherwise. What two figures do only "
        "together is in none of them."
    )


def _lacking(found: TravelStudy) -> tuple[Gap, ...]:
    return tuple(gap_of("A part of the study", missing) for missing in found.lacking)


def _idle(found: TravelStudy) -> tuple[Block, ...]:
    if not found.idle_shapes:
        return ()
    return (
        Paragraph(f"A shape is described for {', '.join(found.idle_shapes)}, which moves nothing here.", small=True),
    )


def _name(figure: VariedFigure) -> str:
    words = figure_name(figure.device, figure.path)
    return f"{words}, radius of its arc" if figure.drawn.name == "pad_radius_mm" else words


def _limits(figure: VariedFigure) -> str:
    if figure.dimension == "resistance":  # whose unit grows with the figure
        return f"{show(figure.low, 'resistance')} to {show(figure.high, 'resistance')}"
    return span(figure.low, figure.high, figure.dimension)
