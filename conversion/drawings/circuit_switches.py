"""The sheet of the brake and clutch switches: each contact from its named feed to the control unit's terminal."""

from __future__ import annotations

from collections import defaultdict

from conversion.description import Description, Terminal
from conversion.description.parts import BrakeSwitch, ClutchSwitch
from conversion.description.roles import group_of
from conversion.drawings.circuit_paths import draw_paths
from conversion.drawings.circuit_tree import Forest, Symbol, Through
from conversion.drawings.drawing import Drawing
from conversion.plan import Plan
from conversion.wiring import End, SplicePoint, Wire

_CAPTION = (
    "Drawn with the pedals released: the brake switch's make contact is open, its break contact is closed; a clutch "
    "contact is drawn open, since its kind is not described. Feeds and contacts of a switch belong together in the "
    "order of their terminals."
)
_SYMBOLS: dict[str, Symbol] = {
    "brake.make": "open contact", "brake.break": "closed contact", "clutch.signal": "open contact",
}  # fmt: skip


def switch_sheets(plan: Plan) -> tuple[list[Drawing], set[str]]:
    """The contacts of all brake and clutch switches, and the tags of the wires on their way."""
    description = plan.description
    ways: dict[Terminal | None, list[Through]] = defaultdict(list)
    for reference, part in description.parts.items():
        if isinstance(part, BrakeSwitch | ClutchSwitch):
            for entry, way in _contacts(description, reference):
                ways[entry].append(way)
    entries = [entry for entry in ways if entry is not None]
    contacts = [way.exits[0] for found in ways.values() for way in found]
    tags, sources = _ways_in(plan, entries)
    tags.update(wire.tag for contact in contacts for wire in _spread(plan, contact))

    def passage(_: Description, terminal: Terminal) -> tuple[Through, ...]:
        return tuple(ways.get(terminal, ()))

    forest = Forest(plan, passage, tags)
    for source in sources:
        forest.grow(source)
    for entry in entries:
        if not plan.wiring.at(entry):
            for way in ways[entry]:
                forest.enter(way, entry)
    for way in ways[None]:
        forest.enter(way, None, "no feed")
    drawings = draw_paths(plan, forest.trees, "circuit-switches", "Circuit of the pedal switches", _CAPTION)
    return drawings, forest.drawn


def _contacts(description: Description, reference: str) -> list[tuple[Terminal | None, Through]]:
    """Each contact of a switch with the terminal that feeds it; a single feed serves all contacts."""
    feeds: list[Terminal] = []
    found: list[Through] = []
    for terminal, form in description.terminals(reference):
        symbol = next((_SYMBOLS[role] for role in form.roles if role in _SYMBOLS), None)
        if symbol is not None:
            found.append(Through(symbol, (terminal,)))
        elif any(group_of(role) in ("feed", "ground") for role in form.roles):
            feeds.append(terminal)
    if len(feeds) == len(found):
        return list(zip(feeds, found, strict=True))
    return [(feeds[0] if feeds else None, way) for way in found]


def _ways_in(plan: Plan, entries: list[Terminal]) -> tuple[set[str], list[End]]:
    """Tags of the wires that feed the switches, and where these begin; through a splice at most."""
    tags: set[str] = set()
    sources: dict[End, None] = {}
    for entry in entries:
        for wire in plan.wiring.at(entry):
            tags.add(wire.tag)
            source = _other(wire, entry)
            if isinstance(source, SplicePoint):
                before = [each for each in plan.wiring.at(source) if _is_source(plan, _other(each, source))]
                tags.update(each.tag for each in before)
                source = _other(before[0], source) if before else source
            sources.setdefault(source)
    return tags, list(sources)


def _spread(plan: Plan, contact: Terminal) -> list[Wire]:
    """The wires from a contact, those behind a splice included."""
    found = list(plan.wiring.at(contact))
    for wire in plan.wiring.at(contact):
        other = _other(wire, contact)
        if isinstance(other, SplicePoint):
            found += plan.wiring.at(other)
    return found


def _other(wire: Wire, end: End) -> End:
    return wire.end if wire.start == end else wire.start


def _is_source(plan: Plan, end: End) -> bool:
    if isinstance(end, SplicePoint):
        return False
    roles = plan.description.parts[end.device].housings[end.housing].cavities[end.cavity].roles
    return "feed.out" in roles or "ground.point" in roles
