"""The wire list: what each wire is for, in building order."""

from __future__ import annotations

from itertools import groupby

from conversion.bench.wired.words import AS_PLANNED, wired_by_tag, wired_in_words
from conversion.description import Terminal
from conversion.description.loom_forms import COLOURS
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Points, Table
from conversion.pack.document import DataTable, Section
from conversion.plan import Plan
from conversion.quantities import number, show
from conversion.wiring import Wire

_STEPS = {
    "sensor supply": "supplies of the position sensors",
    "sensor ground": "grounds of the position sensors, each back to the control unit",
    "sensor signal": "outputs of the position sensors",
    "screen": "screens",
    "contact": "contacts of the pedal module",
    "motor": "throttle motor",
    "switch": "brake and clutch switches",
    "lamp": "warning lamp",
    "relay": "drive of the main relay",
    "feed": "feeds, from the battery on",
    "ground": "returns to the battery's negative side",
    "other": "the builder's own connections",
}

_SAID = (
    "Sizes marked 'default' are common practice for the wire's use; neither the load, nor the voltage drop, nor the "
    "fuse has been checked against them. Colours are codes of IEC 60757. Runs are added up along the loom from station "
    "to station: nothing is added for branching out, twisting, slack or stripping."
)

_COLUMNS = (
    Column("What it is for", 3.6),
    Column("Tag", 0.8),
    Column("From", 1.2),
    Column("To", 1.2),
    Column("Colour", 1.5),
    Column("Size", 1.5),
    Column("Way through the loom", 3.0),
    Column("Runs", 1.2, "right", "mm"),
    Column("Laid", 0.7, "center"),
)
_AS_WIRED = Column("As wired", 1.7)


def wires_section(plan: Plan) -> Section:
    """The section: wires by building step, splices, and what has no wire."""
    wiring = plan.wiring
    blocks: list[Block] = [Paragraph(_SAID, small=True)]
    if wiring.wires:
        columns = _COLUMNS if plan.description.as_wired is None else (*_COLUMNS[:-1], _AS_WIRED, _COLUMNS[-1])
        blocks.append(Table(columns, _groups(plan)))
    blocks += _differences(plan)
    blocks += _splices(plan)
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
    return Section("wires", "Wire list", lead, tuple(blocks), landscape=True)


def wires_data(plan: Plan) -> DataTable:
    """Every wire."""
    head = (
        "tag", "purpose", "reason", "group", "roles", "from", "to", "colour", "size_mm2", "size_from", "stations",
        "runs", "run_length_mm", "no_route_because", "as_wired",
    )  # fmt: skip
    rows = []
    as_wired = wired_by_tag(plan)
    for wire in plan.wiring.wires:
        route = plan.routes[wire.tag]
        rows.append(
            (
                wire.tag, wire.purpose, wire.reason or "", wire.group, " ".join(wire.roles), wire.start.name,
                wire.end.name, wire.colour, number(wire.size_mm2, "area"),
                "description" if wire.size_said else "default", " ".join(route.stations), " ".join(route.runs),
                "" if route.length_mm is None else number(route.length_mm, "length"), route.why_none or "",
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
        Group(f"Step {number}: {_STEPS[name]}", tuple(_row(plan, wire, as_wired.get(wire.tag)) for wire in wires))
        for number, (name, wires) in enumerate(steps, start=1)
    )


def _row(plan: Plan, wire: Wire, as_wired: str | None) -> tuple[Cell, ...]:
    route = plan.routes[wire.tag]
    way = " – ".join(route.stations) if len(route.stations) != 1 else f"within {route.stations[0]}"
    return (
        Cell(wire.purpose, wire.reason or _fed_device(plan, wire)),
        Cell(wire.tag, strong=True),
        Cell(wire.start.name),
        Cell(wire.end.name),
        Cell(wire.colour, colour_in_words(wire.colour)),
        Cell(show(wire.size_mm2, "area"), "as described" if wire.size_said else "default"),
        Cell(way, route.why_none or ""),
        Cell("not known" if route.length_mm is None else number(route.length_mm, "length")),
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


def _fed_device(plan: Plan, wire: Wire) -> str:
    """The device that a wire feeds, where its purpose reads alike for all that are fed."""
    if "feed.in" not in wire.roles or not isinstance(wire.end, Terminal):
        return ""
    return f"{wire.end.device}: {plan.description.parts[wire.end.device].title}"


def _splices(plan: Plan) -> list[Block]:
    loom = plan.description.conversion.loom
    if not loom or not loom.splices:
        return []
    rows = []
    for name, splice in loom.splices.items():
        tags = [wire.tag for wire in plan.wiring.wires if name in (wire.start.name, wire.end.name)]
        where = f"{splice.station}: {loom.stations[splice.station].place}" if splice.station else "not placed"
        rows.append((Cell(name, strong=True), Cell(where), Cell(", ".join(tags)), Cell(fill="tick")))
    columns = (
        Column("Splice", 0.8),
        Column("Where", 3.0),
        Column("Wires that meet", 4.0),
        Column("Made", 0.7, "center"),
    )
    return [Heading("Splices"), Table(columns, (Group("", tuple(rows)),))]
