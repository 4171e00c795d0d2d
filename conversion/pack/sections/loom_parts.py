"""Parts to buy for the loom, and its labels."""

from __future__ import annotations

from itertools import groupby

from conversion.pack.blocks import Block, Cell, Column, Facts, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan
from conversion.plan.loom.tables.buying import Item, parts_to_buy
from conversion.plan.loom.tables.labels import all_labels, label_places, sheet_layout

LABEL_SHEET = "labels/label-sheet.pdf"
"""Name of the file of the labels in the pack."""

_TITLES = {
    "wire": "Wire, with the drum's allowance",
    "housings": "Housings, where the part does not come with its counterpart",
    "contacts": "Contacts, with spares and three samples for each size of wire",
    "seals": "Seals",
    "plugs": "Plugs for places without a wire",
    "fuses": "Fuses",
    "splices": "Splices, with spares and three samples",
    "heat-shrink": "Heat-shrink tube",
    "covering": "Covering",
    "grommets": "Grommets",
    "clips": "Clips",
    "labels": "Labels",
}
_COLUMNS = (
    Column("What", 3.6),
    Column("Used", 0.9, "right"),
    Column("To buy", 1.0, "right"),
    Column("Goes to", 4.4),
    Column("There", 0.7, "center"),
)


def parts_section(plan: Plan) -> Section:
    """The section: everything that the loom is made of, then how the labels are printed."""
    items = parts_to_buy(plan)
    groups = tuple(
        Group(_TITLES[group], tuple(_row(item) for item in of_group))
        for group, of_group in groupby(items, key=lambda item: item.group)
    )
    blocks: list[Block] = []
    if groups:
        blocks.append(Table(_COLUMNS, groups))
    blocks += [Heading("Labels"), *_labels(plan)]
    lead = "What the loom itself is made of. Devices that it joins are in the list of the system drawing."
    return Section("loom-parts", "Parts to buy for the loom", lead, tuple(blocks))


def parts_data(plan: Plan) -> DataTable:
    """Every part."""
    head = ("group", "what", "used", "to_buy", "unit", "goes_to")
    rows = tuple(
        (each.group, each.what, _figure(each.used, each.unit), _figure(each.to_buy, each.unit), each.unit, each.goes_to)
        for each in parts_to_buy(plan)
    )
    return DataTable("loom-parts", head, rows)


def labels_data(plan: Plan) -> DataTable:
    """Every label."""
    head = ("number", "around", "tag", "put_on_at", "text")
    rows = tuple(
        (str(number), each.kind, each.tag, each.here, " ".join(each.pieces))
        for number, each in enumerate(all_labels(plan), 1)
    )
    return DataTable("loom-labels", head, rows)


def _labels(plan: Plan) -> list[Block]:
    labels = all_labels(plan)
    loom = plan.description.conversion.loom
    layout = sheet_layout(loom.labels if loom else None)
    if layout is None:
        return [Paragraph("A measure of the described sheet of labels is not known, so that no sheet is laid out.")]
    if not labels:
        return [Paragraph("There is nothing to label.")]
    kind = "described sheet of labels" if layout.bought else "plain paper, cut into strips, under clear heat-shrink"
    rows = (
        ("Printed by", f"{LABEL_SHEET}, at actual size"),
        ("On", f"{kind}: {layout.across} x {layout.down} of {layout.width_mm:g} mm x {layout.height_mm:g} mm"),
        ("How many", f"{len(labels)} labels, {-(-len(labels) // layout.each)} sheets"),
        ("Order", "wire by wire in building order, both ends one after the other; then housings, then splices"),
        ("Where", f"{label_places(plan.wiring.wires)}, along the insulation; the near end stands first"),
        ("How", "the text repeats round the wire, so that one line can be read from any side"),
    )
    return [Facts(rows)]


def _row(item: Item) -> tuple[Cell, ...]:
    unit = " m" if item.unit == "m" else ""
    return (
        Cell(item.what),
        Cell((_figure(item.used, item.unit) or "not known") + unit),
        Cell((_figure(item.to_buy, item.unit) or "not known") + unit, strong=True),
        Cell(item.goes_to),
        Cell(fill="tick"),
    )


def _figure(value: float | None, unit: str) -> str:
    if value is None:
        return ""
    return f"{value:.2f}" if unit == "m" and value % 1.0 else f"{value:.0f}"
