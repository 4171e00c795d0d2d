"""The sheets of feeds, grounds and all other wires: from a source to each consumer, from a ground to each device."""

from __future__ import annotations

from conversion.description import Description, Terminal
from conversion.description.parts import Fuse, IgnitionSwitch, Relay, StopSwitch, Supply, WarningLamp
from conversion.description.roles import group_of
from conversion.drawings.circuit_paths import draw_paths
from conversion.drawings.circuit_tree import Forest, Symbol, Through
from conversion.drawings.drawing import Drawing
from conversion.plan import Plan

_FEEDS = (
    "Each path runs from its source, left, to what it feeds, right; drawn with the ignition off and nothing operated. "
    "A relay's coil and its contact stand on different paths under the same reference."
)
_GROUNDS = "From each ground point, left, to the terminals that return there."
_OTHERS = "Wires that are on no other sheet: connections of the builder's own, and wires that differ from the roles."


def feed_sheets(plan: Plan) -> tuple[list[Drawing], set[str]]:
    """Paths from every source to every consumer, and the tags of their wires."""
    forest = Forest(plan, _feeds_through)
    for kind in (Supply, object):
        for reference, part in plan.description.parts.items():
            if isinstance(part, kind):
                for terminal in _bearing(plan.description, reference, "feed.out"):
                    forest.grow(terminal)
    drawings = draw_paths(plan, forest.trees, "circuit-feeds", "Circuit of the feeds", _FEEDS)
    return drawings, forest.drawn


def ground_sheets(plan: Plan) -> tuple[list[Drawing], set[str]]:
    """Each ground point with what returns to it, and the tags of the wires."""
    tags = {wire.tag for wire in plan.wiring.wires if wire.group == "ground"}
    forest = Forest(plan, _ends_here, tags)
    for reference in plan.description.parts:
        for terminal in _bearing(plan.description, reference, "ground.point"):
            forest.grow(terminal)
    drawings = draw_paths(plan, forest.trees, "circuit-grounds", "Circuit of the grounds", _GROUNDS)
    return drawings, forest.drawn


def other_sheets(plan: Plan, drawn: set[str]) -> list[Drawing]:
    """Every wire that is on no other sheet."""
    tags = {wire.tag for wire in plan.wiring.wires} - drawn
    forest = Forest(plan, _ends_here, tags)
    for wire in plan.wiring.wires:
        if wire.tag in tags - forest.drawn:
            forest.grow(wire.start)
    return draw_paths(plan, forest.trees, "circuit-others", "Other connections", _OTHERS)


def _ends_here(description: Description, terminal: Terminal) -> tuple[Through, ...]:
    return ()


def _feeds_through(description: Description, terminal: Terminal) -> tuple[Through, ...]:
    part = description.parts[terminal.device]
    roles = part.housings[terminal.housing].cavities[terminal.cavity].roles
    if isinstance(part, Relay) and "feed.coil" in roles:
        return _through(description, terminal.device, "coil", "relay.drive", "ground.31")
    if isinstance(part, WarningLamp) and any(group_of(role) == "feed" for role in roles):
        return _through(description, terminal.device, "lamp", "lamp.drive", "ground.31")
    if "feed.in" not in roles:
        return ()
    if isinstance(part, Fuse):
        return _through(description, terminal.device, "fuse", "feed.out")
    if isinstance(part, StopSwitch):
        return _through(description, terminal.device, "closed contact", "feed.out")
    if isinstance(part, IgnitionSwitch | Relay):
        return _through(description, terminal.device, "open contact", "feed.out")
    return ()


def _through(description: Description, device: str, symbol: Symbol, *roles: str) -> tuple[Through, ...]:
    exits = [terminal for role in roles for terminal in _bearing(description, device, role)]
    return (Through(symbol, tuple(exits)),) if exits else ()


def _bearing(description: Description, device: str, role: str) -> list[Terminal]:
    return [description.terminal(device, *place) for place in description.parts[device].places_of(role)]
