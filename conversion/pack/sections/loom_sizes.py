"""Sizes, drops and fuses: what decided each, with its numbers."""

from __future__ import annotations

import math

from conversion.loom.drop import LoopDrop
from conversion.loom.sizes import SizeChoice
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.loom_words import DECIDED
from conversion.plan import Plan
from conversion.plan.loom.fusing import FuseChoice
from conversion.quantities import number, show

_SIZES = (
    Column("Wire", 0.8),
    Column("Size", 1.2),
    Column("Carries", 1.2, "right"),
    Column("Decided by", 1.8),
    Column("Why", 5.2),
    Column("Loses", 0.9, "right"),
    Column("Copper", 0.9, "right", "°C"),
)
_DROPS = (
    Column("Load", 2.0),
    Column("Loses, out and back", 1.1, "right"),
    Column("Allowed", 1.0, "right"),
    Column("Wires on the way", 5.0),
)
_FUSES = (
    Column("Fuse", 1.2),
    Column("Rating", 1.1, "right"),
    Column("Load", 1.1, "right"),
    Column("Inrush", 1.1, "right"),
    Column("At least", 1.1, "right"),
    Column("At most", 1.1, "right"),
    Column("Protects", 1.3),
    Column("Why", 3.3),
    Column("Rating checked", 1.1, "center"),
)
_SAID = (
    "Each wire has the largest size that one of these asks: its load, with the air of its zone, the wires beside it "
    "and what its insulation stands; the drop that its load may have on the whole way; the fuse that it has to "
    "survive; and what its zone and its contacts ask of any wire. A size that the description gives is kept, and "
    "judged. Resistances are the most that the standard allows, as hot as the load makes the copper. A wire that "
    "shares its load with another is sized, and loses, as if it carried all of it alone; what a load loses counts both."
)


def sizes_section(plan: Plan) -> Section:
    """The section: fuses, then wires, then drops."""
    sizes = plan.sizes
    blocks: list[Block] = [Paragraph(_SAID, small=True)]
    if sizes.fuses:
        rows = tuple(_fuse(plan, each) for each in sizes.fuses.values())
        blocks += [Heading("Fuses"), Table(_FUSES, (Group("", rows),))]
    if sizes.choices:
        rows = tuple(_size(each) for each in sizes.choices.values())
        blocks += [Heading("Sizes"), Table(_SIZES, (Group("", rows),))]
    if sizes.drops:
        rows = tuple(_drop(each) for each in sizes.drops)
        blocks += [Heading("What each load loses"), Table(_DROPS, (Group("", rows),))]
    lead = "Which limit decided each size, what each load loses on its way, and why each fuse has its rating."
    return Section("loom-sizes", "Sizes, drops and fuses", lead, tuple(blocks))


def sizes_data(plan: Plan) -> DataTable:
    """Every wire with what decided its size."""
    head = (
        "wire", "size_mm2", "awg_not_thinner", "needed_mm2", "current_a", "decided_by", "drop_v", "conductor_degc",
        "why",
    )  # fmt: skip
    rows = tuple(
        (
            each.tag, number(each.size_mm2, "area"), str(each.awg), number(each.needed_mm2, "area"),
            _plain(each.current_a, 3), each.decided_by, _plain(each.drop_v, 4), _plain(each.conductor_degc, 0),
            each.words,
        )
        for each in plan.sizes.choices.values()
    )  # fmt: skip
    return DataTable("loom-sizes", head, rows)


def drops_data(plan: Plan) -> DataTable:
    """Every load with what it loses."""
    head = ("load", "drop_v", "allowed_v", "enough", "wires", "length_not_known_of")
    rows = tuple(
        (
            each.load, _plain(each.drop_v, 4), _plain(each.allowed_v, 2), "yes" if each.enough else "no",
            " ".join(each.by_wire_v), " ".join(_unmeasured(each)),
        )
        for each in plan.sizes.drops
    )  # fmt: skip
    return DataTable("loom-drops", head, rows)


def fuses_data(plan: Plan) -> DataTable:
    """Every fuse with what decided its rating."""
    head = (
        "fuse", "rating_a", "decided_by", "load_a", "inrush_a", "inrush_s", "air_degc", "at_least_a", "at_most_a",
        "weakest_wire", "short_circuit_a", "short_circuit_at", "protects", "load_not_known", "why",
    )  # fmt: skip
    rows = tuple(
        (
            each.device, _plain(each.chosen_a, 1), each.decided_by, _plain(each.need.load_a, 3),
            _plain(each.need.inrush_a, 3), _plain(each.need.lasts_s, 3), _plain(each.need.ambient_degc, 0),
            _plain(each.need.least_a, 2), _plain(each.most_a, 1), each.weakest or "", _plain(each.short_a, 0),
            each.short_at or "", " ".join(each.protects), "; ".join(each.need.unknown), each.words,
        )
        for each in plan.sizes.fuses.values()
    )  # fmt: skip
    return DataTable("loom-fuses", head, rows)


def _plain(value: float | None, decimals: int) -> str:
    return "" if value is None else f"{value:.{decimals}f}"


def _shown(value: float | None, dimension: str) -> str:
    return "not known" if value is None else show(value, dimension)


def _size(each: SizeChoice) -> tuple[Cell, ...]:
    return (
        Cell(each.tag, strong=True),
        Cell(show(each.size_mm2, "area"), f"or AWG {each.awg}"),
        Cell(_shown(each.current_a, "current")),
        Cell(DECIDED[each.decided_by]),
        Cell(each.words, "" if each.enough else f"at least {show(each.needed_mm2, 'area')} is needed"),
        Cell(_shown(each.drop_v, "voltage")),
        Cell("not known" if each.conductor_degc is None else number(each.conductor_degc, "temperature")),
    )


def _drop(each: LoopDrop) -> tuple[Cell, ...]:
    lacking = _unmeasured(each)
    unmeasured = f"without {', '.join(lacking)}, whose length is not known" if lacking else ""
    by_wire = [f"{tag} {show(volts, 'voltage')}" for tag, volts in each.by_wire_v.items() if tag not in lacking]
    return (
        Cell(each.load, "" if each.enough else "more than is allowed"),
        Cell(show(each.drop_v, "voltage"), unmeasured),
        Cell(show(each.allowed_v, "voltage")),
        Cell(", ".join(by_wire)),
    )


def _unmeasured(each: LoopDrop) -> list[str]:
    return [tag for tag, volts in each.by_wire_v.items() if math.isnan(volts)]


def _fuse(plan: Plan, each: FuseChoice) -> tuple[Cell, ...]:
    need = each.need
    short = ""
    if each.short_a is not None:
        short = f"A short circuit at {each.short_at} drives {show(each.short_a, 'current')} through it."
    return (
        Cell(each.device, plan.description.conversion.devices[each.device].place, strong=True),
        Cell(_shown(each.chosen_a, "current"), "as described" if each.decided_by == "said" else "by its load"),
        Cell(_shown(need.load_a, "current")),
        Cell("none" if need.inrush_a is None else show(need.inrush_a, "current")),
        Cell(_shown(need.least_a, "current")),
        Cell(_shown(each.most_a, "current")),
        Cell(" ".join(each.protects)),
        Cell(each.words, short),
        Cell(fill="tick"),
    )
