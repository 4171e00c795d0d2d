"""Returns: what brings pedal and lever back, with each spring out in turn and with the link parted."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from conversion.drawings import Drawings
from conversion.linkage.returns import ReturnCase
from conversion.pack.blocks import Block, Cell, Column, Facts, Group, Heading, Paragraph, Table
from conversion.pack.document import Section
from conversion.pack.sections.figures import or_gap
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import POSITIONS, Plan
from conversion.plan.link.friction import WHY_DEFAULT
from conversion.plan.link.return_facts import HALVES, failed_text
from conversion.plan.link.rod_loads import rod_words
from conversion.quantities import number, show

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
        Column("Hysteresis", 1.0, "right", "N"),
        Column("Measured pressing", 1.4),
        Column("Measured coming back", 1.4),
    )
    rows = tuple(
        (
            Cell(number(plan.travel.pad_travel_mm[at], "length"), strong=True),
            Cell(number(float(study.pad_force_pressing_n[at]), "force")),
            Cell(number(float(study.pad_force_releasing_n[at]), "force")),
            Cell(number(float(study.hysteresis_n[at]), "force")),
            Cell(fill="value", unit="N"),
            Cell(fill="value", unit="N"),
        )
        for at in range(0, POSITIONS, (POSITIONS - 1) // 4)
    )
    force = Table(columns, (Group("", rows),))
    said = "No other springs or weights were described than those in this table."
    return (
        cases,
        Heading("Force at the pad"),
        force,
        Paragraph(
            f"{said} Hysteresis is what friction adds while pressing and takes away while coming back.", small=True
        ),
        Heading("Time, friction and loads"),
        Facts(tuple(_loads(plan))),
    )


def _loads(plan: Plan) -> Iterator[tuple[str, str]]:
    time = plan.return_time
    estimate = show(time.all_in_s, "time") if math.isfinite(time.all_in_s) else "it does not come back"
    worst = ""
    if time.worst and math.isfinite(time.worst_s):
        without = "with the link parted" if time.worst == "link" else f"without the spring {time.worst}"
        worst = f", {show(time.worst_s, 'time')} {without}"
    yield (
        "Time from full to rest",
        f"about {estimate}{worst}; asked for: within {time.allowed} (49 CFR 571.124 S5.3, from memory). "
        f"For the estimate {time.assumed}.",
    )
    pedal, lever = plan.frictions
    for what, friction in (("Friction of the pedal", pedal), ("Friction of the lever", lever)):
        source = "as described" if friction.described else f"assumed: {WHY_DEFAULT}"
        yield what, f"{show(friction.moment_nm, 'moment')}, {source}"
    form = plan.description.conversion.linkage
    assert form is not None, "its return was studied"
    for what, stop in (("Rest stop", form.pedal.rest_stop), ("Full stop", form.pedal.full_stop)):
        load = show(stop.load.nominal, "force") if stop.load is not None else "not described"
        yield f"{what} carries at the pad", load
    force = _link_force(plan)
    if force is not None:
        yield "Force in the link, pressing", force
    for jam in plan.jam_loads:
        buckles = ""
        if jam.pushed and math.isfinite(jam.buckling_n):
            buckles = f"; a straight one of its diameter buckles at {show(jam.buckling_n, 'force')}"
        yield (
            "A full foot on a jammed lever",
            f"{show(jam.pad_force_n, 'force')} at the pad {'push' if jam.pushed else 'pull'} the "
            f"{rod_words(plan.description, jam.rod)} with {show(jam.rod_n, 'force')}{buckles}",
        )


def _link_force(plan: Plan) -> str | None:
    """Greatest force in the link while pressing, and along the lever's axis; None where there is no link."""
    force = plan.returns.link_force_n
    if not np.any(np.isfinite(force)) or not plan.travel.geometry.linkage.can_part:
        return None
    words = f"up to {show(float(np.nanmax(np.abs(force))), 'force')}"
    side = plan.side_load_n
    if side is not None and np.any(np.isfinite(side)):
        words += f", of it {show(float(np.nanmax(side)), 'force')} along the lever's axis"
    return words


def _case(case: ReturnCase) -> tuple[Cell, ...]:
    margin = case.margin_nm
    at = number(case.margin_at_rad, "angle") if math.isfinite(margin) else "none"
    verdict = "yes" if case.returns else ("not known" if math.isnan(margin) else "NO")
    return (
        Cell(failed_text(case), strong=True),
        Cell(HALVES[case.half]),
        Cell(number(margin, "moment")),
        Cell(at),
        Cell(verdict, strong=not case.returns),
        Cell(fill="tick"),
    )
