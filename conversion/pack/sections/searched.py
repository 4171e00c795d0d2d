"""The search: what else could be made, what it would give, and where the linkage as described stands among it."""

from __future__ import annotations

from conversion.description import Missing
from conversion.drawings.trade_off import trade_off_chart
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.figures import gap_of
from conversion.pack.sections.pictures import picture
from conversion.plan.searching.as_json import front_rows
from conversion.plan.searching.search import SearchOutcome
from conversion.plan.searching.text import advice, counted, in_the_way
from conversion.plan.searching.words import Rows, tables

_WORDS = {"best in": 2.6, "where": 8.0}
"""Columns of words and their shares of the width."""


def search_section(outcome: SearchOutcome | Missing) -> Section:
    """The section, its chart included; why there is none where a figure is lacking."""
    lead = (
        "What the search of the settings found: what can be made besides what is described, what each would give, and "
        "what it costs in other respects. What is described stands in the line 'now'."
    )
    blocks = (gap_of("The search", outcome),) if isinstance(outcome, Missing) else _found(outcome)
    return Section("search", "Settings searched", lead, blocks)


def trade_off_data(outcome: SearchOutcome) -> DataTable:
    """Every member of the trade-off."""
    rows = front_rows(outcome)
    cells = tuple(tuple("" if value is None else f"{value:.6g}" for value in row.values()) for row in rows)
    return DataTable("trade-off", tuple(rows[0]), cells)


def _found(outcome: SearchOutcome) -> tuple[Block, ...]:
    if not outcome.settings:
        return (Paragraph(counted(outcome)), Points(tuple(in_the_way(outcome.obstacles))))
    found: list[Block] = [Paragraph(counted(outcome))]
    for table in tables(outcome):
        title, _, further = table.title.partition("; ")
        words = further.replace("\n", " ")
        found += [Heading(title), *([Paragraph(f"{words[0].upper()}{words[1:]}.", leads=True)] if words else [])]
        found.append(_set(table))
    return (*found, Heading("How to read it"), Points(tuple(advice(outcome))), picture(trade_off_chart(outcome)))


def _set(table: Rows) -> Table:
    """A table of words as one of the pack."""
    columns = []
    for place, (head, unit) in enumerate(zip(table.heads, table.units, strict=True)):
        words = head in _WORDS
        longest = max(len(row[place]) for row in table.cells)
        share = _WORDS[head] if words else max(0.6, 0.12 * longest, 0.16 * max(map(len, head.split())))
        columns.append(Column(head, share, "left" if words else "right", unit))
    rows = tuple(tuple(Cell(text, strong=not place) for place, text in enumerate(row)) for row in table.cells)
    return Table(tuple(columns), (Group("", rows),), dense=True)
