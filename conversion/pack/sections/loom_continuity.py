"""The continuity sheet: what must conduct on the finished loom, what must not, and a box for each reading."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from conversion.checklist import CONTINUITY_SHEET, Row, Stage
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan
from conversion.plan.loom.tables.continuity import APART_OHM, Conducts, must_conduct, must_not_conduct
from conversion.quantities import number, show, unit_of
from conversion.wiring import SplicePoint

_OHM = unit_of("resistance")
_JOINED = (
    Column("Wire", 0.7),
    Column("Colour", 0.9),
    Column("One lead at", 1.6),
    Column("The other at", 1.6),
    Column("Through", 1.0),
    Column("Wires alone", 1.0, "right", "mohm"),
    Column("At most", 0.9, "right", _OHM),
    Column("Read", 1.7, "center"),
)
_APART = (
    Column("Contact", 1.2),
    Column("Wire", 0.8),
    Column("Against, one after the other", 3.6),
    Column("At least", 1.2, "right"),
    Column("Least read", 1.7, "center"),
)
_SAID = (
    "Nothing plugged in, no fuse fitted, battery off. Hold the leads together first and take off what they read. "
    "Wriggle both ends while you read. Wires alone are their copper at 20 °C (IEC 60228, the most that a size may "
    "have); a hand meter shows that hardly, so what counts is that the reading stays below the most. All that one "
    "splice or one terminal joins is proved when each of its wires is."
)


def continuity_section(plan: Plan, stages: Sequence[Stage]) -> Section:
    """The section: both tables, with what was recorded where a record is named."""
    recorded = {row.key: row for stage in stages for step in stage.steps for row in step.rows if row.key}
    joined = tuple(_joined(each, recorded) for each in must_conduct(plan))
    apart = tuple(
        (
            Cell(each.at.name, strong=True),
            Cell(each.wire.tag),
            Cell(", ".join(other.name for other in each.against)),
            Cell(show(APART_OHM, "resistance")),
            _box(recorded.get(("isolation", each.at.name))),
        )
        for each in must_not_conduct(plan)
    )
    blocks: list[Block] = [Paragraph(_SAID, small=True)]
    if joined:
        blocks += [Heading("Must conduct"), Table(_JOINED, (Group("", joined),))]
    if apart:
        blocks += [Heading("Must not conduct: neighbours in a housing"), Table(_APART, (Group("", apart),))]
    lead = "Every wire from end to end, and every contact against the neighbours that nothing joins to it."
    return Section(CONTINUITY_SHEET.key, CONTINUITY_SHEET.title, lead, tuple(blocks))


def continuity_data(plan: Plan) -> DataTable:
    """Every pair of contacts, one line each."""
    head = (
        "must", "wire", "one_lead_at", "other_lead_at", "through_splice", "wire_ohm", "least_ohm", "most_ohm",
        "measured_ohm",
    )  # fmt: skip
    rows = []
    for each in must_conduct(plan):
        ohm = "" if each.wire_ohm is None else f"{each.wire_ohm:.4f}"
        ends = (_lead(each.start), _lead(each.end))
        rows.append(("conduct", each.wire.tag, *ends, each.through, ohm, "", number(each.most_ohm, "resistance"), ""))
    for apart in must_not_conduct(plan):
        for other in apart.against:
            least = number(APART_OHM, "resistance")
            rows.append(("not conduct", apart.wire.tag, apart.at.name, other.name, "", "", least, "", ""))
    return DataTable("loom-continuity", head, tuple(rows))


def _joined(each: Conducts, recorded: Mapping[tuple[str, ...], Row]) -> tuple[Cell, ...]:
    unsealed = "before it is sealed" if each.before_sealing else ""
    along = ", ".join(wire.tag for wire in each.along if wire is not each.wire)
    return (
        Cell(each.wire.tag, strong=True),
        Cell(each.wire.colour),
        Cell(_lead(each.start), unsealed if isinstance(each.start, SplicePoint) else ""),
        Cell(_lead(each.end), unsealed if isinstance(each.end, SplicePoint) else ""),
        Cell(each.through, f"and {along}" if along else ""),
        Cell("not known" if each.wire_ohm is None else number(each.wire_ohm, "small resistance")),
        Cell(number(each.most_ohm, "resistance")),
        _box(recorded.get(("continuity", each.wire.tag))),
    )


def _lead(end: object) -> str:
    return f"splice {end.name}" if isinstance(end, SplicePoint) else str(getattr(end, "name", ""))


def _box(row: Row | None) -> Cell:
    if row is None or not row.recorded:
        return Cell(fill="value", unit=_OHM)
    return Cell(row.recorded, row.verdict if row.verdict != row.recorded else "")
