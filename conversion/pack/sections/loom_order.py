"""The build order of the loom, phase by phase, with a box for each step."""

from __future__ import annotations

from itertools import groupby
from string import ascii_uppercase

from conversion.loom.lengths import RETERMINATION_MM, RETERMINATIONS
from conversion.pack.blocks import Block, Cautions, Cell, Column, Group, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.loom_words import GROUP_WORDS
from conversion.plan import Plan
from conversion.plan.loom.tables.build_order import PHASES, BuildStep, build_order
from conversion.quantities import show

_COLUMNS = (
    Column("What", 1.6),
    Column("Wires", 2.4),
    Column("How", 4.6),
    Column("Done", 0.7, "center"),
)
_CAUTIONS = (
    "Battery: its negative clamp is off before any wire of the loom comes near it, and goes on last.",
    "Cut, crimp and pull with eye protection; the end of a cut strand flies.",
    "Heat gun: 300 °C and more at its nozzle. Never toward fuel, insulation that is finished, or a hand; away from "
    "the car. Let a lined tube cool before it is bent.",
    "Strip without nicking: of 19 strands two may be nicked and none cut (FAA AC 43.13-1B, table 11-13). Else cut off "
    "and strip again; the wire for that is laid in.",
)


def order_section(plan: Plan) -> Section:
    """The section: every step in its order."""
    loom = plan.description.conversion.loom
    spare = loom.retermination if loom else None
    slack = show(RETERMINATIONS * (RETERMINATION_MM if spare is None else spare.nominal), "cut")
    said = (
        "Lengths of runs are along the middle of the loom, from station to station. Beyond its last station a wire has "
        f"the tail of its device, its drip loop where there is one, and {slack} for {RETERMINATIONS} new "
        "terminations, which lies as a small bow in the tail. A splice lies at its station, with no tail."
    )
    blocks: list[Block] = [Cautions("Before the first cut", _CAUTIONS), Paragraph(said)]
    groups = [
        Group(f"{letter}. {PHASES[phase]}", tuple(_row(step) for step in steps))
        for letter, (phase, steps) in zip(
            ascii_uppercase, groupby(build_order(plan), key=lambda step: step.phase), strict=False
        )
    ]
    if groups:
        blocks.append(Table(_COLUMNS, tuple(groups)))
    lead = "From the bare board to the finished loom. Tick each step; what it needs stands beside it."
    return Section("loom-order", "Build order of the loom", lead, tuple(blocks))


def order_data(plan: Plan) -> DataTable:
    """Every step."""
    head = ("step", "phase", "what", "wires", "how")
    rows = tuple(
        (str(number), step.phase, step.what, " ".join(step.tags), step.how)
        for number, step in enumerate(build_order(plan), 1)
    )
    return DataTable("loom-build-order", head, rows)


def _row(step: BuildStep) -> tuple[Cell, ...]:
    what = GROUP_WORDS.get(step.what, step.what) if step.phase == "cut" else step.what
    return Cell(what, strong=True), Cell(" ".join(step.tags)), Cell(step.how), Cell(fill="tick")
