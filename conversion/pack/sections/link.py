"""The link's own figures over the travel, and how the readings of a tape fit."""

from __future__ import annotations

from conversion.pack.blocks import Block, Cell, Column, Facts, Group, Heading, Paragraph, Table
from conversion.plan import Plan
from conversion.plan.link.facts import link_facts
from conversion.plan.tape.facts import place_text, reading_facts
from conversion.quantities import show, unit_of


def link_blocks(plan: Plan) -> tuple[Block, ...]:
    """What is special to the kind of link; nothing for a module's own pedal."""
    facts = link_facts(plan)
    return (Heading("The link"), Facts(facts)) if facts else ()


def tape_blocks(plan: Plan) -> tuple[Block, ...]:
    """Every point that was measured with a tape, with the residual of each reading; nothing where there is none."""
    if not plan.tape:
        return ()
    columns = (
        Column("Reading", 2.6),
        Column("Off by", 1.0, "right"),
        Column("Allowed", 1.0, "right"),
        Column("Fits", 0.8),
        Column("Read again", 1.4),
    )
    groups = []
    for result in plan.tape:
        rows = tuple(
            (
                Cell(fact.text),
                Cell(show(fact.off, fact.dimension)),
                Cell(show(fact.allowed, fact.dimension)),
                Cell("yes" if fact.agrees else "NO", strong=not fact.agrees),
                Cell("take this one again", strong=True)
                if fact.again
                else Cell(fill="value", unit=unit_of(fact.dimension)),
            )
            for fact in reading_facts(result)
        )
        groups.append(Group(f"{result.name}: {place_text(result)}", rows))
    return (
        Heading("Points from a tape"),
        Table(columns, tuple(groups)),
        Paragraph(
            "Off by: what was read less what fits the point. Allowed: the reading's tolerance with that of its mark.",
            small=True,
        ),
    )
