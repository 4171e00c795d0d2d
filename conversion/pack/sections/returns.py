"""Returns: what brings pedal and lever back, with each spring out in turn and with the link parted."""

from __future__ import annotations

import math

from conversion.drawings import Drawings
from conversion.linkage.returns import ReturnCase
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import Section
from conversion.pack.sections.figures import or_gap
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import POSITIONS, Plan
from conversion.quantities import number

_HALVES = {"both": "pedal and lever, linked", "pedal": "pedal alone", "module": "lever alone"}


RETURN_CHARTS = ("chart-pad-force", "chart-return")
"""What the names of the charts begin with that belong here."""


def returns_section(plan: Plan, drawn: Drawings) -> Section:
    """The section, charts included."""
    lead = (
        "What brings the pedal back with everything in, with any one spring out, and with the link parted. "
        "Each case must come back from every position against its friction."
    )
    blocks = (
        *or_gap("The return", lambda: _blocks(plan)),
        *pictures(drawn, *RETURN_CHARTS),
        *left_out(drawn, "returns"),
    )
    return Section("returns", "Return to rest", lead, blocks)


def _blocks(plan: Plan) -> tuple[Block, ...]:
    study = plan.returns
    cases = Table(
        (
            Column("What has failed", 3.0),
            Column("What must come back", 2.4),
            Column("Least moment left", 1.6, "right", "N·m"),
            Column("At", 1.0, "right", "°"),
            Column("Comes back", 1.2),
            Column("Tried on the car", 1.2, "center"),
        ),
        (Group("", tuple(_case(case) for case in study.cases)),),
        "Moment left is the returning moment less friction, where it is least; the angle is that of the half named.",
    )
    columns = (
        Column("Pad travel", 1.0, "right", "mm"),
        Column("Pressing", 1.0, "right", "N"),
        Column("Coming back", 1.0, "right", "N"),
        Column("Measured pressing", 1.4),
        Column("Measured coming back", 1.4),
    )
    rows = tuple(
        (
            Cell(number(plan.travel.pad_travel_mm[at], "length"), strong=True),
            Cell(number(float(study.pad_force_pressing_n[at]), "force")),
            Cell(number(float(study.pad_force_releasing_n[at]), "force")),
            Cell(fill="value", unit="N"),
            Cell(fill="value", unit="N"),
        )
        for at in range(0, POSITIONS, (POSITIONS - 1) // 4)
    )
    force = Table(columns, (Group("", rows),))
    said = "No other springs or weights were described than those in this table."
    return (cases, Heading("Force at the pad"), force, Paragraph(said, small=True))


def _case(case: ReturnCase) -> tuple[Cell, ...]:
    failed = {
        "all-in": "nothing",
        "spring-out": f"spring out: {case.spring_out}",
        "link-parted": "link parted",
    }[case.kind]
    margin = case.margin_nm
    at = number(case.margin_at_rad, "angle") if math.isfinite(margin) else "none"
    verdict = "yes" if case.returns else ("not known" if math.isnan(margin) else "NO")
    return (
        Cell(failed, strong=True),
        Cell(_HALVES[case.half]),
        Cell(number(margin, "moment")),
        Cell(at),
        Cell(verdict, strong=not case.returns),
        Cell(fill="tick"),
    )
