"""Terminations: each housing with its face, and what goes into each of its places."""

from __future__ import annotations

from collections.abc import Iterator

from conversion.description import Description, Terminal
from conversion.description.parts import CavityForm
from conversion.description.roles import meaning_of
from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.pictures import left_out, picture
from conversion.pack.sections.wires import colour_in_words
from conversion.plan import Plan
from conversion.quantities import number, show
from conversion.wiring import Wire

_COLUMNS = (
    Column("Place", 0.8),
    Column("What the terminal is for", 3.4),
    Column("Wire", 0.8),
    Column("Colour", 1.5),
    Column("Size", 1.1),
    Column("Comes from", 1.3),
    Column("Crimped, pulled, in", 1.2, "center"),
)


def terminations_section(plan: Plan, drawn: Drawings) -> Section:
    """The section: of each housing its face, then its places."""
    blocks: list[Block] = [*left_out(drawn, "terminations")]
    for device, part in plan.description.parts.items():
        for name, housing in part.housings.items():
            title = f"{device}, housing {name}" if len(part.housings) > 1 else device
            blocks.append(Heading(f"{title}: {part.title}"))
            place = plan.description.conversion.devices[device].place
            said = f"{place}; {housing.positions} places, numbered as seen from the {housing.seen_from}."
            blocks.append(Paragraph(said, small=True, leads=True))
            # A large housing has a sheet for each of its two sides.
            titles = (f"Housing of {title}", *(f"Housing of {title}, {side}" for side in ("wire side", "mating side")))
            blocks += (picture(drawing, leads=True) for drawing in drawn.drawings if drawing.title in titles)
            blocks += _table(plan, device, name)
    lead = (
        "What goes into each place of each housing. Check which side you look from before you push a terminal in; pull "
        "on every crimp."
    )
    return Section("terminations", "Terminations", lead, tuple(blocks))


def terminations_data(plan: Plan) -> DataTable:
    """Every terminal and every wire in it."""
    head = ("device", "housing", "cavity", "roles", "wire", "colour", "size_mm2", "comes_from", "unused_because")
    rows = []
    for device in plan.description.parts:
        for terminal, form in plan.description.terminals(device):
            for wire in plan.wiring.at(terminal) or (None,):
                rows.append(
                    (
                        device, terminal.housing, terminal.cavity, " ".join(form.roles),
                        wire.tag if wire else "", wire.colour if wire else "",
                        number(wire.size_mm2, "area") if wire else "", _far_end(wire, terminal) if wire else "",
                        form.unused or "",
                    )
                )  # fmt: skip
    return DataTable("terminations", head, tuple(rows))


def _table(plan: Plan, device: str, housing: str) -> Iterator[Block]:
    rows: list[tuple[Cell, ...]] = []
    for terminal, form in plan.description.terminals(device):
        if terminal.housing == housing:
            rows += _rows(plan, terminal, form)
    if rows:
        yield Table(_COLUMNS, (Group("", tuple(rows)),))
    empty = _empty(plan.description, device, housing)
    if empty:
        yield Paragraph(f"No terminal in {', '.join(empty)}.", small=True)


def _rows(plan: Plan, terminal: Terminal, form: CavityForm) -> Iterator[tuple[Cell, ...]]:
    if form.unused is not None:
        yield (Cell(terminal.cavity, strong=True), Cell("left without a wire", form.unused), *[Cell()] * 5)
        return
    purpose = "; ".join(meaning_of(role) for role in form.roles)
    wires = plan.wiring.at(terminal)
    if not wires:
        yield (Cell(terminal.cavity, strong=True), Cell(purpose, " ".join(form.roles)), Cell("no wire"), *[Cell()] * 4)
    for position, wire in enumerate(wires):
        first = position == 0
        yield (
            Cell(terminal.cavity if first else "", strong=True),
            Cell(purpose, " ".join(form.roles)) if first else Cell(small="the same terminal"),
            Cell(wire.tag, strong=True),
            Cell(wire.colour, colour_in_words(wire.colour)),
            Cell(show(wire.size_mm2, "area")),
            Cell(_far_end(wire, terminal)),
            Cell(fill="tick"),
        )


def _far_end(wire: Wire, terminal: Terminal) -> str:
    return wire.end.name if wire.start == terminal else wire.start.name


def _empty(description: Description, device: str, housing: str) -> list[str]:
    form = description.parts[device].housings[housing]
    filled = {name for name, cavity in form.cavities.items() if not cavity.empty}
    empty = [name for name in form.names if name not in filled]
    # As one counts, whichever side the rows were read from.
    return sorted(empty, key=lambda name: (len(name), name))
