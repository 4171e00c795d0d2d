"""Which terminals belong together: nets of the signal roles, of the feeds and of the grounds.

A net is a star. Its hub is the control unit's terminal of a signal, the feeding device's ``feed.out``, or the
ground point; a splice takes the hub's place where the description has one for the role.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

from conversion.description import Description, Place, Terminal
from conversion.description.complaints import listed
from conversion.description.parts import ControlUnit
from conversion.description.roles import group_of
from conversion.wiring.wires import Loose


@dataclass(frozen=True, slots=True)
class Net:
    """Terminals that are to be joined for one role, the hub first."""

    role: str
    hub: Terminal
    others: tuple[Terminal, ...]
    place: Place


def find_nets(description: Description) -> tuple[list[Net], list[Loose]]:
    """All nets of a description, and the terminals that found no partner.

    Returns:
        Nets in the order of the devices and their terminals, hubs first; loose terminals in the same order.
    """
    bearers: dict[str, list[Terminal]] = defaultdict(list)
    for reference in description.parts:
        for terminal, form in description.terminals(reference):
            for role in form.roles:
                bearers[role].append(terminal)
    nets: list[Net] = []
    loose: list[Loose] = []
    for role, terminals in bearers.items():
        group = group_of(role)
        if role in ("feed.out", "ground.point"):
            continue
        if group == "feed":
            _join_feeds(description, role, terminals, nets, loose)
        elif group == "ground":
            _join_grounds(description, terminals, bearers.get("ground.point", []), nets, loose)
        else:
            _join_signals(description, role, terminals, nets, loose)
    return nets, loose


def _join_signals(
    description: Description, role: str, terminals: list[Terminal], nets: list[Net], loose: list[Loose]
) -> None:
    devices = {terminal.device for terminal in terminals}
    if len(devices) < 2:
        for terminal in terminals:
            place = description.place("devices", terminal.device)
            loose.append(Loose(terminal, role, f"no other device has a terminal for '{role}'", place))
        return
    hub = next((t for t in terminals if isinstance(description.parts[t.device], ControlUnit)), terminals[0])
    others = tuple(t for t in terminals if t != hub)
    place = description.place("devices", others[0].device)
    nets.append(Net(role, hub, others, place))


def _join_feeds(
    description: Description, role: str, terminals: list[Terminal], nets: list[Net], loose: list[Loose]
) -> None:
    for terminal in terminals:
        fed_from = description.conversion.devices[terminal.device].fed_from
        place = description.place("devices", terminal.device, "fed_from")
        source = fed_from if isinstance(fed_from, str) else (fed_from or {}).get(role)
        if source is None:
            loose.append(
                Loose(
                    terminal,
                    role,
                    f"nothing feeds it; name the device in 'fed_from' of {terminal.device}",
                    place,
                )
            )
            continue
        outlets = description.parts[source].places_of("feed.out")
        hub = description.terminal(source, *outlets[0])
        nets.append(Net(role, hub, (terminal,), place))


def _join_grounds(
    description: Description,
    terminals: list[Terminal],
    points: list[Terminal],
    nets: list[Net],
    loose: list[Loose],
) -> None:
    for terminal in terminals:
        named = description.conversion.devices[terminal.device].grounded_at
        place = description.place("devices", terminal.device, "grounded_at")
        candidates = [point for point in points if named in (None, point.device)]
        if len({point.device for point in candidates}) != 1:
            choices = sorted({point.device for point in points})
            why = f"name one of {listed(choices)} in 'grounded_at'" if choices else "no ground point is described"
            loose.append(Loose(terminal, "ground.31", why, place))
            continue
        nets.append(Net("ground.31", candidates[0], (terminal,), place))
