"""What the figures rest on: first what has still to be measured, then the rest."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from conversion.checklist import FigureLine, evidence_table
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan

_TO_MEASURE = ("", "assumed")
_OF_CONTACT = "contact, "
_TITLES = {"": "Not known yet", "assumed": "Assumed", "measured": "Measured", "documented": "From documents"}


def evidence_section(plan: Plan) -> Section:
    """The section."""
    lines = evidence_table(plan)
    open_lines = [line for line in lines if line.evidence in _TO_MEASURE]
    blocks: list[Block] = []
    if open_lines:
        blocks += [Heading("To be measured before anything rests on it"), _open_table(open_lines)]
    else:
        blocks.append(Paragraph("No figure is assumed, and none is missing."))
    settled = [line for line in lines if line.evidence not in _TO_MEASURE and not line.contact]
    if settled:
        blocks += [Heading("Measured, or taken from documents"), _settled_table(settled)]
    contacts = [line for line in lines if line.evidence not in _TO_MEASURE and line.contact]
    if contacts:
        blocks += [Heading("Crimp contacts"), _contact_table(contacts)]
    lead = "Every figure of the description, and where it came from. A plan is no better than what it rests on."
    return Section("evidence", "What the figures rest on", lead, tuple(blocks))


def evidence_data(plan: Plan) -> DataTable:
    """Every figure."""
    head = ("figure", "value", "tolerance", "evidence", "file", "line", "column", "how_to_measure")
    rows = tuple(
        (
            line.name, line.value, line.tolerance, line.evidence or "not known", line.place.file, str(line.place.line),
            str(line.place.column), line.how,
        )
        for line in evidence_table(plan)
    )  # fmt: skip
    return DataTable("evidence", head, rows)


def _open_table(lines: Sequence[FigureLine]) -> Table:
    columns = (Column("Figure, and how to find it", 4.2), Column("In the plan", 1.6), Column("Stands at", 2.0),
               Column("Measured", 1.7))  # fmt: skip
    groups = _grouped(
        lines,
        lambda line: (
            Cell(line.name, line.how),
            Cell(line.value, line.tolerance),
            Cell(small=str(line.place)),
            Cell(fill="value", unit=line.unit),
        ),
    )
    return Table(columns, groups)


def _settled_table(lines: Sequence[FigureLine]) -> Table:
    columns = (Column("Figure", 4.2), Column("Value", 2.0, "right"), Column("Tolerance", 1.5), Column("Stands at", 2.4))
    groups = _grouped(
        lines,
        lambda line: (Cell(line.name), Cell(line.value), Cell(line.tolerance), Cell(small=str(line.place))),
    )
    return Table(columns, groups, dense=True)


def _contact_table(lines: Sequence[FigureLine]) -> Table:
    """One row for each crimp contact: it ends many wires, and is described with each housing that it sits in."""
    groups = tuple(
        Group(title, tuple(_contact_rows([line for line in lines if line.evidence == evidence])))
        for evidence, title in _TITLES.items()
        if any(line.evidence == evidence for line in lines)
    )
    return Table((Column("Contact", 1.8), Column("Its figures", 6.0), Column("Stands at", 2.4)), groups, dense=True)


def _contact_rows(lines: Sequence[FigureLine]) -> Iterator[tuple[Cell, ...]]:
    holders: dict[tuple[str, str], list[FigureLine]] = {}
    for line in lines:
        holders.setdefault((line.contact, line.name.partition(_OF_CONTACT)[0]), []).append(line)
    alike: dict[tuple[str, str], list[FigureLine]] = {}
    for (contact, _), figures in holders.items():
        each = (f"{line.name.partition(_OF_CONTACT)[2]} {line.value} {line.tolerance}".rstrip() for line in figures)
        alike.setdefault((contact, "; ".join(each)), []).append(figures[0])
    for (contact, words), first in alike.items():
        places = str(first[0].place) + (f" and {len(first) - 1} more" if len(first) > 1 else "")
        yield Cell(contact), Cell(words), Cell(small=places)


def _grouped(lines: Sequence[FigureLine], row: Callable[[FigureLine], tuple[Cell, ...]]) -> tuple[Group, ...]:
    return tuple(
        Group(title, tuple(row(line) for line in lines if line.evidence == evidence))
        for evidence, title in _TITLES.items()
        if any(line.evidence == evidence for line in lines)
    )
