"""What the figures rest on, in print: a contact that ends many wires is told once, with all its figures."""

from __future__ import annotations

from collections import Counter
from functools import cache

from conversion import resources
from conversion.checklist import evidence_table
from conversion.description import read_description
from conversion.pack.blocks import Table
from conversion.pack.sections.evidence import evidence_section
from conversion.plan import Plan


@cache
def van() -> Plan:
    return Plan(read_description(resources.harnesses_dir() / "market-van"))


def contact_table() -> Table:
    tables = [block for block in evidence_section(van()).blocks if isinstance(block, Table)]
    return next(table for table in tables if table.columns[0].title == "Contact")


def test_a_contact_of_many_housings_is_one_row_that_counts_them() -> None:
    rows = [(group.title, row) for group in contact_table().groups for row in group.rows]
    told = Counter((title, row[0].text, row[1].text) for title, row in rows)
    assert told and set(told.values()) == {1}
    holders = {(line.contact, line.name.partition("contact, ")[0]) for line in evidence_table(van()) if line.contact}
    counted = sum(1 + (int(row[2].small.split()[-2]) if row[2].small.endswith(" more") else 0) for _, row in rows)
    assert counted == len(holders) > len(rows)


def test_every_figure_of_a_contact_is_printed_and_none_twice() -> None:
    words = "\n".join(row[1].text for group in contact_table().groups for row in group.rows)
    for line in evidence_table(van()):
        if line.contact and line.evidence != "assumed":
            figure = f"{line.name.partition('contact, ')[2]} {line.value} {line.tolerance}".rstrip()
            assert figure in words, line.name
    settled = [block for block in evidence_section(van()).blocks if isinstance(block, Table)][-2]
    assert not any("contact, " in row[0].text for group in settled.groups for row in group.rows)
