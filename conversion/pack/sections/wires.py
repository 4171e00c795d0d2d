"""The wire list: what each wire is for, in building order."""

from __future__ import annotations

from itertools import groupby

from conversion.bench.wired.words import AS_PLANNED, wired_by_tag, wired_in_words
from conversion.description import Terminal
from conversion.description.loom_forms import COLOURS
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.loom_words import DECIDED, GROUP_WORDS
from conversion.plan import Plan
from conversion.quantities import number, show
from conversion.wiring import Wire

_SAID = (
    "Colours are codes of IEC 60757; of two the first is the wire's and the second its stripe. Beside each size stands "
    "what decided it; the numbers are in the section on sizes and fuses. The cut length is taken apart in the cut list."
)

_COLUMNS = (
    Column("What it is for", 3.5),
    Column("Tag", 0.9),
    Column("From", 1.4),
    Column("To", 1.4),
    Column("Colour", 2.0),
    Column("Size", 2.0),
    Column("Way through the loom", 3.2),
    Column("Cut", 1.0, "right", "mm"),
    Column("Laid", 0.9, "center"),
)
_AS_WIRED = Column("As wired", 1.7)


def wires_section(plan: Plan) -> Section:
    """The section: wires by building step, and what has no wire."""
    wiring = plan.wiring
    blocks: list[Block] = [Paragraph(_SAID, small=True)]
    if wiring.wires:
        columns = _COLUMNS if plan.description.as_wired is None else (*_COLUMNS[:-1], _AS_WIRED, _COLUMNS[-1])
        blocks.append(Table(columns, _groups(plan)))
    blocks += _differences(plan)
    if wiring.left_out:
        blocks += [
            Heading("Left out on purpose"),
            Points(tuple(f"{role}: {why}" for role, why in wiring.left_out)),
        ]
    if wiring.loose:
        blocks += [
            Heading("Terminals that found no partner"),
            Points(tuple(f"{loose.terminal.name} ({loose.role}): {loose.why}" for loose in wiring.loose)),
        ]
    lead = "Every wire with what it is for, in the order in which the loom is built. Tags are printed on both ends."
    return Section("wires", "Wire list", lead, tuple(blocks), landscape=plan.description.as_wired is not None)


def wires_data(plan: Plan) -> DataTable:
    """Every wire."""
    head = (
        "tag", "purpose", "reason", "group", "roles", "from", "to", "colour", "size_mm2", "size_from", "stations",
        "runs", "run_length_mm", "cut_mm", "no_route_because", "as_wired",
    )  # fmt: skip
    rows = []
    as_wired = wired_by_tag(plan)
    for wire in plan.wiring.wires:
        route, length = plan.routes[wire.tag], plan.lengths.get(wire.tag)
        rows.append(
            (
                wire.tag, wire.purpose, wire.reason or "", wire.group, " ".join(wire.roles), wire.start.name,
                wire.end.name, wire.colour, number(wire.size_mm2, "area"),
                "description" if wire.size_said else plan.sizes.choices[wire.tag].decided_by,
                " ".join(route.stations), " ".join(route.runs),
                "" if route.length_mm is None else number(route.length_mm, "length"),
                "" if length is None else number(length.cut_mm, "cut"), route.why_none or "",
                as_wired.get(wire.tag, ""),
            )
        )  # fmt: skip
    return DataTable("wires", head, tuple(rows))


def colour_in_words(code: str) -> str:
    """A colour code of IEC 60757 in words.

    Example:
        >>> colour_in_words("GNWH")
        'green, white'
    """
    return ", ".join(COLOURS[code[at : at + 2]] for at in range(0, len(code), 2))


def _groups(plan: Plan) -> tuple[Group, ...]:
    # Wires come in building order, so that those of one step stand together.
    steps = groupby(plan.wiring.wires, key=lambda wire: wire.group)
    as_wired = wired_by_tag(plan)
    return tuple(
        Group(f"Step {number}: {GROUP_WORDS[name]}", tuple(_row(plan, wire, as_wired.get(wire.tag)) for wire in wires))
        for number, (name, wires) in enumerate(steps, start=1)
    )


def _row(plan: Plan, wire: Wire, as_wired: str | None) -> tuple[Cell, ...]:
    route, length = plan.routes[wire.tag], plan.lengths.get(wire.tag)
    way = " – ".join(route.stations) if len(route.stations) != 1 else f"within {route.stations[0]}"
    return (
        _purpose(plan, wire),
        Cell(wire.tag, strong=True),
        Cell(wire.start.name),
        Cell(wire.end.name),
        Cell(wire.colour, colour_in_words(wire.colour)),
        Cell(show(wire.size_mm2, "area"), DECIDED[plan.sizes.choices[wire.tag].decided_by]),
        Cell(way, route.why_none or ""),
        Cell("not known" if length is None else number(length.cut_mm, "cut")),
        *(() if as_wired is None else (Cell(as_wired, strong=as_wired != AS_PLANNED),)),
        Cell(fill="tick"),
    )


def _differences(plan: Plan) -> list[Block]:
    """What was wired otherwise than planned, where a list is given."""
    if plan.description.as_wired is None:
        return []
    said = wired_in_words(plan)
    if not said:
        return [Paragraph("As listed, what was wired joins the same terminals as this plan, and no others.")]
    return [Heading("Wired otherwise than planned, the worst first"), Points(tuple(each.message for each in said))]


def _purpose(plan: Plan, wire: Wire) -> Cell:
    """What a wire is for; of what feeds a fuse, a relay or a switch, which one that is."""
    if "feed.in" not in wire.roles or not isinstance(wire.end, Terminal):
        return Cell(wire.purpose, wire.reason or "")
    title = plan.description.parts[wire.end.device].title
    return Cell(f"feed of {wire.end.device}", f"{title}: {wire.reason}" if wire.reason else title)
