"""Terminations: each housing with its face, and what goes into each of its places."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from string import ascii_uppercase
from typing import TypeAlias

from conversion.description import Terminal
from conversion.description.parts import CavityForm, CrimpContact, GroundPoint, Housing, Supply
from conversion.description.roles import meaning_of
from conversion.drawings import Drawings
from conversion.pack.blocks import Block, Cell, Column, Group, Heading, Paragraph, Table
from conversion.pack.document import DataTable, Section
from conversion.pack.sections.pictures import left_out, picture
from conversion.pack.sections.wires import colour_in_words
from conversion.plan import Plan
from conversion.plan.loom.ends import MAKER, Termination, crimp_height_words, open_places, terminations
from conversion.plan.loom.shrink import ring_tube
from conversion.quantities import number, show
from conversion.wiring import Wire

_COLUMNS = (
    Column("Place", 0.8),
    Column("What the terminal is for", 3.3),
    Column("Wire", 0.7),
    Column("Colour", 1.5),
    Column("Size", 1.1),
    Column("Comes from", 1.2),
    Column("Contact", 1.1, "center"),
    Column("Strip", 0.7, "right", "mm"),
    Column("Crimped, pulled, in", 1.1, "center"),
)

_Kind: TypeAlias = tuple[str, bool]


def terminations_section(plan: Plan, drawn: Drawings) -> Section:
    """The section: of each housing its face, then its places."""
    blocks: list[Block] = [*left_out(drawn, "terminations")]
    ends = {end.terminal: end for end in terminations(plan)}
    closed: dict[tuple[str, str], list[str]] = defaultdict(list)
    for each in open_places(plan.description):
        closed[each.terminal.device, each.terminal.housing].append(each.terminal.cavity)
    for device, part in plan.description.parts.items():
        for name, housing in part.housings.items():
            title = f"{device}, housing {name}" if len(part.housings) > 1 else device
            blocks.append(Heading(f"{title}: {part.title}"))
            place = plan.description.conversion.devices[device].place
            several = "1 place" if housing.positions == 1 else f"{housing.positions} places"
            sealed = "; sealed" if housing.sealed else ""
            said = f"{place}; {several}{sealed}, numbered as seen from the {housing.seen_from}."
            if isinstance(part, GroundPoint | Supply):
                said = f"{place}; bolted on, each wire with a contact of its own."
            blocks.append(Paragraph(said, small=True, leads=True))
            # A large housing has a sheet for each of its two sides.
            titles = (f"Housing of {title}", *(f"Housing of {title}, {side}" for side in ("wire side", "mating side")))
            blocks += (picture(drawing, leads=True) for drawing in drawn.drawings if drawing.title in titles)
            blocks += _table(plan, ends, device, name)
            blocks += _closed(housing, closed[device, name])
    lead = (
        "What goes into each place of each housing, and how it is ended. The seal goes on before the contact. Check "
        "which side you look from before you push a contact in; pull on every crimp."
    )
    return Section("terminations", "Terminations", lead, tuple(blocks))


def terminations_data(plan: Plan) -> DataTable:
    """Every terminal and every wire in it."""
    head = (
        "device", "housing", "cavity", "roles", "wire", "colour", "size_mm2", "comes_from", "contact", "strip_mm",
        "crimp_height_mm", "pull_n", "seal", "tube_bore_mm", "tube_length_mm", "unused_because",
    )  # fmt: skip
    ends = {end.terminal: end for end in terminations(plan)}
    rows = []
    for device in plan.description.parts:
        for terminal, form in plan.description.terminals(device):
            end = ends.get(terminal)
            for wire in end.wires if end else (None,):
                rows.append(
                    (
                        device, terminal.housing, terminal.cavity, " ".join(form.roles),
                        wire.tag if wire else "", wire.colour if wire else "",
                        number(wire.size_mm2, "area") if wire else "", _far_end(wire, terminal) if wire else "",
                        *_ended(end, wire), form.unused or "",
                    )
                )  # fmt: skip
    return DataTable("terminations", head, tuple(rows))


def _ended(end: Termination | None, wire: Wire | None) -> tuple[str, ...]:
    """Contact, stripping, crimp height, pull, seal, and bore and length of the tube over it, as plain figures."""
    if end is None or wire is None:
        return ("",) * 7
    contact, tube = end.contact, ring_tube((wire,)) if end.bolted else None
    height = contact.height_on(end.crimped_mm2(wire)) if contact else None
    return (
        contact.title if contact else "",
        number(end.strip_mm, "length"),
        f"{height.nominal:.2f}" if height else "",
        number(contact.pull.nominal, "force") if contact and contact.pull else "",
        (contact.seal or "") if contact else "",
        f"{tube.bore_mm:g}" if tube else "",
        number(tube.length_mm, "cut") if tube else "",
    )


def _table(plan: Plan, ends: Mapping[Terminal, Termination], device: str, housing: str) -> Iterator[Block]:
    here = [each for each in plan.description.terminals(device) if each[0].housing == housing]
    kinds = list(dict.fromkeys(_kind(ends[terminal]) for terminal, _ in here if terminal in ends))
    for kind in kinds:
        alike = [ends[terminal] for terminal, _ in here if terminal in ends and _kind(ends[terminal]) == kind]
        yield Paragraph(f"Contact {_letter(kinds, kind)}: {_contact_words(alike)}.", small=True, leads=True)
    rows: list[tuple[Cell, ...]] = []
    for terminal, form in here:
        end = ends.get(terminal)
        rows += _rows(terminal, form, end, _letter(kinds, _kind(end)) if end else "")
    if rows:
        yield Table(_COLUMNS, (Group("", tuple(rows)),))


def _closed(housing: Housing, cavities: list[str]) -> Iterator[Block]:
    """The places without a wire and what goes into them; as one counts, whichever side the rows were read from."""
    if cavities:
        names = ", ".join(sorted(cavities, key=lambda name: (len(name), name)))
        plug = f"a plug ({housing.plug or 'none is described'})" if housing.sealed else "nothing"
        yield Paragraph(f"Without a wire, so {plug} goes into: {names}.", small=True)


def _letter(kinds: list[_Kind], kind: _Kind) -> str:
    return ascii_uppercase[kinds.index(kind) % 26]


def _kind(end: Termination) -> _Kind:
    """What ends with the same letter have in common."""
    contact = end.contact
    same = (contact.title, contact.seal, contact.crimp_height, contact.pull) if contact else None
    return str(same), end.bolted


def _contact_words(alike: list[Termination]) -> str:
    """A contact with what goes on before it, its crimp heights on what it is crimped to, and what the crimp holds."""
    end, contact = alike[0], alike[0].contact
    if contact is None:
        return f"contact not described; crimp height and pull {MAKER}"
    words = [contact.title]
    if contact.seal:
        words.append(f"before it {contact.seal}")
    if end.bolted:
        words.append("lined tube shrunk over it")
    words.append(f"crimp height {_heights(contact, sorted({size for each in alike for size in each.sizes_mm2}))}")
    words.append(f"holds {contact.pull.text if contact.pull else MAKER}")
    return "; ".join(words)


def _heights(contact: CrimpContact, sizes_mm2: list[float]) -> str:
    said = []
    for size_mm2 in sizes_mm2:
        by_size = isinstance(contact.crimp_height, dict) and contact.height_on(size_mm2) is not None
        said.append(crimp_height_words(contact, size_mm2) + (f" on {show(size_mm2, 'area')}" if by_size else ""))
    return ", ".join(dict.fromkeys(said))


def _rows(terminal: Terminal, form: CavityForm, end: Termination | None, letter: str) -> Iterator[tuple[Cell, ...]]:
    if form.unused is not None:
        yield (Cell(terminal.cavity, strong=True), Cell("left without a wire", form.unused), *[Cell()] * 7)
        return
    purpose = "; ".join(meaning_of(role) for role in form.roles)
    if end is None:
        yield (Cell(terminal.cavity, strong=True), Cell(purpose, " ".join(form.roles)), Cell("no wire"), *[Cell()] * 6)
        return
    for position, wire in enumerate(end.wires):
        first = position == 0
        tube = ring_tube((wire,)) if end.bolted else None
        yield (
            Cell(terminal.cavity if first else "", strong=True),
            Cell(purpose, " ".join(form.roles)) if first else Cell(small="the same terminal"),
            Cell(wire.tag, strong=True),
            Cell(wire.colour, colour_in_words(wire.colour)),
            Cell(show(wire.size_mm2, "area")),
            Cell(_far_end(wire, terminal)),
            Cell(letter, f"tube {tube.bore_mm:g} mm" if tube else "", strong=True)
            if first or end.bolted
            else Cell(small="the same"),
            Cell(number(end.strip_mm, "length")),
            Cell(fill="tick"),
        )


def _far_end(wire: Wire, terminal: Terminal) -> str:
    return wire.end.name if wire.start == terminal else wire.start.name
