"""Sections that are drawings first: the linkage from the side, the system, the circuits."""

from __future__ import annotations

from conversion.drawings import Drawings
from conversion.pack.blocks import Cell, Column, Group, Table
from conversion.pack.document import Section
from conversion.pack.sections.pictures import left_out, pictures
from conversion.plan import Plan


def side_view_section(drawn: Drawings) -> Section:
    """The linkage at rest, half way and at full."""
    blocks = (*pictures(drawn, "side-view"), *left_out(drawn, "side-view"))
    return Section("side-view", "Linkage at rest, half way and at full", "", blocks, to_scale=True)


def system_section(plan: Plan, drawn: Drawings) -> Section:
    """The system drawing and the list of devices."""
    lead = (
        "Which devices there are, where they sit, and what joins them. References follow IEC 81346-2, colours IEC "
        "60757, supply terminals DIN 72552."
    )
    blocks = (*pictures(drawn, "system"), *left_out(drawn, "system"), _devices(plan))
    return Section("system", "System", lead, blocks)


def circuits_section(drawn: Drawings) -> Section:
    """One circuit drawing a function."""
    lead = "One sheet for each function, with the volts to be found at rest and at full where they can be met."
    blocks = (*pictures(drawn, "circuit-"), *left_out(drawn, "circuits"))
    return Section("circuits", "Circuits", lead, blocks)


def _devices(plan: Plan) -> Table:
    columns = (
        Column("Device", 0.8),
        Column("What it is", 3.4),
        Column("Where it sits", 2.6),
        Column("Fed from", 1.8),
        Column("Ground", 0.9),
    )
    rows = []
    for reference, device in plan.description.conversion.devices.items():
        fed = device.fed_from or ""
        if isinstance(fed, dict):
            fed = ", ".join(f"{source} ({role.removeprefix('feed.')})" for role, source in fed.items())
        title = plan.description.parts[reference].title
        note = plan.description.parts[reference].note or ""
        rows.append(
            (
                Cell(reference, strong=True),
                Cell(title, note),
                Cell(device.place),
                Cell(fed),
                Cell(device.grounded_at or ""),
            )
        )
    return Table(columns, (Group("", tuple(rows)),))
