"""The cut list: each wire with what its length is made of, by size and colour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from conversion.loom.lengths import Length
from conversion.loom.standard_sizes import awg_not_thinner
from conversion.pack.blocks import Block, Cell, Column, Group, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.wires import colour_in_words
from conversion.plan import Plan
from conversion.plan.loom.tables.cutting import Drum, cut_list
from conversion.quantities import number, show
from conversion.wiring import Wire

_PARTS = (
    ("Runs", "route_mm"), ("Runs, more", "margin_mm"), ("Twist", "twist_mm"), ("Tails", "tails_mm"),
    ("Drip loops", "drip_mm"), ("Slack", "slack_mm"), ("Finished", "finished_mm"), ("Strip", "strip_mm"),
)  # fmt: skip
_WIDTHS = {"finished_mm": 1.4}
_RARE = ("margin_mm", "drip_mm")
"""Parts that have a column only where some wire has them."""
_SAID = (
    "Finished is the length of its insulation in the loom: runs, what they may be longer by their tolerances, what "
    "twisting takes up, the tails to both housings, drip loops, and slack for two new terminations at each end. Cut "
    "is that and what is stripped, rounded up. Of two colours the first is the wire's and the second its stripe."
)


def cutting_section(plan: Plan) -> Section:
    """The section: every wire by size and colour; what is needed of each stands among the parts to buy."""
    drums = cut_list(plan)
    lengths = [length for drum in drums for _, length in drum.wires if length is not None]
    parts = tuple(
        part for part in _PARTS if part[1] not in _RARE or any(getattr(length, part[1]) > 0.0 for length in lengths)
    )
    blocks: list[Block] = [Paragraph(_SAID, small=True)]
    if drums:
        groups = [
            Group(f"{show(size, 'area')}, or AWG {awg_not_thinner(size)}", tuple(_rows(of_size, parts)))
            for size, of_size in groupby(drums, key=lambda drum: drum.total.size_mm2)
        ]
        blocks.append(Table(_columns(parts), tuple(groups)))
    lead = (
        "One drum after another, the longest wire of each first. Cut one, label both its ends, tick it; a wire without "
        "labels is a wire to be measured again."
    )
    return Section("loom-cutting", "Cut list", lead, tuple(blocks))


def cutting_data(plan: Plan) -> DataTable:
    """Every wire with what its length is made of."""
    head = ("colour", "size_mm2", "tag", "from", "to", *(name for _, name in _PARTS), "cut_mm", "not_known_because")
    rows = []
    for drum in cut_list(plan):
        for wire, length in drum.wires:
            why = "" if length is not None else _why(plan, wire)
            rows.append(
                (
                    wire.colour, number(wire.size_mm2, "area"), wire.tag, wire.start.name, wire.end.name,
                    *(_mm(length, name) for _, name in _PARTS), _mm(length, "cut_mm"), why,
                )
            )  # fmt: skip
    return DataTable("loom-cut-list", head, tuple(rows))


def wire_totals_data(plan: Plan) -> DataTable:
    """What is needed of every size and colour."""
    head = ("size_mm2", "awg", "colour", "wires", "cut_mm", "to_buy_m", "not_counted")
    rows = tuple(
        (
            number(total.size_mm2, "area"), str(awg_not_thinner(total.size_mm2)), total.colour, str(total.wires),
            number(total.cut_mm, "cut"), str(total.drum_m), " ".join(total.unknown),
        )
        for total in plan.wire_totals
    )  # fmt: skip
    return DataTable("loom-wire-totals", head, rows)


def _columns(parts: Sequence[tuple[str, str]]) -> tuple[Column, ...]:
    return (
        Column("Colour", 2.1),
        Column("Tag", 0.9),
        Column("From", 1.4),
        Column("To", 1.4),
        *(Column(title, _WIDTHS.get(name, 1.0), "right", "mm") for title, name in parts),
        Column("Cut", 1.0, "right", "mm"),
        Column("Done", 0.9, "center"),
    )


def _rows(drums: Iterator[Drum], parts: Sequence[tuple[str, str]]) -> Iterator[tuple[Cell, ...]]:
    for drum in drums:
        for wire, length in drum.wires:
            yield (
                Cell(wire.colour, colour_in_words(wire.colour)),
                Cell(wire.tag, strong=True),
                Cell(wire.start.name),
                Cell(wire.end.name),
                *(Cell(_mm(length, name)) for _, name in parts),
                Cell(_mm(length, "cut_mm") or "not known", strong=True),
                Cell(fill="tick"),
            )


def _mm(length: Length | None, name: str) -> str:
    if length is None:
        return ""
    # Half millimetres of stripping stand in the list of terminations too.
    return number(getattr(length, name), "length" if name == "strip_mm" else "cut")


def _why(plan: Plan, wire: Wire) -> str:
    route = plan.routes[wire.tag]
    return route.why_none or "the length of a run on its way is not known"
